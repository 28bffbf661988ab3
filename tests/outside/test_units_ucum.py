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

ucumvert = pytest.importorskip("ucumvert")

BASE = {"temperature": "Cel", "mass": "g", "length": "cm", "rate": "/min", "percent": "%", "seconds": "s"} | {
    "pressure": "mm[Hg]",
    "flow": "L/min",
    "weeks": "wk",
    "hours": "h",
}
OURS = [unit for unit in UNITS if unit not in ("count", "{score}")]  # words of ours, not UCUM units
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
