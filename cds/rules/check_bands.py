"""Whether the bands of each scheme tile: in order, no gap, no overlap, one wording of each seam."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from cds.errors import Problem
from cds.rules.amounts import edge, reach
from cds.rules.phrase import quoted
from cds.rules.sheets import Sheet
from cds.rules.spot import Spot


def check_bands(sheet: Sheet) -> Iterator[Problem]:
    """Problems RS-211 and RS-301 to RS-304 of bands.yaml."""
    seen: dict[str, Spot] = {}
    for scheme in Spot(sheet, sheet.data).each("schemes"):
        bands = list(scheme.each("bands"))
        for band in bands:
            yield from _twice(band, seen)
            yield from _empty(band)
        for before, after in pairwise(bands):
            yield from _seam(before, after)


def _twice(band: Spot, seen: dict[str, Spot]) -> Iterator[Problem]:
    first = seen.setdefault(band.name, band)
    if first is not band:
        found = f"the band {quoted(band.name)} a second time; first at {first.sheet.line(first.pointer)}"
        yield band.says_of_key("RS-211", found, "each band once in all schemes", "name one of them otherwise")


def _empty(band: Spot) -> Iterator[Problem]:
    start, end = edge(band.data["from"]), edge(band.data["to"])
    if reach(start)[1] >= reach(end)[0]:
        found = f"a band from {quoted(band.data['from'])} to {quoted(band.data['to'])}"
        yield band.says("RS-301", found, "a band that ends after it begins", "correct `from` or `to`")


def _seam(before: Spot, after: Spot) -> Iterator[Problem]:
    end, start = before.data["to"], after.data["from"]
    if end == start:
        return
    first, last = reach(edge(end)), reach(edge(start))
    ends = f"`{before.name}` ends at {quoted(end)}, `{after.name}` begins at {quoted(start)}"
    expected = f"{quoted(end)}, where `{before.name}` ends"
    spot = after.down("from")
    if first[1] < last[0]:
        yield spot.says("RS-302", f"a gap: {ends}", expected, "correct one of the two edges")
    elif last[1] < first[0]:
        yield spot.says("RS-303", f"an overlap: {ends}", expected, "correct one of the two edges")
    else:
        next_step = "write both edges of the seam in one unit"
        yield spot.says("RS-304", f"one seam in two wordings: {ends}", expected, next_step)
