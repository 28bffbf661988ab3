"""The NICE fever table, item by item.

NICE, NG143 Fever in under 5s: assessment and initial management, 2019 updated 2021, traffic light table. Seen
secondary; the axilla as route under 4 weeks is the publisher's own. The table prints over for rates, or more for
temperature and refill, or less for saturation. Misprints in circulation that are not followed: 38 for 39 at 3-6
months, over 38 under 3 months, 60 or more for over 60. It has no amber breathing rate under 6 months.
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, breathing, entry, heart, raised, saturation, sign, temperature, verdict
from tests.outside.printed import SECONDARY, Printed, at_all_ages, held

NG143 = "nice-ng143"
PRINTED = {
    "fever-table-fever": at_all_ages("at-or-above", "Cel", ("38.0", NG143, SECONDARY)),
    "fever-table-rate-amber": Printed(
        "above",
        "/min",
        {
            "0 mo to 6 mo": None,
            "6 mo to 12 mo": ("50", NG143, SECONDARY),
            "12 mo to 24 mo": ("40", NG143, SECONDARY),
        },
    ),
    "fever-table-rate-red": at_all_ages("above", "/min", ("60", NG143, SECONDARY)),
    "fever-table-heart-rate-amber": Printed(
        "above", "/min", {"0 mo to 12 mo": ("160", NG143, SECONDARY), "12 mo to 24 mo": ("150", NG143, SECONDARY)}
    ),
    "fever-table-saturation-amber": at_all_ages("at-or-below", "%", ("95", NG143, SECONDARY)),
    "fever-table-refill-amber": at_all_ages("at-or-above", "s", ("3", NG143, SECONDARY)),
    "fever-table-temperature-amber": Printed(
        "at-or-above",
        "Cel",
        {"0 mo to 3 mo": None, "3 mo to 6 mo": ("39.0", NG143, SECONDARY), "6 mo to 24 mo": None},
    ),
    "fever-table-temperature-red": Printed(
        "at-or-above",
        "Cel",
        {"0 mo to 3 mo": ("38.0", NG143, SECONDARY), "3 mo to 6 mo": None, "6 mo to 24 mo": None},
    ),
    "fever-table-duration-amber": at_all_ages("at-or-above", "h", ("120", NG143, SECONDARY)),
}
BREAST = {"feeding_route": "breast"}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


def refill(seconds: int) -> Data:
    return {"code": "capillary-refill", "value": seconds, "unit": "s", "site": "finger"}


def colour(word: str, by: str) -> Data:
    return {"code": "skin-colour", "grade": [word], "reported_by": by}


AMBER = [
    colour("pale", "carer"),
    sign("social-response", "reduced"),
    sign("waking", "prolonged-stimulation"),
    sign("activity", "reduced"),
    sign("nasal-flaring", "minimal"),
    sign("crackles"),
    sign("mucosa", "dry"),
    sign("feeding", "poor"),
    sign("urine-output", "reduced"),
    sign("rigors"),
    sign("swollen-limb-or-joint"),
    sign("unused-limb"),
    refill(3),
    saturation(95),
]
RED = [
    *(colour(word, "clinician") for word in ("pale", "mottled", "ashen")),
    sign("cyanosis", "central"),
    sign("social-response", "none"),
    sign("looks-ill"),
    sign("waking", "does-not-wake"),
    sign("waking", "does-not-stay-awake"),
    *(sign("cry", word) for word in ("weak", "high-pitched", "continuous")),
    sign("grunting", "by-ear"),
    sign("retractions", "moderate"),
    sign("retractions", "severe"),
    sign("skin-turgor", "reduced"),
    sign("rash", "non-blanching"),
    sign("fontanelle", "bulging"),
    sign("neck-stiffness"),
    sign("convulsions", "present-prolonged"),
    sign("convulsions", "present-focal"),
    sign("focal-signs"),
]


def columns(adviser: Adviser, age: str, *observations: Data, fever: str = "38.2") -> str:
    """The gravest column that is met."""
    charted = entry(age, temperature(fever), *observations, care=BREAST)
    met = [each for each in ("red", "amber") if verdict(adviser, charted, f"fever-table-{each}") == "met"]
    return met[0] if met else "none"


@pytest.mark.parametrize("item", AMBER, ids=lambda item: f"{item['code']}-{item.get('grade', '')}")
def test_each_amber_item_puts_a_feverish_infant_in_the_amber_column(adviser: Adviser, item: Data) -> None:
    assert columns(adviser, "8 mo", item) == "amber"


@pytest.mark.parametrize("item", RED, ids=lambda item: f"{item['code']}-{item.get('grade', '')}")
def test_each_red_item_puts_a_feverish_infant_in_the_red_column(adviser: Adviser, item: Data) -> None:
    assert columns(adviser, "8 mo", item) == "red"


@pytest.mark.parametrize("item", [AMBER[2], RED[5]])
def test_without_fever_or_a_history_of_it_the_table_is_not_used(adviser: Adviser, item: Data) -> None:
    assert columns(adviser, "8 mo", item, fever="37.2") == "none"
    told = entry("8 mo", temperature("37.2"), sign("fever-history"), item, care=BREAST)
    assert any(finding.startswith("fever-table") for finding in raised(adviser, told))


@pytest.mark.parametrize(
    ("age", "observation", "column"),
    [
        ("4 mo", breathing(58), "none"),
        ("5 mo", breathing(60), "none"),
        ("5 mo", breathing(61), "red"),
        ("6 mo", breathing(50), "none"),
        ("6 mo", breathing(51), "amber"),
        ("12 mo", breathing(40), "none"),
        ("12 mo", breathing(41), "amber"),
        ("12 mo", breathing(61), "red"),
        ("8 mo", heart(160), "none"),
        ("8 mo", heart(161), "amber"),
        ("12 mo", heart(150), "none"),
        ("12 mo", heart(151), "amber"),
        ("8 mo", saturation(96), "none"),
        ("8 mo", refill(2), "none"),
    ],
)
def test_each_number_counts_from_the_printed_limit_on(
    adviser: Adviser, age: str, observation: Data, column: str
) -> None:
    assert columns(adviser, age, observation) == column


def test_at_4_months_58_is_fast_for_who_and_no_amber_rate_for_nice(adviser: Adviser) -> None:
    found = raised(adviser, entry("4 mo", temperature("38.2"), breathing(58)))
    assert "fast-breathing" in found
    assert "fever-table-amber" not in found


@pytest.mark.parametrize(
    ("age", "fever", "column"),
    [
        ("2 mo", "38.0", "red"),
        ("4 mo", "38.9", "none"),
        ("4 mo", "39.0", "amber"),
        ("5 mo", "40.0", "amber"),
        ("6 mo", "40.0", "none"),
    ],
)
def test_the_height_of_a_fever_counts_under_6_months_only(adviser: Adviser, age: str, fever: str, column: str) -> None:
    assert columns(adviser, age, fever=fever) == column


@pytest.mark.parametrize(
    ("since", "column"), [("2026-03-15T09:00:00+00:00", "amber"), ("2026-03-15T10:00:00+00:00", "none")]
)
def test_five_days_of_fever_are_amber(adviser: Adviser, since: str, column: str) -> None:
    assert columns(adviser, "8 mo", sign("fever-history", since=since)) == column


def test_a_table_with_items_not_charted_is_never_told_as_clear(adviser: Adviser) -> None:
    charted = entry("8 mo", temperature("38.2"))
    assert verdict(adviser, charted, "fever-table-amber") == "cannot-tell"
    assert verdict(adviser, charted, "fever-table-red") == "cannot-tell"
