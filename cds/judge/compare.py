"""Hold one value against limits: true, false, or either.

Takes positions (doubled ticks) and comparator words; a bound such as `<` is a span open on one side. Never rounds.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cds.entry.model import Observation
from cds.judge.logic import MET, NOT_MET
from cds.rules.model import Comparator
from cds.values import Rank, Verdict

Ends = tuple[int | None, int | None]
_ONLY_TRUE = {True}
_ONLY_FALSE = {False}


class Outcome(NamedTuple):
    """What one possibility answers: true, false, or nothing (no limit there), with the reasons for doubt."""

    truth: bool | None
    reason: str | None = None


def ends(observation: Observation) -> Ends:
    """Lowest and highest position a charted value can have; None where it is open."""
    assert observation.quantity is not None
    at = observation.quantity.position
    if observation.comparator is None:
        return at, at
    open_ends: dict[str, Ends] = {
        "<": (None, at - 1),
        "<=": (None, at),
        ">": (at + 1, None),
        ">=": (at, None),
    }
    return open_ends[observation.comparator]


def reached(comparator: Comparator, value: Ends, limit: int) -> bool | None:
    """Whether every, no, or only some position of a value reaches the limit.

    Source: comparator words as DMN 1.5 intervals, closed at the limit for at-or-above and at-or-below.
    """
    low, high = value
    if comparator in ("at-or-above", "above"):
        edge = limit if comparator == "at-or-above" else limit + 1
        return _side(low is not None and low >= edge, high is not None and high < edge)
    edge = limit if comparator == "at-or-below" else limit - 1
    return _side(high is not None and high <= edge, low is not None and low > edge)


def _side(every: bool, none: bool) -> bool | None:
    if every:
        return True
    return False if none else None


def settle(outcomes: Sequence[Outcome], maybe: str | None = None) -> Verdict:
    """One verdict where all possibilities agree, else cannot-tell; `maybe` is why the value may not count at all."""
    truths = {outcome.truth for outcome in outcomes}
    if truths == _ONLY_FALSE:
        return NOT_MET
    if truths == _ONLY_TRUE and maybe is None:
        return MET
    reasons = frozenset(outcome.reason for outcome in outcomes if outcome.reason)
    if True in truths:
        return Verdict(Rank.POSSIBLE, reasons | ({maybe} if maybe else frozenset()))
    return Verdict(Rank.UNKNOWN, reasons)
