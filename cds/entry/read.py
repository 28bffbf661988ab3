"""Read an entry in our JSON: exact, or refused with every fault at once.

Takes parsed JSON (numbers int or Decimal, as `read_json` gives) and the moment of the call. Gives an Entry with its
earlier ones, oldest first. Never drops what was charted, never fills in what was not, never reads the clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from cds.entry.care import read_care
from cds.entry.catalogue import ABSENT_REASONS, STATUSES
from cds.entry.faults import Faults, Intake
from cds.entry.fields import MOST_WORDS, Fields, Shape, open_object
from cds.entry.infant import read_infant
from cds.entry.json_text import read_json
from cds.entry.model import Entry, Event, Infant, Moment, Observation, Remark
from cds.entry.observations import read_observation
from cds.entry.remarks import remark_order, remark_owner, remark_times
from cds.entry.times import find_offset
from cds.errors import Refused

__all__ = ["read_entry", "read_json"]

_SEEN = "what was measured or seen; the list may be empty"
_PARTS = frozenset({"event", "care", "observations", "remarks"})
_NEEDED = {"infant": "who it is, as far as known", "observations": _SEEN}
ENTRY = Shape(_PARTS | {"infant", "earlier", "siblings"}, _NEEDED)
SIBLING = Shape(_PARTS | {"infant", "earlier"}, _NEEDED)
EARLIER = Shape(_PARTS | {"infant"}, {"event": "when it was measured", "observations": _SEEN})
WHO = Shape(frozenset({"id"}), {"id": "whose entry it is"})
"""All that an earlier entry may say of its infant: it is this one, unless its id is another."""
EVENT = Shape(frozenset({"id", "measured", "absent", "charted", "care_unit", "status"}))
"""`measured`, or where no time is known `absent` with a data-absent-reason, so that silence is never a missing time."""
REMARK = Shape(
    frozenset({"reason", "place", "found", "words", "code"}),
    {"reason": "a reason code", "place": "where it was", "found": "what was found", "words": "the remark in words"},
)


def read_entry(data: object, moment: Moment | None = None) -> Entry:
    """The entry of a parsed JSON document.

    Args:
        data: objects, lists, text, bool, None, int and Decimal.
        moment: when the call is made; without it nothing is remarked as measured in the future.

    Raises:
        Refused: subject `entry`, with every fault (EN-007 and codes from EN-101 on).
    """
    intake = Intake(Faults(), [])
    fields = open_object(data, "", ENTRY, intake)
    entry = _read_whole(fields, moment) if fields else Entry()
    siblings = _read_siblings(fields) if fields else ()
    if intake.faults.problems:
        raise Refused("entry", intake.faults.problems)
    return replace(entry, remarks=tuple(intake.remarks), siblings=siblings)


def _read_whole(top: Fields, moment: Moment | None) -> Entry:
    fields = _dated(top, 0)
    infant = read_infant(fields)
    entry = _read_part(fields, infant)
    if "event" not in fields.data and (infant.birth or fields.data.get("earlier")):
        fields.intake.faults.missing(
            fields.place, "event", "when it was measured, since birth or earlier ones are sent"
        )
    fields.intake.remarks.extend(remark_times(entry, f"{fields.place}/event/measured", moment))
    return replace(entry, earlier=_read_earlier(fields, entry, moment))


def _read_part(fields: Fields, infant: Infant) -> Entry:
    event, care = _event(fields), read_care(fields)
    fields.intake.remarks.extend(_sent_remarks(fields))
    return Entry(infant, event, care, _observations(fields))


def _read_earlier(fields: Fields, entry: Entry, moment: Moment | None) -> tuple[Entry, ...]:
    infant = entry.infant
    if infant.age_days is not None:
        infant = replace(infant, age_at=entry.event.measured)
    found = []
    for item in _once(_each(fields, "earlier", EARLIER)):
        dated = _dated(item, fields.intake.date_offset)
        earlier, place = _read_part(dated, _whose(item, infant)), f"{item.place}/event/measured"
        fields.intake.remarks.extend(remark_times(earlier, place, moment))
        fields.intake.remarks.extend(remark_order(earlier, entry, place))
        fields.intake.remarks.extend(remark_owner(earlier, entry, item.place))
        found.append(earlier)
    return tuple(sorted(found, key=_when))


def _once(sent: list[Fields]) -> Iterator[Fields]:
    """What was sent, each once: the same entry sent again is no second count."""
    kept: list[Fields] = []
    for item in sent:
        if any(item.data == other.data for other in kept):
            words = "sent as earlier a second time: looked at once"
            item.intake.remarks.append(Remark("earlier-duplicated", item.place, "the same entry", words))
        else:
            kept.append(item)
    yield from kept


def _whose(item: Fields, infant: Infant) -> Infant:
    """The infant of an earlier entry: this one, or one of whom only the id is known."""
    who = item.inside("infant", WHO)
    name = who.text("id") if who else None
    return infant if name is None or infant.id in (None, name) else Infant(id=name)


def _read_siblings(fields: Fields) -> tuple[Entry, ...]:
    # Their remarks are not this infant's.
    apart = replace(fields, intake=Intake(fields.intake.faults, []))
    return tuple([_read_whole(sibling, None) for sibling in _each(apart, "siblings", SIBLING)])


def _event(entry: Fields) -> Event:
    fields = entry.inside("event", EVENT)
    if fields is None:
        return Event()
    _check_time(fields)
    return Event(
        id=fields.text("id"),
        measured=fields.moment("measured", can_last=True),
        charted=fields.moment("charted"),
        care_unit=fields.text("care_unit"),
        status=fields.word("status", STATUSES) or "final",
    )


def _check_time(event: Fields) -> None:
    faults = event.intake.faults
    is_absent = event.word("absent", ABSENT_REASONS) is not None
    if "measured" not in event.data and "absent" not in event.data:
        faults.missing(event.place, "measured", "when it was measured")
    if "measured" in event.data and is_absent:
        said = ("`measured` and `absent`", "one of `measured`, `absent`", "keep `measured` where the time is known")
        faults.add("EN-106", f"{event.place}/absent", said)


def _observations(fields: Fields) -> tuple[Observation, ...]:
    value, place = fields.data.get("observations"), f"{fields.place}/observations"
    if not isinstance(value, list):
        if value is not None:
            fields.intake.faults.kind(place, value, "a list of observations")
        return ()
    read = [read_observation(item, f"{place}/{number}", fields.intake) for number, item in enumerate(value)]
    return tuple(observation for observation in read if observation is not None)


def _sent_remarks(fields: Fields) -> Iterator[Remark]:
    for item in _each(fields, "remarks", REMARK):
        reason, place, code = item.text("reason"), item.text("place"), item.text("code")
        found, words = item.text("found", MOST_WORDS), item.text("words", MOST_WORDS)
        if reason and place and found and words:
            yield Remark(reason, place, found, words, code)


def _each(fields: Fields, key: str, shape: Shape) -> list[Fields]:
    value, place = fields.data.get(key), f"{fields.place}/{key}"
    if value is None:
        return []
    if not isinstance(value, list):
        fields.intake.faults.kind(place, value, "a list of objects")
        return []
    opened = (open_object(item, f"{place}/{number}", shape, fields.intake) for number, item in enumerate(value))
    return [item for item in opened if item is not None]


def _dated(fields: Fields, otherwise: int) -> Fields:
    """The same fields, their bare dates meant in the offset that the entry's own times state."""
    offset = next((found for text in _times(fields.data) if (found := find_offset(text)) is not None), otherwise)
    return replace(fields, intake=replace(fields.intake, date_offset=offset))


def _times(data: Mapping[str, object]) -> Iterator[object]:
    event, infant = data.get("event"), data.get("infant")
    if isinstance(event, dict):
        measured = event.get("measured")
        yield from measured.values() if isinstance(measured, dict) else (measured,)
        yield event.get("charted")
    if isinstance(infant, dict):
        yield infant.get("birth")


def _when(entry: Entry) -> tuple[int, int]:
    measured = entry.event.measured
    return (measured.seconds.low, measured.seconds.high) if measured else (0, 0)
