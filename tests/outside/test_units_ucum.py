"""Our unit factors against UCUM's own, as packaged by ucumvert on pint.

Source: UCUM 2.1 essence file, read by ucumvert (general-purpose, open source); the arithmetic here is pint's, in
fractions, over many values at the accepted decimals.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cds.entry.units import UNITS, quantity
from cds.judge.sizes import MONTH_DAYS

ucumvert = pytest.importorskip("ucumvert")

BASE = {"temperature": "Cel", "mass": "g", "length": "cm", "rate": "/min", "percent": "%", "seconds": "s"} | {
    "pressure": "mm[Hg]",
    "flow": "L/min",
    "weeks": "wk",
    "hours": "h",
    "gain": "g/d",
    "growth": "cm/mo",
}
ANNOTATIONS = ["{score}", "{z}", "{space}"]  # a number of something, which UCUM reads as 1
OURS = [unit for unit in UNITS if unit not in ("count", *ANNOTATIONS)]  # "count" is a word of ours
NEAR = Fraction(1, 10**9)


@pytest.fixture(scope="module")
def registry() -> Any:
    return ucumvert.PintUcumRegistry()


def convert(registry: Any, value: Decimal, unit: str, base: str) -> Fraction:
    sent = registry.Quantity(float(value), registry.from_ucum(unit).units)
    return Fraction(sent.to(registry.from_ucum(base).units).magnitude)


@pytest.mark.parametrize("unit", OURS)
@given(data=st.data())
@settings(max_examples=40)
def test_a_value_converts_as_ucum_says(registry: Any, unit: str, data: st.DataObject) -> None:
    known = UNITS[unit]
    value = data.draw(st.decimals(1, 900, places=known.places, allow_nan=False))
    base = BASE[known.dimension]
    theirs = convert(registry, value, unit, base)
    mine = quantity(known.dimension, value, unit).position
    ours = Fraction(mine + 2 * UNITS[base].offset, 2 * UNITS[base].factor)
    assert abs(ours - theirs) <= NEAR * max(1, abs(theirs))


@pytest.mark.parametrize("unit", ANNOTATIONS)
def test_what_ucum_has_no_unit_for_is_an_annotation(registry: Any, unit: str) -> None:
    read = registry.from_ucum(unit)
    assert (read.type, str(read)) == ("ANNOTATION", unit)


def test_a_month_is_a_twelfth_of_365_and_a_quarter_days(registry: Any) -> None:
    month = registry.from_ucum("cm/mo").to(registry.from_ucum("cm/d"))
    assert Fraction(1, 1) / Fraction(month.magnitude).limit_denominator(10_000) == MONTH_DAYS
