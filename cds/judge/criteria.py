"""Judge one criterion on one entry.

Takes a criterion and a view; gives a verdict with the readings behind it. What is uncertain (age, route, state, grade,
a bound) is resolved here, over all that this criterion's own inputs could be: one verdict if they agree, else
cannot-tell. Reads no clock, never borrows a limit from another band, treats nothing missing as zero.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cds.entry.catalogue import ASLEEP, CATALOGUE
from cds.entry.model import Observation
from cds.judge.agreed import with_agreed
from cds.judge.before import alone, asked_before
from cds.judge.choose import UNGRADED, context_reason, has, is_calm, selects, words_of
from cds.judge.compare import Ends, Outcome, ends, reached, settle
from cds.judge.derive import derive
from cds.judge.gates import age_gate
from cds.judge.logic import MET, NOT_MET, any_of
from cds.judge.overdue import overdue
from cds.judge.repeats import repeat
from cds.judge.view import NOT_CHARTED, WITHHELD, Judged, Reading, Value, View, unknown
from cds.rules.model import BandLimit, Criterion, Reach, Threshold
from cds.values import Rank, Verdict

_NOT_CHARTED = Judged(NOT_CHARTED)
_BLANK = Judged(NOT_CHARTED)
_CARE_NOT_CHARTED = Judged(unknown("missing-input", Rank.POSSIBLE))
_BOTH = (Outcome(True, "bound-only-value"), Outcome(False, "bound-only-value"))
_YES = (Outcome(True),)
_NO = (Outcome(False),)


def judge(criterion: Criterion, view: View) -> Judged:
    """The verdict of a criterion on an entry, judged once for each view."""
    if criterion.kind == "observed" and criterion.subject not in view.by_code and criterion.unanswered is None:
        return _NOT_CHARTED
    found = view.judged.get(criterion.key)
    if found is None:
        found = view.judged[criterion.key] = _KINDS[criterion.kind](criterion, view)
    return found


def calm_verdict(criterion: Criterion, view: View) -> Verdict:
    """The verdict when only calm, full counts are looked at; not met where there are none."""
    judged = judge(criterion, view)
    if all(reading.calm for reading in judged.readings):
        return judged.verdict
    return any_of([reading.verdict for reading in judged.readings if reading.calm])


def _observed(criterion: Criterion, view: View) -> Judged:
    if criterion.unanswered is not None:
        return overdue(criterion, criterion.unanswered, view, judge)
    charted = view.by_code[criterion.subject]
    readings = tuple([answer for each in charted if (answer := read(criterion, each, view)) is not None])
    if not readings:
        return _NOT_CHARTED
    verdict = readings[0].verdict if len(readings) == 1 else any_of([reading.verdict for reading in readings])
    judged = Judged(verdict, readings)
    return judged if criterion.repeated_within is None else repeat(criterion, judged, view, judge)


def read(criterion: Criterion, observation: Observation, view: View) -> Reading | None:
    """What one observation answers; None where the context filters leave it out."""
    chosen, maybe = selects(criterion.where, observation)
    if not chosen:
        return None
    withheld, calm = view.weighed.get(id(observation)) or _weigh(observation, view)
    if withheld is not None:
        return Reading(unknown(withheld), observation)
    if criterion.reach is None:
        return Reading(settle(_signs(criterion, observation), maybe), observation, calm=calm)
    limits, outcomes = _held(criterion.reach, observation, view)
    return Reading(settle(outcomes, maybe), observation, None, limits, calm)


def _weigh(observation: Observation, view: View) -> tuple[str | None, bool]:
    """Why an observation does not count, and whether it is calm; weighed once for each view."""
    weighed = view.weighed[id(observation)] = (_withheld(observation, view), is_calm(observation))
    return weighed


def _withheld(observation: Observation, view: View) -> str | None:
    if observation.status in WITHHELD or view.entry.event.status in WITHHELD:
        return "entered-in-error"
    if observation.absent is not None:
        return "missing-input"
    return observation.unusable


def _signs(criterion: Criterion, observation: Observation) -> Sequence[Outcome]:
    if criterion.has is not None:
        return _YES if has(observation, *criterion.has) else _NO
    return _graded(criterion, observation) if criterion.grades else _YES


def _graded(criterion: Criterion, observation: Observation) -> Sequence[Outcome]:
    wanted, grades = criterion.grades, observation.grades
    if not wanted.isdisjoint(grades):
        return _YES
    if "present" not in grades or criterion.ungraded == "not-met" or criterion.subject not in UNGRADED:
        return _NO
    could_be = frozenset(CATALOGUE[criterion.subject].grades) - {"absent", "present"}
    truths = {grade in wanted for grade in could_be}
    return [Outcome(truth, "unknown-grade" if len(truths) > 1 else None) for truth in sorted(truths)]


def _held(reach: Reach, observation: Observation, view: View) -> tuple[tuple[BandLimit, ...], list[Outcome]]:
    thresholds, doubt = thresholds_of(reach, observation, view)
    value = ends(observation)
    outcomes: list[Outcome] = []
    seen: tuple[BandLimit, ...] = ()
    for threshold in thresholds:
        limits, why = limits_of(threshold, view)
        outcomes += hold(threshold, limits, value, why or doubt)
        seen += limits
    return seen, outcomes


def thresholds_of(reach: Reach, observation: Observation, view: View) -> tuple[tuple[Threshold, ...], str | None]:
    """The thresholds that a value may be held against, and the reason where its context leaves more than one."""
    chosen, doubt = _choices(reach, observation)
    thresholds = tuple([view.rules.thresholds[each] for each in chosen])
    if "agreed_limits" in view.entry.care:
        thresholds = tuple(with_agreed(each, observation.code, view) for each in thresholds)
    return thresholds, doubt


def _choices(reach: Reach, observation: Observation) -> tuple[tuple[str, ...], str | None]:
    if reach.by is None:
        return (reach.threshold or "",), None
    word = observation.context.get(reach.by)
    state = "asleep" if word in ASLEEP else "awake"
    key = state if reach.by == "state" and word is not None else word
    matched = tuple(threshold for value, threshold in reach.each if value == key)
    return (matched, None) if matched else (tuple(each for _, each in reach.each), context_reason(reach.by))


def limits_of(threshold: Threshold, view: View) -> tuple[tuple[BandLimit, ...], str | None]:
    """The limits of a threshold that could apply; a limit agreed for this infant applies at every age."""
    if len(threshold.bands) == 1 and threshold.bands[0].set_by.startswith("agreed"):
        return threshold.bands, None
    return view.limits(threshold)


def hold(threshold: Threshold, limits: tuple[BandLimit, ...], value: Ends, doubt: str | None) -> list[Outcome]:
    """What a value answers to each limit that could apply."""
    outcomes = [] if limits else [Outcome(None, doubt)]
    for limit in limits:
        if limit.limit is None:
            outcomes.append(Outcome(None, doubt or "no-limit-published"))
            continue
        truth = reached(threshold.reached, value, limit.limit.position)
        outcomes += _BOTH if truth is None else (Outcome(truth, doubt),)
    return outcomes


def _derived(criterion: Criterion, view: View) -> Judged:
    if criterion.before is None:
        return _computed(criterion, view)
    now = judge(alone(criterion, criterion.before), view)
    return asked_before(criterion, now, view, judge)


def _computed(criterion: Criterion, view: View) -> Judged:
    value = derive(criterion.subject, view)
    if value.verdict is not None:
        return Judged(value.verdict, (Reading(value.verdict, value=value),))
    if criterion.reach is None:
        verdict = settle([Outcome(word in criterion.grades, value.doubt) for word in sorted(value.words)])
        return Judged(verdict, (Reading(verdict, value=value),))
    threshold = view.rules.thresholds[criterion.reach.threshold or ""]
    limits, why = view.limits(threshold)
    verdict = settle(_answers(value, threshold, limits, why))
    if value.is_least and verdict.rank is not Rank.MET:
        verdict = unknown("missing-input")
    return Judged(verdict, (Reading(verdict, None, value, limits),))


def _answers(value: Value, threshold: Threshold, limits: tuple[BandLimit, ...], why: str | None) -> list[Outcome]:
    if value.cuts is None:
        return hold(threshold, limits, (value.low, value.high), why)
    told = [limit.limit for limit in limits if limit.limit is not None]
    answers = [outcome for limit in told for outcome in value.cuts.outcomes(threshold.reached, limit)]
    return answers if len(told) == len(limits) and limits else [*answers, Outcome(None, why or "no-limit-published")]


def _care(criterion: Criterion, view: View) -> Judged:
    value = view.entry.care.get(criterion.subject)
    if value is None:
        return _CARE_NOT_CHARTED if criterion.uncharted == "possible" else _NOT_CHARTED
    return Judged(NOT_MET if criterion.grades.isdisjoint(words_of(value)) else MET)


def _band(criterion: Criterion, view: View) -> Judged:
    return Judged(age_gate(criterion.bands, criterion.age, view))


def _blank(criterion: Criterion, view: View) -> Judged:
    return _BLANK


_KINDS: dict[str, Callable[[Criterion, View], Judged]] = {
    "observed": _observed,
    "derived": _derived,
    "score": _derived,
    "care": _care,
    "band": _band,
    "blank": _blank,
}
