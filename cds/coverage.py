"""What the golden cases of a rule set leave out.

Takes rules and the outcomes of their cases. Gives a problem for each limit not judged below, at and above by one
charted step, each band edge without cases on both sides, each input never left out, each verdict never seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal

from cds.advice.needs import leaves
from cds.cases import Outcome
from cds.entry.ages import SECONDS, Age
from cds.entry.times import DAY
from cds.entry.units import limit as limit_at
from cds.errors import Problem
from cds.judge.gates import joined
from cds.judge.view import Reading, Value, View
from cds.rules.check_growth import NEEDS_TABLES
from cds.rules.model import AgeKind, BandLimit, Edge, Rule, RuleSet
from cds.values import Span

_STEPS = {
    "temperature": ("Cel", "0.1"),
    "rate": ("/min", "1"),
    "percent": ("%", "1"),
    "seconds": ("s", "1"),
    "pressure": ("mm[Hg]", "1"),
    "count": ("count", "1"),
    "weeks": ("wk", "1"),
    "score": ("{score}", "1"),
    "hours": ("h", "1"),
    "gain": ("g/d", "1"),
    "growth": ("cm/mo", "0.1"),
    "length": ("cm", "0.1"),
    "mass": ("g", "10"),
}
SIDES = ("below", "at", "above")
VERDICTS = ("met", "not-met", "cannot-tell")


@dataclass(slots=True)
class Seen:
    """What the cases touched, gathered outcome by outcome."""

    limits: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))
    edges: dict[tuple[str, Edge], set[str]] = field(default_factory=lambda: defaultdict(set))
    missing: set[tuple[str, str]] = field(default_factory=set)
    verdicts: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))


@dataclass(frozen=True, slots=True)
class Coverage:
    """Counts of what is covered, and a problem for each thing that is not."""

    limits: int
    edges: int
    inputs: int
    problems: tuple[Problem, ...]


def coverage(rules: RuleSet, outcomes: Iterable[Outcome]) -> Coverage:
    """Gather what the cases touched and name what they did not."""
    seen = Seen()
    owners = _owners(rules)
    by_id = {rule.id: rule for rule in rules.rules}
    for outcome in outcomes:
        _note(outcome, owners, by_id, seen)
    limits, edges, inputs = list(_limits(rules)), list(_edges(rules)), list(_inputs(rules))
    problems = [
        *_limit_gaps(limits, seen),
        *_edge_gaps(edges, seen),
        *_input_gaps(inputs, seen),
        *_verdict_gaps(rules, seen),
    ]
    return Coverage(len(limits), len(edges), len(inputs), tuple(problems))


def _owners(rules: RuleSet) -> dict[int, tuple[str, str]]:
    return {id(limit): (each.id, limit.band.id) for each in rules.thresholds.values() for limit in each.bands}


def _note(outcome: Outcome, owners: dict[int, tuple[str, str]], rules: dict[str, Rule], seen: Seen) -> None:
    view = outcome.answer.view
    for judged in view.judged.values():
        for reading in judged.readings:
            _note_limit(reading, owners, seen)
    for rule_id, verdict in outcome.case.expect.items():
        rule = rules.get(rule_id)
        if rule is not None:
            seen.verdicts[rule_id].add(verdict)
            _note_edges(rule, view, seen)
            _note_missing(rule, verdict, view, seen)


def _note_limit(reading: Reading, owners: dict[int, tuple[str, str]], seen: Seen) -> None:
    limit = reading.limits[0] if len(reading.limits) == 1 else None
    if limit is None or limit.limit is None or id(limit) not in owners:
        return
    cuts = reading.value.cuts if reading.value is not None else None
    if cuts is not None:
        seen.limits[owners[id(limit)]].add(_side_of_cut(reading.value, cuts.apart(limit.limit)))
        return
    at = _position(reading)
    if at is not None:
        seen.limits[owners[id(limit)]].add(_side(at, limit))


def _side_of_cut(value: Value | None, apart: int | None) -> str:
    """The side of a cut-off, which lies between what can be charted: nothing is at it."""
    quantity = value.quantity if value is not None else None
    if apart is None or quantity is None or abs(apart) > _step(*_STEPS[quantity.dimension]):
        return "far"
    return "above" if apart >= 0 else "below"


def _position(reading: Reading) -> int | None:
    if reading.observation is not None:
        quantity = reading.observation.quantity
        return quantity.position if quantity and reading.observation.comparator is None else None
    value = reading.value
    return value.low if value is not None and value.low == value.high else None


def _side(at: int, limit: BandLimit) -> str:
    assert limit.limit is not None
    apart = at - limit.limit.position
    step = step_of(limit)
    if abs(apart) > step:
        return "far"
    return "at" if apart == 0 else "above" if apart > 0 else "below"


def step_of(limit: BandLimit) -> int:
    """One charted step of the quantity of a limit, in positions."""
    assert limit.limit is not None
    unit = limit.limit.unit
    for name, step in _STEPS.values():
        if name == unit:
            return _step(name, step)
    raise KeyError(unit)


def _step(unit: str, step: str) -> int:
    return limit_at(Decimal(step), unit).position - limit_at(0, unit).position


def _note_edges(rule: Rule, view: View, seen: Seen) -> None:
    for kind in _kinds(rule):
        age = view.age(kind)
        for edge in edges_of(rule) if age else ():
            assert age is not None
            side = side_of(age, edge)
            if side:
                seen.edges[rule.id, edge].add(side)


def _kinds(rule: Rule) -> tuple[AgeKind, ...]:
    return ("chronological", "corrected") if rule.gate.age == "either" else (rule.gate.age,)


def edges_of(rule: Rule) -> list[Edge]:
    """The ages at which a rule begins and stops to apply, but birth."""
    edges = [edge for band in joined(rule.gate.bands) for edge in (band.start, band.end)]
    return [edge for edge in dict.fromkeys(edges) if edge.amount]


def side_of(age: Age, edge: Edge) -> str | None:
    """Whether an age lies within one step (a day, an hour, a minute) before or after an edge."""
    reached = age.at_least(edge.amount, edge.unit)
    step = SECONDS[edge.unit] if edge.unit in ("min", "h") else DAY
    if reached is False and shifted(age, step).at_least(edge.amount, edge.unit):
        return "before"
    if reached and shifted(age, -step).at_least(edge.amount, edge.unit) is False:
        return "after"
    return None


def shifted(age: Age, seconds: int) -> Age:
    """The same infant so many seconds later."""
    days = seconds // DAY if abs(seconds) >= DAY else 0
    by, day = Span(seconds, seconds), Span(days, days)
    return replace(age, elapsed=age.elapsed.shifted(by), today=age.today.shifted(day))


def _note_missing(rule: Rule, verdict: str, view: View, seen: Seen) -> None:
    if verdict == "cannot-tell":
        seen.missing.update((rule.id, code) for code in rule.codes if not view.charted(code))


def _limits(rules: RuleSet) -> Iterator[tuple[str, BandLimit]]:
    used = {threshold for rule in rules.rules for threshold in thresholds_in(rule)}
    for threshold in rules.thresholds.values():
        for limit in threshold.bands if threshold.id in used else ():
            if limit.limit is not None:
                yield threshold.id, limit


def thresholds_in(rule: Rule) -> Iterator[str]:
    """The thresholds that a rule's criteria reach."""
    for leaf in leaves(rule.when):
        if leaf.reach is not None:
            yield from [leaf.reach.threshold] if leaf.reach.threshold else [each for _, each in leaf.reach.each]


