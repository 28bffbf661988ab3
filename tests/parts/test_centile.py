"""Between which published centiles a charted value lies: words only, never a finding."""

from decimal import Decimal

import pytest

from cds.advice.centile import centile, ordinal
from cds.entry.read import read_entry
from cds.judge.view import View
from cds.rules.load import load
from cds.rules.model import RuleSet
from cds.shipped import shipped


@pytest.fixture(scope="module")
def rules() -> RuleSet:
    return load(shipped("rulesets") / "infant-vitals")


def said(rules: RuleSet, value: object, infant: dict[str, object], **more: object) -> str | None:
    chart = {"code": "respiratory-rate", "value": value, "unit": "/min", **more}
    entry = read_entry({"infant": infant, "observations": [chart]}, None)
    return centile(entry.observations[0], View(entry, rules))


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (24, "under the 1st centile"),
        (25, "at the 1st centile"),
        (26, "between the 1st and 10th centile"),
        (43, "at the 50th centile"),
        (Decimal("56.5"), "between the 75th and 90th centile"),
        (66, "at the 99th centile"),
        (67, "over the 99th centile"),
    ],
)
def test_a_breathing_rate_at_three_weeks_stands_between_the_printed_centiles(
    rules: RuleSet, value: object, words: str
) -> None:
    assert said(rules, value, {"age": {"days": 21}}) == words


def test_no_centile_is_said_of_a_bound_an_unknown_age_or_an_age_on_both_sides_of_a_month(rules: RuleSet) -> None:
    assert said(rules, 40, {"age": {"days": 21}}, comparator="<") is None
    assert said(rules, 40, {}) is None
    assert said(rules, 40, {"age": {"days": 91}}) is None


@pytest.mark.parametrize(
    ("number", "word"), [(1, "1st"), (2, "2nd"), (3, "3rd"), (11, "11th"), (21, "21st"), (90, "90th")]
)
def test_numbers_are_said_in_order_words(number: int, word: str) -> None:
    assert ordinal(number) == word
