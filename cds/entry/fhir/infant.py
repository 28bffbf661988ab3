"""Gestation and birth weight, sent as Observations: fields of the infant, never readings of an entry.

Takes Observations whose code names such a field. Gives the fields on which all of them agree, with remarks.
Never uses their effective time: published examples date a birth weight months after the birth.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_DOWN, Decimal
from typing import cast

from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.quantities import check_number, read_quantity, read_unit
from cds.entry.fhir.remarks import Note, name_codings
from cds.entry.infant import GESTATION_WEEKS
from cds.entry.units import quantity

_WEEK = 7
_MASS = ("g", "kg", "[lb_av]")


@dataclass(frozen=True, slots=True)
class Fact:
    """One field of the infant: `members` as our entry writes them, `low` and `high` to compare two of them."""

    name: str
    members: dict[str, object]
    low: int
    high: int
    place: str


def read_fact(node: Node, name: str, codes: Codes) -> tuple[Fact | None, list[Note]]:
    """The field that one Observation states, or why it states none.

    Raises:
        Refused: a number that is no measured value (FH-114).
    """
    if node.has("dataAbsentReason"):
        return None, []
    return _gestation(node, codes) if name == "gestation" else _birth_weight(node, codes)


def _birth_weight(node: Node, codes: Codes) -> tuple[Fact | None, list[Note]]:
    sent = node.part("valueQuantity")
    members = read_quantity(sent, "mass", _MASS, codes)
    if "unusable" in members:
        return None, [Note("unit-unmapped", sent.place, str(members["found"]), "birth_weight")]
    if "comparator" in members or not members:
        return None, [_unread(node, "birth_weight")]
    position = quantity("mass", cast("int | Decimal", members["value"]), str(members["unit"])).position
    return Fact("birth_weight", members, position, position, node.place), []


def _gestation(node: Node, codes: Codes) -> tuple[Fact | None, list[Note]]:
    sent = node.part("valueQuantity")
    unit, coding = read_unit(sent, codes), sent.coding()
    if unit not in ("wk", "d"):
        return None, [Note("unit-unmapped", sent.place, name_codings([coding] if coding else []), "gestation")]
    if not sent.has("value") or sent.has("comparator"):
        return None, [_unread(node, "gestation")]
    # Weeks and days are numbers of one size; the check for weeks serves both.
    value = Decimal(cast("int | Decimal", check_number(sent.data["value"], "weeks", "wk", f"{sent.place}/value")))
    low, high = _days(value, unit)
    if not GESTATION_WEEKS[0] * _WEEK <= low <= high < (GESTATION_WEEKS[1] + 1) * _WEEK:
        return None, [_unread(node, "gestation")]
    fact = Fact("gestation", _weeks(low, high), low, high, node.place)
    is_rounded = value != value.to_integral_value()
    return fact, [Note("gestation-rounded", sent.place, f"{value:f} {unit}", "gestation")] if is_rounded else []


def _days(value: Decimal, unit: str) -> tuple[int, int]:
    is_whole = value == value.to_integral_value()
    if unit == "wk" and is_whole:
        return int(value) * _WEEK, int(value) * _WEEK + 6
    # Of two days equally near, the earlier: a day less of gestation never hides that an infant was born early.
    days = int((value * (_WEEK if unit == "wk" else 1)).to_integral_value(ROUND_HALF_DOWN))
    return days, days


def _weeks(low: int, high: int) -> dict[str, object]:
    weeks, days = divmod(low, _WEEK)
    return {"weeks": weeks} if high > low else {"weeks": weeks, "days": days}


def _unread(node: Node, name: str) -> Note:
    return Note("infant-value", node.place, name_codings(node.codings("code")), name)


def settle_facts(facts: Iterable[Fact]) -> tuple[dict[str, object], list[Note]]:
    """The fields that all facts of one name agree on; the narrower of two that agree; a remark where they do not."""
    by_name: dict[str, list[Fact]] = {}
    for fact in facts:
        by_name.setdefault(fact.name, []).append(fact)
    fields: dict[str, object] = {}
    notes: list[Note] = []
    for name, stated in by_name.items():
        if max(fact.low for fact in stated) > min(fact.high for fact in stated):
            notes.append(Note("infant-conflict", stated[0].place, f"{len(stated)} values", name))
        else:
            fields[name] = min(stated, key=lambda fact: fact.high - fact.low).members
    return fields, notes
