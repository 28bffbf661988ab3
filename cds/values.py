"""Ranks of truth, exact quantities and half-open intervals.

A rank is one of four, in order: not met, unknown, possible, met. `unknown` and `possible` are both said as
cannot-tell; `possible` means that what was charted could meet, and only its context is missing.
Imports nothing of ours, holds no clinical figure, never uses a float.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import IntEnum
from fractions import Fraction


class Rank(IntEnum):
    """Truth of a criterion or rule, ordered so that `all` is the least and `any` the greatest."""

    NOT_MET = 0
    UNKNOWN = 1
    POSSIBLE = 2
    MET = 3


_WORDS = {Rank.NOT_MET: "not-met", Rank.UNKNOWN: "cannot-tell", Rank.POSSIBLE: "cannot-tell", Rank.MET: "met"}

REASONS = (
    "missing-input",
    "unknown-age",
    "unknown-sex",
    "unknown-gestation",
    "unknown-route",
    "unknown-site",
    "unknown-state",
    "unknown-oxygen",
    "unknown-grade",
    "unit-unmapped",
    "code-unmapped",
    "bound-only-value",
    "entered-in-error",
    "outside-rule-age",
    "outside-rule-care",
    "outside-reference-range",
    "stale-input",
    "suspected-entry-error",
    "no-limit-published",
    "service-degraded",
)
_ORDER = {reason: place for place, reason in enumerate(REASONS)}


def ordered(reasons: frozenset[str]) -> tuple[str, ...]:
    """Reasons in the order of the vocabulary."""
    return tuple(sorted(reasons, key=_ORDER.__getitem__))


@dataclass(frozen=True, slots=True)
class Verdict:
    """A rank with the reasons why it could not be told (empty when met or not met).

    A rule that does not apply (outside its age or care) has rank NOT_MET, so that nothing follows from it, and keeps
    the reason: it is said as cannot-tell.
    """

    rank: Rank
    reasons: frozenset[str] = frozenset()

    @property
    def word(self) -> str:
        """met, not-met or cannot-tell."""
        return "cannot-tell" if self.reasons else _WORDS[self.rank]


def position_of(ticks: Fraction) -> int:
    """Ticks as a position: doubled on the grid, the odd number between two ticks off it."""
    whole = ticks.numerator // ticks.denominator
    return 2 * whole + (0 if ticks.denominator == 1 else 1)


@dataclass(frozen=True, slots=True)
class Quantity:
    """An exact number with its unit, as charted and as a position for comparison.

    `position` is the value in ticks of its dimension, doubled: even on the grid, odd between two ticks.
    `text` and `unit` are what was charted; pounds with ounces read "6 lb 11 oz".
    """

    text: str
    unit: str
    dimension: str
    position: int

    def exact_ticks(self) -> Fraction | None:
        """The value in ticks, or None where it lies between two ticks."""
        return None if self.position % 2 else Fraction(self.position, 2)


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit in written units with the position it stands at."""

    value: Decimal
    unit: str
    position: int


@dataclass(frozen=True, slots=True)
class Span:
    """A closed span of whole numbers, low to high; one point when both are equal."""

    low: int
    high: int

    def at_least(self, edge: int) -> bool | None:
        """Whether every point, no point, or only some reach the edge (None)."""
        if self.low >= edge:
            return True
        return False if self.high < edge else None

    def shifted(self, by: Span) -> Span:
        """The span of all sums of a point here and a point of the other."""
        return Span(self.low + by.low, self.high + by.high)
