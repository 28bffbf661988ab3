"""Remark on times of an entry that cannot be right, without dropping or refusing what was charted.

Takes an entry, where it stands in the document, and the moment of the call. Gives remarks; times as distances, never
as dates.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.entry.age_words import Counted, say
from cds.entry.ages import is_before_birth
from cds.entry.model import Entry, Moment, Remark
from cds.values import Span


def remark_times(entry: Entry, place: str, now: Moment | None) -> Iterator[Remark]:
    """Remark on what was measured before birth or after the call; `place` is that of the event's time."""
    yield from _remark(entry, Remark("", place, "", ""), entry.event.measured, now)
    for seen in entry.observations:
        if seen.measured is not None:
            own = Remark("", f"{seen.place}/measured", "", "", seen.code)
            yield from _remark(entry, own, seen.measured, now)


def remark_order(earlier: Entry, entry: Entry, place: str) -> Iterator[Remark]:
    """Remark on an earlier entry that was measured after the event; `place` is that of its time."""
    first, last = earlier.event.measured, entry.event.measured
    if first is not None and last is not None and first.seconds.low > last.seconds.high:
        found = _apart(last, first)
        yield Remark("earlier-after-event", place, found, f"sent as earlier, but measured {found} after this entry")


def _remark(entry: Entry, at: Remark, measured: Moment | None, now: Moment | None) -> Iterator[Remark]:
    if measured is None:
        return
    if is_before_birth(entry.infant, measured):
        birth = entry.infant.birth
        found = _apart(measured, birth) if birth else "longer ago than the age"
        yield Remark("measured-before-birth", at.place, found, f"measured before birth: {found}", at.code)
    if now is not None and measured.seconds.low > now.seconds.high:
        found = _apart(now, measured)
        yield Remark("measured-in-future", at.place, found, f"measured {found} after this call", at.code)


def _apart(first: Moment, last: Moment) -> str:
    apart = last.seconds.low - first.seconds.high
    return say(Counted(Span(apart, apart)))
