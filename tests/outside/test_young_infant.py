"""Infection signs of newborns and young infants, item by item.

- WHO, possible serious bacterial infection in infants of 0-59 days, 2015 and December 2024; table 1 of Pediatrics 154
  Supplement 1, 2024: critical illness, clinical severe infection, fast breathing. Publisher. Another printed table adds
  unable to cry, bulging fontanelle and cyanosis to critical illness; the one of 2024 keeps three signs.
- WHO IMCI young infant chart, 2019, local infection: from memory.
- NICE, NG195 Neonatal infection, 2021 updated 2024, box 2: red flags and other signs; under 36 or over 38. Seen
  secondary. It prints no rates: those of breathing and saturation are of its late-onset list, from memory.
- Goldstein B and others, Pediatr Crit Care Med 2005;6:2-8: under 1 month over 180 and under 100 /min. From memory.
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, before, breathing, entry, raised, sign, temperature
from tests.outside.printed import MEMORY, PUBLISHER, SECONDARY, Row, at_all_ages, held

PSBI_60: Row = ("60", "pediatrics-psbi-2024", PUBLISHER)
PRINTED = {
    "young-infant-respiratory-rate": at_all_ages("at-or-above", "/min", PSBI_60),
    "young-infant-temperature-high": at_all_ages("at-or-above", "Cel", ("38.0", "pediatrics-psbi-2024", PUBLISHER)),
    "young-infant-temperature-low": at_all_ages("below", "Cel", ("35.5", "pediatrics-psbi-2024", PUBLISHER)),
    "newborn-infection-temperature-high": at_all_ages("above", "Cel", ("38.0", "nice-ng195", SECONDARY)),
    "newborn-infection-temperature-low": at_all_ages("below", "Cel", ("36.0", "nice-ng195", SECONDARY)),
    "newborn-infection-respiratory-rate": at_all_ages("at-or-above", "/min", ("60", "nice-ng195", MEMORY)),
    "newborn-infection-saturation": at_all_ages("below", "%", ("90", "nice-ng195", MEMORY)),
    "newborn-infection-heart-rate-high": at_all_ages("above", "/min", ("180", "goldstein-2005", MEMORY)),
    "newborn-infection-heart-rate-low-awake": at_all_ages("below", "/min", ("100", "goldstein-2005", MEMORY)),
    "newborn-infection-heart-rate-low-asleep": at_all_ages("below", "/min", ("90", "aha-pals-2020", SECONDARY)),
}
BREAST = {"feeding_route": "breast"}
CRITICAL, SEVERE = "young-infant-critical-illness", "young-infant-severe-infection"
FAST_ONLY, LOCAL = "young-infant-fast-breathing-only", "local-infection"


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


def classes(adviser: Adviser, age: str, *observations: Data, **more: object) -> list[str]:
    """The WHO classes that are raised."""
    found = raised(adviser, entry(age, *observations, care=BREAST, **more))
    return [each for each in (CRITICAL, SEVERE, FAST_ONLY, LOCAL) if each in found]


@pytest.mark.parametrize(
    ("item", "printed"),
    [
        (sign("movement", "none"), [CRITICAL]),
        (sign("convulsions"), [CRITICAL]),
        (sign("feeding", "poor"), [SEVERE]),
        (sign("movement", "only-when-stimulated"), [SEVERE]),
        (temperature("38.0"), [SEVERE]),
        (temperature("37.9"), []),
        (temperature("35.4"), [SEVERE]),
        (temperature("35.5"), []),
        (sign("retractions", "severe", sites=["lower-chest"]), [SEVERE]),
        (sign("retractions", "mild", sites=["lower-chest"]), []),
        (sign("umbilicus", "red"), [LOCAL]),
        (sign("umbilicus", "pus"), [LOCAL]),
        (sign("skin-pustules", "few"), [LOCAL]),
        (sign("fontanelle", "bulging"), []),
        (sign("cyanosis", "central"), []),
    ],
)
def test_each_sign_has_the_class_of_the_2024_table(adviser: Adviser, item: Data, printed: list[str]) -> None:
    assert classes(adviser, "20 d", item) == printed


def test_not_able_to_feed_at_all_is_critical_and_not_feeding_well_besides(adviser: Adviser) -> None:
    assert CRITICAL in classes(adviser, "20 d", sign("feeding", "unable"))


@pytest.mark.parametrize(
    ("age", "printed"), [("6 d", [SEVERE]), ("7 d", [FAST_ONLY]), ("59 d", [FAST_ONLY]), ("60 d", [])]
)
def test_fast_breathing_alone_is_severe_infection_under_7_days_only(
    adviser: Adviser, age: str, printed: list[str]
) -> None:
    """WHO asks for a second count of 60 or more."""
    assert classes(adviser, age, breathing(60), earlier=[before(1, breathing(60))]) == printed
    assert classes(adviser, age, breathing(60)) == []


@pytest.mark.parametrize(("age", "in_range"), [("59 d", True), ("60 d", False)])
def test_the_classes_end_at_59_days(adviser: Adviser, age: str, in_range: bool) -> None:
    assert bool(classes(adviser, age, sign("convulsions"))) is in_range


def test_the_classes_hold_to_59_days_of_corrected_age_too(adviser: Adviser) -> None:
    early = {"gestation": {"weeks": 33, "days": 0}}
    assert classes(adviser, "80 d", sign("convulsions"), infant=early) == [CRITICAL]


NEWBORN = ("newborn-infection-red-flag", "newborn-infection-other-sign")


@pytest.mark.parametrize(
    ("items", "finding", "level"),
    [
        ([{"code": "breathing-pause", "value": 20, "unit": "s"}], NEWBORN[0], "contact"),
        ([sign("convulsions")], NEWBORN[0], "contact"),
        ([{"code": "skin-colour", "grade": ["ashen"]}], NEWBORN[0], "contact"),
        ([sign("activity", "reduced")], NEWBORN[1], "discuss"),
        ([sign("tone", "floppy")], NEWBORN[1], "discuss"),
        ([sign("feeding", "poor")], NEWBORN[1], "discuss"),
        ([sign("abdomen", "distended")], NEWBORN[1], "discuss"),
        ([temperature("35.9")], NEWBORN[1], "discuss"),
        ([temperature("38.1")], NEWBORN[1], "discuss"),
        ([sign("tone", "floppy"), sign("feeding", "poor")], NEWBORN[1], "contact"),
    ],
)
def test_nice_red_flags_ask_at_once_and_so_do_two_other_signs(
    adviser: Adviser, items: list[Data], finding: str, level: str
) -> None:
    assert raised(adviser, entry("10 d", *items, care=BREAST))[finding] == level


@pytest.mark.parametrize("value", ["36.0", "38.0"])
def test_36_and_38_themselves_are_inside_the_nice_limits(adviser: Adviser, value: str) -> None:
    assert NEWBORN[1] not in raised(adviser, entry("10 d", temperature(value), care=BREAST))
