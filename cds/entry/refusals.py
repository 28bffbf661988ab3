"""Say in the words of an entry why a number or a time was refused.

Takes the refusal of `units` or `times` with its place. Gives the code, what was found, what was expected, what to do
next. Never repeats the value.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cds.entry.faults import Faults, Intake
from cds.entry.model import Remark
from cds.entry.times import TimeRefused
from cds.entry.units import MOST_CHARACTERS, UNITS, QuantityRefused, measure, written
from cds.values import Quantity

Said = tuple[str, str, str]

_TIMES: Mapping[str, tuple[str, str, str, str]] = MappingProxyType(
    {
        "form": (
            "EN-401",
            "a text that is no date or date-time of the years 1900 to 2199",
            "such as 2026-03-02 or 2026-03-02T04:20:00+01:00",
            "write the time as in RFC 3339",
        ),
        "day": ("EN-402", "a day that the calendar does not have", "a day of the calendar", "correct month or day"),
        "hour": (
            "EN-402",
            "an hour past 23, or a minute or second past 59",
            "00:00:00 to 23:59:59",
            "correct the time; midnight is 00:00 of the next day",
        ),
        "offset": ("EN-402", "an offset beyond 14 hours", "-14:00 to +14:00", "correct the offset"),
        "zone": ("EN-403", "a time without its zone", "Z or an offset such as +01:00 after it", "add the local offset"),
        "order": ("EN-404", "an end before the start", "a start no later than the end", "correct start or end"),
    }
)


def measure_at(charted: tuple[object, object], dimension: str, place: str, intake: Intake) -> Quantity | None:
    """The quantity of a value and its accepted unit, or None with the fault noted; float debris leaves a remark."""
    try:
        quantity, is_debris = measure(dimension, *charted)
    except QuantityRefused as refused:
        is_list = isinstance(charted[0], list)
        if (is_list and dimension != "mass") or (refused.why == "kind" and not is_list):
            intake.faults.kind(place, charted[0], "a number")
        else:
            _note_quantity(refused, charted, place, intake.faults)
        return None
    if is_debris:
        words = "read as the nearest step of its unit: the sender's decimals come from a binary number"
        intake.remarks.append(Remark("binary-float-debris", place, written(quantity), words))
    return quantity


def _note_quantity(refused: QuantityRefused, charted: tuple[object, object], place: str, faults: Faults) -> None:
    value, unit = charted
    if refused.why != "digits" and (isinstance(unit, list) or isinstance(value, list)):
        said = (
            "a value and unit that are not whole pounds with ounces",
            'value [6, 11] with unit ["[lb_av]", "[oz_av]"]',
        )
        faults.add("EN-303", place, (*said, "send pounds as a whole number and ounces from 0 to under 16"))
        return
    faults.add(*_say_number(refused, str(unit), place))


def _say_number(refused: QuantityRefused, unit: str, place: str) -> tuple[str, str, Said]:
    if refused.why == "negative":
        return "EN-301", place, ("a number below zero", "zero or more", "send the value as charted")
    if refused.why == "large":
        said = ("a number too large for its unit", f"under {UNITS[unit].bound} {unit}", "correct the value or its unit")
        return "EN-302", place, said
    said = ("a number with too many digits or decimals", f"at most {MOST_CHARACTERS} of them", "send it as charted")
    return "EN-007", place, said


def say_time(refused: TimeRefused, place: str) -> tuple[str, str, Said]:
    """Code, place and words of a refused time."""
    code, *said = _TIMES[refused.why]
    return code, place, (said[0], said[1], said[2])
