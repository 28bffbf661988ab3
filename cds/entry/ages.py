"""Age of an infant when something was measured: chronological, corrected for early birth, postmenstrual.

Takes an infant and the moment of measuring, each exact or a span. Gives ages as spans, or the reasons why there
is none. Never reads the clock, never borrows another time, never rounds an age to decide.

Minutes, hours, days and weeks are elapsed time in UTC. Months are calendar months from the birth's local date in the
birth's own offset. Corrected age: born before 37 weeks, the days short of 40 weeks are taken off (common practice);
a span of gestation on both sides of 37 weeks gives every age from corrected to chronological.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from cds.entry.age_words import Counted, say
from cds.entry.calendar import add_months, count_months, month_days
from cds.entry.model import Entry, Infant, Moment
from cds.entry.times import DAY, local_days
from cds.values import Span, ordered

Kind = Literal["chronological", "corrected", "postmenstrual"]
KINDS: tuple[Kind, ...] = ("chronological", "corrected", "postmenstrual")
SECONDS: Mapping[str, int] = MappingProxyType({"min": 60, "h": 3600, "d": DAY, "wk": 7 * DAY})

TERM = 280
EARLY = 37 * 7
NO_LAG = Span(0, 0)
MOST_CORRECTED = Span(TERM - 16 * 7, TERM - 16 * 7)
"""Days that are taken off for the earliest gestation that is read."""


@dataclass(frozen=True, slots=True)
class Age:
    """One kind of age.

    `elapsed` in seconds from its beginning. `today` are the local days on which it is judged and `origin` the days
    from which months count, as ordinals; where `origin` is None the birth date is not known and `today` counts
    completed days of age.
    """

    kind: Kind
    elapsed: Span
    today: Span
    origin: Span | None

    def at_least(self, amount: int, unit: str) -> bool | None:
        """Whether the age has reached an amount of min, h, d, wk or mo: yes, no, or None where it may have."""
        if amount == 0 and self.kind == "chronological":
            return True
        if unit != "mo":
            return self.elapsed.at_least(amount * SECONDS[unit])
        return self._reaches_months(amount)

    def _reaches_months(self, months: int) -> bool | None:
        if self.origin is None:
            edge = month_days(months)
        else:
            edge = Span(add_months(self.origin.low, months), add_months(self.origin.high, months))
        if self.today.low >= edge.high:
            return True
        return False if self.today.high < edge.low else None

    def words(self) -> str:
        """The age as said at the bedside: "18 d 5 h", "7 weeks", "4 months 12 d"; both ends where it is a span."""
        if self.kind == "corrected" and self.elapsed.high < 0:
            days = Span(-(self.elapsed.high // DAY), -(self.elapsed.low // DAY))
            return f"{say(Counted(Span(days.low * DAY, days.high * DAY)))} before 40 weeks"
        return say(Counted(self.elapsed, self._months()), weeks=self.kind == "postmenstrual")

    def data(self) -> dict[str, object]:
        """The age for a JSON answer: its words, and completed days as from and to."""
        days = {"from": self.elapsed.low // DAY, "to": self.elapsed.high // DAY}
        return {"words": self.words(), "days": days}

    def _months(self) -> tuple[int, int] | None:
        is_known = self.origin is not None and self.origin.low == self.origin.high
        if not is_known or self.origin is None or self.today.low != self.today.high:
            return None
        return count_months(self.origin.low, self.today.low) if self.today.low >= self.origin.low else None

    def later(self, kind: Kind, lag: Span) -> Age:
        """The age counted from a beginning that many days later (earlier where negative)."""
        back = Span(-lag.high, -lag.low)
        elapsed = self.elapsed.shifted(Span(back.low * DAY, back.high * DAY))
        if self.origin is None:
            return Age(kind, elapsed, self.today.shifted(back), None)
        return Age(kind, elapsed, self.today, self.origin.shifted(lag))


@dataclass(frozen=True, slots=True)
class Ages:
    """The three ages, each None where it cannot be told, and then why."""

    chronological: Age | None
    corrected: Age | None
    postmenstrual: Age | None
    reasons: Mapping[Kind, frozenset[str]]

    def of(self, kind: str) -> Age | None:
        """The age of that kind."""
        age: Age | None = getattr(self, kind)
        return age

    def words(self, kind: Kind) -> str:
        """That age in words, "unknown" where it cannot be told."""
        age = self.of(kind)
        return age.words() if age else "unknown"

    def data(self) -> dict[str, object]:
        """All three for a JSON answer; the reasons as `missing` where there is none."""
        return {kind: age.data() if (age := self.of(kind)) else {"missing": list(self.missing(kind))} for kind in KINDS}

    def missing(self, kind: Kind) -> tuple[str, ...]:
        """Reasons why that age cannot be told, in the order of the vocabulary; empty where it can."""
        return ordered(self.reasons[kind])


def ages(entry: Entry) -> Ages:
    """The ages at which an entry is judged, those of its event."""
    return ages_at(entry.infant, entry.event.measured)


def ages_at(infant: Infant, measured: Moment | None) -> Ages:
    """The ages of an infant at a moment of measuring."""
    age = _since_birth(infant, measured)
    gestation = infant.gestation
    of_age = frozenset(() if age else ("unknown-age",))
    of_both = of_age if gestation else of_age | {"unknown-gestation"}
    reasons: dict[Kind, frozenset[str]] = {"chronological": of_age, "corrected": of_both, "postmenstrual": of_both}
    if age is None or gestation is None:
        return Ages(age, None, None, reasons)
    corrected = age.later("corrected", correction(gestation))
    return Ages(age, corrected, age.later("postmenstrual", Span(-gestation.high, -gestation.low)), reasons)


def correction(gestation: Span) -> Span:
    """Days that are taken off the age for a gestation at birth in days; a span where the gestation is one."""
    if gestation.low >= EARLY:
        return NO_LAG
    least = TERM - gestation.high if gestation.high < EARLY else 0
    return Span(least, TERM - gestation.low)


def is_before_birth(infant: Infant, measured: Moment | None) -> bool:
    """Whether all of the moment lies before all of the birth, known or counted back from a stated age."""
    if measured is None:
        return False
    if infant.birth is None:
        return infant.age_days is not None and _stated(infant, measured) is None
    return measured.seconds.high < infant.birth.seconds.low


def _since_birth(infant: Infant, measured: Moment | None) -> Age | None:
    if infant.birth is None:
        return _stated(infant, measured)
    if measured is None or is_before_birth(infant, measured):
        return None
    birth, now = infant.birth.seconds, measured.seconds
    elapsed = Span(max(now.low - birth.high, 0), now.high - birth.low)
    origin = local_days(infant.birth, None)
    return Age("chronological", elapsed, _today(infant.birth, measured, origin), origin)


def _today(birth: Moment, measured: Moment, origin: Span) -> Span:
    # A birth in UTC of unknown offset is a point without offset; a bare date takes the measuring's own local dates.
    is_point = birth.seconds.low == birth.seconds.high
    today = local_days(measured, 0 if is_point and birth.offset is None else birth.offset)
    return Span(max(today.low, origin.low), max(today.high, origin.low))


def _stated(infant: Infant, measured: Moment | None) -> Age | None:
    if infant.age_days is None:
        return None
    elapsed = Span(infant.age_days * DAY, infant.age_days * DAY + DAY - 1)
    if infant.age_at is not None:
        if measured is None:
            return None
        stated = infant.age_at.seconds
        elapsed = elapsed.shifted(measured.seconds).shifted(Span(-stated.high, -stated.low))
    if elapsed.high < 0:
        return None
    elapsed = Span(max(elapsed.low, 0), elapsed.high)
    return Age("chronological", elapsed, Span(elapsed.low // DAY, elapsed.high // DAY), None)
