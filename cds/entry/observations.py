"""Read one observation: a value, a sign, a value not obtained, or one that its sender could not map.

Takes a JSON object. Gives an Observation, or None with every fault noted. Judges nothing: an unlikely value is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import cast

from cds.entry.catalogue import (
    ABSENT_REASONS,
    CATALOGUE,
    COMPARATORS,
    LISTED,
    MEASURED_CONTEXT,
    ROUTES,
    STATUSES,
    UNUSABLE,
    YES_NO,
    Kind,
)
from cds.entry.faults import Intake, echo, suggest
from cds.entry.fields import Fields, Shape, note_nulls, note_unknown, read_word, read_words
from cds.entry.model import NO_CONTEXT, Observation
from cds.entry.oxygen import SATURATION, settle_oxygen
from cds.entry.refusals import measure_at

MOST_COUNTED = 600
"""Longest time over which a rate is counted, in seconds."""

OF_ALL = frozenset({"code", "absent", "unusable", "found", "measured", "status"})
OF_VALUE = frozenset({"value", "unit", "comparator"})
OF_SIGN = frozenset({"grade"})
ALONE = "usual"
ABOVE_ZERO = frozenset({"over_hours"})
WITH_UNIT = Shape(frozenset({"value", "unit"}), {"value": "the number", "unit": "its unit"})
HIGHEST = Shape(frozenset({"value", "unit", "route"}), {"value": "the highest temperature", "unit": "its unit"})


def allowed(kind: Kind) -> frozenset[str]:
    """The keys that an observation of a kind may have."""
    return OF_ALL | (OF_SIGN if kind.is_sign else OF_VALUE) | kind.contexts.keys()


_ALLOWED: Mapping[str, frozenset[str]] = MappingProxyType({code: allowed(kind) for code, kind in CATALOGUE.items()})
_ANY: frozenset[str] = frozenset().union(*_ALLOWED.values())


_UNMAPPED = "the code that means this, or send it in `remarks` as code-unmapped"


def read_observation(data: object, place: str, intake: Intake) -> Observation | None:
    """One observation; None where it has no code that is known."""
    if not isinstance(data, dict):
        intake.faults.kind(place, data, "an object")
        return None
    note_nulls(data, place, intake.faults)
    fields = Fields(data, place, intake)
    kind = _kind(fields)
    if kind is None:
        return None
    _check_keys(fields, kind)
    return Observation(
        code=kind.code,
        place=place,
        quantity=None if kind.is_sign else fields.quantity(cast(str, kind.dimension), kind.units),
        grades=_grades(fields, kind) if kind.is_sign else (),
        absent=fields.word("absent", ABSENT_REASONS),
        unusable=fields.word("unusable", UNUSABLE),
        found=fields.text("found"),
        comparator=fields.word("comparator", COMPARATORS),
        context=_context(fields, kind),
        measured=fields.moment("measured", can_last=True),
        status=fields.word("status", STATUSES) or "final",
    )


def _kind(fields: Fields) -> Kind | None:
    code = fields.data.get("code")
    faults, place = fields.intake.faults, f"{fields.place}/code"
    if isinstance(code, str):
        kind = CATALOGUE.get(code)
        if kind is None:
            said = (echo(code), "a code of the vocabulary", suggest(code, CATALOGUE, _UNMAPPED))
            faults.add("EN-201", place, said)
        return kind
    if "code" not in fields.data:
        faults.missing(fields.place, "code", "what was observed, a code of the vocabulary")
    elif code is not None:
        faults.kind(place, code, "a code of the vocabulary")
    return None


def _check_keys(fields: Fields, kind: Kind) -> None:
    data, keys = fields.data, _ALLOWED[kind.code]
    if not data.keys() <= keys:
        _note_foreign(fields, kind)
    main = "grade" if kind.is_sign else "value"
    given = [key for key in (main, "absent", "unusable") if key in data]
    if len(given) > 1:
        _note_pair(fields, given[1], f"`{given[0]}` and `{given[1]}`", f"one of `{main}`, `absent`, `unusable`")
    if not given:
        what = "a grade" if kind.is_sign else "a value with its unit"
        fields.intake.faults.missing(fields.place, main, f"{what}, or `absent` with a reason")
    for key, needs in _NEEDS:
        if key in data and key in keys and needs not in data:
            _note_pair(fields, key, f"`{key}` without `{needs}`", f"`{needs}` beside `{key}`")
    if "value" in given and "unit" not in data:
        fields.intake.faults.missing(fields.place, "unit", f"the unit, {' or '.join(kind.units)}")
    if "unusable" in given and "found" not in data:
        fields.intake.faults.missing(fields.place, "found", "what was found, as sent")


_NEEDS = (("unit", "value"), ("comparator", "value"), ("found", "unusable"))


def _note_pair(fields: Fields, key: str, found: str, expected: str) -> None:
    said = (found, expected, "keep what was charted and leave the other out")
    fields.intake.faults.add("EN-106", f"{fields.place}/{key}", said)


def _note_foreign(fields: Fields, kind: Kind) -> None:
    own = sorted(_ALLOWED[kind.code])
    foreign = [key for key in fields.data if key not in _ALLOWED[kind.code]]
    for key in (key for key in foreign if key in _ANY):
        said = (f"`{key}`, which {kind.code} does not carry", f"keys {', '.join(own)}", f"leave `{key}` out")
        fields.intake.faults.add("EN-204", f"{fields.place}/{key}", said)
    note_unknown([key for key in foreign if key not in _ANY], own, fields)


def _grades(fields: Fields, kind: Kind) -> tuple[str, ...]:
    value, place, faults = fields.data.get("grade"), f"{fields.place}/grade", fields.intake.faults
    if value is None:
        return ()
    if not (kind.many and isinstance(value, list)):
        grade = read_word(value, place, kind.grades, faults)
        return () if grade is None else (grade,)
    grades = read_words(value, place, kind.grades, faults)
    if ALONE in grades and len(set(grades)) > 1:
        said = ("`usual` beside other grades", "`usual` alone, or the others", "keep what was seen")
        faults.add("EN-205", place, said)
    return grades


def _context(fields: Fields, kind: Kind) -> Mapping[str, object]:
    keys = kind.contexts.keys() & fields.data.keys()
    if not keys:
        return NO_CONTEXT
    context: dict[str, object] = {}
    for key in kind.contexts:
        if key in keys:
            value = _context_value(fields, key, kind.contexts[key])
            if value is not None:
                context[key] = value
    if "highest" in keys:
        context.update(_highest(fields))
    if kind.code == SATURATION:
        settle_oxygen(context, fields.place, fields.intake)
    return MappingProxyType(context)


def _context_value(fields: Fields, key: str, words: tuple[str, ...] | None) -> object:
    if words is not None:
        return (fields.words(key, words) or None) if key in LISTED else fields.word(key, words)
    if key in YES_NO:
        return fields.flag(key)
    if key in MEASURED_CONTEXT:
        return _measured_context(fields, key)
    if key == "since":
        return fields.moment(key, can_last=True)
    return fields.whole(key, 1, MOST_COUNTED) if key == "counted_seconds" else None


def _measured_context(fields: Fields, key: str) -> object:
    dimension, unit = MEASURED_CONTEXT[key]
    value, place = fields.data[key], f"{fields.place}/{key}"
    if isinstance(value, dict):
        inner = fields.inside(key, WITH_UNIT)
        quantity = inner.quantity(dimension, (unit,)) if inner else None
    else:
        quantity = None if value is None else measure_at((value, unit), dimension, place, fields.intake)
    if quantity is not None and quantity.position == 0 and key in ABOVE_ZERO:
        said = ("zero hours", "more than zero", "send the hours over which they were counted")
        fields.intake.faults.add("EN-107", place, said)
    return quantity


def _highest(fields: Fields) -> dict[str, object]:
    inner = fields.inside("highest", HIGHEST)
    if inner is None:
        return {}
    found = {"highest": inner.quantity("temperature", ("Cel", "[degF]")), "highest_route": inner.word("route", ROUTES)}
    return {key: value for key, value in found.items() if value is not None}
