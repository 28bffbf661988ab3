"""Remark on times of an entry that cannot be right or lie far apart, without dropping what was charted.

Takes an entry, where it stands in the document, and the moment of the call. Gives remarks; times as distances, never
as dates.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.entry.age_words import Counted, say
from cds.entry.ages import is_before_birth
from cds.entry.model import Entry, Moment, Remark
from cds.values import Span

MOST_APART = 3600
"""Seconds between an observation's own time and that of its event beyond which the answer says so."""


def remark_times(entry: Entry, place: str, now: Moment | None) -> Iterator[Remark]:
    """Remark on what was measured before birth, after the call, or far from its event; `place` is that of its time."""
    yield from _remark(entry, Remark("", place, "", ""), entry.event.measured, now)
    for seen in entry.observations:
        if seen.measured is not None:
            own = Remark("", f"{seen.place}/measured", "", "", seen.code)
            wrong = list(_remark(entry, own, seen.measured, now))
            yield from wrong or _remark_apart(own, seen.measured, entry.event.measured)


def remark_order(earlier: Entry, entry: Entry, place: str) -> Iterator[Remark]:
    """Remark on an earlier entry that no time shows to be earlier; `place` is that of its time."""
    first, last = earlier.event.measured, entry.event.measured
    if first is None or last is None:
        words = "sent as earlier, but no time shows that it was: not looked at"
        yield Remark("earlier-without-time", place, "no time", words)
    elif first.seconds.low == last.seconds.high:
        words = "sent as earlier, but measured at the time of this entry: no second count"
        yield Remark("earlier-at-event", place, "the same time", words)
    elif first.seconds.low > last.seconds.high:
        found = _apart(last, first)
        words = f"sent as earlier, but measured {found} after this entry: not looked at"
        yield Remark("earlier-after-event", place, found, words)


def remark_owner(earlier: Entry, entry: Entry, place: str) -> Iterator[Remark]:
    """Remark on an earlier entry that is of another infant; `place` is that of the earlier entry."""
    if earlier.infant.id != entry.infant.id:
        words = "sent as earlier, but of another infant: not looked at"
        yield Remark("earlier-of-other-infant", f"{place}/infant/id", "another infant", words)


def _remark_apart(at: Remark, own: Moment, event: Moment | None) -> Iterator[Remark]:
    """Remark on an observation whose own time lies more than an hour from that of its event."""
    if event is None:
        return
    before, after = event.seconds.low - own.seconds.high, own.seconds.low - event.seconds.high
    if max(before, after) > MOST_APART:
        found = f"{_apart(own, event)} before" if before > after else f"{_apart(event, own)} after"
        words = f"measured {found} the time of this entry; judged at the age of this entry"
        yield Remark("measured-apart", at.place, found, words, at.code)


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
