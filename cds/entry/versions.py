"""Which earlier entries stand for nothing: withdrawn ones, and former versions of an entry that was sent again.

Takes an entry with its earlier ones; gives places among them. One event id is one entry. Among entries of one id an
amended or corrected one stands before one that is withdrawn, and either before the others; then the one charted last,
then the one sent last. One id at different times, none of them amended or withdrawn, tells nothing: all are kept.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from cds.entry.model import Entry

WITHHELD = frozenset({"entered-in-error", "cancelled"})
AMENDED = frozenset({"amended", "corrected"})
_ITSELF = -1


def withdrawn(entry: Entry) -> list[int]:
    """The places of earlier entries that were entered in error or cancelled."""
    return [place for place, each in enumerate(entry.earlier) if each.event.status in WITHHELD]


def replaced(entry: Entry) -> list[int]:
    """The places of earlier entries of which a later version was sent, as this entry or as another earlier one."""
    return sorted(place for places in _by_id(entry) for place in _former(entry, places))


def set_aside(entry: Entry) -> frozenset[int]:
    """The places of both."""
    return frozenset((*withdrawn(entry), *replaced(entry))) if entry.earlier else frozenset()


def _by_id(entry: Entry) -> Iterator[list[int]]:
    """Places of one event id that stands more than once; this entry is the place before the first."""
    places: dict[tuple[str | None, str], list[int]] = defaultdict(list)
    for place in range(_ITSELF, len(entry.earlier)):
        each = _at(entry, place)
        if each.event.id is not None:
            places[each.infant.id, each.event.id].append(place)
    return (each for each in places.values() if len(each) > 1)


def _at(entry: Entry, place: int) -> Entry:
    return entry if place == _ITSELF else entry.earlier[place]


def _former(entry: Entry, places: list[int]) -> Iterator[int]:
    if any(_at(entry, place).event.status in AMENDED | WITHHELD for place in places):
        yield from _but_last(entry, places)
        return
    for alike in _at_one_time(entry, places):
        yield from _but_last(entry, alike)


def _at_one_time(entry: Entry, places: list[int]) -> Iterable[list[int]]:
    times: dict[object, list[int]] = defaultdict(list)
    for place in places:
        times[_at(entry, place).event.measured].append(place)
    return times.values()


def _but_last(entry: Entry, places: list[int]) -> Iterator[int]:
    """All but the version that stands: this entry where it is one of them, as it is what was asked about."""
    stands = _ITSELF if _ITSELF in places else max(places, key=lambda place: _standing(entry.earlier[place], place))
    return (place for place in places if place != stands)


def _standing(entry: Entry, place: int) -> tuple[int, int, int]:
    status, charted = entry.event.status, entry.event.charted
    told = 2 if status in AMENDED else int(status in WITHHELD)
    return told, charted.seconds.high if charted else 0, place
