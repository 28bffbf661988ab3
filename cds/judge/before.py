"""What a derived value answered before: at the last earlier entry that tells.

Takes a criterion with `before` and what this entry answers; looks back over earlier entries, each by itself and at its
own age. An entry tells where the value was met or not met, or where only what is not known of the infant (gestation,
sex, age) leaves it open; one in which an input was not charted is passed over.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from cds.judge.logic import MET, NOT_MET, all_of, any_of, negated
from cds.judge.repeats import Judge, instants
from cds.judge.view import Judged, View
from cds.rules.model import Before, Criterion
from cds.values import Rank, Verdict

_OF_THE_INFANT = frozenset({"unknown-gestation", "unknown-sex", "unknown-age"})
_ONE_KNOWN = frozenset({"unknown-gestation"})


def asked_before(criterion: Criterion, now: Judged, view: View, judge: Judge) -> Judged:
    """Met where this entry meets, and the last earlier one that tells answered as asked."""
    if now.verdict.rank <= Rank.UNKNOWN:
        return now
    assert criterion.before is not None
    found = _last(criterion, criterion.before, view, judge)
    then = found[1].verdict if found else None
    was = any_of([_WAS[word](then) for word in sorted(criterion.before.was)])
    verdict = all_of([now.verdict, was])
    if found is None:
        return Judged(verdict, now.readings)
    return Judged(verdict, now.readings, found[0].entry, found[1].readings[0])


def _last(criterion: Criterion, before: Before, view: View, judge: Judge) -> tuple[View, Judged] | None:
    for past in instants(view.past(before.within)):
        judged = judge(alone(criterion, before), past)
        if judged.readings and _tells(judged.verdict):
            return past, judged
    return None


@lru_cache(maxsize=256)
def alone(criterion: Criterion, before: Before) -> Criterion:
    """The same criterion without its look back."""
    return replace(criterion, before=None, key=before.key)


def _tells(then: Verdict) -> bool:
    return then.rank in (Rank.MET, Rank.NOT_MET) or not then.reasons.isdisjoint(_OF_THE_INFANT)


def _met(then: Verdict | None) -> Verdict:
    return then or NOT_MET


def _not_met(then: Verdict | None) -> Verdict:
    """Not met before. What is open could have been either; without gestation only what is met is known, then as now."""
    if then is None:
        return NOT_MET
    if then.rank is Rank.UNKNOWN:
        return Verdict(Rank.POSSIBLE, then.reasons)
    return Verdict(Rank.UNKNOWN, then.reasons) if then.reasons == _ONE_KNOWN else negated(then)


def _untold(then: Verdict | None) -> Verdict:
    return MET if then is None else NOT_MET


_WAS = {"met": _met, "not-met": _not_met, "untold": _untold}
