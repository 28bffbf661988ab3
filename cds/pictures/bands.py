"""A threshold over age: each of its bands as a step, or as no limit in words.

Takes a threshold of a rule set. Gives steps on an age axis in pieces: each piece is linear in the unit in which its
bands end, so that hours and months stand on one sheet and no piece hides its scale. Rounds no age and no limit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from types import MappingProxyType

from cds.advice.cited import cited
from cds.advice.header import DEFERENCE
from cds.advice.terms import COMPARATORS, SEEN, label, say_code
from cds.entry.units import UNITS, counted
from cds.pictures.entry import OUTER
from cds.pictures.growth import MONTH
from cds.pictures.marks import in_unit
from cds.pictures.model import Piece, Step, Steps
from cds.rules.model import BandLimit, Edge, RuleSet, Threshold
from cds.values import Limit

DAYS: Mapping[str, Fraction] = MappingProxyType(
    {"min": Fraction(1, 1440), "h": Fraction(1, 24), "d": Fraction(1), "wk": Fraction(7), "mo": MONTH}
)
"""Days of each unit of an edge, on an axis; a month of the calendar is drawn as 30.44 days."""

UNIT_WORDS: Mapping[str, str] = MappingProxyType(
    {"min": "minutes", "h": "hours", "d": "days", "wk": "weeks", "mo": "months"}
)
AGES: Mapping[str, str] = MappingProxyType(
    {
        "chronological": "age since birth",
        "corrected": "corrected age",
        "postmenstrual": "postmenstrual age",
        "either": "age since birth, or corrected age",
    }
)
_ORDER = tuple(DAYS)
_GAP = Fraction(1, 40)
_FEW = 2


def steps(threshold: Threshold, rules: RuleSet) -> Steps:
    """The threshold as steps."""
    pieces = _pieces(threshold.bands)
    unit = UNITS[threshold.unit].words
    score = rules.scores.get(threshold.quantity)
    quantity = score.title if score else say_code(threshold.quantity)
    return Steps(
        title=threshold.title,
        about=(
            f"{threshold.id}: {quantity}{f', {unit}' if unit else ''}, by {AGES[threshold.age]}",
            f"Reached {COMPARATORS[threshold.reached]} the limit; ticks stand on that side.",
        ),
        label=_capital(f"{quantity}{f', {unit}' if unit else ''}"),
        age=AGES[threshold.age],
        outer=OUTER[threshold.reached],
        pieces=pieces,
        steps=tuple(_step(limit, pieces, threshold) for limit in threshold.bands),
        caption=tuple(_caption(threshold, rules, pieces)),
    )


def days(edge: Edge) -> Fraction:
    """An edge in days."""
    return edge.amount * DAYS[edge.unit]


def _pieces(bands: Sequence[BandLimit]) -> tuple[Piece, ...]:
    """Bands that end in one unit share a piece; a piece is as wide as it has bands, and one more."""
    runs = [list(run) for _, run in groupby(zip(_units(bands), bands, strict=True), key=lambda pair: pair[0])]
    whole = sum(len(run) + 1 for run in runs)
    room = 1 - _GAP * (len(runs) - 1)
    left, pieces = Fraction(0), []
    for run in runs:
        right = left + room * (len(run) + 1) / whole
        first, last = run[0][1].band, run[-1][1].band
        pieces.append(Piece(run[0][0], days(first.start), days(last.end), left, right))
        left = right + _GAP
    return tuple(pieces)


def _units(bands: Sequence[BandLimit]) -> Iterator[str]:
    """The unit of each band: that in which it ends, never a smaller one than before."""
    greatest = 0
    for limit in bands:
        greatest = max(greatest, _ORDER.index(limit.band.end.unit))
        yield _ORDER[greatest]


def _step(limit: BandLimit, pieces: Sequence[Piece], threshold: Threshold) -> Step:
    start, end = days(limit.band.start), days(limit.band.end)
    piece = next(each for each in pieces if each.start <= start and end <= each.end)
    source = limit.source
    seen = f", {SEEN[source.figure_from]}" if source and source.figure_from else ""
    return Step(
        left=piece.place(start),
        right=piece.place(end),
        y=None if limit.limit is None else in_unit(limit.limit.position, threshold.unit),
        limit="no limit" if limit.limit is None else f"{COMPARATORS[limit.reached]} {_shown(limit.limit)}",
        words=limit.band.words,
        ages=f"{_edge(limit.band.start)} to {_edge(limit.band.end)}",
        source=f"{label(source.ref)}{seen}" if source else (limit.no_limit or limit.set_by),
        site=_site(limit),
    )


def _edge(edge: Edge) -> str:
    return f"{edge.amount} {edge.unit}"


def _shown(limit: Limit) -> str:
    return counted(limit.value, limit.unit)


def _site(limit: BandLimit) -> str:
    if limit.may_set is None:
        return "nothing"
    return f"{limit.may_set.start.value} to {_shown(limit.may_set.end)}, towards {limit.may_set.towards}"


def _caption(threshold: Threshold, rules: RuleSet, pieces: Sequence[Piece]) -> Iterator[str]:
    """Sources and reasons, each once with its bands; the axis; the rules; to whom it speaks."""
    said: dict[str, list[BandLimit]] = {}
    for limit in threshold.bands:
        words = f"source {cited(limit.source, rules)}" if limit.source else f"no limit, {limit.no_limit}"
        said.setdefault(words, []).append(limit)
    for words, limits in said.items():
        yield f"{_listed(limits, threshold)}: {words}."
    if len(pieces) > 1:
        parts = ", then ".join(UNIT_WORDS[piece.unit] for piece in pieces)
        yield f"The axis of age is in pieces, {parts}; each is even in itself, and one is no measure of another."
    if any(piece.unit == "mo" for piece in pieces):
        yield "Months are counted by the calendar; each is drawn as 30.44 days."
    digest = rules.digest.removeprefix("sha256:")[:12]
    yield f"Rules {rules.id} {rules.version}, digest {digest}."
    yield DEFERENCE


def _listed(limits: Sequence[BandLimit], threshold: Threshold) -> str:
    """The bands in words; three or more that follow one another by where they begin and end."""
    if len(limits) == len(threshold.bands) > 1:
        return "Every band"
    first, last = limits[0].band, limits[-1].band
    place = threshold.bands.index(limits[0])
    if len(limits) > _FEW and tuple(limits) == threshold.bands[place : place + len(limits)]:
        return f"From {_edge(first.start)} to before {_edge(last.end)}"
    return _capital("; ".join(limit.band.words for limit in limits))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
