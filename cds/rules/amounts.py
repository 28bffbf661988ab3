"""Spans of time, edges of age and limits, from the text and numbers of rule files to exact values.

A limit is shown with the decimals usual for its unit, so that 38 and 38.0 of a file give the same bytes of advice.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import cast

from cds.entry.units import limit as placed
from cds.rules.model import Edge, EdgeUnit
from cds.values import Limit

SECONDS: Mapping[str, int] = MappingProxyType({"min": 60, "h": 3600, "d": 86400, "wk": 604800})
_DECIMALS: Mapping[str, int] = MappingProxyType({"Cel": 1, "[degF]": 1, "cm": 1, "kg": 2, "[in_i]": 2})
_MONTH_HUNDREDTHS, _MONTH_SLACK = 3044, 3


def seconds(duration: str) -> int:
    """A duration such as `24 h` in seconds."""
    amount, unit = duration.split(" ")
    return int(amount) * SECONDS[unit]


def edge(text: str) -> Edge:
    """An age such as `2 mo`."""
    amount, unit = text.split(" ")
    return Edge(int(amount), cast(EdgeUnit, unit))


def reach(edge: Edge) -> tuple[int, int]:
    """Least and most seconds after birth at which an edge can lie; months differ by up to three days either way."""
    if edge.unit != "mo" or edge.amount == 0:
        at = edge.amount * SECONDS.get(edge.unit, 0)
        return at, at
    days = edge.amount * _MONTH_HUNDREDTHS // 100
    return (days - _MONTH_SLACK) * SECONDS["d"], (days + _MONTH_SLACK) * SECONDS["d"]


def shown(value: int | Decimal, unit: str) -> Decimal:
    """The same number with at least the decimals usual for its unit, and no zeros after those."""
    least = _DECIMALS.get(unit, 0)
    plain = Decimal(value).normalize()
    exponent = plain.as_tuple().exponent
    assert isinstance(exponent, int)
    return plain.quantize(Decimal(1).scaleb(-max(least, -exponent)))


def limit(value: int | Decimal, unit: str) -> Limit:
    """A limit at its exact position.

    Raises:
        ValueError: an unknown unit, or a value outside what the unit can hold; the words say which.
    """
    return placed(shown(value, unit), unit)
