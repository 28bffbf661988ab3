"""Read what is being done for the infant: support, cooling, warmth, feeding, agreed limits.

Takes a JSON object. Gives a mapping of care, with every fault noted.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cds.entry.catalogue import CARE, CATALOGUE
from cds.entry.faults import echo, suggest
from cds.entry.fields import Fields, Shape, open_object
from cds.entry.model import NO_CONTEXT, AgreedLimit, QuantityRange
from cds.values import Quantity

SHAPE = Shape(frozenset(CARE))
COOLING = Shape(
    frozenset({"from", "to", "unit"}),
    {"from": "the lower end of the target", "to": "the upper end of the target", "unit": "their unit, Cel or [degF]"},
)
AGREED = Shape(
    frozenset({"quantity", "from", "to", "unit", "by", "until"}),
    {"quantity": "the code of what is limited", "unit": "the unit of from and to", "by": "the role that agreed it"},
)
TEMPERATURES = ("Cel", "[degF]")


def read_care(entry: Fields) -> Mapping[str, object]:
    """The care of an entry; empty where none was charted."""
    fields = entry.inside("care", SHAPE)
    if fields is None:
        return NO_CONTEXT
    care: dict[str, object] = {key: fields.word(key, words) for key, words in CARE.items() if words is not None}
    care["cooling"] = _cooling(fields)
    care["agreed_limits"] = _agreed_limits(fields) or None
    return MappingProxyType({key: value for key, value in care.items() if value is not None})


def _cooling(care: Fields) -> QuantityRange | None:
    fields = care.inside("cooling", COOLING)
    return None if fields is None else _range(fields, "temperature", TEMPERATURES)


def _range(fields: Fields, dimension: str, units: tuple[str, ...]) -> QuantityRange:
    low, high = (fields.quantity(dimension, units, (end, "unit")) for end in ("from", "to"))
    _check_order(fields, low, high)
    return QuantityRange(low, high)


def _check_order(fields: Fields, low: Quantity | None, high: Quantity | None) -> None:
    if low is not None and high is not None and low.position > high.position:
        said = ("a `from` above `to`", "`from` no higher than `to`", "exchange the two, if that is meant")
        fields.intake.faults.add("EN-304", f"{fields.place}/from", said)


def _agreed_limits(care: Fields) -> tuple[AgreedLimit, ...]:
    value, place = care.data.get("agreed_limits"), f"{care.place}/agreed_limits"
    if value is None:
        return ()
    if not isinstance(value, list):
        care.intake.faults.kind(place, value, "a list of agreed limits")
        return ()
    listed = [open_object(item, f"{place}/{number}", AGREED, care.intake) for number, item in enumerate(value)]
    limits = (_agreed_limit(fields) for fields in listed if fields is not None)
    return tuple(limit for limit in limits if limit is not None)


def _agreed_limit(fields: Fields) -> AgreedLimit | None:
    if not fields.data.keys() & {"from", "to"}:
        fields.intake.faults.missing(fields.place, "from", "at least one of `from` and `to`")
    by, until = fields.text("by"), fields.moment("until")
    code = fields.data.get("quantity")
    kind = CATALOGUE.get(code) if isinstance(code, str) else None
    if kind is None or kind.dimension is None:
        _note_code(fields, code)
        return None
    limits = _range(fields, kind.dimension, kind.units)
    return None if by is None else AgreedLimit(kind.code, limits, by, until)


def _note_code(fields: Fields, code: object) -> None:
    place, values = f"{fields.place}/quantity", [kind.code for kind in CATALOGUE.values() if not kind.is_sign]
    if isinstance(code, str):
        said = (echo(code), "a code of the vocabulary with a value", suggest(code, values, "one of its codes"))
        fields.intake.faults.add("EN-201", place, said)
    elif code is not None:
        fields.intake.faults.kind(place, code, "a code of the vocabulary with a value")
