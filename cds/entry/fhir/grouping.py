"""Put readings together that were taken together: the latest are the entry, the others earlier entries.

Takes readings with their times. Gives groups, the latest first. A period stands at its end, when its value is complete;
a date goes with whatever was timed on that day. A withheld reading never decides what is latest. Never reads the clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from cds.entry.fhir.dates import When, read_when
from cds.entry.fhir.readings import Reading
from cds.values import Span


@dataclass(frozen=True, slots=True)
class Group:
    """Readings of one event and the time of the latest of them, None where none has a time."""

    when: When | None
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Clock:
    """How times are compared: seconds within which things go together, and the offset of dates, which have no zone."""

    within: int
    offset: int

    def span(self, when: When) -> Span:
        """The seconds at which something timed may stand: the end of a period, any second of a date."""
        text = when.sent["end"] if isinstance(when.sent, dict) else when.sent
        return (read_when(text, self.offset) or when).moment.seconds

    def together(self, one: When | None, other: When | None) -> bool:
        """Whether two things may have been within the time that makes one event."""
        if one is None or other is None:
            return False
        return _near(self.span(one), self.span(other), self.within)


def group(readings: Sequence[Reading], clock: Clock) -> list[Group]:
    """The groups, latest first; at least one, empty where nothing was read.

    Readings without a time belong to the first: charted danger is not lost because its time is.
    """
    timed = [reading for reading in readings if reading.when is not None]
    standing = [reading for reading in timed if reading.stands] or timed
    groups = _gather(standing, clock) or [Group(None, ())]
    chosen = {id(reading) for reading in standing}
    for stray in (reading for reading in readings if id(reading) not in chosen):
        groups = _add(groups, stray, clock)
    return groups


def _gather(readings: Iterable[Reading], clock: Clock) -> list[Group]:
    rest = [(clock.span(when), when, each) for each in readings if (when := each.when)]
    groups: list[Group] = []
    while rest:
        latest, anchor, _ = max(rest, key=lambda timed: (_lateness(timed[0]), timed[1].is_point))
        mine = [reading for span, _, reading in rest if _near(span, latest, clock.within)]
        rest = [timed for timed in rest if not _near(timed[0], latest, clock.within)]
        groups.append(Group(anchor, tuple(mine)))
    return groups


def _near(one: Span, other: Span, within: int) -> bool:
    return one.low - other.high <= within and other.low - one.high <= within


def _lateness(span: Span) -> tuple[int, int]:
    return span.low, -span.high


def _add(groups: list[Group], stray: Reading, clock: Clock) -> list[Group]:
    place = next((number for number, each in enumerate(groups) if clock.together(stray.when, each.when)), None)
    if place is None and stray.when is not None:
        mine = _lateness(clock.span(stray.when))
        later = [each for each in groups if each.when and _lateness(clock.span(each.when)) > mine]
        if later:
            return [*groups[: len(later)], Group(stray.when, (stray,)), *groups[len(later) :]]
    joined = replace(groups[place or 0], readings=(*groups[place or 0].readings, stray))
    return [joined if number == (place or 0) else each for number, each in enumerate(groups)]
