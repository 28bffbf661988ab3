"""The steps of a threshold, its axis of age in pieces, and how labels are laid out."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cds.advice.terms import COMPARATORS
from cds.entry.units import UNITS
from cds.pictures.bands import days, steps
from cds.pictures.canvas import spread
from cds.pictures.table import describe_steps, steps_table
from cds.rules.model import BandLimit, Threshold
from tests.bedside import adviser

RULES = adviser().rules


def said(limit: BandLimit, threshold: Threshold) -> str:
    if limit.limit is None:
        return "no limit"
    return f"{COMPARATORS[threshold.reached]} {limit.limit.value} {UNITS[threshold.unit].words}".rstrip()


@pytest.mark.parametrize("name", sorted(RULES.thresholds))
def test_every_threshold_is_told_band_by_band(name: str) -> None:
    threshold = RULES.thresholds[name]
    found = steps(threshold, RULES)
    assert [step.words for step in found.steps] == [limit.band.words for limit in threshold.bands]
    for step, limit in zip(found.steps, threshold.bands, strict=True):
        assert (
            step.limit == f"{COMPARATORS[limit.reached]} {step.limit.removeprefix(COMPARATORS[limit.reached])[1:]}"
            or (limit.limit is None and step.limit == "no limit")
        )
        assert (step.y is None) is (limit.limit is None)
        assert step.left < step.right
        assert step.y is None or step.y == Fraction(limit.limit.value if limit.limit else 0)
        assert f"  {step.words}" in steps_table(found)
        assert f"{step.words}: {step.limit}." in describe_steps(found)
    ends = [end for step in found.steps for end in (step.left, step.right)]
    assert ends == sorted(ends)
    assert all(limit.no_limit in steps_table(found) for limit in threshold.bands if limit.no_limit)


def test_an_age_axis_in_pieces_is_even_inside_each() -> None:
    found = steps(RULES.thresholds["heart-rate-low-awake"], RULES)
    assert [piece.unit for piece in found.pieces] == ["d", "mo"]
    first, second = found.pieces
    assert (first.start, first.end, second.start) == (0, 7, 7)
    assert first.place(Fraction(7, 2)) == (first.left + first.right) / 2
    widths = [step.right - step.left for step in found.steps[2:]]
    assert widths[0] == widths[1] == widths[2] == widths[3] / 2
    assert second.left > first.right


def test_an_axis_of_one_unit_has_one_piece() -> None:
    found = steps(RULES.thresholds["respiratory-rate-fast"], RULES)
    assert [(piece.unit, piece.left, piece.right) for piece in found.pieces] == [("d", 0, 1)]
    assert days(RULES.thresholds["respiratory-rate-fast"].bands[0].band.end) == 60


def test_scores_and_derived_values_are_named() -> None:
    assert steps(RULES.thresholds["silverman-andersen-severe"], RULES).label.startswith("Silverman-Andersen")
    assert steps(RULES.thresholds["weight-gain-slow"], RULES).label == "Gain over 5 days or more, g/day"


def test_labels_are_spread_in_order_and_inside() -> None:
    assert spread([0.5], 1.0, 0.0, 1.0) == [0.5]
    assert spread([5.0, 5.0, 5.0], 1.0, 0.0, 10.0) == [5.0, 6.0, 7.0]
    assert spread([9.5, 9.6], 1.0, 0.0, 10.0) == [9.0, 10.0]
    assert spread([3.0, 1.0], 5.0, 0.0, 4.0) == [4.0, 0.0]
    assert spread([], 1.0, 0.0, 1.0) == []
