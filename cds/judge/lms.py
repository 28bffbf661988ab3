"""From L, M and S to the measurement at a z, and from a measurement to its z.

Takes a place in the growth tables; gives the exact cut-off of a z as a position, and z for display and for falls and
rises. In Decimal of 34 digits, a tick being about one part in 10^15 of an infant's weight: no float decides.

z = ((y/M)^L - 1) / (L S), and ln(y/M) / S where L is 0. Beyond z 3 and -3 weights continue in steps of the distance
between z 2 and 3 (WHO Child Growth Standards 2006, methods, chapter 7: restricted to weight-based indices).
A cut-off is nearly always irrational: it lies between two ticks, and its position is the odd number between them.
"""

from __future__ import annotations

from decimal import Context, Decimal, DivisionByZero, InvalidOperation, Overflow, localcontext
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from cds.entry.units import UNITS
from cds.rules.growth import LONGEST, SHORTEST, Index, Row, Sex, read_tables
from cds.values import position_of

WEIGHTS = frozenset({"weight-for-age", "weight-for-length"})
CONTEXT = Context(prec=34, traps=[InvalidOperation, DivisionByZero, Overflow])
ROW_TICKS = UNITS["cm"].factor // 10
_TICKS = {"weight-for-age": "kg", "weight-for-length": "kg", "length-for-age": "cm", "head-for-age": "cm"}
_CACHED = 16_384


class At(NamedTuple):
    """A place in the growth tables: their digest, the index (`of`), the sex, and the day or the length in ticks."""

    digest: str
    of: Index
    sex: Sex
    row: int


def covers_length(ticks: int) -> bool:
    """Whether weight-for-length has a row at, or rows around, a length."""
    return SHORTEST * ROW_TICKS <= ticks <= LONGEST * ROW_TICKS


@lru_cache(maxsize=_CACHED)
def row_at(at: At) -> Row:
    """L, M and S; between two rows of length each is interpolated."""
    rows = read_tables(at.digest)[at.of, at.sex]
    if at.of != "weight-for-length":
        return rows[at.row]
    tenths, over = divmod(at.row, ROW_TICKS)
    return _between(rows[tenths], rows[tenths + 1], over) if over else rows[tenths]


def _between(lower: Row, upper: Row, over: int) -> Row:
    with localcontext(CONTEXT):
        part = Decimal(over) / ROW_TICKS
        return Row(*(low + (high - low) * part for low, high in zip(lower, upper, strict=True)))


@lru_cache(maxsize=_CACHED)
def cut_off(at: At, z: Decimal) -> int:
    """The position at which z is reached: even where it is on a tick, else the odd number between two ticks."""
    with localcontext(CONTEXT):
        return position_of(Fraction(_measure(at, z)) * _factor(at.of))


@lru_cache(maxsize=_CACHED)
def z_of(at: At, ticks: Fraction) -> Decimal:
    """The z of a measurement in ticks, to about 30 digits."""
    with localcontext(CONTEXT):
        y = Decimal(ticks.numerator) / (ticks.denominator * _factor(at.of))
        if at.of in WEIGHTS:
            for end in (3, -3):
                apart = (y - _measure(at, Decimal(end))) / abs(_step(at, end))
                if apart * end > 0:
                    return end + apart
        return _inner_z(row_at(at), y)


def _factor(index: Index) -> int:
    return UNITS[_TICKS[index]].factor


def _measure(at: At, z: Decimal) -> Decimal:
    """The measurement at a z, in kg or cm."""
    if at.of not in WEIGHTS or abs(z) <= 3:
        return _inner(at, z)
    end = 3 if z > 0 else -3
    return _inner(at, Decimal(end)) + (abs(z) - 3) * _step(at, end)


def _step(at: At, end: int) -> Decimal:
    """From the measurement at z 2 to that at 3, or from -2 to -3."""
    return _inner(at, Decimal(end)) - _inner(at, Decimal(end - end // 3))


@lru_cache(maxsize=_CACHED)
def _inner(at: At, z: Decimal) -> Decimal:
    power, median, spread = row_at(at)
    if power == 1:
        return median * (1 + spread * z)
    if power == 0:
        return median * (spread * z).exp()
    return median * (1 + power * spread * z) ** (1 / power)


def _inner_z(row: Row, y: Decimal) -> Decimal:
    power, median, spread = row
    if power == 1:
        return (y / median - 1) / spread
    if power == 0:
        return (y / median).ln() / spread
    return ((y / median) ** power - 1) / (power * spread)
