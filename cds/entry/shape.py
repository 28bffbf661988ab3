"""The JSON Schema of an entry, built from the tables that the reader uses.

Takes nothing, gives a schema (2020-12). It cannot say, and the reader alone refuses: a day that its month lacks, a
period or a range that ends before it begins, a number of too many digits.
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.entry import care, infant, observations, read
from cds.entry.catalogue import (
    ABSENT_REASONS,
    CARE,
    CATALOGUE,
    COMPARATORS,
    LISTED,
    MEASURED_CONTEXT,
    ROUTES,
    SEXES,
    STATUSES,
    UNUSABLE,
    YES_NO,
    Kind,
)
from cds.entry.fields import MOST_TEXT, MOST_WORDS, PERIOD, POUNDS_UNIT, UNSHOWABLE, Shape
from cds.entry.units import BELOW_ZERO, UNITS

Schema = dict[str, object]

# `$` alone would let a line break follow; nothing may.
_END = r"(?![\s\S])"
_DAY = r"^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
_CLOCK = r"T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9](\.[0-9]{1,9})?)?"
_ZONE = r"(Z|[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00))"
_POUNDS: Schema = {
    "type": "array",
    "prefixItems": [
        {"type": "integer", "minimum": 0, "exclusiveMaximum": UNITS["[lb_av]"].bound},
        {"type": "number", "minimum": 0, "exclusiveMaximum": 16},
    ],
    "minItems": 2,
    "items": False,
}


def build_schema() -> Schema:
    """The schema of schemas/entry.schema.json."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "entry",
        "description": "One charting event for one infant: who, when, what was measured or seen, earlier entries.",
        **_entry(read.ENTRY),
        "$defs": {
            "text": _text(MOST_TEXT),
            "words": _text(MOST_WORDS),
            "date_or_time": {"type": "string", "pattern": f"{_DAY}({_CLOCK}{_ZONE})?{_END}"},
            "time": {
                "anyOf": [_ref("date_or_time"), _object(PERIOD, {key: _ref("date_or_time") for key in PERIOD.keys})]
            },
            "infant": _infant(),
            "event": _event(),
            "care": _care(),
            "remark": _object(read.REMARK, {key: _ref("text") for key in read.REMARK.keys} | _said()),
            "earlier": _entry(read.EARLIER),
            "sibling": _entry(read.SIBLING),
            "observation": _observation(),
            **{_named(kind): _kind(kind) for kind in CATALOGUE.values()},
        },
    }


def _said() -> Schema:
    return {key: _ref("words") for key in ("found", "words")}


def _entry(shape: Shape) -> Schema:
    parts: Schema = {
        "infant": _ref("infant"),
        "event": _ref("event"),
        "care": _ref("care"),
        "observations": _list("observation"),
        "earlier": _list("earlier"),
        "siblings": _list("sibling"),
        "remarks": _list("remark"),
    }
    schema = _object(shape, {key: parts[key] for key in shape.keys})
    if "infant" not in shape.keys:
        return schema
    dated = {"properties": {"infant": {"required": ["birth"]}}, "required": ["infant"]}
    followed = {"properties": {"earlier": {"minItems": 1}}, "required": ["earlier"]}
    return schema | {"if": {"anyOf": [dated, followed]}, "then": {"required": ["event"]}}


def _infant() -> Schema:
    low, high = infant.GESTATION_WEEKS
    weeks, days = _whole(low, high), _whole(0, 6)
    parts: Schema = {
        "id": _ref("text"),
        "birth": _ref("date_or_time"),
        "age": _object(infant.AGE, {"days": _whole(0, infant.MOST_AGE_DAYS)}),
        "sex": {"enum": list(SEXES)},
        "gestation": _object(infant.GESTATION, {"weeks": weeks, "days": days}),
        "birth_weight": _object(infant.WEIGHT, {}) | _measured(infant.WEIGHTS),
        "order": _whole(1, infant.MOST_ORDER),
    }
    return _object(infant.SHAPE, parts) | {"not": {"required": ["birth", "age"]}}


def _event() -> Schema:
    parts: Schema = {
        "id": _ref("text"),
        "measured": _ref("time"),
        "charted": _ref("date_or_time"),
        "care_unit": _ref("text"),
        "status": {"enum": list(STATUSES)},
    }
    return _object(read.EVENT, parts)


def _care() -> Schema:
    parts: Schema = {key: {"enum": list(words)} for key, words in CARE.items() if words is not None}
    cooling = _object(care.COOLING, {}) | _measured(care.TEMPERATURES, ("from", "to"))
    parts["cooling"] = cooling
    parts["agreed_limits"] = {"type": "array", "items": _agreed()}
    return _object(care.SHAPE, parts)