def _edges(rules: RuleSet) -> Iterator[tuple[Rule, Edge]]:
    for rule in rules.rules:
        for edge in edges_of(rule):
            yield rule, edge


def _inputs(rules: RuleSet) -> Iterator[tuple[Rule, str]]:
    for rule in rules.rules:
        for code in sorted(rule.codes):
            yield rule, code


def _limit_gaps(limits: list[tuple[str, BandLimit]], seen: Seen) -> Iterator[Problem]:
    for threshold, limit in limits:
        absent = [side for side in _sides(limit) if side not in seen.limits[threshold, limit.band.id]]
        if absent:
            found = f"no case of `{threshold}` in `{limit.band.id}` {' or '.join(absent)} its limit"
            yield Problem(limit.place, "RS-501", found, "cases one charted step below, at and above it", "add the rows")


def _sides(limit: BandLimit) -> tuple[str, ...]:
    """The sides on which a value can be charted: nothing below a limit of zero, nothing at the cut-off of a z."""
    if limit.limit is not None and limit.limit.unit in NEEDS_TABLES:
        return SIDES[0], SIDES[2]
    return SIDES[1:] if limit.limit is not None and limit.limit.value == 0 else SIDES


def _edge_gaps(edges: list[tuple[Rule, Edge]], seen: Seen) -> Iterator[Problem]:
    whole = {edge for _, edge in edges if edge == Edge(24, "mo") and _both(edge, seen)}
    for rule, edge in edges:
        absent = {"before", "after"} - seen.edges[rule.id, edge]
        if absent and edge not in whole:
            found = f"no case of `{rule.id}` {' or '.join(sorted(absent))} {edge.amount} {edge.unit}"
            yield Problem(rule.place, "RS-502", found, "cases on both sides of the edge of a band", "add the rows")


def _both(edge: Edge, seen: Seen) -> bool:
    sides = [found for (_, each), found in seen.edges.items() if each == edge]
    return {"before", "after"} <= set().union(*sides)


def _input_gaps(inputs: list[tuple[Rule, str]], seen: Seen) -> Iterator[Problem]:
    for rule, code in inputs:
        if (rule.id, code) not in seen.missing:
            found = f"no case of `{rule.id}` that cannot tell without `{code}`"
            yield Problem(rule.place, "RS-503", found, "a case with each input left out", "add a row with `omit`")


def _verdict_gaps(rules: RuleSet, seen: Seen) -> Iterator[Problem]:
    for rule in rules.rules:
        blank = any(leaf.kind == "blank" for leaf in leaves(rule.when))
        wanted = [verdict for verdict in VERDICTS if not (blank and verdict == "not-met")]
        absent = [verdict for verdict in wanted if verdict not in seen.verdicts[rule.id]]
        if absent:
            found = f"no case in which `{rule.id}` is {' or '.join(absent)}"
            yield Problem(
                rule.place, "RS-504", found, "cases in which it is met, not met and cannot tell", "add the rows"
            )
