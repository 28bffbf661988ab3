"""Read a FHIR Quantity as value and unit of our vocabulary, by the system and code of its unit alone.

Takes a checked Quantity and what the observation accepts. Gives the members that our entry writes, or says that the
unit is not mapped. Never reads the unit's text, never converts, never rounds.
"""

from __future__ import annotations

from collections.abc import Collection

from cds.entry.fhir.check import NEXT
from cds.entry.fhir.elements import Node
from cds.entry.fhir.known import UCUM
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.remarks import name_codings
from cds.entry.units import QuantityRefused, measure
from cds.errors import Problem, Refused

Members = dict[str, object]


def read_quantity(node: Node, dimension: str, units: Collection[str], codes: Codes) -> Members:
    """`value`, `unit` and where sent `comparator`; or `unusable` with `found`; or nothing where there is no value.

    Args:
        dimension: of the value; `units` are those that the entry accepts for it.

    Raises:
        Refused: a number that is no measured value: too many digits, an absurd exponent, less than zero (FH-114).
    """
    if not node.has("value"):
        return {}
    unit = read_unit(node, codes)
    if unit not in units:
        coding = node.coding()
        return {"unusable": "unit-unmapped", "found": name_codings([coding] if coding else [])}
    number = check_number(node.data["value"], dimension, str(unit), f"{node.place}/value")
    members: Members = {"value": number, "unit": unit}
    return members | ({"comparator": node.data["comparator"]} if node.has("comparator") else {})


def read_unit(node: Node, codes: Codes) -> str | None:
    """The unit of our vocabulary: as the site maps it, or the UCUM code as it stands."""
    coding = node.coding()
    if coding is None:
        return None
    return codes.units.get(coding, coding[1] if coding[0] == UCUM else None)


def check_number(number: object, dimension: str, unit: str, place: str) -> object:
    """A number as sent, once it is known to be one that an entry can hold.

    Raises:
        Refused: FH-114.
    """
    try:
        measure(dimension, number, unit)
    except QuantityRefused as refused:
        problem = Problem(place, "FH-114", _FOUND[refused.why], f"a measured value in {unit}", NEXT)
        raise Refused("entry", [problem]) from None
    return number


_FOUND = {
    "kind": "a number that is not finite",
    "digits": "a number with too many digits or an absurd exponent",
    "large": "a number too large for this unit",
    "negative": "a number less than zero",
}
