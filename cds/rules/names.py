"""What the files of a rule set define, by name, for checks that look names up.

Takes sheets; gives the place of each threshold, score, group and rule, and the bands. The first of two equal names
counts; that there are two is found elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from cds.rules.amounts import edge
from cds.rules.model import Band
from cds.rules.sheets import Sheet, Sheets
from cds.rules.spot import Spot


@dataclass(frozen=True, slots=True)
class Names:
    """All that can be named. `schemes` gives the bands of each scheme as written."""

    sources: Mapping[str, Spot]
    bands: Mapping[str, Band]
    schemes: Mapping[str, tuple[str, ...]]
    thresholds: Mapping[str, Spot]
    scores: Mapping[str, Spot]
    groups: Mapping[str, Spot]
    rules: Mapping[str, Spot]

    def raised(self) -> frozenset[str]:
        """Findings that some rule raises."""
        return frozenset(rule.data["finding"] for rule in self.rules.values())


def names_of(sheets: Sheets) -> Names:
    """The names of a rule set."""
    schemes = {scheme.name: scheme for scheme in Spot(sheets.bands, sheets.bands.data).each("schemes")}
    return Names(
        sources={each.name: each for each in Spot(sheets.sources, sheets.sources.data).each("sources")},
        bands=_first_bands(schemes.values()),
        schemes={name: tuple(scheme.data["bands"]) for name, scheme in schemes.items()},
        thresholds=_first(whole(sheets.thresholds), "threshold"),
        scores=_first(whole(sheets.scores), "score"),
        groups={each.name: each for sheet in _some(sheets.groups) for each in Spot(sheet, sheet.data).each("groups")},
        rules=_first(rules_of(sheets), "rule"),
    )


def whole(sheets: tuple[Sheet, ...]) -> Iterator[Spot]:
    """Each sheet as a spot."""
    return (Spot(sheet, sheet.data) for sheet in sheets)


def rules_of(sheets: Sheets) -> Iterator[Spot]:
    """Each rule of a rule set, in the order of files and lists."""
    return (rule for sheet in whole(sheets.rules) for rule in sheet.each("rules"))


def _first_bands(schemes: Iterable[Spot]) -> dict[str, Band]:
    found: dict[str, Band] = {}
    for band in (band for scheme in schemes for band in _bands(scheme)):
        found.setdefault(band.id, band)
    return found


def _bands(scheme: Spot) -> Iterator[Band]:
    for band in scheme.each("bands"):
        yield Band(band.name, scheme.name, edge(band.data["from"]), edge(band.data["to"]), band.data["words"])


def _first(spots: Iterator[Spot], key: str) -> dict[str, Spot]:
    found: dict[str, Spot] = {}
    for spot in spots:
        found.setdefault(spot.data[key], spot)
    return found


def _some(sheet: Sheet | None) -> tuple[Sheet, ...]:
    return (sheet,) if sheet is not None else ()
