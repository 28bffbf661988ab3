"""The items of a published scale, each met, not met, not charted, not representable, or not to be told.

Takes the condition of a scale rule and the view it was judged in. Never says that a column is clear.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.infer.plain import Findings, condition
from cds.judge.view import View
from cds.rules.model import Condition, Criterion, Group
from cds.values import Rank, Verdict

MET = "met"
_NOT_CHARTED = frozenset({"missing-input"})


def items(when: Condition, view: View, findings: Findings) -> list[dict[str, str]]:
    """Each labelled item of a scale with its verdict in words, in the order of the publication."""
    return [{"item": part.item or "", "verdict": _said(part, view, findings)} for part in _labelled(when)]


def _labelled(when: Condition) -> Iterator[Condition]:
    if when.item:
        yield when
    elif isinstance(when, Group):
        for part in when.parts:
            yield from _labelled(part)


def _said(part: Condition, view: View, findings: Findings) -> str:
    if isinstance(part, Criterion) and part.kind == "blank":
        return "not representable"
    return _word(condition(part, view, findings))


def _word(verdict: Verdict) -> str:
    if verdict.rank in (Rank.MET, Rank.NOT_MET):
        return MET if verdict.rank is Rank.MET else "not met"
    return "not charted" if verdict.reasons <= _NOT_CHARTED else "cannot tell"
