"""The JSON Schema of one observation, by code.

Takes the catalogue. Gives one schema for all codes that differ in nothing but their code.
"""

from __future__ import annotations

from cds.entry.catalogue import (
    ABSENT_REASONS,
    CATALOGUE,
    COMPARATORS,
    LISTED,
    MEASURED_CONTEXT,
    ROUTES,
    STATES,
    STATUSES,
    UNUSABLE,
    YES_NO,
    Kind,
)
from cds.entry.fields import Shape
from cds.entry.observations import ABOVE_ZERO, ALONE, HIGHEST, MOST_COUNTED, WITH_UNIT, allowed
from cds.entry.shape_parts import (
    Schema,
    build_number,
    build_object,
    build_whole,
    build_words,
    name_measured,
    refer,
)

_TEMPERATURES = CATALOGUE["body-temperature"].units


def build_observations() -> dict[str, Schema]:
    """The shared schemas of observations: `observation` chooses by code among the others."""
    groups = _group_kinds()
    chosen = [_choose([kind.code for kind in kinds], _name(kinds)) for kinds in groups]
    code: Schema = {"type": "object", "properties": {"code": {"enum": list(CATALOGUE)}}, "required": ["code"]}
    return {
        "observation": {**code, "allOf": chosen},
        **{_name(kinds): _build_kind(kinds[0]) for kinds in groups},
        "state": {"enum": list(STATES)},
        "status": {"enum": list(STATUSES)},
        "absent": {"enum": list(ABSENT_REASONS)},
        "unusable": {"enum": list(UNUSABLE)},
        "comparator": {"enum": list(COMPARATORS)},
    }


def _group_kinds() -> list[list[Kind]]:
    groups: dict[object, list[Kind]] = {}
    for kind in CATALOGUE.values():
        alike = (kind.units, kind.grades, tuple(kind.contexts.items()), kind.many)
        groups.setdefault(alike, []).append(kind)
    return list(groups.values())


def _choose(codes: list[str], name: str) -> Schema:
    return {"if": {"properties": {"code": {"enum": codes}}, "required": ["code"]}, "then": refer(name)}


def _name(kinds: list[Kind]) -> str:
    more = f"_and_{len(kinds) - 1}_more" if len(kinds) > 1 else ""
    return kinds[0].code.replace("-", "_") + more


def _build_kind(kind: Kind) -> Schema:
    shared = {key: refer(key) for key in ("absent", "unusable", "status")}
    parts: Schema = {**shared, "found": refer("text"), "measured": refer("time")}
    parts |= {key: _build_context(key, words) for key, words in kind.contexts.items()}
    main = "grade" if kind.is_sign else "value"
    parts |= {"grade": _build_grade(kind)} if kind.is_sign else {"comparator": refer("comparator")}
    schema = build_object(Shape(allowed(kind)), parts) | {"dependentRequired": _needs(kind)}
    schema["oneOf"] = [{"required": [key]} for key in (main, "absent", "unusable")]
    return schema if kind.is_sign else schema | {"allOf": [refer(name_measured(kind.units))]}


def _needs(kind: Kind) -> Schema:
    needs: Schema = {"unusable": ["found"], "found": ["unusable"]}
    return needs if kind.is_sign else needs | {"value": ["unit"], "unit": ["value"], "comparator": ["value"]}


def _build_grade(kind: Kind) -> Schema:
    grade: Schema = {"enum": list(kind.grades)}
    if not kind.many:
        return grade
    alone: Schema = {"if": {"contains": {"const": ALONE}}, "then": {"maxItems": 1}}
    return {"anyOf": [grade, build_words(kind.grades) | alone]}


def _build_context(key: str, words: tuple[str, ...] | None) -> Schema:
    if key == "state":
        return refer("state")
    if words is not None:
        return build_words(words) if key in LISTED else {"enum": list(words)}
    if key in MEASURED_CONTEXT:
        return _build_measured(key, MEASURED_CONTEXT[key][1])
    if key == "highest":
        route: Schema = {"route": {"enum": list(ROUTES)}}
        return build_object(HIGHEST, route) | {"allOf": [refer(name_measured(_TEMPERATURES))]}
    if key == "counted_seconds":
        return build_whole(1, MOST_COUNTED)
    return {"type": "boolean"} if key in YES_NO else refer("time")


def _build_measured(key: str, unit: str) -> Schema:
    number = build_number(unit, above_zero=key in ABOVE_ZERO)
    return {"anyOf": [number, build_object(WITH_UNIT, {"value": number, "unit": {"const": unit}})]}
