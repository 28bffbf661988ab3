"""Oxygen saturation against its publications.

- Kemper and others, Pediatrics 2011;128:e1259-67, with the recommendation of HHS 2011: newborn heart screen, fail under
  90 % in either limb, pass with 95 % in the hand or the foot and a difference of 3 or less, else again in 1 hour, three
  screens in all. Publisher; 90 % seen secondary.
- AAP clinical report, Pediatrics 2025;155:e2024069667: 95 % in hand and foot, two screens in all. Publisher; its 90 %
  and difference are from memory.
- AAP and AHA, Textbook of neonatal resuscitation, 8th edition 2021: target of each minute, right hand. Seen secondary.
- NICE NG51, 2016, table for under 5s: under 90 % in air; later text under 92 %. Seen secondary.
- NICE QS193, 2020, statement 4: 91 to 95 % in oxygen, born under 32 weeks. Publisher.
- 70 % as the least plausible reading and 95 % as one to repeat: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, before, entry, raised, saturation
from tests.outside.printed import PRACTICE, PUBLISHER, SECONDARY, Printed, Row, at_all_ages, held

MINUTES = ("0 min to 1 min", "1 min to 2 min", "2 min to 3 min", "3 min to 4 min", "4 min to 5 min", "5 min to 10 min")
LATER = "10 min to 24 mo"


def after_10_minutes(row: Row) -> dict[str, Row]:
    return dict.fromkeys(MINUTES) | {LATER: row}


def by_oxygen_hours(first: Row, newborn: Row, later: Row) -> dict[str, Row]:
    return {"0 h to 24 h": first, "24 h to 28 d": newborn, "28 d to 24 mo": later}


REPEATED = ("95", "common-practice", PRACTICE)
# The table gives a low and a high end for each minute; the low one is the limit. Minute 1 (60 %) is left to the
# delivery team.
TARGETS: tuple[Row, ...] = (None, None, *((low, "aap-nrp-2021", SECONDARY) for low in ("65", "70", "75", "80")))

PRINTED = {
    "saturation-very-low": Printed("below", "%", after_10_minutes(("90", "nice-ng51", SECONDARY))),
    "saturation-low-in-air": Printed("below", "%", after_10_minutes(("92", "nice-ng51", SECONDARY))),
    "saturation-check-probe": Printed("below", "%", after_10_minutes(("70", "common-practice", PRACTICE))),
    "saturation-below-95": Printed("below", "%", by_oxygen_hours(None, REPEATED, REPEATED)),
    "saturation-minute-target": Printed("below", "%", dict(zip(MINUTES, TARGETS, strict=True)) | {LATER: None}),
    "saturation-high-in-oxygen": at_all_ages("above", "%", ("95", "nice-qs193", PUBLISHER)),
    "gestation-very-preterm": at_all_ages("below", "wk", ("32", "nice-qs193", PUBLISHER)),
    "saturation-limb-difference": Printed("above", "%", by_oxygen_hours(None, ("3", "aap-cchd-2011", PUBLISHER), None)),
    "screen-fail": at_all_ages("below", "%", ("90", "aap-cchd-2011", SECONDARY)),
    "screen-pass": at_all_ages("at-or-above", "%", ("95", "aap-cchd-2011", PUBLISHER)),
    "screen-difference": at_all_ages("at-or-below", "%", ("3", "aap-cchd-2011", PUBLISHER)),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


@pytest.mark.parametrize(("algorithm", "limbs", "screens"), [("2011", "either", 3), ("2025", "both", 2)])
def test_each_algorithm_asks_for_its_limbs_and_its_number_of_screens(
    rules: RuleSet, algorithm: str, limbs: str, screens: int
) -> None:
    held_screen = rules.screens[algorithm]
    assert (held_screen.limbs, held_screen.screens) == (limbs, screens)
    assert (held_screen.start, held_screen.apart) == (24 * 3600, 3600)


@pytest.fixture(scope="module")
def screening(rules: RuleSet) -> dict[str, Adviser]:
    """An adviser for each published algorithm."""
    ways = {way: {**rules.settings, "screen_algorithm": way} for way in rules.screens}
    return {way: Adviser(replace(rules, settings=settings)) for way, settings in ways.items()}


def limbs(hand: int, foot: int) -> tuple[Data, Data]:
    sites = (("right-hand", hand), ("foot", foot))
    first, second = (saturation(value, site=site, purpose="newborn-screen") for site, value in sites)
    return first, second


def result(adviser: Adviser, data: Data) -> list[str]:
    return [finding.removeprefix("cchd-screen-") for finding in raised(adviser, data) if "cchd" in finding]


@pytest.mark.parametrize(
    ("hand", "foot", "in_2011", "in_2025"),
    [
        (98, 97, "pass", "pass"),
        (95, 95, "pass", "pass"),
        (96, 93, "pass", "repeat"),
        (97, 93, "repeat", "repeat"),
        (94, 94, "repeat", "repeat"),
        (89, 97, "fail", "fail"),
        (97, 89, "fail", "fail"),
        (100, 96, "repeat", "repeat"),
    ],
)
def test_a_first_screen_reads_as_the_two_algorithms_print(
    screening: dict[str, Adviser], hand: int, foot: int, in_2011: str, in_2025: str
) -> None:
    screen = entry("30 h", *limbs(hand, foot))
    assert result(screening["2011"], screen) == [in_2011]
    assert result(screening["2025"], screen) == [in_2025]


@pytest.mark.parametrize(
    ("algorithm", "results"), [("2011", ["repeat", "repeat", "fail"]), ("2025", ["repeat", "fail"])]
)
def test_92_and_92_an_hour_apart_fails_at_the_last_screen_of_the_algorithm(
    screening: dict[str, Adviser], algorithm: str, results: list[str]
) -> None:
    """The teaching case of the screen: right hand 92, foot 92, three times."""
    for number, expected in enumerate(results):
        past = [before(hours, *limbs(92, 92)) for hours in range(1, number + 1)]
        assert result(screening[algorithm], entry("30 h", *limbs(92, 92), earlier=past)) == [expected]


@pytest.mark.parametrize(
    ("age", "changed"), [("23 h", {}), ("30 h", {"oxygen": "supplemental"}), ("30 h", {"site": "left-hand"})]
)
def test_a_screen_too_early_in_oxygen_or_at_another_limb_cannot_be_read(
    adviser: Adviser, age: str, changed: Data
) -> None:
    hand, foot = limbs(98, 98)
    assert result(adviser, entry(age, hand, foot | changed)) == ["invalid"]


@pytest.mark.parametrize(
    ("age", "value", "finding"),
    [
        ("9 min", 80, None),
        ("9 min", 79, "low-saturation"),
        ("2 min", 65, None),
        ("2 min", 64, "low-saturation"),
        ("10 min", 89, "very-low-saturation"),
        ("10 min", 90, "low-saturation"),
        ("10 min", 92, None),
        ("25 h", 94, "low-saturation"),
        ("25 h", 95, None),
    ],
)
def test_a_reading_in_air_is_held_against_the_limit_of_its_age(
    adviser: Adviser, age: str, value: int, finding: str | None
) -> None:
    found = raised(adviser, entry(age, saturation(value, site="right-hand")))
    assert next((each for each in found if each.endswith("saturation")), None) == finding
