"""The meaning of a rule set: every rule on one entry, plainly.

Takes a view; gives a verdict for each rule. A rule applies (gate) and its condition holds; findings feed later rules.
Slow and obvious by intent: durable-rules, columns and constraints are compared with it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from cds.judge.criteria import calm_verdict, judge
from cds.judge.gates import gate
from cds.judge.logic import all_of, any_of, at_least_of, none_of
from cds.judge.view import View
from cds.rules.model import Condition, Criterion, FindingIs, Group, Rule
from cds.values import Rank, Verdict

Findings = Mapping[str, Sequence[Verdict]]
Ask = Callable[[Criterion, View], Verdict]


def infer(rules: Sequence[Rule], view: View) -> dict[str, Verdict]:
    """The verdict of each rule; `rules` are in an order in which findings come before the rules that use them."""
    verdicts: dict[str, Verdict] = {}
    findings: dict[str, list[Verdict]] = {}
    for rule in rules:
        verdict = verdicts[rule.id] = evaluate(rule, view, findings)
        findings.setdefault(rule.finding, []).append(verdict)
    return verdicts


def evaluate(rule: Rule, view: View, findings: Findings) -> Verdict:
    """The verdict of one rule: its gate and its condition."""
    applies = gate(rule.gate, view)
    if applies.rank is Rank.NOT_MET:
        return applies
    holds = condition(rule.when, view, findings)
    return holds if applies.rank is Rank.MET else all_of([applies, holds])


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
    return combine(when)([condition(part, view, findings, ask) for part in when.parts])


def combine(group: Group) -> Callable[[Sequence[Verdict]], Verdict]:
    """How the parts of a group make one verdict."""
    if group.how == "at-least":
        return at_least_of(group.n)
    return {"all": all_of, "any": any_of, "none": none_of}[group.how]
