"""Keep each resource once: the newest of several versions with one type and id.

Takes resources as they stand in an input. Gives one of each, with remarks on the others. Never merges by an
identifier: published examples give one identifier to a final, a partly absent and a cancelled resource.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.entry.fhir.dates import read_when
from cds.entry.fhir.references import Held
from cds.entry.fhir.remarks import Note, clip

_LATER = frozenset({"amended", "corrected", "cancelled", "entered-in-error"})


def keep_newest(resources: Iterable[Held]) -> tuple[list[Held], list[Note]]:
    """One version of each resource, in the order of their first; what has no id and no full url is never merged."""
    kept: list[Held] = []
    notes: list[Note] = []
    by_name: dict[str, list[int]] = {}
    for held in resources:
        alike = by_name.setdefault(held.name, []) if held.name else []
        place = next((number for number in alike if _is_same(held, kept[number])), None)
        if place is None:
            alike.append(len(kept))
            kept.append(held)
            continue
        newest, older = (held, kept[place]) if _is_newer(held, kept[place]) else (kept[place], held)
        reason = "duplicate" if newest.node.data == older.node.data else "replaced"
        notes.append(Note(reason, older.node.place, clip(held.name)))
        kept[place] = newest
    return kept, notes


def _is_same(one: Held, other: Held) -> bool:
    if one.container is not None or other.container is not None:
        return False
    return one.base is None or other.base is None or one.base == other.base


def _is_newer(held: Held, other: Held) -> bool:
    mine, yours = _updated(held), _updated(other)
    if mine is not None and yours is not None and mine != yours:
        return mine > yours
    is_later, was_later = held.node.text("status") in _LATER, other.node.text("status") in _LATER
    # Where nothing else tells, a list is taken to go forward in time.
    return is_later or not was_later


def _updated(held: Held) -> int | None:
    text = held.node.part("meta").text("lastUpdated")
    when = read_when(text) if text else None
    return when.moment.seconds.high if when else None
