"""Distress scores and signs against their publications.

- Silverman WA, Andersen DH, Pediatrics 1956;17:1-10: five items of 0 to 2. Bands 4-6 and 7-10 are teaching use, seen
  secondary; 1-3 is the remainder.
- Wood DW, Downes JJ, Lecks HI, AJDC 1972;123:227-8, after Downes and others 1970: five items of 0 to 2, over 6 is the
  gravest band. Seen secondary. 4 as the moderate band: common practice, no source.
- WHO charts (IMCI 2014, 2019; ETAT 2016) and NICE NG143: which signs are grave. Seen secondary.
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet, ScoreItem
from tests.outside.bedside import Data, advise, breathing, entry, raised, sign
from tests.outside.printed import DERIVED, PRACTICE, SECONDARY, at_all_ages, held

PRINTED = {
    "silverman-andersen-mild": at_all_ages("at-or-above", "{score}", ("1", "silverman-1956", DERIVED)),
    "silverman-andersen-moderate": at_all_ages("at-or-above", "{score}", ("4", "silverman-1956", SECONDARY)),
    "silverman-andersen-severe": at_all_ages("at-or-above", "{score}", ("7", "silverman-1956", SECONDARY)),
    "downes-mild": at_all_ages("at-or-above", "{score}", ("1", "wood-1972", DERIVED)),
    "downes-moderate": at_all_ages("at-or-above", "{score}", ("4", "common-practice", PRACTICE)),
    "downes-severe": at_all_ages("above", "{score}", ("6", "wood-1972", SECONDARY)),
}

SILVERMAN = {
    "chest-abdomen-movement": {"together": 0, "chest-lags": 1, "see-saw": 2},
    "lower-chest-retraction": {"absent": 0, "minimal": 1, "marked": 2},
    "xiphoid-retraction": {"absent": 0, "minimal": 1, "marked": 2},
    "nasal-flaring": {"absent": 0, "minimal": 1, "marked": 2},
    "grunting": {"absent": 0, "by-stethoscope": 1, "by-ear": 2},
}
# The paper's items for colour: none, in room air, in 40 % oxygen; blue hands and feet are not its cyanosis.
DOWNES = {
    "cyanosis": {"absent": 0, "hands-and-feet": 0, "central": 1},
    "retractions": {"absent": 0, "mild": 1, "moderate": 2, "severe": 2},
    "grunting": {"absent": 0, "by-stethoscope": 1, "by-ear": 2},
    "air-entry": {"clear": 0, "decreased": 1, "barely-audible": 2},
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_band(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


def graded(items: tuple[ScoreItem, ...]) -> dict[str, dict[str, int]]:
    return {item.code: dict(item.points) for item in items if not item.cuts}


def test_the_silverman_andersen_items_have_the_printed_points(rules: RuleSet) -> None:
    score = rules.scores["silverman-andersen"]
    assert (graded(score.items), score.most) == (SILVERMAN, 10)


def test_the_downes_items_have_the_printed_points(rules: RuleSet) -> None:
    score = rules.scores["downes"]
    assert (graded(score.items), score.most) == (DOWNES, 10)
    rate = next(item for item in score.items if item.cuts)
    cuts = [(cut.reached, str(cut.limit.value), cut.points) for cut in rate.cuts]
    assert cuts == [("at-or-above", "0", 0), ("at-or-above", "60", 1), ("above", "80", 2)]
    colour = next(item for item in score.items if item.contexts)
    assert colour.contexts == (("in_oxygen", "persists", 2),)


def silverman(points: int) -> list[Data]:
    return [
        sign(code, next(grade for grade, worth in grades.items() if worth == points))
        for code, grades in SILVERMAN.items()
    ]


def totals(adviser: Adviser, data: Data, score: str) -> list[tuple[str, str]]:
    """Total and level of the bands of a score that are raised, superseded ones left out."""
    findings = (each for each in advise(adviser, data)["findings"] if each["finding"] == f"{score}-score")
    return [(each["numbers"]["total"], each["level"]) for each in findings if not each["superseded_by"]]


@pytest.mark.parametrize(
    ("points", "said"),
    [(1, ("5 of 10", "discuss")), (2, ("10 of 10", "contact"))],
)
def test_all_items_at_1_is_moderate_and_at_2_is_severe(adviser: Adviser, points: int, said: tuple[str, str]) -> None:
    assert totals(adviser, entry("3 h", *silverman(points)), "silverman-andersen") == [said]


def downes(rate: int, grunt: str, **colour: str) -> list[Data]:
    return [
        breathing(rate),
        sign("cyanosis", "central", **colour),
        sign("retractions", "mild"),
        sign("grunting", grunt),
        sign("air-entry", "decreased"),
    ]


def test_the_worked_downes_totals_5_then_7(adviser: Adviser) -> None:
    """Rate 70, blue in air, mild retraction, grunt by stethoscope, reduced entry; then rate 85 and a grunt by ear."""
    first, later = downes(70, "by-stethoscope"), downes(85, "by-ear")
    assert totals(adviser, entry("6 h", *first), "downes") == [("5 of 10", "discuss")]
    assert totals(adviser, entry("8 h", *later), "downes") == [("7 of 10", "contact")]
    in_oxygen = downes(85, "by-ear", in_oxygen="persists")
    assert totals(adviser, entry("8 h", *in_oxygen), "downes") == [("8 of 10", "contact")]


@pytest.mark.parametrize(("rate", "total"), [(59, 4), (60, 5), (80, 5), (81, 6)])
def test_the_downes_rate_counts_from_60_and_from_over_80(adviser: Adviser, rate: int, total: int) -> None:
    [(said, _)] = totals(adviser, entry("6 h", *downes(rate, "by-stethoscope")), "downes")
    assert said == f"{total} of 10"


def test_a_score_with_an_item_not_charted_has_no_total(adviser: Adviser) -> None:
    advice = advise(adviser, entry("3 h", *silverman(2)[:-1]))
    assert "silverman-andersen-score" not in [each["finding"] for each in advice["findings"]]
    needs = {need for each in advice["not_evaluated"]["needed"] for need in each["needs"]}
    assert any("grunting" in need for need in needs)


@pytest.mark.parametrize(
    ("charted", "finding", "level"),
    [
        (sign("nasal-flaring", "minimal"), "nasal-flaring", "recheck"),
        (sign("retractions", "moderate"), "retractions", "discuss"),
        (sign("retractions", "severe"), "retractions", "contact"),
        (sign("grunting", "by-ear"), "grunting", "contact"),
        (sign("head-bobbing"), "head-bobbing", "contact"),
        (sign("see-saw-breathing"), "see-saw-breathing", "contact"),
        (sign("stridor-when-calm"), "stridor-when-calm", "contact"),
        (sign("cyanosis", "central"), "central-cyanosis", "contact"),
        (sign("cyanosis", "hands-and-feet"), "acrocyanosis", "note"),
    ],
)
def test_each_sign_weighs_as_its_publications_say(adviser: Adviser, charted: Data, finding: str, level: str) -> None:
    assert raised(adviser, entry("30 h", charted))[finding] == level


def test_lower_chest_indrawing_counts_at_any_grade_from_2_months_and_only_severe_before(adviser: Adviser) -> None:
    mild, severe = (sign("retractions", grade, sites=["lower-chest"]) for grade in ("mild", "severe"))
    assert raised(adviser, entry("60 d", mild))["chest-indrawing"] == "discuss"
    assert "chest-indrawing" not in raised(adviser, entry("59 d", mild))
    assert raised(adviser, entry("59 d", severe))["chest-indrawing"] == "contact"
