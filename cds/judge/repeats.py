"""A second count: whether an earlier settled reading met the same criterion.

Takes what this entry answers and looks back over earlier entries, each by itself and at its own age.
Only calm, full counts repeat or break a run; an unsettled one in between does neither.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache

from cds.entry.times import between
from cds.judge.logic import NOT_MET, any_of
from cds.judge.view import Judged, View
from cds.rules.model import Criterion
from cds.values import Rank, Span, Verdict

Judge = Callable[[Criterion, View], Judged]


def repeat(criterion: Criterion, now: Judged, view: View, judge: Judge) -> Judged:
    """Met where this entry's calm reading and as many earlier calm ones as asked meet, none between not having met."""
    here = _calm(now)
    if here.rank <= Rank.UNKNOWN:
        return now._replace(verdict=here)
    here_alone = 1 if criterion.repeated_after else max(_counts(now), 1)
    wanted = criterion.repeated_times - here_alone
    if wanted <= 0:
        return now._replace(verdict=here)
    return _look_back(Judged(here, now.readings), _run(criterion, view, wanted, judge))


def _look_back(now: Judged, run: list[tuple[View, Verdict]] | None) -> Judged:
    if run is None:
        return now._replace(verdict=NOT_MET)
    verdicts = [now.verdict, *(verdict for _, verdict in run)]
    return Judged(min(verdicts, key=lambda verdict: verdict.rank), now.readings, run[0][0].entry)


def _run(criterion: Criterion, view: View, wanted: int, judge: Judge) -> list[tuple[View, Verdict]] | None:
    """The latest earlier entries whose calm readings meet, unbroken; None where they are too few."""
    assert criterion.repeated_within is not None
    run: list[tuple[View, Verdict]] = []
    for past in instants(view.past(criterion.repeated_within)):
        judged = judge(once(criterion), past)
        then = _calm(judged)
        if then.rank >= Rank.POSSIBLE and apart(past, view).low >= criterion.repeated_after:
            run.append((past, then))
        elif then.rank is Rank.NOT_MET and _calm_readings(judged):
            break
        if len(run) == wanted:
            return run
    return None


def apart(past: View, view: View) -> Span:
    """The seconds from an earlier entry to this one, both with a time of measuring."""
    then, now = past.entry.event.measured, view.entry.event.measured
    assert then is not None
    assert now is not None
    return between(then, now)


def instants(views: Iterable[View]) -> Iterator[View]:
    """Earlier entries, of several at one instant the last sent: a corrected entry is no second count."""
    seen: set[object] = set()
    for view in views:
        measured = view.entry.event.measured
        assert measured is not None
        if measured.seconds not in seen:
            yield view
        seen.add(measured.seconds)


@lru_cache(maxsize=1024)
def once(criterion: Criterion) -> Criterion:
    """The same criterion without its repeat."""
    return replace(criterion, repeated_within=None, repeated_after=0, key=criterion.key + "/once")


def _calm_readings(judged: Judged) -> list[Verdict]:
    return [reading.verdict for reading in judged.readings if reading.calm]


def _calm(judged: Judged) -> Verdict:
    return any_of(_calm_readings(judged))


def _counts(judged: Judged) -> int:
    """How many calm counts of this entry meet, measured at different times."""
    times = [
        reading.observation.measured.text
        for reading in judged.readings
        if reading.calm and reading.verdict.rank is Rank.MET and reading.observation and reading.observation.measured
    ]
    return len(set(times))
