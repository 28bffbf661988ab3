"""Whether a table of centiles is whole: known names, a value for each centile, values that do not fall."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from cds.entry.catalogue import CATALOGUE
from cds.errors import Problem
from cds.rules.check_thresholds import check_value
from cds.rules.names import Names
from cds.rules.phrase import quoted
from cds.rules.spot import Spot, unlisted, unlisted_key

_VALUES = {code: kind.units for code, kind in CATALOGUE.items() if not kind.is_sign}


def check_centiles(table: Spot, names: Names) -> Iterator[Problem]:
    """Problems of one table under `centiles` (RS-339 and those of names and values)."""
    yield from unlisted_key(table, "observation", _VALUES)
    yield from unlisted(table.down("source", "ref"), "source", names.sources)
    if table.name not in _VALUES:
        return
    yield from unlisted(table.down("unit"), "unit", _VALUES[table.name], table.name)
    yield from _rising(table.down("at"))
    for band in table.each("bands"):
        yield from unlisted_key(band, "band", names.bands)
        yield from _row(band, table)


def _row(band: Spot, table: Spot) -> Iterator[Problem]:
    if len(band.data) != len(table.data["at"]):
        found = f"{len(band.data)} values for {len(table.data['at'])} centiles"
        yield band.says("RS-339", found, "a value for each centile of `at`", "add or take out values")
    if table.data["unit"] in _VALUES[table.name]:
        for value in band.each():
            yield from check_value(value, table.data["unit"])
    yield from _rising(band)


def _rising(spot: Spot) -> Iterator[Problem]:
    for before, after in pairwise(spot.data):
        if after < before:
            found = f"{quoted(after)} after {quoted(before)}"
            yield spot.says("RS-339", found, "numbers that do not fall", "put them in order, or correct them")
