"""Under which sexes and days an infant can be held against the growth reference.

Takes a view; gives a frame, or the verdict why there is none. Days are whole: the date of measuring less the date of
birth, in the birth's offset, as WHO's own programs take them. Born before 37 weeks, the days short of 40 weeks are
taken off up to 24 months after birth (born before 32 weeks up to a setting); a day before 40 weeks is outside the
reference and never day 0.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from cds.entry.ages import EARLY, MOST_CORRECTED, NO_LAG, Age, correction
from cds.judge.compare import Outcome
from cds.judge.lms import At
from cds.judge.view import View, unknown
from cds.rules.growth import LAST_DAY, Index, Sex
from cds.values import Span, Verdict

MOST_DAYS = 31
SEXES: tuple[Sex, ...] = ("female", "male")
CORRECTED_MONTHS, VERY_EARLY = 24, 32 * 7
_GESTATION = "unknown-gestation"
_GESTATION_OPEN = Outcome(None, _GESTATION)
_OUTSIDE = Outcome(None, "outside-reference-range")
OUTSIDE = unknown("outside-reference-range")


@dataclass(frozen=True, slots=True)
class Frame:
    """What is known of an infant for the growth reference.

    `born` is the span of days since birth, `lags` the days that are taken off, `untold` what no table can answer, and
    `doubts` why there is more than one possibility.
    """

    digest: str
    sexes: tuple[Sex, ...]
    born: Span
    lags: Span
    untold: tuple[Outcome, ...]
    doubts: tuple[str, ...]

    def days(self) -> list[int]:
        """The days of the tables that the infant may be at."""
        span = self.born.shifted(Span(-self.lags.high, -self.lags.low))
        return [day for day in range(span.low, span.high + 1) if 0 <= day <= LAST_DAY]

    def places(self, index: Index) -> list[At]:
        """Where in the tables of an index by age the infant may be."""
        return [At(self.digest, index, sex, day) for sex, day in product(self.sexes, self.days())]

    def may_be_younger(self) -> bool:
        """Whether only the gestation is open, and born however early the infant would have a place in the tables."""
        return self.untold == (_GESTATION_OPEN,) and self.born.low >= MOST_CORRECTED.high

    def pairs(self, then: Span) -> Iterator[tuple[int, int]]:
        """Days of the tables now and at an earlier time, corrected alike."""
        for lag in _each(self.lags):
            for now in _each(self.born):
                yield from ((now - lag, before - lag) for before in _each(then))


def _each(span: Span) -> range:
    return range(span.low, span.high + 1)


def frame(view: View) -> Frame | Verdict:
    """The frame of an entry, or why it cannot be held against the reference."""
    age = view.ages.chronological
    if age is None:
        return unknown("unknown-age")
    gestation, born, lags = view.entry.infant.gestation, days_since_birth(age), lags_of(view)
    days = Span(born.low - lags.high, born.high - lags.low)
    if days.high - days.low >= MOST_DAYS:
        return unknown("unknown-age")
    if days.high < 0 or days.low > LAST_DAY:
        return OUTSIDE
    untold = () if gestation else (_GESTATION_OPEN,)
    if days.low < 0 or days.high > LAST_DAY:
        untold = (*untold, _OUTSIDE)
    sexes = sexes_of(view)
    doubts = (*_many(len(sexes) > 1, "unknown-sex"), *_doubts_of_days(born, lags), *_many(not gestation, _GESTATION))
    return Frame(digest_of(view), sexes, born, lags, untold, doubts)


def _doubts_of_days(born: Span, lags: Span) -> tuple[str, ...]:
    return (*_many(born.low != born.high, "unknown-age"), *_many(lags.low != lags.high, _GESTATION))


def _many(is_so: bool, reason: str) -> tuple[str, ...]:
    return (reason,) if is_so else ()


def digest_of(view: View) -> str:
    """The digest of the growth tables; a rule set that asks for a z names it."""
    assert view.rules.growth is not None
    return view.rules.growth.digest


def sexes_of(view: View) -> tuple[Sex, ...]:
    """The sex as charted, or both."""
    return tuple(sex for sex in SEXES if sex == view.entry.infant.sex) or SEXES


def days_since_birth(age: Age) -> Span:
    """Whole days from the date of birth to that of measuring."""
    if age.origin is None:
        return age.today
    return Span(age.today.low - age.origin.high, age.today.high - age.origin.low)


def lags_of(view: View) -> Span:
    """Days taken off for early birth, until the age at which that ends."""
    age, gestation = view.ages.chronological, view.entry.infant.gestation
    if gestation is None or age is None or age.at_least(_corrected_months(gestation, view), "mo"):
        return NO_LAG
    return correction(gestation)


def _corrected_months(gestation: Span, view: View) -> int:
    if gestation.high >= VERY_EARLY:
        return CORRECTED_MONTHS
    return int(view.rules.settings["corrected_until_below_32_weeks"].partition(" ")[0])


def is_term(view: View) -> bool | None:
    """Whether the infant was born at 37 weeks or later; None where that is not known."""
    gestation = view.entry.infant.gestation
    return gestation.at_least(EARLY) if gestation else None
