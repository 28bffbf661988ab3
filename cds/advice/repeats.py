"""What earlier entries say about a rule: confirmed by a second count, closed by a settled repeat, or still open.

Each earlier entry is judged by itself, at its own age, without its own earlier ones. Rules that look back use criteria
only, so nothing is chained here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from cds.entry.catalogue import CATALOGUE
from cds.entry.model import Observation
from cds.infer.plain import evaluate, evaluate_calm
from cds.judge.choose import is_calm
from cds.judge.gates import is_outside_care
from cds.judge.inputs import usable
from cds.judge.repeats import apart
from cds.judge.view import View
from cds.rules.model import Rule
from cds.values import Rank

_HOUR = 3600
_RATES = frozenset({"breathing", "heart"})
_BLOCKING = _RATES | {"distress", "oxygen", "colour", "state"}


@dataclass(frozen=True, slots=True)
class Repeat:
    """The earlier entry that confirms; persistent where it is more than an hour before."""

    view: View
    persistent: bool


@dataclass(frozen=True, slots=True)
class Earlier:
    """A finding of an earlier entry that this entry's repeat closed, or why it stays open."""

    rule: Rule
    view: View
    status: Literal["closed-by-repeat", "still-open"]
    why: str = ""


def confirm(rule: Rule, view: View, calm: bool) -> Repeat | None:
    """The earlier entry that confirms a rule met now; for unsettled counts, the third in a row."""
    assert rule.confirmed is not None
    unsettled = 0
    for past in view.past(rule.confirmed.within):
        settled = max(evaluate_calm(each, past, {}).rank for each in _alike(rule, view))
        if settled is Rank.MET and calm:
            return Repeat(past, apart(past, view).low > _HOUR)
        if settled is Rank.NOT_MET and _has_calm(rule, past):
            return None
        unsettled += any(evaluate(each, past, {}).rank is Rank.MET for each in _alike(rule, view))
        if unsettled == 2 and not calm:
            return Repeat(past, apart(past, view).low > _HOUR)
    return None


def _alike(rule: Rule, view: View) -> list[Rule]:
    """The rules that give the same finding by the same question, this one among them: the same rule at another age."""
    return [each for each in view.rules.rules if each.finding == rule.finding and each.when == rule.when]


def _has_calm(rule: Rule, view: View) -> bool:
    """Whether the entry charts a calm reading of something the rule reads."""
    return any(is_calm(observation) for code in rule.codes for observation in view.charted(code))


def repeats(rules: Iterable[Rule], view: View, blocking: Sequence[str], within: int) -> list[Earlier]:
    """Rate findings of earlier entries that this entry's settled, full count answers.

    Args:
        blocking: what this entry raises above a note in the areas that keep a finding open, in words.
        within: seconds within which a repeat closes.
    """
    found = (_answer(rule, view, blocking, within) for rule in rules if rule.closes_within is not None)
    return [earlier for earlier in found if earlier]


def _answer(rule: Rule, view: View, blocking: Sequence[str], within: int) -> Earlier | None:
    if not _calm_counts(rule, view) or evaluate(rule, view, {}).rank > Rank.UNKNOWN:
        return None
    open_one = _open(rule, view, within)
    if open_one is None:
        return None
    if why := _kept_open(rule, open_one, view) or ", ".join(blocking):
        return Earlier(rule, open_one, "still-open", why)
    return Earlier(rule, open_one, "closed-by-repeat")


def _kept_open(rule: Rule, past: View, view: View) -> str:
    """Why a count of this entry answers nothing: taken under care in which the rule is not asked, or not later."""
    if is_outside_care(rule.gate, view):
        return "care under which the rule is not asked"
    counted = [count.measured for count in _calm_counts(rule, view)]
    last = past.entry.event.measured
    assert last is not None
    later = any(own is None or own.seconds.low > last.seconds.high for own in counted)
    return "" if later else "a count that was measured before it"


def _calm_counts(rule: Rule, view: View) -> list[Observation]:
    charted = rule.codes.intersection(view.by_code)
    counts = [each for code in charted if CATALOGUE[code].rate for each in usable(view, code)]
    return [count for count in counts if is_calm(count)]


def _open(rule: Rule, view: View, within: int) -> View | None:
    for past in view.past(within):
        if evaluate(rule, past, {}).rank is Rank.MET:
            return past
        if _calm_counts(rule, past):
            return None
    return None


def blocks(rule: Rule, rank: Rank, raised: bool) -> bool:
    """Whether a rule above a note keeps an earlier rate finding open: if raised; of signs, also if it could be."""
    return rule.area in _BLOCKING and (raised or (rank is Rank.POSSIBLE and rule.area not in _RATES))
