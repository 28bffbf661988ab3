"""Read dates, date-times and periods as spans of whole seconds.

Takes text as sent and the offset in which a bare date is meant. Gives a Moment or the reason why there is none.
Never guesses a missing zone of a time, never accepts a day or an hour that does not exist, never reads a clock.

Accepted: `2026-03-02`, `2026-03-02T04:20+01:00`, `2026-03-02T04:20:00.000Z` (RFC 3339, seconds optional, upper case).
`-00:00` is UTC with the local offset unknown (RFC 3339 section 4.3). A fraction of a second is cut off.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Literal

from cds.entry.model import Moment
from cds.values import Span

DAY = 86_400
EPOCH = date(1970, 1, 1).toordinal()

DATE_PATTERN = r"(?:19|20|21)[0-9]{2}-[0-9]{2}-[0-9]{2}"
TIME_PATTERN = r"[0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]{1,9})?)?"
ZONE_PATTERN = r"Z|[+-][0-9]{2}:[0-9]{2}"
_FORM = re.compile(
    rf"({DATE_PATTERN})(?:T([0-9]{{2}}):([0-9]{{2}})(?::([0-9]{{2}})(?:\.[0-9]{{1,9}})?)?({ZONE_PATTERN}))?"
)
_NO_ZONE = re.compile(rf"{DATE_PATTERN}T{TIME_PATTERN}")
_FURTHEST = 14 * 60

Why = Literal["form", "day", "hour", "zone", "offset", "order"]


class TimeRefused(ValueError):
    """A text that is no time; `why` names the fault."""

    def __init__(self, why: Why) -> None:
        self.why = why
        super().__init__(why)


def between(first: Moment, last: Moment) -> Span:
    """The seconds from one moment to another, at least and at most; below 0 where the other came first."""
    return Span(last.seconds.low - first.seconds.high, last.seconds.high - first.seconds.low)


def read_moment(text: str, date_offset: int = 0) -> Moment:
    """A date or a date-time with zone as a moment.

    Args:
        text: as sent.
        date_offset: seconds east of UTC in which the day of a bare date begins and ends.

    Raises:
        TimeRefused: not such a text, a day or time that does not exist, no zone, an offset beyond 14 h.
    """
    match = _FORM.fullmatch(text)
    if match is None:
        raise TimeRefused("zone" if _NO_ZONE.fullmatch(text) else "form")
    day, hour, minute, second, zone = match.groups()
    calendar = _read_day(day)
    midnight = (calendar.toordinal() - EPOCH) * DAY
    if hour is None:
        start = midnight - date_offset
        return Moment(text, Span(start, start + DAY - 1), (calendar, calendar), None)
    offset = _read_offset(zone)
    point = midnight + _read_clock(int(hour), int(minute), int(second or 0)) - offset
    return Moment(text, Span(point, point), (calendar, calendar), None if zone == "-00:00" else offset)


def join_moments(start: Moment, end: Moment) -> Moment:
    """The moment that lasts from the beginning of one to the end of the other.

    Raises:
        TimeRefused: the end is before the start.
    """
    if end.seconds.high < start.seconds.low:
        raise TimeRefused("order")
    span = Span(start.seconds.low, end.seconds.high)
    dates = (min(start.dates[0], end.dates[0]), max(start.dates[1], end.dates[1]))
    return Moment(f"{start.text}/{end.text}", span, dates, start.offset)


def find_offset(text: object) -> int | None:
    """The offset in seconds that a date-time text states; None for any other text and for `-00:00`."""
    match = _FORM.fullmatch(text) if isinstance(text, str) else None
    zone = match and match.group(5)
    if not zone or zone == "-00:00":
        return None
    try:
        return _read_offset(zone)
    except TimeRefused:
        return None


def from_datetime(moment: datetime) -> Moment:
    """A moment from a datetime with zone, for the clock that a caller passes in.

    Raises:
        TimeRefused: the datetime has no zone.
    """
    offset = moment.utcoffset()
    if offset is None:
        raise TimeRefused("zone")
    seconds = (moment.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(seconds=1)
    local = moment.date()
    return Moment(moment.isoformat(), Span(seconds, seconds), (local, local), int(offset.total_seconds()))


def local_days(moment: Moment, offset: int | None) -> Span:
    """First and last local calendar day, as ordinals, in an offset; in the moment's own where None is given."""
    if offset is None:
        return Span(moment.dates[0].toordinal(), moment.dates[1].toordinal())
    low, high = moment.seconds.low + offset, moment.seconds.high + offset
    return Span(low // DAY + EPOCH, high // DAY + EPOCH)


def _read_day(day: str) -> date:
    try:
        return date(int(day[:4]), int(day[5:7]), int(day[8:10]))
    except ValueError:
        raise TimeRefused("day") from None


def _read_clock(hour: int, minute: int, second: int) -> int:
    if hour > 23 or minute > 59 or second > 59:
        raise TimeRefused("hour")
    return hour * 3600 + minute * 60 + second


def _read_offset(zone: str) -> int:
    if zone == "Z":
        return 0
    hours, minutes = int(zone[1:3]), int(zone[4:6])
    if minutes > 59 or hours * 60 + minutes > _FURTHEST:
        raise TimeRefused("offset")
    seconds = (hours * 60 + minutes) * 60
    return -seconds if zone[0] == "-" else seconds
