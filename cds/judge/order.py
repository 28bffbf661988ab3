"""When things were measured and charted: in which order within the entry, and how long until charting.

Takes a view. The order from least to most disturbing is that of common practice: breathing, heart rate, temperature,
weight, length, head, chest; blood pressure and rectal temperature last. Times that overlap show no order.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import permutations
from types import MappingProxyType
from typing import NamedTuple

from cds.entry.model import Observation
from cds.entry.times import between
from cds.entry.units import written
from cds.judge.inputs import missing, plain, standing
from cds.judge.view import Value, View
from cds.values import Span, position_of

_HOUR = 3600
_TICKS = 100
_LAST = 7
_PLACES: Mapping[str, int] = MappingProxyType(
    {
        "respiratory-rate": 0,
        "heart-rate": 1,
        "body-temperature": 2,
        "body-weight": 3,
        "body-length": 4,
        "head-circumference": 5,
        "chest-circumference": 6,
        **dict.fromkeys(("systolic-pressure", "diastolic-pressure", "mean-pressure"), _LAST),
    }
)


class Timed(NamedTuple):
    """An observation with a time of its own, and the places in the order that it could have."""

    seen: Observation
    seconds: Span
    places: Span


def order_of_measurement(view: View) -> Value:
    """usual or other; unknown where fewer than two of the ordered measurements have times of their own.

    A temperature whose route is not charted could be rectal: it is out of order only where it is so either way.
    """
    timed = [made for code in _PLACES for each in standing(view, code) if (made := _timed(each))]
    if len({each.seen.code for each in timed}) < 2:
        return missing("the time of each measurement")
    first = next((pair for pair in permutations(timed, 2) if _is_turned(*pair)), None)
    if first is None:
        return Value(words=frozenset({"usual"}))
    numbers = tuple(zip(("first", "then"), (_words(each.seen) for each in first), strict=True))
    return Value(words=frozenset({"other"}), numbers=numbers)


def _timed(seen: Observation) -> Timed | None:
    if seen.quantity is None or seen.measured is None:
        return None
    place = _PLACES[seen.code]
    if seen.code != "body-temperature":
        return Timed(seen, seen.measured.seconds, Span(place, place))
    route = seen.context.get("route", "rectal")
    low, high = (_LAST if "route" in seen.context else place), _LAST
    return Timed(seen, seen.measured.seconds, Span(low, high) if route == "rectal" else Span(place, place))


def _is_turned(one: Timed, other: Timed) -> bool:
    """Whether the first was surely measured before the second and belongs after it."""
    return one.seconds.high < other.seconds.low and one.places.low > other.places.high


def _words(seen: Observation) -> str:
    assert seen.quantity is not None
    return f"{seen.code.replace('-', ' ')} {written(seen.quantity)}"


def charting_delay(view: View) -> Value:
    """Hours [h] from measuring to charting, below 0 where it was charted before; a span where a time is one."""
    event = view.entry.event
    if event.measured is None or event.charted is None:
        return missing("the time of charting" if event.measured else "the time of measuring")
    delay = between(event.measured, event.charted)
    least, most = (position_of(Fraction(_TICKS * each, _HOUR)) for each in (delay.low, delay.high))
    return Value(least, most, numbers=(("charted after", f"{plain(Fraction(delay.low, _HOUR))} h"),))
