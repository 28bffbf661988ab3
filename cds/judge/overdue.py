"""A recheck that was asked and not charted in time.

Takes a criterion that asks so and a view. The last earlier entry in which the code was charted is judged by itself, at
its own age; calm, full readings count. What is charted now, whatever it is, answers. Rests on the entries that were
sent: without any it cannot tell, and a recheck that was charted but not sent is not seen.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from cds.judge.inputs import standing
from cds.judge.logic import MET, NOT_MET, all_of, any_of
from cds.judge.repeats import Judge, apart
from cds.judge.view import NOT_CHARTED, WITHHELD, Judged, View, unknown
from cds.rules.model import Criterion, Unanswered
from cds.values import Rank, Span, Verdict

_WITHDRAWN = Judged(unknown("entered-in-error"))
_UNSENT = Judged(NOT_CHARTED)
_NOT = Judged(NOT_MET)
_COULD_BE = unknown("missing-input", Rank.POSSIBLE)


def overdue(criterion: Criterion, asked: Unanswered, view: View, judge: Judge) -> Judged:
    """Met where the last earlier reading met the criterion, longer ago than asked, and this entry charts none.

    The readings are those of the earlier entry, `past`. A time that is only a date could be longer ago.
    """
    entry = view.entry
    if entry.event.status in WITHHELD:
        return _WITHDRAWN
    if is_charted(criterion.subject, view):
        return _NOT
    if entry.event.measured is None or len(entry.earlier) == len(view.aside):
        return _UNSENT
    past = next((each for each in view.past(asked.within) if is_charted(criterion.subject, each)), None)
    return _NOT if past is None else _judged(alone(criterion, asked), past, _is_late(apart(past, view), asked), judge)


def _judged(criterion: Criterion, past: View, late: Verdict, judge: Judge) -> Judged:
    readings = tuple(reading for reading in judge(criterion, past).readings if reading.calm)
    then = any_of([reading.verdict for reading in readings])
    return Judged(all_of([then, late]), readings, past.entry)


def _is_late(ago: Span, asked: Unanswered) -> Verdict:
    if ago.low > asked.after:
        return MET
    return _COULD_BE if ago.high > asked.after else NOT_MET


def is_charted(code: str, view: View) -> bool:
    """Whether an entry tells something of a code that nothing withholds: a value, a bound or a grade."""
    return any(each.quantity or each.grades for each in standing(view, code))


@lru_cache(maxsize=256)
def alone(criterion: Criterion, asked: Unanswered) -> Criterion:
    """The same criterion, asked of one entry."""
    return replace(criterion, unanswered=None, key=asked.key)
