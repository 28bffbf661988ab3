"""Age bands after birth was long ago: unknown gestation leaves no doubt once the infant is older than the band."""

from __future__ import annotations

from typing import Any

import pytest

from cds.entry.read import read_entry
from cds.judge.gates import age_gate
from cds.judge.view import View
from cds.rules.load import load
from cds.rules.model import Band, Edge, RuleSet
from cds.shipped import shipped
from cds.values import Rank

EARLY = (
    Band("early", "postmenstrual", Edge(0, "wk"), Edge(32, "wk"), "under 32 weeks"),
    Band("late", "postmenstrual", Edge(32, "wk"), Edge(37, "wk"), "32 to 36 weeks"),
)


@pytest.fixture(scope="module")
def rules() -> RuleSet:
    return load(shipped("rulesets") / "infant-vitals")


def rank(days: int, rules: RuleSet, infant: dict[str, Any] | None = None) -> Rank:
    entry = read_entry({"infant": {"age": {"days": days}, **(infant or {})}, "observations": []})
    return age_gate(EARLY, "postmenstrual", View(entry, rules)).rank


def test_past_the_last_band_by_days_alive_the_rule_does_not_apply(rules: RuleSet) -> None:
    assert rank(37 * 7, rules) is Rank.NOT_MET
    assert rank(12_000, rules) is Rank.NOT_MET


def test_a_day_younger_it_may_still_apply(rules: RuleSet) -> None:
    assert rank(37 * 7 - 1, rules) is Rank.POSSIBLE
    assert rank(0, rules) is Rank.POSSIBLE


def test_known_gestation_decides_alone(rules: RuleSet) -> None:
    assert rank(0, rules, {"gestation": {"weeks": 30}}) is Rank.MET
    assert rank(0, rules, {"gestation": {"weeks": 37, "days": 0}}) is Rank.NOT_MET


@pytest.mark.parametrize(("days", "expected"), [(198, Rank.NOT_MET), (197, Rank.POSSIBLE), (0, Rank.POSSIBLE)])
def test_a_corrected_age_is_past_a_band_168_days_after_its_end(rules: RuleSet, days: int, expected: Rank) -> None:
    """As many days as are taken off for the earliest gestation that is read, 16 weeks."""
    month = (Band("month", "corrected", Edge(0, "d"), Edge(30, "d"), "under 30 days"),)
    entry = read_entry({"infant": {"age": {"days": days}}, "observations": []})
    assert age_gate(month, "corrected", View(entry, rules)).rank is expected
