"""The marks of one sign over an entry and its earlier ones.

Takes a view and a code. Gives a mark for each charted value, oldest first, and says in words what was charted and has
no mark. Judges nothing: what is calm, withheld or late is asked of the judge and of the limits in force. A value is put
into the unit of the axis exactly; only a value between two ticks is drawn at its lower tick, and keeps its own words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from types import MappingProxyType

from cds.advice.explain import observed_words
from cds.advice.terms import context, say_time, say_word
from cds.entry.model import Entry, Observation
from cds.entry.units import POUNDS_OUNCES, UNITS, shown
from cds.entry.versions import AMENDED
from cds.judge.choose import is_calm, words_of
from cds.judge.compare import reached
from cds.judge.order import charting_delay
from cds.judge.view import WITHHELD, View
from cds.pictures.model import Mark, Side
from cds.values import Quantity

NOT_FINAL = frozenset({"registered", "preliminary"})
GROWTH = frozenset({"body-weight", "body-length", "head-circumference", "chest-circumference"})
_HOUR = 3600
APART: Mapping[bool, int] = MappingProxyType({False: 12 * _HOUR, True: 62 * 24 * _HOUR})
"""Seconds over which two marks are joined at the most: of a vital sign, of weight, length, head and chest."""

_AROUND: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "body-temperature": ("route",),
        "oxygen-saturation": ("site", "oxygen"),
        "capillary-refill": ("site",),
        "systolic-pressure": ("site",),
        "diastolic-pressure": ("site",),
        "mean-pressure": ("site",),
        "body-length": ("position",),
    }
)
"""Context that makes two values of a code unlike, so that no line joins them."""

_BOUNDS: Mapping[str | None, Side] = MappingProxyType({"<": "below", "<=": "below", ">": "above", ">=": "above"})


@dataclass(frozen=True, slots=True)
class Charted:
    """A mark with the observation and the entry that it came from."""

    mark: Mark
    observation: Observation
    entry: Entry


@dataclass(frozen=True, slots=True)
class Series:
    """All of one code: the marks, oldest first, and in words what has none."""

    charted: tuple[Charted, ...]
    left_out: tuple[str, ...]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks alone."""
        return tuple(each.mark for each in self.charted)


def axis_unit(observations: list[Observation]) -> str | None:
    """The unit that an axis is drawn in: that of the last value charted; decimal pounds for pounds with ounces."""
    units = [each.quantity.unit for each in observations if each.quantity]
    return None if not units else "[lb_av]" if units[-1] == POUNDS_OUNCES else units[-1]


def in_unit(position: int, unit: str) -> Fraction:
    """A position in a unit, exact but for what lies between two ticks."""
    known = UNITS[unit]
    return (Fraction(position // 2) + known.offset) / known.factor


def digits(quantity: Quantity, unit: str) -> str:
    """A quantity in a unit of its dimension, in digits: as charted, or converted; "about" where it is not exact."""
    if quantity.unit == unit:
        return quantity.text
    exact = shown(quantity.position, unit)
    if exact is not None:
        return str(exact)
    places = UNITS[unit].places
    return f"about {float(in_unit(quantity.position, unit)):.{min(places, 3)}f}"


def series(code: str, unit: str, view: View) -> Series:
    """The marks of a code, from the earlier entries and from this one."""
    entries = sorted((*view.entry.earlier, view.entry), key=_when)
    marked: list[Charted] = []
    left_out: list[str] = []
    for order, entry in enumerate(entries):
        for observation in (each for each in entry.observations if each.code == code):
            found = _charted(observation, entry, unit, view)
            if found is None:
                left_out.append(_why_not(observation, entry))
            else:
                marked.append(replace(found, mark=replace(found.mark, order=order)))
    marked.sort(key=lambda each: each.mark.x)
    return Series(tuple(_join(marked, APART[code in GROWTH])), tuple(left_out))


def _when(entry: Entry) -> tuple[bool, int]:
    measured = entry.event.measured
    return (measured is None, measured.seconds.low if measured else 0)


def _charted(observation: Observation, entry: Entry, unit: str, view: View) -> Charted | None:
    moment = observation.measured or entry.event.measured
    if observation.quantity is None or moment is None or _is_withheld(observation, entry):
        return None
    span = moment.seconds
    mark = Mark(
        x=Fraction(span.low + span.high, 2),
        spread=Fraction(span.high - span.low, 2),
        y=in_unit(observation.quantity.position, unit),
        number=" ".join(
            [*([observation.comparator] if observation.comparator else []), digits(observation.quantity, unit)]
        ),
        words=_words(observation),
        when=say_time(moment.text),
        order=0,
        settled=is_calm(observation) and NOT_FINAL.isdisjoint(_statuses(observation, entry)),
        amended=not AMENDED.isdisjoint(_statuses(observation, entry)),
        late=is_late(entry, view),
        around=_around(observation),
        bound=_BOUNDS.get(observation.comparator),
        now=entry is view.entry,
    )
    return Charted(mark, observation, entry)


def _statuses(observation: Observation, entry: Entry) -> tuple[str, str]:
    return observation.status, entry.event.status


def _is_withheld(observation: Observation, entry: Entry) -> bool:
    return not WITHHELD.isdisjoint(_statuses(observation, entry))


def _words(observation: Observation) -> str:
    around = {key: " and ".join(words_of(value)) for key, value in observation.context.items() if key in _TOLD}
    return ", ".join(part for part in (observed_words(observation), context(around)) if part)


_TOLD = ("state", "counted_seconds", "route", "site", "oxygen", "position", "clothing")


def _around(observation: Observation) -> str:
    keys = _AROUND.get(observation.code, ())
    said = [say_word(str(observation.context.get(key, f"{key}-not-charted"))) for key in keys]
    return ", ".join(said)


def _why_not(observation: Observation, entry: Entry) -> str:
    moment = observation.measured or entry.event.measured
    when = say_time(moment.text) if moment else "time not charted"
    if _is_withheld(observation, entry):
        status = next(each for each in _statuses(observation, entry) if each in WITHHELD)
        return f"{when}: {observed_words(observation)}, {say_word(status)}"
    return f"{when}: {observed_words(observation)}"


def no_mark(words: str) -> str:
    """What was charted and has no mark, as said under the panel."""
    return f"no mark for {words}"


def is_late(entry: Entry, view: View) -> bool:
    """Whether an entry was charted so long after measuring that a limit on the delay is reached; surely, not maybe."""
    delay = charting_delay(View(entry, view.rules)).low
    if delay is None:
        return False
    limits = [
        limit
        for threshold in view.rules.thresholds.values()
        if threshold.quantity == "charting-delay"
        for limit in view.limits(threshold)[0]
        if limit.limit is not None
    ]
    return any(limit.limit and reached(limit.reached, (delay, delay), limit.limit.position) for limit in limits)


def _join(marked: list[Charted], apart: int) -> Iterator[Charted]:
    """The marks in order, joined where neither a long time nor an entry without the sign lies between."""
    joined = {id(later) for alike in _alike(marked) for former, later in pairwise(alike) if _meet(former, later, apart)}
    return (replace(each, mark=replace(each.mark, joined=id(each) in joined)) for each in marked)


def _alike(marked: list[Charted]) -> Iterator[list[Charted]]:
    for around in dict.fromkeys(each.mark.around for each in marked):
        yield [each for each in marked if each.mark.around == around]


def _meet(former: Charted, later: Charted, apart: int) -> bool:
    return abs(later.mark.order - former.mark.order) <= 1 and later.mark.x - former.mark.x <= apart
