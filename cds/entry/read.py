"""Read an entry in our JSON: exact, or refused with every fault at once.

Takes parsed JSON (numbers int or Decimal, as `read_json` gives) and the moment of the call. Gives an Entry with its
earlier ones, oldest first. Never drops what was charted, never fills in what was not, never reads the clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from cds.entry.care import read_care
from cds.entry.catalogue import SEXES, STATUSES
from cds.entry.faults import WHOLE, Faults
from cds.entry.fields import MOST_WORDS, Fields, Reading, Shape, open_object
from cds.entry.json_text import read_json
from cds.entry.model import Entry, Event, Infant, Moment, Observation, Remark
from cds.entry.observations import read_observation
from cds.entry.remarks import remark_order, remark_times
from cds.entry.times import find_offset
from cds.errors import Refused
from cds.values import Span

__all__ = ["read_entry", "read_json"]

MOST_AGE_DAYS = 36_525
GESTATION_WEEKS = (16, 46)
MOST_SIBLINGS = 12
WEIGHTS = ("g", "kg", "[lb_av]")

_INFANT = "who: id, birth, sex, gestation, as far as known"
_SEEN = "what was measured or seen; may be empty"
_PARTS = {"infant", "event", "care", "observations", "remarks"}
ENTRY = Shape(frozenset(_PARTS | {"earlier", "siblings"}), {"infant": _INFANT, "observations": _SEEN})
SIBLING = Shape(frozenset(_PARTS | {"earlier"}), ENTRY.required)
EARLIER = Shape(frozenset(_PARTS - {"infant"}), {"event": "when it was measured", "observations": _SEEN})
INFANT = Shape(frozenset({"id", "birth", "age", "sex", "gestation", "birth_weight", "order"}))
AGE = Shape(frozenset({"days"}), {"days": "completed days of age"})
GESTATION = Shape(frozenset({"weeks", "days"}), {"weeks": "completed weeks at birth"})
WEIGHT = Shape(frozenset({"value", "unit"}), {"value": "the weight", "unit": "its unit, g, kg or [lb_av]"})
EVENT = Shape(frozenset({"id", "measured", "charted", "care_unit", "status"}), {"measured": "when it was measured"})
REMARK = Shape(
    frozenset({"reason", "place", "found", "words", "code"}),
    {"reason": "a reason code", "place": "where", "found": "what was found", "words": "the remark in words"},
)


def read_entry(data: object, moment: Moment | None = None) -> Entry:
    """The entry of a parsed JSON document.

    Args:
        data: objects, lists, text, bool, None, int and Decimal.
        moment: when the call is made; without it nothing is remarked as measured in the future.

    Raises:
        Refused: subject `entry`, with every fault (codes EN-003 and from EN-101 on).
    """
    reading = Reading(Faults(), [], _find_offset(data, 0))
    fields = open_object(data, "", ENTRY, reading)
    entry = _read_whole(fields, moment) if fields else Entry()
    if reading.faults.problems:
        raise Refused("entry", reading.faults.problems)
    return replace(entry, remarks=tuple(reading.remarks))


def _read_whole(fields: Fields, moment: Moment | None) -> Entry:
    infant = _read_infant(fields)
    entry = _read_part(fields, infant)
    _check_event(fields)
    earlier_infant = infant if infant.age_days is None else replace(infant, age_at=entry.event.measured)
    earlier = [_read_earlier(one, earlier_infant) for one in _each(fields, "earlier", EARLIER)]
    _note_times(fields, entry, moment)
    places = [f"{one.place}/event/measured" for one in ()]
    return replace(entry, earlier=tuple(sorted(earlier, key=_when)))
