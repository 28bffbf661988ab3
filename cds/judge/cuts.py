"""A z, or centile spaces between two z, held against limits by exact cut-offs on what was charted.

Takes the places in the growth tables that an infant may be at with the position charted there. A limit becomes a z and
that a position: what was charted lies on one side of it. No float and no rounded z decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from cds.entry.units import POUNDS_OUNCES, UNITS
from cds.judge.compare import Outcome, reached
from cds.judge.lms import CONTEXT, At, cut_off, z_of
from cds.rules.model import Comparator
from cds.values import Limit

_MIRRORED: Mapping[Comparator, Comparator] = MappingProxyType(
    {"at-or-above": "at-or-below", "above": "below", "at-or-below": "at-or-above", "below": "above"}
)
_UPPER: frozenset[Comparator] = frozenset({"at-or-above", "above"})
_EITHER = (Outcome(True, "bound-only-value"), Outcome(False, "bound-only-value"))
_OUNCES = 16
_HUNDREDTH = Decimal("0.01")
ZERO = Decimal(0)


class Possible(NamedTuple):
    """One place that the infant may be at, the position charted, and the z from which spaces are counted."""

    at: At
    position: int
    start: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class GrowthCuts:
    """Every possibility. A limit of n stands at z = start + n x `each`: 1 for a z, 0.67 or -0.67 for a space.

    `unit` is that of what was charted. `untold` are possibilities that no table can answer, `doubts` why there is more
    than one. `higher` says that the untold are only younger days of the same curves, which lie lower, so that what is
    beyond an upper line on the days known is beyond it on those too.
    """

    possible: tuple[Possible, ...]
    unit: str
    untold: tuple[Outcome, ...] = ()
    doubts: tuple[str, ...] = ()
    each: Decimal = Decimal(1)
    higher: bool = False

    def outcomes(self, comparator: Comparator, limit: Limit) -> Sequence[Outcome]:
        """What each possible age and sex answers; more of a fall is less of a measurement."""
        asked = _MIRRORED[comparator] if self.each < 0 else comparator
        told = [outcome for possible in self.possible for outcome in self._answers(possible, asked, limit)]
        if self.higher and asked in _UPPER and all(outcome.truth for outcome in told):
            return told
        return [*told, *self.untold]

    def apart(self, limit: Limit) -> int | None:
        """Positions from the cut-off to what was charted, above zero beyond the limit; None where there are several."""
        if len(self.possible) != 1 or self.untold:
            return None
        apart = self.possible[0].position - self._cut(self.possible[0], limit)
        return -apart if self.each < 0 else apart

    def cut_off(self, limit: Limit) -> str | None:
        """The cut-off in charted units, where what is shown is the limit: up to the next step that can be charted."""
        if len(self.possible) != 1 or self.untold or rounded(self.beyond(self.possible[0])) != limit.value:
            return None
        return _charted((self._cut(self.possible[0], limit) + 1) // 2, self.unit)

    def beyond(self, possible: Possible) -> Decimal:
        """z, or the spaces from the start to it."""
        with localcontext(CONTEXT):
            return (z_of(possible.at, Fraction(possible.position, 2)) - possible.start) / self.each

    def _answers(self, possible: Possible, comparator: Comparator, limit: Limit) -> Sequence[Outcome]:
        cut, at = self._cut(possible, limit), possible.position
        if at == cut and at % 2:
            # Both lie between the same two ticks.
            return _EITHER
        truth = reached(comparator, (at, at), cut)
        return [Outcome(truth, doubt) for doubt in self.doubts] or (Outcome(truth),)

    def _cut(self, possible: Possible, limit: Limit) -> int:
        if self.each == 1:
            return cut_off(possible.at, limit.value)
        with localcontext(CONTEXT):
            z = possible.start + self.each * limit.value
        return cut_off(possible.at, z)


def rounded(value: Decimal) -> Decimal:
    """To two decimals, half away from zero; zero has no sign."""
    return value.quantize(_HUNDREDTH, ROUND_HALF_UP) + 0


def _charted(ticks: int, unit: str) -> str:
    """Ticks in a unit, up to the next value of its accepted decimals."""
    known = UNITS["[oz_av]" if unit == POUNDS_OUNCES else unit]
    steps = -(-ticks * 10**known.places // known.factor)
    if unit == POUNDS_OUNCES:
        pounds, over = divmod(steps, _OUNCES * 10**known.places)
        return f"{pounds} lb {_short(over, known.places)} oz"
    return f"{_short(steps, known.places)} {known.words}"


def _short(steps: int, places: int) -> str:
    text = f"{Decimal(steps).scaleb(-places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
