"""Hold each cut-off against a z computed at 50 digits: `python -m tests.agree.cut_offs` takes every row.

For each index, sex and row (day 0 to 730, length 45 to 110 cm by 0.1) and each z asked: one tick below the cut-off
must lie below that z, the first tick at or above it must not, nor the tick after. The formula here is written anew
from the publication, in mpmath, and reads the tables by importing them; the code under test reads them as text.

Source: WHO Child Growth Standards 2006, methods: z = ((y/M)^L - 1) / (L S); beyond 3 and -3 weights go on in steps of
the distance between the measurements at 2 and 3.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from functools import cache
from importlib import import_module
from time import perf_counter
from typing import Any, NamedTuple

from mpmath import mp, mpf

from cds.entry.units import limit
from cds.judge.cuts import GrowthCuts, Possible
from cds.judge.lms import At, cut_off
from cds.rules.growth import installed_digest

mp.dps = 50

FILES = {"weight-for-age": "wfa", "length-for-age": "lfa", "head-for-age": "hcfa", "weight-for-length": "wfl"}
TICKS = {"weight-for-age": 10**14, "weight-for-length": 10**14, "length-for-age": 10**5, "head-for-age": 10**5}
CLASSES = (-3, -2, 2, 3)
PLAUSIBLE = {
    "weight-for-age": (-6, 5),
    "length-for-age": (-6, 6),
    "head-for-age": (-5, 5),
    "weight-for-length": (-5, 5),
}
DAYS = range(731)
TENTHS = range(450, 1101)
EXACT = mpf(10) ** -40
Lms = tuple[Any, Any, Any]


class Asked(NamedTuple):
    """One cut-off: the index, the sex, the row (day, or length in ticks) and the z."""

    index: str
    sex: str
    row: int
    z: Decimal


def every(days: Iterable[int] = DAYS, tenths: Iterable[int] = TENTHS) -> Iterator[Asked]:
    """Every class and limit of plausibility, at these days and lengths."""
    days, tenths = list(days), list(tenths)
    for index in FILES:
        rows = [tenth * 10_000 for tenth in tenths] if index == "weight-for-length" else days
        for sex in ("female", "male"):
            for z in (*CLASSES, *PLAUSIBLE[index]):
                yield from (Asked(index, sex, row, Decimal(z)) for row in rows)


@cache
def table(index: str) -> Any:
    return import_module(f"pygrowup.tables.by_day.{FILES[index]}").DATA


@cache
def lms(index: str, sex: str, row: int) -> Lms:
    if index != "weight-for-length":
        return _numbers(table(index)[sex][row])
    tenth, over = divmod(row, 10_000)
    lower = _numbers(table(index)[sex][Decimal(tenth) / 10])
    if not over:
        return lower
    upper, part = _numbers(table(index)[sex][Decimal(tenth + 1) / 10]), mpf(over) / 10_000
    return tuple(low + (high - low) * part for low, high in zip(lower, upper, strict=True))


def _numbers(row: dict[str, Decimal]) -> Lms:
    return mpf(str(row["l"])), mpf(str(row["m"])), mpf(str(row["s"]))


def inner_z(row: Lms, y: Any) -> Any:
    power, median, spread = row
    if power == 0:
        return mp.log(y / median) / spread
    return (mp.power(y / median, power) - 1) / (power * spread)


def inner_y(row: Lms, z: int) -> Any:
    power, median, spread = row
    if power == 0:
        return median * mp.exp(spread * z)
    return median * mp.power(1 + power * spread * z, 1 / power)


@cache
def ends(index: str, sex: str, row: int) -> tuple[Any, Any, Any, Any]:
    """Measurements at z -3, -2, 2, 3."""
    at = lms(index, sex, row)
    return inner_y(at, -3), inner_y(at, -2), inner_y(at, 2), inner_y(at, 3)


def z_of(asked: Asked, ticks: int) -> Any:
    """z of a measurement in ticks, at 50 digits."""
    y = mpf(ticks) / TICKS[asked.index]
    if asked.index.startswith("weight"):
        low3, low2, high2, high3 = ends(*asked[:3])
        if y > high3:
            return 3 + (y - high3) / (high3 - high2)
        if y < low3:
            return -3 + (y - low3) / (low2 - low3)
    return inner_z(lms(*asked[:3]), y)


def odd(asked: Asked, digest: str) -> str | None:
    """What is wrong with one cut-off; None where nothing is."""
    at = At(digest, asked.index, asked.sex, asked.row)
    cut = cut_off(at, asked.z)
    first = -(-cut // 2)
    gaps = [z_of(asked, tick) - mpf(str(asked.z)) for tick in (first - 1, first, first + 1)]
    sides = [0 if abs(gap) < EXACT else 1 if gap > 0 else -1 for gap in gaps]
    if sides != [-1, 0 if cut % 2 == 0 else 1, 1]:
        return f"{asked}: sides {sides} around tick {first}"
    told = [_below(at, asked.z, tick) for tick in (first - 1, first, first + 1)]
    return None if told == [side < 0 for side in sides] else f"{asked}: judged below {told}, sides {sides}"


def _below(at: At, z: Decimal, tick: int) -> bool | None:
    cuts = GrowthCuts((Possible(at, 2 * tick),), "kg" if at.of.startswith("weight") else "cm")
    (outcome,) = cuts.outcomes("below", limit(z, "{z}"))
    return outcome.truth


def check(asked: Iterable[Asked], say: Callable[[str], None] = lambda text: None) -> tuple[int, list[str]]:
    """How many cut-offs were held against z, and what was wrong."""
    digest, wrong, count = installed_digest(), [], 0
    for count, each in enumerate(asked, 1):
        found = odd(each, digest)
        if found:
            wrong.append(found)
        if count % 10_000 == 0:
            say(f"{count:,} cut-offs, {len(wrong)} wrong")
    return count, wrong


def main() -> int:
    """Every row, printing counts; 1 where a cut-off was wrong."""
    begun = perf_counter()
    count, wrong = check(every(), lambda text: print(text, flush=True))
    print(f"{count:,} cut-offs against z at 50 digits, {len(wrong)} wrong, {perf_counter() - begun:.0f} s")
    print("\n".join(wrong[:20]))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
