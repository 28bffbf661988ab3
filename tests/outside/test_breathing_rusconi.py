"""Breathing rates by state, computed again from the published equations.

Rusconi F and others, Pediatrics 1994;94:350-5: 618 infants and children from 15 days to 3 years, counted for one
minute by stethoscope. Centiles as functions of age in months and the normal deviate z: coefficients, the z of the
5th, 50th, 95th and 99th (-1.65, 0, 1.645, 2.326) and the equation of the 95th are seen secondary.
The limits are our arithmetic (derived): the 1st and 99th centile, z = -2.326 and 2.326. Twelve months awake the 5th
is 26.51: 27 where it is rounded, 26 where it is cut off.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from cds.rules.model import RuleSet
from tests.outside.printed import DERIVED, SECONDARY, Printed, Row, held

Centile = Callable[[float, ArrayLike], NDArray[np.float64]]
Z_99 = 2.326
STARTS = (0.5, *range(1, 24))
ENDS = tuple(range(1, 25))
BANDS = ("15 d to 1 mo", *(f"{month} mo to {month + 1} mo" for month in range(1, 24)))


def awake(z: float, months: ArrayLike) -> NDArray[np.float64]:
    age = np.asarray(months, dtype=np.float64)
    return np.power(10, (1.6801 + 0.08592 * z) - (0.01189 + 0.0004301 * z) * age + 0.00013401 * age**2)


def asleep(z: float, months: ArrayLike) -> NDArray[np.float64]:
    age = np.asarray(months, dtype=np.float64)
    return np.power(10, (1.5773 + 0.09196 * z) - (0.01314 + 0.0005155 * z) * age + 0.00017646 * age**2)


def above(rates: NDArray[np.float64], first: Row) -> Printed:
    """Above the whole number under the centile: the first whole rate that exceeds it."""
    return Printed("above", "/min", {"0 d to 15 d": first, **_rows(np.floor(rates))})


def below(rates: NDArray[np.float64], first: Row) -> Printed:
    """Below the whole number over the centile: the first whole rate that falls short of it."""
    return Printed("below", "/min", {"0 d to 15 d": first, **_rows(np.ceil(rates))})


def _rows(rates: NDArray[np.float64]) -> dict[str, Row]:
    return {band: (str(int(rate)), "rusconi-1994", DERIVED) for band, rate in zip(BANDS, rates, strict=True)}


# Rates fall with age: within a month the 99th centile is highest at its beginning (at 15 days in the first) and the
# 1st lowest at its end, so that no infant of the month is called outside who is not.
PRINTED = {
    "respiratory-rate-asleep-above": above(asleep(Z_99, STARTS), ("66", "fleming-2011", SECONDARY)),
    "respiratory-rate-asleep-below": below(asleep(-Z_99, ENDS), ("25", "fleming-2011", SECONDARY)),
    "respiratory-rate-awake-above": above(awake(Z_99, STARTS), None),
    "respiratory-rate-awake-below": below(awake(-Z_99, ENDS), None),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_each_month_holds_the_centile_of_its_widest_age(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


@pytest.mark.parametrize("centile", [awake, asleep])
def test_the_centiles_fall_all_the_way_to_24_months(centile: Centile) -> None:
    daily = np.arange(15, 731) / 30.4375
    assert all(np.diff(centile(Z_99, daily)) < 0)
    assert all(np.diff(centile(-Z_99, daily)) < 0)


@pytest.mark.parametrize(
    ("centile", "start", "slope", "bend"),
    [(awake, 1.82144, 0.0125995, 0.00013401), (asleep, 1.72858, 0.0139928, 0.00017646)],
)
def test_the_95th_is_the_one_printed_in_its_own_equation(
    centile: Centile, start: float, slope: float, bend: float
) -> None:
    months = np.arange(1.0, 25.0)
    printed = np.power(10, start - slope * months + bend * months**2)
    assert np.allclose(centile(1.645, months), printed, atol=0.01)


# Mean rates that the paper prints for its age classes (from memory), at the middle of each class in months.
CLASSES = (1.25, 4, 9, 15, 21)
MEANS = {awake: (48.0, 44.1, 39.1, 34.5, 32.0), asleep: (39.8, 33.4, 29.6, 27.2, 25.3)}


@pytest.mark.parametrize("centile", MEANS)
def test_the_medians_lie_near_the_means_that_the_paper_prints(centile: Centile) -> None:
    assert np.all(np.abs(centile(0, CLASSES) - MEANS[centile]) < 3.5)


MONTHS = (1, 2, 3, 6, 9, 12, 18, 24)
ROUNDED = {
    awake: ((34, 33, 32, 30, 28, 27, 24, 22), (47, 45, 44, 41, 38, 36, 32, 30), (64, 63, 61, 56, 52, 49, 43, 39)),
    asleep: ((26, 25, 25, 23, 21, 20, 18, 17), (37, 36, 35, 32, 30, 28, 25, 23), (52, 50, 49, 45, 41, 39, 34, 31)),
}


@pytest.mark.parametrize("centile", ROUNDED)
def test_the_5th_50th_and_95th_in_whole_breaths(centile: Centile) -> None:
    computed = [tuple(np.rint(centile(z, MONTHS)).astype(int)) for z in (-1.65, 0, 1.645)]
    assert computed == list(ROUNDED[centile])


def test_every_limit_lies_outside_the_5th_to_95th_that_the_paper_prints(rules: RuleSet) -> None:
    for threshold, centile, z in (("asleep-above", asleep, 1.645), ("awake-above", awake, 1.645)):
        assert all(np.array(_limits(rules, f"respiratory-rate-{threshold}")) > centile(z, STARTS))
    for threshold, centile, z in (("asleep-below", asleep, -1.65), ("awake-below", awake, -1.65)):
        assert all(np.array(_limits(rules, f"respiratory-rate-{threshold}")) < centile(z, ENDS))


def _limits(rules: RuleSet, threshold: str) -> list[float]:
    return [float(each.limit.value) for each in rules.thresholds[threshold].bands[1:] if each.limit]
