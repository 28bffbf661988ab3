"""One entry as the judge sees it: ages, observations by code, earlier entries, and what was already judged.

Made once for each entry and call, thrown away after it. Holds the memory of one judgement, never of two.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple, Protocol

from cds.entry.ages import Age, Ages, ages, is_before_birth
from cds.entry.model import Entry, Observation
from cds.entry.versions import WITHHELD as WITHHELD
from cds.entry.versions import set_aside
from cds.judge.compare import Outcome
from cds.rules.model import AgeKind, Band, BandLimit, Comparator, RuleSet, Threshold
from cds.values import Limit, Quantity, Rank, Verdict

_GESTATION_KINDS = frozenset({"corrected", "postmenstrual"})


class Cuts(Protocol):
    """How a value that is no position (a z) is held against a limit: by exact cut-offs on what was charted."""

    def outcomes(self, reached: Comparator, limit: Limit) -> Sequence[Outcome]:
        """What each possible age and sex answers."""
        ...

    def apart(self, limit: Limit) -> int | None:
        """Positions from the cut-off to what was charted, below zero short of it; None where there are several."""
        ...

    def cut_off(self, limit: Limit) -> str | None:
        """The cut-off in charted units, where the z that is shown is the limit; else None."""
        ...


@dataclass(frozen=True, slots=True)
class Value:
    """A derived value or score: a quantity, a word, or neither with the reason.

    `verdict` is what a criterion on it answers while there is no value. `numbers` are shown with the finding.
    `low` and `high` are positions; they differ where an input is a span. `words` are all that it could be, more than
    one where context is missing, and `doubt` is the reason then. `is_least`: what was not charted could make it more.
    `cuts` hold a z against limits, in place of positions.
    """

    low: int | None = None
    high: int | None = None
    quantity: Quantity | None = None
    words: frozenset[str] = frozenset()
    doubt: str | None = None
    verdict: Verdict | None = None
    numbers: tuple[tuple[str, str], ...] = ()
    needs: tuple[str, ...] = ()
    is_least: bool = False
    cuts: Cuts | None = None


class Reading(NamedTuple):
    """What one observation or derived value answered to a criterion, and the limits it was held against."""

    verdict: Verdict
    observation: Observation | None = None
    value: Value | None = None
    limits: tuple[BandLimit, ...] = ()
    calm: bool = True


class Judged(NamedTuple):
    """The verdict of a criterion with the readings behind it.

    `past` is the earlier entry that repeats it, or the last one that tells, and `then` what was read there.
    """

    verdict: Verdict
    readings: tuple[Reading, ...] = ()
    past: Entry | None = None
    then: Reading | None = None


class View:
    """One entry under one rule set. `judged` and `derived` remember answers by key within this view."""

    __slots__ = (
        "ages",
        "aside",
        "bands",
        "by_code",
        "derived",
        "earlier",
        "entry",
        "gates",
        "held",
        "judged",
        "rules",
        "under",
        "weighed",
        "within",
    )

    def __init__(self, entry: Entry, rules: RuleSet) -> None:
        self.entry = entry
        self.rules = rules
        self.ages: Ages = ages(entry)
        self.by_code: dict[str, list[Observation]] = defaultdict(list)
        for observation in entry.observations:
            self.by_code[observation.code].append(observation)
        self.judged: dict[str, Judged] = {}
        self.derived: dict[str, Value] = {}
        self.weighed: dict[int, tuple[str | None, bool]] = {}
        self.gates: dict[int, Verdict] = {}
        self.under: dict[str, bool] = {}
        self.held: dict[int, Verdict] = {}
        self.bands: dict[tuple[int, AgeKind], bool | None] = {}
        self.within: dict[tuple[str, AgeKind], tuple[slice, str | None]] = {}
        self.aside = set_aside(entry)
        self.earlier: list[View | None] = [None] * len(entry.earlier)

    def charted(self, code: str) -> Sequence[Observation]:
        """The observations of one code, in the order charted."""
        return self.by_code.get(code, ())

    def past(self, seconds: int) -> Iterator[View]:
        """Views of the earlier entries measured within so many seconds before this one, latest first.

        One that was measured at the same instant, or later, is no earlier count; one of another infant or from before
        birth tells nothing of this one, and nothing rests on one that was withdrawn or has a later version.
        """
        now = self.entry.event.measured
        for place in range(len(self.earlier) - 1, -1, -1):
            past = self.entry.earlier[place]
            then = past.event.measured
            if now is None or then is None or then.seconds.low >= now.seconds.high or place in self.aside:
                continue
            if past.infant.id != self.entry.infant.id or is_before_birth(past.infant, then):
                continue
            if now.seconds.low - then.seconds.high <= seconds:
                yield self._view(place)

    def _view(self, place: int) -> View:
        view = self.earlier[place]
        if view is None:
            view = self.earlier[place] = View(self.entry.earlier[place], self.rules)
        return view

    def age(self, kind: AgeKind) -> Age | None:
        """The age of one kind (`either` is asked of both by the caller)."""
        if kind == "corrected":
            return self.ages.corrected
        return self.ages.postmenstrual if kind == "postmenstrual" else self.ages.chronological

    def why_no_age(self, kind: AgeKind) -> str:
        """The reason for a missing age of this kind."""
        if kind in _GESTATION_KINDS and self.ages.chronological is not None:
            return "unknown-gestation"
        return "unknown-age"

    def limits(self, threshold: Threshold) -> tuple[tuple[BandLimit, ...], str | None]:
        """The limits that could apply, and the reason where they are more than one, or none."""
        key = (threshold.bands[0].band.scheme, threshold.age)
        found = self.within.get(key)
        if found is None:
            found = self.within[key] = self._within(threshold)
        return threshold.bands[found[0]], found[1]

    def _within(self, threshold: Threshold) -> tuple[slice, str | None]:
        """Which bands of a scheme the age could lie in: every threshold lists all bands of its scheme in order."""
        age = self.age(threshold.age)
        if age is None:
            return slice(None), self.why_no_age(threshold.age)
        possible = list(_possible([limit.band for limit in threshold.bands], age))
        if not possible:
            return slice(0, 0), "outside-rule-age"
        return slice(possible[0], possible[-1] + 1), None if len(possible) == 1 else "unknown-age"

    def in_band(self, band: Band, kind: AgeKind) -> bool | None:
        """Whether the age of one kind, which is known, lies in a band; asked once for each band."""
        key = (id(band), kind)
        if key not in self.bands:
            age = self.age(kind)
            assert age is not None
            self.bands[key] = in_band(age, band)
        return self.bands[key]


def _possible(bands: Sequence[Band], age: Age) -> Iterator[int]:
    """The places of the bands that an age could lie in; the bands follow one another."""
    for place, band in enumerate(bands):
        if age.at_least(band.start.amount, band.start.unit) is False:
            return
        if age.at_least(band.end.amount, band.end.unit) is not True:
            yield place


def in_band(age: Age, band: Band) -> bool | None:
    """Whether an age lies in a band; None where its span reaches over an edge."""
    begun = age.at_least(band.start.amount, band.start.unit)
    if begun is False:
        return False
    ended = age.at_least(band.end.amount, band.end.unit)
    if ended is True:
        return False
    return True if begun and ended is False else None


@lru_cache(maxsize=256)
def unknown(reason: str, rank: Rank = Rank.UNKNOWN) -> Verdict:
    """Cannot tell, for one reason."""
    return Verdict(rank, frozenset({reason}))


NOT_CHARTED = unknown("missing-input")