def _agreed() -> Schema:
    limits = [
        {"properties": {"quantity": {"const": kind.code}}, **_measured(kind.units, ("from", "to"))}
        for kind in CATALOGUE.values()
        if not kind.is_sign
    ]
    parts: Schema = {"by": _ref("text"), "until": _ref("date_or_time")}
    named = [{"required": [key]} for key in ("from", "to")]
    return _object(care.AGREED, parts) | {"allOf": [{"anyOf": named}, {"anyOf": limits}]}


def _observation() -> Schema:
    cases = [
        {"if": {"properties": {"code": {"const": kind.code}}, "required": ["code"]}, "then": _ref(_named(kind))}
        for kind in CATALOGUE.values()
    ]
    return {"type": "object", "properties": {"code": {"enum": list(CATALOGUE)}}, "required": ["code"], "allOf": cases}


def _kind(kind: Kind) -> Schema:
    main = "grade" if kind.is_sign else "value"
    parts: Schema = {
        "code": {"const": kind.code},
        "absent": {"enum": list(ABSENT_REASONS)},
        "unusable": {"enum": list(UNUSABLE)},
        "found": _ref("text"),
        "measured": _ref("time"),
        "status": {"enum": list(STATUSES)},
        **{key: _context(key, words) for key, words in kind.contexts.items()},
        **({"grade": _grade(kind)} if kind.is_sign else {"comparator": {"enum": list(COMPARATORS)}}),
    }
    needs = {"unusable": ["found"], "found": ["unusable"]}
    if not kind.is_sign:
        needs |= {"value": ["unit"], "unit": ["value"], "comparator": ["value"]}
    one: Schema = {"dependentRequired": needs, "oneOf": [{"required": [key]} for key in (main, "absent", "unusable")]}
    shape = Shape(observations.allowed(kind))
    return _object(shape, parts) | one | ({} if kind.is_sign else _measured(kind.units))


def _grade(kind: Kind) -> Schema:
    grade: Schema = {"enum": list(kind.grades)}
    if not kind.many:
        return grade
    alone: Schema = {"if": {"contains": {"const": observations.ALONE}}, "then": {"maxItems": 1}}
    return {"anyOf": [grade, _words(kind.grades) | alone]}


def _context(key: str, words: tuple[str, ...] | None) -> Schema:
    if words is not None:
        return _words(words) if key in LISTED else {"enum": list(words)}
    if key in YES_NO:
        return {"type": "boolean"}
    if key in MEASURED_CONTEXT:
        return _measured_context(key, MEASURED_CONTEXT[key][1])
    if key == "counted_seconds":
        return _whole(1, observations.MOST_COUNTED)
    if key == "highest":
        return _object(observations.HIGHEST, {"route": {"enum": list(ROUTES)}}) | _measured(care.TEMPERATURES)
    return _ref("time")


def _measured_context(key: str, unit: str) -> Schema:
    number = _number(unit)
    if key in observations.ABOVE_ZERO:
        number = {"exclusiveMinimum" if name == "minimum" else name: value for name, value in number.items()}
    return {"anyOf": [number, _object(observations.WITH_UNIT, {"value": number, "unit": {"const": unit}})]}


def _measured(units: tuple[str, ...], keys: tuple[str, ...] = ("value",)) -> Schema:
    """Any of the units with numbers in its bounds; pounds with ounces where pounds are accepted."""
    choices = [_in_unit({"const": unit}, _number(unit), keys) for unit in units]
    if "[lb_av]" in units:
        choices.append(_in_unit({"type": "array", "const": list(POUNDS_UNIT)}, _POUNDS, keys))
    return {"anyOf": choices}


def _in_unit(unit: Schema, number: Schema, keys: tuple[str, ...]) -> Schema:
    return {"properties": {"unit": unit, **{key: number for key in keys}}}


def _number(unit: str) -> Schema:
    known = UNITS[unit]
    low: Schema = {"exclusiveMinimum": -known.bound} if known.dimension in BELOW_ZERO else {"minimum": 0}
    return {"type": "number", **low, "exclusiveMaximum": known.bound}


def _object(shape: Shape, parts: Mapping[str, object]) -> Schema:
    known = {key: parts.get(key, True) for key in sorted(shape.keys)}
    required: Schema = {"required": list(shape.required)} if shape.required else {}
    return {"type": "object", "properties": known, "additionalProperties": False, **required}


def _text(most: int) -> Schema:
    return {"type": "string", "minLength": 1, "maxLength": most, "not": {"pattern": UNSHOWABLE}}


def _words(words: tuple[str, ...]) -> Schema:
    return {"type": "array", "items": {"enum": list(words)}, "minItems": 1, "uniqueItems": True}


def _whole(low: int, high: int) -> Schema:
    return {"type": "integer", "minimum": low, "maximum": high}


def _list(name: str) -> Schema:
    return {"type": "array", "items": _ref(name)}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _named(kind: Kind) -> str:
    return kind.code.replace("-", "_")
