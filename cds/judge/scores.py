"""Totals of published scores: only where every item is charted with a grade that has points.

An incomplete score has no total; it says which items are missing. The points so far are shown, never judged.
"""

from __future__ import annotations

from cds.entry.model import Observation
from cds.judge.compare import ends, reached
from cds.judge.inputs import standing
from cds.judge.view import Value, View, unknown
from cds.rules.model import Score, ScoreItem
from cds.values import Verdict

_TICKS = 100


def score_total(score: Score, view: View) -> Value:
    """The total of a score, with the points of each item; or what is missing."""
    points = {item.words: item_points(item, view) for item in score.items}
    charted = {words: given for words, given in points.items() if given is not None}
    numbers = tuple((words, str(given)) for words, given in charted.items())
    if len(charted) < len(points):
        absent = tuple(item.code for item in score.items if points[item.words] is None)
        so_far = (("points so far", f"{sum(charted.values())} of {len(charted)} items"),)
        return Value(verdict=_why(score, view), numbers=numbers + so_far, needs=absent)
    total = sum(charted.values())
    at = 2 * _TICKS * total
    return Value(at, at, numbers=(*numbers, ("total", f"{total} of {score.most}")))


def item_points(item: ScoreItem, view: View) -> int | None:
    """Points of the worst usable observation of an item; None where none is charted or gradable."""
    given = [_points(item, observation) for observation in standing(view, item.code)]
    return max((points for points in given if points is not None), default=None)


def _points(item: ScoreItem, observation: Observation) -> int | None:
    if observation.quantity is not None and observation.comparator is None:
        return _cut(item, observation)
    graded = max((item.points[grade] for grade in observation.grades if grade in item.points), default=None)
    return _in_context(item, observation, graded) if graded else graded


def _in_context(item: ScoreItem, observation: Observation, graded: int) -> int:
    given = [points for key, word, points in item.contexts if observation.context.get(key) == word]
    return max(given, default=graded)


def _cut(item: ScoreItem, observation: Observation) -> int | None:
    value = ends(observation)
    passed = [cut.points for cut in item.cuts if reached(cut.reached, value, cut.limit.position)]
    return passed[-1] if passed else None


def _why(score: Score, view: View) -> Verdict:
    ungraded = any("present" in sign.grades for item in score.items for sign in standing(view, item.code))
    return unknown("unknown-grade" if ungraded else "missing-input")
