"""One exact value beside an earlier one: what losses, gains and differences are made from.

Takes observations of a view and of the earlier entries before it. Gives exact numbers: one point, or all between two
ends where a value lies between two ticks or a time is only a date. Never rounds a number that decides, never divides
by no time, never takes an entry from before birth or of the same instant for an earlier one.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from cds.entry.ages import is_before_birth
from cds.entry.model import Moment, Observation
from cds.entry.times import DAY as DAY
from cds.entry.times import between
from cds.entry.units import UNITS
from cds.judge.inputs import missing, standing, usable
from cds.judge.view import Value, View, unknown
from cds.values import Quantity, Span, position_of

HOUR = 3600
_DISPLAY = 3


@dataclass(frozen=True, slots=True)
class Stretch:
    """All that a number can be: one point, or from low to high, the ends left out where `is_open`."""

    low: Fraction
    high: Fraction
    is_open: bool = False

    def minus(self, other: Stretch) -> Stretch:
        """Every difference of a number here and one of the other."""
        return Stretch(self.low - other.high, self.high - other.low, self.is_open or other.is_open)

    def plus(self, number: Fraction) -> Stretch:
        """Every number here and so much more."""
        return Stretch(self.low + number, self.high + number, self.is_open)

    def times(self, factor: Fraction) -> Stretch:
        """Every number here times a factor above 0."""
        return Stretch(self.low * factor, self.high * factor, self.is_open)

    def share_of(self, whole: Stretch) -> Stretch:
        """Every ratio of a number here, 0 or more, to one of the whole, above 0."""
        return Stretch(self.low / whole.high, self.high / whole.low, self.is_open or whole.is_open)

    def over(self, seconds: Span) -> Stretch:
        """Every rate in one second, over at least the low and at most the high of the seconds, above 0."""
        lows, highs = ([end / each for each in (seconds.low, seconds.high)] for end in (self.low, self.high))
        return Stretch(min(lows), max(highs), self.is_open)

    def positions(self) -> tuple[int, int]:
        """The lowest and highest position of these numbers, which are ticks."""
        low, high = position_of(self.low), position_of(self.high)
        if self.is_open and self.low < self.high:
            return low + (low % 2 == 0), high - (high % 2 == 0)
        return low, high


@dataclass(frozen=True, slots=True)
class Before:
    """An earlier value and the seconds from it to this one."""

    observation: Observation
    apart: Span


def stretch(charted: Quantity) -> Stretch:
    """A charted quantity in ticks: one, or all between the two that it lies between."""
    at, over = divmod(charted.position, 2)
    return Stretch(Fraction(at), Fraction(at + over), bool(over))


def amount(charted: Quantity, unit: str) -> Stretch:
    """A charted quantity in a unit of its dimension without offset (g, cm)."""
    return stretch(charted).times(Fraction(1, UNITS[unit].factor))


def latest(view: View, code: str) -> Observation | None:
    """The last usable observation of a code in the entry of this view."""
    return next(reversed(usable(view, code)), None)


def quantity_of(observation: Observation) -> Quantity:
    """The quantity of a usable observation."""
    assert observation.quantity is not None
    return observation.quantity


def before(view: View, here: Observation, least: int, most: int) -> Before | None:
    """The latest earlier observation of the code of `here`, at least and at most so many seconds before it.

    It counts only where the least time that can lie between is at least `least`, which is above 0.
    """
    now = _when(view, here)
    for past in view.past(most) if now else ():
        then = latest(past, here.code)
        measured = _when(past, then)
        if now is None or then is None or measured is None or is_before_birth(past.entry.infant, measured):
            continue
        apart = between(measured, now)
        if least <= apart.low <= most:
            return Before(then, apart)
    return None


def _when(view: View, observation: Observation | None) -> Moment | None:
    own = observation.measured if observation else None
    return own or view.entry.event.measured


def not_exact(view: View, code: str) -> Value:
    """No value, as there is no exact one of this code: only a bound was sent, or nothing was charted."""
    if any(each.quantity for each in standing(view, code)):
        return Value(verdict=unknown("bound-only-value"), needs=(code,))
    return missing(code)


def times_needed(apart: Span) -> tuple[str, ...]:
    """What would make a rate exact: the times, where they are only dates."""
    return () if apart.low == apart.high else ("time of measuring",)


def said(number: Fraction) -> str:
    """A number as short text: one decimal, halves away from 0; more where it would else read as a whole number."""
    for places in range(1, _DISPLAY + 1):
        short = _rounded(number, places)
        if short.denominator != 1 or short == number:
            return _plain(short)
    side = "over" if number > short else "under"
    return f"just {side} {_plain(short)}"


def said_span(numbers: Stretch) -> str:
    """Both ends of numbers as text, one where they read alike."""
    low, high = said(numbers.low), said(numbers.high)
    return low if low == high else f"{low} to {high}"


def lasting(seconds: Span) -> str:
    """A time as text: "7 d", "26 h"; both ends where it is a span."""
    unit, words = (HOUR, "h") if seconds.high < 2 * DAY else (DAY, "d")
    return f"{said_span(Stretch(Fraction(seconds.low, unit), Fraction(seconds.high, unit)))} {words}"


def _rounded(number: Fraction, places: int) -> Fraction:
    steps = abs(number) * 10**places + Fraction(1, 2)
    size = Fraction(steps.numerator // steps.denominator, 10**places)
    return size if number >= 0 else -size


def _plain(number: Fraction) -> str:
    text = format(Decimal(int(number * 10**_DISPLAY)).scaleb(-_DISPLAY), "f")
    return text.rstrip("0").rstrip(".")
