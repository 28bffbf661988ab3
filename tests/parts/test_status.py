"""Status, level and supersession by themselves, on rules made for the purpose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from cds.advice.status import Raised, decide
from cds.entry.model import Entry, Remark
from cds.judge.view import View
from cds.rules.load import load
from cds.rules.model import Level, Rule, RuleSet
from cds.values import Rank, Verdict

MET = Verdict(Rank.MET)
POSSIBLE = Verdict(Rank.POSSIBLE, frozenset({"unknown-route"}))
FUTURE = Remark("measured-in-future", "/event/measured", "2 h", "measured 2 h after this call")


@pytest.fixture(scope="module")
def rules() -> RuleSet:
    return load(Path(__file__).parents[2] / "rulesets" / "infant-vitals")


@pytest.fixture(scope="module")
def model(rules: RuleSet) -> Rule:
    """A rule on a sign, with nothing of its own but what a test gives it."""
    found = next(rule for rule in rules.rules if rule.id == "abdomen-tense")
    return replace(found, supersedes=(), confirmed=None, closes_within=None, red_flag=False, reference_range=False)


def one(model: Rule, name: str, level: Level, **more: object) -> Rule:
    return replace(model, id=name, finding=name, level=level, **more)  # type: ignore[arg-type]


def raise_all(made: list[Rule], rules: RuleSet, verdicts: Mapping[str, Verdict] | None = None) -> dict[str, Raised]:
    view = View(Entry(), replace(rules, rules=tuple(made)))
    told = {rule.id: MET for rule in made} | dict(verdicts or {})
    return {each.rule.id: each for each in decide(made, told, view)}


def hidden(found: Mapping[str, Raised]) -> dict[str, tuple[str, ...]]:
    return {rule: each.superseded_by for rule, each in found.items() if each.superseded_by}


def test_a_finding_of_the_same_or_a_higher_level_supersedes(rules: RuleSet, model: Rule) -> None:
    high = one(model, "high", "contact", supersedes=("low", "same"))
    made = [one(model, "low", "note"), one(model, "same", "contact"), high]
    assert hidden(raise_all(made, rules)) == {"low": ("high",), "same": ("high",)}


def test_a_finding_of_a_lower_level_supersedes_nothing(rules: RuleSet, model: Rule) -> None:
    made = [one(model, "low", "recheck", supersedes=("high",)), one(model, "high", "discuss")]
    assert hidden(raise_all(made, rules)) == {}


def test_a_red_flag_is_superseded_by_a_red_flag_alone(rules: RuleSet, model: Rule) -> None:
    flag = one(model, "flag", "contact", red_flag=True)
    over = one(model, "over", "contact", supersedes=("flag",))
    assert hidden(raise_all([flag, over], rules)) == {}
    assert hidden(raise_all([flag, replace(over, red_flag=True)], rules)) == {"flag": ("over",)}


def test_what_only_could_be_is_raised_at_discuss_as_a_red_flag_or_not_at_all(rules: RuleSet, model: Rule) -> None:
    levels: tuple[Level, ...] = ("note", "recheck", "discuss", "contact")
    made = [one(model, level, level) for level in levels] + [one(model, "flag", "contact", red_flag=True)]
    found = raise_all(made, rules, {rule.id: POSSIBLE for rule in made})
    assert {name: (each.level, each.status, each.could_be) for name, each in found.items()} == {
        "flag": ("contact", "raised", True),
        "discuss": ("discuss", "provisional", True),
        "contact": ("discuss", "provisional", True),
    }


def test_what_only_could_be_does_not_hide_what_is_met(rules: RuleSet, model: Rule) -> None:
    made = [one(model, "met", "discuss"), one(model, "could-be", "contact", supersedes=("met",))]
    assert hidden(raise_all(made, rules, {"could-be": POSSIBLE})) == {}


def test_nothing_is_raised_of_what_is_unknown_or_not_met(rules: RuleSet, model: Rule) -> None:
    made = [one(model, "unknown", "contact", red_flag=True), one(model, "not-met", "contact", red_flag=True)]
    told = {"unknown": Verdict(Rank.UNKNOWN, frozenset({"missing-input"})), "not-met": Verdict(Rank.NOT_MET)}
    assert raise_all(made, rules, told) == {}


def test_the_most_serious_comes_first_and_what_is_superseded_last(rules: RuleSet, model: Rule) -> None:
    made = [
        one(model, "note", "note"),
        one(model, "hidden", "contact"),
        one(model, "contact", "contact"),
        one(model, "flag", "contact", red_flag=True, supersedes=("hidden",)),
        one(model, "discuss", "discuss"),
    ]
    assert list(raise_all(made, rules)) == ["flag", "contact", "discuss", "note", "hidden"]


def test_a_wrong_time_holds_what_rests_on_age_but_no_contact_and_no_red_flag(rules: RuleSet) -> None:
    by_id = {rule.id: rule for rule in rules.rules}
    made = [by_id[name] for name in ("fast-breathing-young-infant", "femoral-pulses-absent", "gasping")]
    view = View(Entry(remarks=(FUTURE,)), rules)
    found = {each.rule.id: each.status for each in decide(made, {rule.id: MET for rule in made}, view)}
    assert found["fast-breathing-young-infant"] == "held"
    assert found["femoral-pulses-absent"] != "held"
    assert found["gasping"] == "raised"
