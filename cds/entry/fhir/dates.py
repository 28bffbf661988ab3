"""FHIR dates, times and periods in the form of our own entry, each with the moment that it means.

Takes the text of a date, dateTime or instant. Gives what an entry says in its place, or None where the text is none.
A year or a month becomes the period that it is. Never assumes a zone for a time of day. Source: FHIR R4, datatypes.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass

from cds.entry.model import Moment
from cds.entry.times import TimeRefused, join_moments, read_moment

_PARTIAL = re.compile(r"(?:19|20|21)\d{2}(?:-(?:0[1-9]|1[0-2]))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class When:
    """When something was: `sent` as our entry writes it (a text, or start and end), and the moment it means."""

    sent: str | dict[str, str]
    moment: Moment

    @property
    def is_point(self) -> bool:
        """Whether it is one second, no longer."""
        return self.moment.seconds.low == self.moment.seconds.high

    @property
    def has_clock(self) -> bool:
        """Whether it states a time of day: two events of one date need not have gone together."""
        return all("T" in text for text in ([self.sent] if isinstance(self.sent, str) else self.sent.values()))


def read_when(text: str, offset: int = 0) -> When | None:
    """A FHIR date, dateTime or instant, or None where the text is none of them.

    Args:
        offset: seconds east of UTC, for a date, which carries no zone.
    """
    if _PARTIAL.fullmatch(text):
        return read_period(*_ends(text), offset)
    try:
        return When(text, read_moment(text, offset))
    except TimeRefused:
        return None


def read_period(start: str, end: str, offset: int = 0) -> When | None:
    """A period with both its ends, or None where an end is no time or the end comes before the start."""
    first, last = read_when(start, offset), read_when(end, offset)
    if first is None or last is None:
        return None
    try:
        return When(
            {"start": _edge(first, "start"), "end": _edge(last, "end")}, join_moments(first.moment, last.moment)
        )
    except TimeRefused:
        return None


def is_date(text: str) -> bool:
    """Whether the text is a date: a year, a month or a day."""
    return "T" not in text and read_when(text) is not None


def is_day(text: str) -> bool:
    """Whether the text is a date down to the day."""
    return is_date(text) and not _PARTIAL.fullmatch(text)


def _edge(when: When, name: str) -> str:
    return when.sent if isinstance(when.sent, str) else when.sent[name]


def _ends(text: str) -> tuple[str, str]:
    year, _, month = text.partition("-")
    first, last = month or "01", month or "12"
    return f"{year}-{first}-01", f"{year}-{last}-{monthrange(int(year), int(last))[1]:02}"
