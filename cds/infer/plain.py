"""The meaning of a rule set: every rule on one entry, plainly.

Takes a view; gives a verdict for each rule. A rule applies (gate) and its condition holds; findings feed later rules.
Slow and obvious by intent: durable-rules, columns and constraints are compared with it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from graphlib import TopologicalSorter

from cds.judge.criteria import calm_verdict, judge
from cds.judge.gates import gate
from cds.judge.logic import MET, NOT_MET, all_of, any_of, at_least_of, none_of
from cds.judge.view import NOT_CHARTED, View
from cds.rules.model import Condition, Criterion, FindingIs, Group, Rule
from cds.values import Verdict

Findings = Mapping[str, Sequence[Verdict]]

Ask = Callable[[Criterion, View], Verdict]


def in_order(rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """The rules so that each finding comes before the rules that ask for it, else as written.

    Raises:
        graphlib.CycleError: findings that wait for each other (RS-3xx refuses such a set before).
    """
    asked = {rule.id: findings_in(rule.when) for rule in rules}
    graph = {rule.id: [other.id for other in rules if other.finding in asked[rule.id]] for rule in rules}
    order = {rule: place for place, rule in enumerate(TopologicalSorter(graph).static_order())}
    return tuple(sorted(rules, key=lambda rule: (bool(asked[rule.id]), order[rule.id] if asked[rule.id] else 0)))


def findings_in(when: Condition) -> frozenset[str]:
    """The finding codes that a condition asks for."""
    if isinstance(when, FindingIs):
        return frozenset({when.finding})
    return frozenset().union(*map(findings_in, when.parts)) if isinstance(when, Group) else frozenset()


def infer(rules: Sequence[Rule], view: View) -> dict[str, Verdict]:
    """The verdict of each rule; `rules` in an order in which findings come before the rules that use them."""
    verdicts: dict[str, Verdict] = {}
    findings: dict[str, list[Verdict]] = {}
    for rule in rules:
        verdict = verdicts[rule.id] = evaluate(rule, view, findings)
        findings.setdefault(rule.finding, []).append(verdict)
    return verdicts


def evaluate(rule: Rule, view: View, findings: Findings) -> Verdict:
    """The verdict of one rule: its gate, and where that is not closed its condition; a closed gate keeps its reason."""
    applies = gate(rule.gate, view)
    if applies is MET:
        return condition(rule.when, view, findings)
    if applies.rank is NOT_MET.rank:
        return applies
    return all_of([applies, condition(rule.when, view, findings)])


def evaluate_calm(rule: Rule, view: View, findings: Findings) -> Verdict:
    """The verdict of a rule when only calm, full counts are looked at."""
    return all_of([gate(rule.gate, view), condition(rule.when, view, findings, calm_verdict)])


def told(criterion: Criterion, view: View) -> Verdict:
    """The verdict of a criterion over all its readings."""
    return judge(criterion, view).verdict


def condition(when: Condition, view: View, findings: Findings, ask: Ask = told) -> Verdict:
    """The verdict of a condition; findings that no rule has raised yet are not met."""
    if isinstance(when, Criterion):
        return ask(when, view)
    if isinstance(when, FindingIs):
        return any_of(findings.get(when.finding, ()))
    if when.codes and when.codes.isdisjoint(view.by_code):
        return NOT_CHARTED
    if when.chained or ask is not told:
        return combine(when)([condition(part, view, findings, ask) for part in when.parts])
    return _held(when, view)


def _held(group: Group, view: View) -> Verdict:
    """The verdict of a group without findings, told once for each view."""
    found = view.held.get(id(group))
    if found is None:
        found = view.held[id(group)] = combine(group)([condition(part, view, {}) for part in group.parts])
    return found


def combine(group: Group) -> Callable[[Sequence[Verdict]], Verdict]:
    """How the parts of a group make one verdict."""
    return at_least_of(group.n) if group.how == "at-least" else _TOGETHER[group.how]


_TOGETHER: Mapping[str, Callable[[Sequence[Verdict]], Verdict]] = {"all": all_of, "any": any_of, "none": none_of}
