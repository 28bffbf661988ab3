"""The limits behind a rule, and the sources of both, in plain words.

Takes a rule and its rule set. Gives a line for each limit that can count at the ages of the rule, with its comparator,
its source and how far a site may move it.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.advice.cited import cited
from cds.advice.terms import COMPARATORS, say_code
from cds.entry.units import counted
from cds.rules.amounts import reach as reach_of
from cds.rules.model import Band, BandLimit, Condition, Criterion, Group, Reach, Rule, RuleSet, Threshold
from cds.values import Limit

Line = tuple[int, str]


def limit_lines(rule: Rule, rules: RuleSet) -> Iterator[Line]:
    """Each threshold of a rule with its limits, then the sources of the rule itself."""
    for name in dict.fromkeys(_thresholds(rule.when)):
        threshold = rules.thresholds[name]
        yield 0, f"`{threshold.id}`: {threshold.title} ({say_code(threshold.quantity)}, by {threshold.age} age)"
        for limit in threshold.bands:
            if _meets(limit.band, rule.gate.bands):
                yield 1, _limit(threshold, limit, rules)
    yield 0, "sources of the rule"
    for source in rule.sources:
        yield 1, cited(source, rules)


def _thresholds(when: Condition) -> Iterator[str]:
    if isinstance(when, Criterion) and when.reach is not None:
        yield from _reached(when.reach)
    elif isinstance(when, Group):
        for part in when.parts:
            yield from _thresholds(part)


def _reached(wanted: Reach) -> Iterator[str]:
    yield from [wanted.threshold] if wanted.threshold is not None else [name for _, name in wanted.each]


def _meets(band: Band, bands: tuple[Band, ...]) -> bool:
    """Whether two ranges of age may share a moment."""
    start, end = reach_of(band.start)[0], reach_of(band.end)[1]
    return any(start < reach_of(other.end)[1] and reach_of(other.start)[0] < end for other in bands)


def _limit(threshold: Threshold, limit: BandLimit, rules: RuleSet) -> str:
    if limit.limit is None:
        return f"{limit.band.words}: no limit, {limit.no_limit}"
    source = f"; {cited(limit.source, rules)}" if limit.source else ""
    reached = COMPARATORS[threshold.reached]
    return f"{limit.band.words}: {reached} {_shown(limit.limit)}{source}; {_freedom(limit)}; {limit.place}"


def _shown(limit: Limit) -> str:
    return counted(limit.value, limit.unit)


def _freedom(limit: BandLimit) -> str:
    if limit.may_set is None:
        return "no site may move it"
    ends = f"{_shown(limit.may_set.start)} to {_shown(limit.may_set.end)}"
    return f"a site may set {ends}, towards {limit.may_set.towards} values"
