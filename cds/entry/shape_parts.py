"""The pieces of a JSON Schema: objects, texts, words, whole numbers, quantities in accepted units.

Takes shapes, words and units as the reader uses them. Gives schemas, and points to shared ones by name.
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.entry.catalogue import CATALOGUE
from cds.entry.fields import UNSHOWABLE, Shape
from cds.entry.units import BELOW_ZERO, POUNDS_UNIT, UNITS

Schema = dict[str, object]

# `$` alone would let a line break follow; nothing may.
_END = r"(?![\s\S])"
_DAY = r"^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
_CLOCK = r"T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9](\.[0-9]{1,9})?)?"
_ZONE = r"(Z|[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00))"

DATE_OR_TIME: Schema = {"type": "string", "pattern": f"{_DAY}({_CLOCK}{_ZONE})?{_END}"}
POUNDS_OUNCES: Schema = {
    "type": "array",
    "prefixItems": [
        {"type": "integer", "minimum": 0, "exclusiveMaximum": UNITS["[lb_av]"].bound},
        {"type": "number", "minimum": 0, "exclusiveMaximum": 16},
    ],
    "minItems": 2,
    "items": False,
}


def refer(name: str) -> Schema:
    """A shared schema by its name in `$defs`."""
    return {"$ref": f"#/$defs/{name}"}


def build_object(shape: Shape, parts: Mapping[str, object]) -> Schema:
    """An object of these keys and no others; a key without a part may hold anything that another rule allows."""
    known = {key: parts.get(key, True) for key in sorted(shape.keys)}
    required: Schema = {"required": list(shape.required)} if shape.required else {}
    return {"type": "object", "properties": known, "additionalProperties": False, **required}


def build_text(most: int) -> Schema:
    """A text that can be shown."""
    return {"type": "string", "minLength": 1, "maxLength": most, "not": {"pattern": UNSHOWABLE}}


def build_words(words: tuple[str, ...]) -> Schema:
    """A list of different words."""
    return {"type": "array", "items": {"enum": list(words)}, "minItems": 1, "uniqueItems": True}


def build_whole(low: int, high: int) -> Schema:
    """A whole number."""
    return {"type": "integer", "minimum": low, "maximum": high}


def build_list(name: str) -> Schema:
    """A list of a shared schema."""
    return {"type": "array", "items": refer(name)}


def build_number(unit: str, above_zero: bool = False) -> Schema:
    """A number in the bounds of its unit."""
    known = UNITS[unit]
    if known.dimension in BELOW_ZERO:
        return {"type": "number", "exclusiveMinimum": -known.bound, "exclusiveMaximum": known.bound}
    return {"type": "number", "exclusiveMinimum" if above_zero else "minimum": 0, "exclusiveMaximum": known.bound}


def build_measured(units: tuple[str, ...], keys: tuple[str, ...] = ("value",)) -> Schema:
    """Numbers in any of the units, each in its bounds; pounds with ounces where pounds are accepted."""
    choices = [_in_unit({"const": unit}, build_number(unit), keys) for unit in units]
    if "[lb_av]" in units:
        choices.append(_in_unit({"const": list(POUNDS_UNIT)}, refer("pounds_with_ounces"), keys))
    return {"anyOf": choices} if len(choices) > 1 else choices[0]


def share_measured() -> dict[str, Schema]:
    """The shared schemas of quantities, by `name_measured`, one for each list of units in the catalogue."""
    lists = {kind.units for kind in CATALOGUE.values() if not kind.is_sign}
    return {name_measured(units): build_measured(units) for units in sorted(lists)}


def name_measured(units: tuple[str, ...]) -> str:
    """The name of the shared schema of quantities in these units."""
    return f"of_{UNITS[units[0]].dimension}"


def _in_unit(unit: Schema, number: Schema, keys: tuple[str, ...]) -> Schema:
    return {"properties": {"unit": unit, **dict.fromkeys(keys, number)}}
