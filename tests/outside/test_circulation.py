"""Blood pressure, refill, hydration, jaundice and state against their publications.

- Dionne JM and others, Pediatr Nephrol 2012;27:17-32: 95th centile by postmenstrual age. The weekly values are from
  memory; all lie inside the ranges that a published condensation prints for pairs of weeks.
- Second Task Force on Blood Pressure Control in Children, Pediatrics 1987;79:1-25: 95th centile of systolic pressure
  of 1 to 12 months about 105. From memory.
- AHA, PALS provider manual 2020: low systolic pressure by age. Seen secondary; 72 is 70 + 2 x one whole year.
- Fleming S and others, Arch Dis Child 2015;100:239-49: upper limits of capillary refill by age and site. Publisher.
- Mean pressure at least the weeks of gestation in the first days of preterm infants; term from 37 weeks; six wet
  diapers from day 5: common practice, no source (the first is seen secondary).
- NICE CG98 Jaundice: under 24 hours (secondary); after 14 days at term. WHO IMCI: palms and soles (from memory).
- WHO ETAT 2016: alert, voice, pain, unresponsive; the last two are emergencies (from memory).
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, before, entry, raised, sign
from tests.outside.printed import DERIVED, MEMORY, PRACTICE, PUBLISHER, SECONDARY, Printed, Row, at_all_ages, held

WEEKS = (32, 34, 36, 38, 40, 42, 44)
SYSTOLIC_95 = (83, 85, 87, 92, 95, 98, 105)
DIASTOLIC_95 = (55, 55, 65, 65, 65, 65, 68)
MEAN_95 = (64, 65, 72, 74, 75, 76, 80)


def dionne(centile_95: tuple[int, ...], later: Row = None) -> Printed:
    rows: dict[str, Row] = {
        f"{week} wk to {week + 2} wk": (str(value), "dionne-2012", MEMORY)
        for week, value in zip(WEEKS, centile_95, strict=True)
    }
    return Printed("at-or-above", "mm[Hg]", rows | {"46 wk to 92 wk": later})


def from_24_hours(row: Row) -> dict[str, Row]:
    return {"0 h to 24 h": None, "24 h to 24 mo": row}


REVIEWED_3, REVIEWED_4 = ("3", "refill-review-2015", PUBLISHER), ("4", "refill-review-2015", PUBLISHER)

PRINTED = {
    "systolic-high": dionne(SYSTOLIC_95, ("105", "task-force-1987", MEMORY)),
    "diastolic-high": dionne(DIASTOLIC_95),
    "mean-pressure-high": dionne(MEAN_95),
    "systolic-low": Printed(
        "below",
        "mm[Hg]",
        {
            "0 h to 96 h": ("50", "aha-pals-2020", SECONDARY),
            "96 h to 28 d": ("60", "aha-pals-2020", SECONDARY),
            "28 d to 12 mo": ("70", "aha-pals-2020", SECONDARY),
            "12 mo to 24 mo": ("72", "aha-pals-2020", DERIVED),
        },
    ),
    "mean-pressure-under-gestation": at_all_ages("below", "mm[Hg]", ("0", "common-practice", SECONDARY)),
    "gestation-preterm": at_all_ages("below", "wk", ("37", "common-practice", PRACTICE)),
    "gestation-term": at_all_ages("at-or-above", "wk", ("37", "common-practice", PRACTICE)),
    "refill-slow-chest": at_all_ages("at-or-above", "s", REVIEWED_3),
    "refill-slow-forehead": Printed("at-or-above", "s", from_24_hours(REVIEWED_3)),
    "refill-slow-limb": Printed("at-or-above", "s", from_24_hours(REVIEWED_3)),
    "refill-very-slow": at_all_ages("above", "s", REVIEWED_4),
    "refill-very-slow-forehead": Printed("above", "s", from_24_hours(REVIEWED_4)),
    "wet-diapers-few": Printed(
        "below", "count", {"0 d to 5 d": None, "5 d to 60 d": ("6", "common-practice", PRACTICE)}
    ),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


TERM = {"gestation": {"weeks": 40, "days": 0}}


def systolic(value: int) -> Data:
    return {"code": "systolic-pressure", "value": value, "unit": "mm[Hg]", "state": "quiet-alert", "site": "right-arm"}


@pytest.mark.parametrize(
    ("age", "lowest"),
    [("20 h", 50), ("95 h", 50), ("96 h", 60), ("27 d", 60), ("28 d", 70), ("11 mo", 70), ("12 mo", 72)],
)
def test_systolic_pressure_is_low_under_the_limit_of_the_age(adviser: Adviser, age: str, lowest: int) -> None:
    assert "low-blood-pressure" not in raised(adviser, entry(age, systolic(lowest), infant=TERM))
    assert raised(adviser, entry(age, systolic(lowest - 1), infant=TERM))["low-blood-pressure"] == "recheck"


def test_one_high_reading_is_a_note_and_the_third_calm_one_is_discussed(adviser: Adviser) -> None:
    """15 days after birth at 40 weeks is 42 weeks: 98 is the 95th centile."""
    past = [before(hours, systolic(98)) for hours in (2, 4)]
    assert "high-blood-pressure" not in raised(adviser, entry("15 d", systolic(97), infant=TERM))
    assert raised(adviser, entry("15 d", systolic(98), infant=TERM))["high-blood-pressure"] == "note"
    third = entry("15 d", systolic(98), infant=TERM, earlier=past)
    assert raised(adviser, third)["high-blood-pressure"] == "discuss"


def refill(value: int, site: str) -> Data:
    return {"code": "capillary-refill", "value": value, "unit": "s", "site": site}


@pytest.mark.parametrize(
    ("value", "site", "level"),
    [
        (2, "chest", None),
        (3, "chest", "discuss"),
        (4, "chest", "discuss"),
        (5, "chest", "contact"),
        (3, "forehead", "discuss"),
        (2, "finger", None),
        (3, "finger", "recheck"),
        (3, "foot", "recheck"),
    ],
)
def test_refill_is_held_against_the_limit_of_its_site(
    adviser: Adviser, value: int, site: str, level: str | None
) -> None:
    assert raised(adviser, entry("10 d", refill(value, site))).get("slow-refill") == level


@pytest.mark.parametrize(
    ("age", "grade", "finding", "level"),
    [
        ("23 h", "face", "early-jaundice", "contact"),
        ("24 h", "face", None, None),
        ("13 d", "trunk", None, None),
        ("14 d", "trunk", "late-jaundice", "discuss"),
        ("5 d", "palms-and-soles", "deep-jaundice", "contact"),
    ],
)
def test_jaundice_counts_by_age_and_by_palms_and_soles(
    adviser: Adviser, age: str, grade: str, finding: str | None, level: str | None
) -> None:
    found = raised(adviser, entry(age, sign("jaundice", grade), infant=TERM))
    seen = {each: at for each, at in found.items() if each.endswith("jaundice")}
    assert seen == ({finding: level} if finding else {})


@pytest.mark.parametrize(
    ("grade", "level"), [("alert", None), ("voice", "discuss"), ("pain", "contact"), ("unresponsive", "contact")]
)
def test_pain_and_unresponsive_are_emergencies(adviser: Adviser, grade: str, level: str | None) -> None:
    assert raised(adviser, entry("3 mo", sign("responsiveness", grade))).get("reduced-responsiveness") == level


def test_two_who_signs_are_severe_dehydration(adviser: Adviser) -> None:
    """WHO IMCI 2014, diarrhoea chart (from memory): two of lethargic, sunken eyes, not drinking, very slow pinch."""
    signs = sign("eyes", "sunken"), sign("skin-turgor", "reduced"), sign("drinking", "unable")
    care = {"feeding_route": "breast"}
    assert raised(adviser, entry("8 mo", *signs, care=care))["dehydration-signs"] == "contact"
    assert raised(adviser, entry("8 mo", sign("eyes", "sunken"), care=care))["dehydration-signs"] == "discuss"
