"""Every rule on one entry, spelled out: no memory, no short way, a table of its own for all, any, none and at-least.

Takes rules in order and an entry; gives the verdicts. Shares with the plain evaluator only how one criterion and one
gate are judged. For comparison; far too slow for use.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from cds.entry.model import Entry
from cds.judge.criteria import judge
from cds.judge.gates import gate
from cds.judge.view import View
from cds.rules.model import Condition, Criterion, FindingIs, Group, Rule, RuleSet
from cds.values import Rank, Verdict

Findings = Mapping[str, Sequence[Verdict]]


class Forgetful:
    """A view of an entry that forgets what was judged before each question."""

    def __init__(self, entry: Entry, rules: RuleSet) -> None:
        self._view = View(entry, rules)

    def ask(self) -> View:
        """The view, its memory emptied."""
        for memory in (self._view.judged, self._view.gates, self._view.held, self._view.derived):
            memory.clear()
        return self._view


def spell_out(rules: Sequence[Rule], entry: Entry, under: RuleSet) -> dict[str, Verdict]:
    """The verdict of each rule."""
    view = Forgetful(entry, under)
    verdicts: dict[str, Verdict] = {}
    findings: dict[str, list[Verdict]] = {}
    for rule in rules:
        applies = gate(rule.gate, view.ask())
        verdict = applies
        if applies.rank is not Rank.NOT_MET:
            verdict = _least([applies, _hold(rule.when, view, findings)])
        verdicts[rule.id] = verdict
        findings.setdefault(rule.finding, []).append(verdict)
    return verdicts


def _hold(when: Condition, view: Forgetful, findings: Findings) -> Verdict:
    if isinstance(when, Criterion):
        return judge(when, view.ask()).verdict
    if isinstance(when, FindingIs):
        return _greatest(list(findings.get(when.finding, [])))
    return _together(when, [_hold(part, view, findings) for part in when.parts])


def _together(group: Group, parts: list[Verdict]) -> Verdict:
    if group.how == "all":
        return _least(parts)
    if group.how == "any":
        return _greatest(parts)
    if group.how == "none":
        any_part = _greatest(parts)
        turned = {Rank.MET: Rank.NOT_MET, Rank.NOT_MET: Rank.MET}
        return replace(any_part, rank=turned.get(any_part.rank, any_part.rank))
    reached = [rank for rank in sorted(Rank) if sum(part.rank >= rank for part in parts) >= group.n]
    return _with_doubts(reached[-1], parts)


def _least(parts: list[Verdict]) -> Verdict:
    return _with_doubts(min(part.rank for part in parts), parts)


def _greatest(parts: list[Verdict]) -> Verdict:
    return _with_doubts(max((part.rank for part in parts), default=Rank.NOT_MET), parts)


def _with_doubts(rank: Rank, parts: list[Verdict]) -> Verdict:
    """The rank with every reason of the parts that cannot be told, where it cannot be told itself."""
    unsure = (Rank.UNKNOWN, Rank.POSSIBLE)
    doubts = [part.reasons for part in parts if part.rank in unsure] if rank in unsure else []
    return Verdict(rank, frozenset().union(*doubts))
