"""From checked sheets to the rule set that the judge reads: names resolved, defaults filled, numbers exact.

Takes sheets that `check` found nothing in; gives a RuleSet. Everything is put in an order of its own (age, id), since
a sealed file keeps the order of lists but not of keys.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeVar

from cds.entry.catalogue import CATALOGUE
from cds.rules.amounts import edge, limit, seconds
from cds.rules.conditions import Named, condition, in_order, reach_of
from cds.rules.model import (
    Band,
    BandLimit,
    Caution,
    CentileRow,
    Centiles,
    Confirm,
    Cut,
    Expected,
    Gate,
    GrowthTables,
    NextStep,
    Rule,
    RuleSet,
    Scale,
    Score,
    ScoreItem,
    ScreenAlgorithm,
    SiteMaySet,
    Source,
    SourceAt,
    Threshold,
)
from cds.rules.share import share
from cds.rules.sheets import Sheet, Sheets
from cds.rules.vocabulary import OUTRANKING, UNSCOPED

Data = Mapping[str, Any]
T = TypeVar("T")


def build(sheets: Sheets, digest: str) -> RuleSet:
    """The rule set of checked sheets."""
    ruleset = sheets.ruleset.data
    bands = read_bands(sheets.bands.data)
    named = Named(bands, sheets.groups.data["groups"] if sheets.groups else {})
    return RuleSet(
        id=ruleset["ruleset"],
        version=ruleset["version"],
        title=ruleset["title"],
        digest=digest,
        sources=_sorted({name: _source(name, data) for name, data in sheets.sources.data["sources"].items()}),
        bands=MappingProxyType(bands),
        thresholds=_sorted({sheet.data["threshold"]: _threshold(sheet, bands) for sheet in sheets.thresholds}),
        scores=_sorted({sheet.data["score"]: _score(sheet) for sheet in sheets.scores}),
        rules=share(_rule(data, sheet.line(pointer), named) for sheet, pointer, data in sheets.each_rule()),
        screens=_sorted({name: _screen(name, data) for name, data in ruleset["screens"].items()}),
        expected=_sorted({code: _expected(data) for code, data in ruleset["expected"].items()}),
        centiles=_sorted({code: _centiles(data, bands) for code, data in ruleset.get("centiles", {}).items()}),
        settings=_sorted({name: data["value"] for name, data in ruleset["settings"].items()}),
        cautions=tuple(_caution(data) for data in ruleset["cautions"]),
        step_words=_sorted(ruleset["steps"]),
        growth=_growth(ruleset["growth"]) if "growth" in ruleset else None,
    )


def read_bands(data: Data) -> dict[str, Band]:
    """All bands of bands.yaml by id, by scheme and then by age."""
    bands = [
        Band(name, scheme, edge(band["from"]), edge(band["to"]), band["words"])
        for scheme, listed in data["schemes"].items()
        for name, band in listed["bands"].items()
    ]
    return {band.id: band for band in in_order(bands)}


def _sorted(data: Mapping[str, T]) -> Mapping[str, T]:
    return MappingProxyType({name: data[name] for name in sorted(data)})


def _source(name: str, data: Data) -> Source:
    return Source(name, data["body"], data["title"], data["edition"], data["year"], data.get("url"))


def _source_at(data: Data) -> SourceAt:
    return SourceAt(data["ref"], data["at"], data.get("figure_from"))


def _threshold(sheet: Sheet, bands: Mapping[str, Band]) -> Threshold:
    data = sheet.data
    limits = [_band_limit(sheet, band) for band in in_order(bands[name] for name in data["bands"])]
    return Threshold(
        id=data["threshold"],
        title=data["title"],
        quantity=data["quantity"],
        unit=data["unit"],
        reached=data["reached"],
        age=data["age"],
        bands=tuple(limits),
        remarks=data.get("remarks", ""),
        place=sheet.line("/threshold"),
        agreed="agreed" not in data,
    )


def _band_limit(sheet: Sheet, band: Band) -> BandLimit:
    data = sheet.data["bands"][band.id]
    unit = sheet.data["unit"]
    may = data.get("site_may_set")
    return BandLimit(
        threshold=sheet.data["threshold"],
        reached=sheet.data["reached"],
        band=band,
        limit=limit(data["value"], unit) if "value" in data else None,
        no_limit=data.get("no_limit"),
        source=_source_at(data["source"]) if "source" in data else None,
        place=sheet.line(f"/bands/{band.id}"),
        may_set=SiteMaySet(limit(may["from"], unit), limit(may["to"], unit), may["towards"]) if may else None,
    )


def _score(sheet: Sheet) -> Score:
    data = sheet.data
    return Score(
        id=data["score"],
        title=data["title"],
        items=tuple(_score_item(item) for item in data["items"]),
        most=data["most"],
        opened_by=tuple(data["opened_by"]),
        sources=tuple(_source_at(source) for source in data["sources"]),
        known_limits=data["known_limits"],
        place=sheet.line("/score"),
    )


def _score_item(data: Data) -> ScoreItem:
    cuts = tuple(_cut(cut, CATALOGUE[data["code"]].units[0]) for cut in data.get("cuts", ()))
    contexts = sorted(
        (key, word, given) for key, words in data.get("contexts", {}).items() for word, given in words.items()
    )
    return ScoreItem(data["code"], data["words"], _sorted(data.get("points", {})), cuts, tuple(contexts))


def _cut(data: Data, unit: str) -> Cut:
    if "from" in data:
        return Cut("at-or-above", limit(data["from"], unit), data["points"])
    return Cut("above", limit(data["above"], unit), data["points"])


def _screen(name: str, data: Data) -> ScreenAlgorithm:
    return ScreenAlgorithm(
        id=name,
        words=data["words"],
        limbs=data["limbs"],
        screens=data["screens"],
        start=seconds(data["from"]),
        apart=seconds(data["apart"]),
        series_within=seconds(data["series_within"]),
        source=_source_at(data["source"]),
    )


def _centiles(data: Data, bands: Mapping[str, Band]) -> Centiles:
    rows = [
        CentileRow(band, tuple(limit(value, data["unit"]) for value in data["bands"][band.id]))
        for band in in_order(bands[name] for name in data["bands"])
    ]
    return Centiles(tuple(data["at"]), tuple(rows), _source_at(data["source"]))


def _growth(data: Data) -> GrowthTables:
    return GrowthTables(data["digest"], data["words"], _source_at(data["source"]))


def _caution(data: str | Data) -> Caution:
    return Caution(data) if isinstance(data, str) else Caution(data["words"], frozenset(data["about"]))


def _expected(data: Data) -> Expected:
    low, high = (tuple(reach_of(reach) for reach in data.get(side, ())) for side in ("low", "high"))
    return Expected(low, high)


def _rule(data: Data, place: str, named: Named) -> Rule:
    gate = data["for"]
    bands = in_order(named.bands[name] for name in gate["bands"])
    outside = frozenset(gate.get("outside_care", ()))
    confirmed, closes, scale = data.get("confirmed"), data.get("closes"), data.get("scale")
    return Rule(
        id=data["rule"],
        revision=data["revision"],
        title=data["title"],
        area=data["area"],
        gate=Gate(bands, gate.get("age", "chronological"), outside, _scoped(data)),
        when=condition(data["when"], named),
        finding=data["finding"],
        level=data["level"],
        red_flag=data.get("red_flag", False),
        say=data["say"],
        next=tuple(_next(step) for step in data["next"]),
        sources=tuple(_source_at(source) for source in data["sources"]),
        known_limits=data["known_limits"],
        place=place,
        reference_range=data.get("reference_range", False),
        confirmed=_confirm(confirmed) if confirmed else None,
        closes_within=seconds(closes["within"]) if closes else None,
        supersedes=tuple(data.get("supersedes", ())),
        scale=Scale(scale["name"], scale["column"]) if scale else None,
        opened_by=tuple(data.get("opened_by", ())),
        holds=data.get("holds", False),
    )


def _scoped(data: Data) -> bool:
    return not (data.get("red_flag", False) or data["area"] in UNSCOPED or data["finding"] in OUTRANKING)


def _confirm(data: Data) -> Confirm:
    return Confirm(seconds(data["within"]), data["level"], tuple(_next(step) for step in data.get("next", ())))


def _next(data: Data) -> NextStep:
    return NextStep(data["step"], seconds(data["within"]) if "within" in data else None)
