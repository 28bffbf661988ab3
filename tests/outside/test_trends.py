"""The same sign over hours, and rechecks that were asked, against what is printed.

- Rise of temperature within hours: common practice, no source. No guideline prints how fast a temperature must rise to
  be measured again; 1.0 within 6 h and 37.5 wait for a hospital's clinical owner.
- Low temperature after warming: WHO, Thermal protection of the newborn, 1997, has a newborn under 36.5 warmed and
  measured again; that it is discussed when still low after 30 min to 4 h is common practice, no source.
- Overdue rechecks: the times are those of the rules that ask for the recheck, held here against those rules; that a
  recheck which was asked is charted is common practice, no source. WHO, young infant chart: a first count of 60 or
  more is repeated; secondary.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from cds.advice.needs import leaves
from cds.adviser import Adviser
from cds.rules.model import Criterion, Rule, RuleSet
from tests.outside.bedside import NOW, Data, before, breathing, entry, heart, raised, saturation, temperature
from tests.outside.printed import PRACTICE, at_all_ages, held

PRINTED = {
    "temperature-rise-fast": at_all_ages("at-or-above", "Cel", ("1.0", "common-practice", PRACTICE)),
    "temperature-rising-to": at_all_ages("at-or-above", "Cel", ("37.5", "common-practice", PRACTICE)),
}

ASKED_BY = {
    "respiratory-rate-fast": {
        "transition-fast-breathing": "repeat-count",
        "fast-breathing-first-week": "repeat-count",
        "fast-breathing-young-infant": "repeat-count",
    },
    "respiratory-rate-over-60": {"breathing-rate-over-60": "repeat-count"},
    "respiratory-rate-above-reference": {"respiratory-rate-above-reference": "repeat-count"},
    "respiratory-rate-below-reference": {"respiratory-rate-below-reference": "repeat-count"},
    "heart-rate-extreme": {"heart-rate-220-or-more": "repeat-count"},
    "heart-rate-under-80": {
        "heart-rate-under-80-awake": "repeat-count",
        "heart-rate-under-80-asleep": "repeat-count",
    },
    "heart-rate-under-100": {"heart-rate-under-100-awake": "repeat-count"},
    "heart-rate-low-awake": {"heart-rate-below-reference": "repeat-count"},
    "heart-rate-high-awake": {"heart-rate-above-reference": "repeat-when-calm"},
    "saturation-low-in-air": {"saturation-90-to-91-in-air": "measure-again"},
    "saturation-below-95": {"saturation-92-to-94-in-air": "measure-again"},
    "newborn-temperature-high": {"newborn-hyperthermia": "unwrap-and-repeat"},
    "newborn-temperature-mild-low": {"mild-hypothermia": "warm-and-repeat"},
    "temperature-moderate-low": {"moderate-hypothermia": "warm-and-repeat"},
    "temperature-low-from-2-months": {"low-temperature-from-2-months": "measure-again"},
    "high-fever": {"high-fever-3-to-5-months": "measure-again"},
    "systolic-low": {"low-systolic-pressure": "measure-again"},
    "refill-slow-limb": {"slow-refill-limb": "measure-again"},
}
"""By the threshold of an overdue recheck, the rules that ask for it, each with the step that asks."""
OWN = ("recheck-overdue", "temperature-rising")


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


def overdue(rules: RuleSet) -> list[Criterion]:
    found = (leaf for rule in rules.rules if rule.finding == "recheck-overdue" for leaf in leaves(rule.when))
    return [leaf for leaf in found if leaf.unanswered]


def limit_of(asked: Criterion) -> str:
    assert asked.reach is not None
    return asked.reach.threshold or dict(asked.reach.each)["awake"]


def test_a_recheck_is_overdue_after_the_time_of_the_rule_that_asked_for_it(rules: RuleSet) -> None:
    by_id = {rule.id: rule for rule in rules.rules}
    due: dict[str, set[int]] = {}
    for asked in overdue(rules):
        assert asked.unanswered is not None
        assert asked.unanswered.within == 24 * 3600
        due.setdefault(limit_of(asked), set()).add(asked.unanswered.after)
    assert due == {name: {_within(by_id[rule], step) for rule, step in by.items()} for name, by in ASKED_BY.items()}


def _within(rule: Rule, step: str) -> int:
    (found,) = [each.within for each in rule.next if each.step == step]
    assert found is not None
    return found


def test_each_rule_that_asks_for_a_recheck_of_a_charted_value_has_its_overdue_rule(rules: RuleSet) -> None:
    """Left out: what is asked of the entry itself, of signs, of sizes, of differences and of newborn screens."""
    asked = {rule for by in ASKED_BY.values() for rule in by}
    areas = {"breathing", "heart", "temperature", "circulation"}
    values = {
        rule.id
        for rule in rules.rules
        if rule.level == "recheck"
        and rule.area in areas
        and rule.finding not in ("recheck-overdue", "temperature-rising")
        if any(leaf.kind == "observed" and leaf.reach for leaf in leaves(rule.when))
    }
    assert values <= asked


@pytest.mark.parametrize(
    ("reading", "minutes"),
    [
        (breathing(64), 60),
        (heart(182), 30),
        (saturation(94), 30),
        (saturation(91), 15),
        (temperature("36.4"), 60),
        (temperature("37.6"), 30),
    ],
)
def test_a_value_that_was_to_be_measured_again_is_overdue_after_that_time(
    adviser: Adviser, reading: Data, minutes: int
) -> None:
    for late, finding in ((0, None), (1, "recheck")):
        then = (NOW - timedelta(minutes=minutes + late)).isoformat()
        charted = entry("21 d", earlier=[{"event": {"measured": then}, "observations": [reading]}])
        assert raised(adviser, charted).get("recheck-overdue") == finding
        assert "recheck-overdue" not in raised(adviser, {**charted, "observations": [reading]})


@pytest.mark.parametrize(("now", "level"), [("37.5", None), ("37.6", "recheck"), ("37.4", None)])
def test_a_rise_of_a_degree_to_37_and_a_half_is_measured_again(adviser: Adviser, now: str, level: str | None) -> None:
    charted = entry("40 d", temperature(now), earlier=[before(3, temperature("36.6"))])
    assert raised(adviser, charted).get("temperature-rising") == level


def test_a_newborn_warmed_and_still_low_is_discussed(adviser: Adviser) -> None:
    low = temperature("36.3")
    charted = entry("5 d", low, earlier=[before(1, low)], care={"warmth": "skin-to-skin"})
    assert raised(adviser, charted)["low-temperature-after-warming"] == "discuss"
    assert "low-temperature-after-warming" not in raised(adviser, {**charted, "care": {"warmth": "cot"}})
