"""What could not be judged, and which reading would settle it.

Takes rules that cannot tell and the view; gives, for each that something charted made relevant, its reasons and what it
needs. Rules that nothing charted touches are counted, not listed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cds.infer.plain import Findings, condition
from cds.judge.criteria import judge
from cds.judge.gates import gate
from cds.judge.view import View
from cds.rules.model import Condition, Criterion, FindingIs, Group, Rule
from cds.values import Rank, Verdict, ordered

UNTOLD = frozenset({"absent", "usual", "none", "alert", "soft", "flat", "passed", "felt", "clean", "clear", "together"})
"""Grades that say a sign was looked for and nothing was seen."""
_CONTEXT = {
    "unknown-route": "route",
    "unknown-site": "site",
    "unknown-state": "state",
    "unknown-oxygen": "oxygen",
    "unknown-grade": "grade",
}
_INFANT = {"unknown-age": "time of birth", "unknown-gestation": "gestation at birth", "unknown-sex": "sex"}


@dataclass(frozen=True, slots=True)
class Needed:
    """A rule that cannot tell although something charted made it relevant, and what would settle it."""

    rule: Rule
    verdict: Verdict
    needs: tuple[str, ...]


def leaves(when: Condition) -> Iterator[Criterion]:
    """The criteria of a condition in document order."""
    if isinstance(when, Criterion):
        yield when
    elif isinstance(when, Group):
        for part in when.parts:
            yield from leaves(part)


def needs_of(when: Condition, view: View, findings: Findings) -> tuple[str, ...]:
    """What would settle a condition that cannot tell, once each, in document order."""
    return tuple(dict.fromkeys(_needs(when, view, findings)))


def settles(rule: Rule, view: View, findings: Findings) -> tuple[str, ...]:
    """What would settle a rule that cannot tell: its condition, and whether it applies at this age."""
    applies = gate(rule.gate, view)
    aged = [_INFANT[reason] for reason in ordered(applies.reasons) if applies.rank is Rank.POSSIBLE]
    return tuple(dict.fromkeys([*needs_of(rule.when, view, findings), *aged]))


def _needs(when: Condition, view: View, findings: Findings) -> Iterator[str]:
    verdict = condition(when, view, findings)
    if verdict.rank in (Rank.MET, Rank.NOT_MET) or isinstance(when, FindingIs):
        return
    if isinstance(when, Group):
        for part in when.parts:
            yield from _needs(part, view, findings)
    elif when.kind != "blank":
        yield from _criterion_needs(when, verdict, view)


def _criterion_needs(criterion: Criterion, verdict: Verdict, view: View) -> Iterator[str]:
    values = [reading.value for reading in judge(criterion, view).readings if reading.value]
    for value in values:
        yield from value.needs
    for reason in sorted(verdict.reasons):
        if reason in _CONTEXT:
            yield _context_need(criterion, _CONTEXT[reason], view)
        elif reason in _INFANT:
            yield _INFANT[reason]
        elif reason == "missing-input" and not values:
            yield _missing(criterion)
        elif reason != "missing-input":
            yield f"{criterion.subject}: {reason}"


def _context_need(criterion: Criterion, key: str, view: View) -> str:
    """The context to chart, or the reading that is wanted where one by another route or site was charted."""
    charted = view.charted(criterion.subject)
    other = key != "grade" and bool(charted) and all(key in each.context for each in charted)
    return _missing(criterion) if other else f"{criterion.subject}: {key}"


def _missing(criterion: Criterion) -> str:
    if criterion.kind == "care":
        return f"care: {criterion.subject}"
    placed = [
        each for each in criterion.where if each.key in ("route", "site", "purpose") and each.uncharted != "selected"
    ]
    only = [word for each in placed for word in sorted(each.is_)]
    return f"{criterion.subject} ({' or '.join(only)})" if only else criterion.subject


def needed(rule: Rule, verdict: Verdict, view: View, findings: Findings) -> Needed | None:
    """The rule with what it needs, where something charted or raised made it relevant."""
    if not _is_relevant(rule, verdict, view, findings):
        return None
    return Needed(rule, verdict, settles(rule, view, findings))


def _is_relevant(rule: Rule, verdict: Verdict, view: View, findings: Findings) -> bool:
    if verdict.rank is Rank.UNKNOWN and rule.codes and rule.codes.isdisjoint(view.by_code):
        return False
    if rule.opened_by:
        return any(_is_open(code, view, findings) for code in rule.opened_by)
    if verdict.rank is Rank.POSSIBLE:
        return True
    return any(judge(leaf, view).verdict.rank >= Rank.POSSIBLE for leaf in leaves(rule.when) if leaf.kind == "observed")


def _is_open(code: str, view: View, findings: Findings) -> bool:
    if any(verdict.rank >= Rank.POSSIBLE for verdict in findings.get(code, ())):
        return True
    return any(not UNTOLD.issuperset(each.grades) or each.quantity for each in view.charted(code) if not each.absent)


def by_reason(rules: Sequence[Needed]) -> dict[tuple[str, ...], list[Needed]]:
    """Needed rules grouped by what is missing, the group of the highest level first."""
    groups: dict[tuple[str, ...], list[Needed]] = {}
    for each in rules:
        groups.setdefault(each.needs, []).append(each)
    return groups
