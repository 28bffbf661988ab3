"""Comparator words and bounds against the ranges of DMN FEEL.

OMG Decision Model and Notation 1.5, 10.3.2.7 (ranges): a range has two ends, each included or not; a comparison with
one end is a range open on the other side, `>= 60` from 60 included, `> 60` from 60 excluded. 10.3.4.11 (functions on
ranges): a range lies during another, or before or after it, or overlaps it. A charted bound such as `<60` is a range.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from cds.adviser import Adviser
from cds.entry.model import Observation
from cds.entry.units import quantity
from cds.judge.compare import ends, reached
from cds.rules.model import Comparator
from tests.outside.bedside import breathing, entry, verdict

LIMIT = 60
WORDS: dict[Comparator, str] = {"at-or-above": ">=", "above": ">", "at-or-below": "<=", "below": "<"}
# As the standard reads them: what each of 59, 60 and 61 answers.
POINTS = {
    ">=": {59: False, 60: True, 61: True},
    ">": {59: False, 60: False, 61: True},
    "<=": {59: True, 60: True, 61: False},
    "<": {59: True, 60: False, 61: False},
}


@dataclass(frozen=True)
class Range:
    """The halves from 0 to 120 that a range holds: enough to tell an end that is included from one that is not."""

    held: frozenset[int]

    def during(self, other: Range) -> bool:
        return self.held <= other.held

    def overlaps(self, other: Range) -> bool:
        return bool(self.held & other.held)


def one_ended(word: str, end: int) -> Range:
    """The range that a comparison with one end stands for."""
    halves = range(241)
    answers = {
        ">=": lambda half: half >= 2 * end,
        ">": lambda half: half > 2 * end,
        "<=": lambda half: half <= 2 * end,
        "<": lambda half: half < 2 * end,
    }
    return Range(frozenset(filter(answers[word], halves)))


def charted(value: int, bound: str | None = None) -> Observation:
    return Observation(
        "respiratory-rate", "/observations/0", quantity=quantity("rate", value, "/min"), comparator=bound
    )


def answer(comparator: Comparator, value: int, bound: str | None = None) -> bool | None:
    return reached(comparator, ends(charted(value, bound)), quantity("rate", LIMIT, "/min").position)


@pytest.mark.parametrize("comparator", WORDS)
@pytest.mark.parametrize("value", [59, 60, 61])
def test_a_word_includes_its_end_where_feel_does(comparator: Comparator, value: int) -> None:
    assert answer(comparator, value) is POINTS[WORDS[comparator]][value]


@pytest.mark.parametrize("comparator", WORDS)
@pytest.mark.parametrize("bound", ["<", "<=", ">=", ">"])
@pytest.mark.parametrize("value", [58, 59, 60, 61, 62])
def test_a_bound_answers_yes_during_the_range_no_outside_and_neither_where_they_overlap(
    comparator: Comparator, bound: str, value: int
) -> None:
    limits, told = one_ended(WORDS[comparator], LIMIT), one_ended(bound, value)
    expected = True if told.during(limits) else None if told.overlaps(limits) else False
    assert answer(comparator, value, bound) is expected


@pytest.mark.parametrize(
    ("bound", "value", "said"),
    [(">=", 60, "met"), ("<", 60, "not-met"), (">=", 59, "cannot-tell"), ("<=", 60, "cannot-tell")],
)
def test_a_charted_bound_is_judged_by_what_it_excludes(adviser: Adviser, bound: str, value: int, said: str) -> None:
    charted_rate = entry("20 d", breathing(value, comparator=bound))
    assert verdict(adviser, charted_rate, "fast-breathing-young-infant") == said
