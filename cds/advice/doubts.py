"""What keeps a finding from being told, in words: the context that is missing of what was charted.

Takes a raised finding and the view. Names only what makes it possible, never what was simply not charted beside it.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.advice.status import Raised
from cds.advice.terms import say_code, say_word
from cds.infer.plain import Findings, condition
from cds.judge.criteria import judge
from cds.judge.gates import gate
from cds.judge.view import Judged, View
from cds.rules.model import Condition, Criterion, FindingIs, Group
from cds.values import Rank, ordered

_KEYS = {"unknown-route": "route", "unknown-site": "site", "unknown-state": "state", "unknown-oxygen": "oxygen"}
_WORDS = {
    "unknown-grade": "grade",
    "unknown-gestation": "gestation",
    "unknown-sex": "sex",
    "bound-only-value": "exact value",
    "missing-input": "context",
}
_CONTEXT = {"reported_by": "who reported it", "need": "need of oxygen", "in_oxygen": "effect of oxygen"}


def doubts(made: Raised, view: View, findings: Findings) -> list[str]:
    """What is not charted, once each: of the criteria that could be met, then of the age."""
    told = list(_open(made.rule.when, view, findings))
    aged = gate(made.rule.gate, view)
    told += [_said(reason, view) for reason in ordered(aged.reasons) if aged.rank is Rank.POSSIBLE]
    return list(dict.fromkeys(told or [_said(reason, view) for reason in ordered(made.verdict.reasons)]))


def _open(when: Condition, view: View, findings: Findings) -> Iterator[str]:
    if condition(when, view, findings).rank is not Rank.POSSIBLE or isinstance(when, FindingIs):
        return
    if isinstance(when, Group):
        for part in when.parts:
            yield from _open(part, view, findings)
        return
    judged = judge(when, view)
    telling = [reading.verdict.reasons for reading in judged.readings if reading.verdict.rank is Rank.POSSIBLE]
    for reason in ordered(frozenset().union(*telling) or judged.verdict.reasons):
        yield say_word(when.subject) if when.kind == "care" else _context(when, reason, judged, view)


def _context(leaf: Criterion, reason: str, judged: Judged, view: View) -> str:
    charted = [reading.observation.context for reading in judged.readings if reading.observation]
    if reason == "missing-input":
        open_keys = [each.key for each in leaf.where if any(each.key not in context for context in charted)]
        return _CONTEXT.get(open_keys[0], say_word(open_keys[0])) if open_keys else _WORDS[reason]
    key = _KEYS.get(reason)
    if key is None or not charted or any(key not in context for context in charted):
        return _said(reason, view)
    wanted = [say_word(word) for each in leaf.where if each.key == key for word in sorted(each.is_)]
    return f"{' or '.join(wanted)} {say_code(leaf.subject)}" if wanted else f"limit for this {key}"


def _said(reason: str, view: View) -> str:
    if reason == "unknown-age":
        return _age(view)
    return _KEYS.get(reason) or _WORDS.get(reason, say_word(reason))


def _age(view: View) -> str:
    """What would tell the age: the hour of birth, a birth at all, or a time of measuring that fits the birth."""
    infant = view.entry.infant
    if view.ages.chronological is not None:
        return "time of birth"
    if infant.birth is None and infant.age_days is None:
        return "age"
    return "time after birth" if view.entry.event.measured else "time of measuring"
