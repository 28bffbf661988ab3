"""Breathing rate against its publications.

- WHO, IMCI chart booklets 2014 (cough chart) and 2019 (young infant chart): fast breathing. Seen secondary.
- Fleming S and others, Lancet 2011;377:1011-18, web appendix: 1st and 99th centile of six age bands. Seen secondary.
- AHA, PALS provider manual 2020: ranges by age. Seen secondary; 30-60 of newborns is common practice.
- NICE NG9 Bronchiolitis, 2015, section 1.2: over 60 considered for referral, over 70 referred at once. Publisher.
- WHO charts: under 30 at birth is poor breathing (secondary). Under 20, once the apnoea class of young infants, is
  from memory and so marked common practice, as are 15 from 6 months and the limits of 70 and 80 under 2 months.
- AAP policy statement on apnoea, 2003: 20 s, or shorter with slow heart, colour change or limpness (secondary);
  AAP 2016, apnoea of prematurity: 10 s with slow heart rate or low saturation, under 37 weeks (secondary).
The rates of Rusconi 1994 are in test_breathing_rusconi.py, of the NICE tables in their own files.
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, advise, before, breathing, entry, raised, sign
from tests.outside.practice import AGES, ASLEEP, AWAKE, MONTHS, NOT_CHARTED, SETTLED, Grid, Narrower, State, sweep
from tests.outside.printed import PRACTICE, PUBLISHER, SECONDARY, Printed, Row, at_all_ages, held

FLEMING_MONTHS = ("0 mo to 3 mo", "3 mo to 6 mo", "6 mo to 9 mo", "9 mo to 12 mo", "12 mo to 18 mo", "18 mo to 24 mo")
CENTILE_1 = ("25", "24", "23", "22", "21", "19")
CENTILE_99 = ("66", "64", "61", "58", "53", "46")
WHO_DAYS = ("0 d to 60 d", "60 d to 365 d", "365 d to 730 d")
PALS_AGES = ("0 d to 28 d", "28 d to 12 mo", "12 mo to 24 mo")


def fleming(values: tuple[str, ...]) -> dict[str, Row]:
    return {age: (value, "fleming-2011", SECONDARY) for age, value in zip(FLEMING_MONTHS, values, strict=True)}


def pals(values: tuple[str, str, str]) -> dict[str, Row]:
    seen = (PRACTICE, SECONDARY, SECONDARY)
    return {age: (value, "aha-pals-2020", how) for age, value, how in zip(PALS_AGES, values, seen, strict=True)}


def by_who_days(*rows: Row) -> dict[str, Row]:
    return dict(zip(WHO_DAYS, rows, strict=True))


PRINTED = {
    "respiratory-rate-fast": Printed(
        "at-or-above",
        "/min",
        by_who_days(
            ("60", "who-imci-2019", SECONDARY), ("50", "who-imci-2014", SECONDARY), ("40", "who-imci-2014", SECONDARY)
        ),
    ),
    "respiratory-rate-below-reference": Printed("below", "/min", fleming(CENTILE_1)),
    "respiratory-rate-above-reference": Printed("above", "/min", fleming(CENTILE_99)),
    "respiratory-rate-pals-low": Printed("below", "/min", pals(("30", "30", "22"))),
    "respiratory-rate-pals-high": Printed("above", "/min", pals(("60", "53", "37"))),
    "respiratory-rate-over-60": Printed("above", "/min", by_who_days(None, *[("60", "nice-ng9", PUBLISHER)] * 2)),
    "respiratory-rate-over-70": Printed(
        "above", "/min", by_who_days(("70", "common-practice", PRACTICE), *[("70", "nice-ng9", PUBLISHER)] * 2)
    ),
    "respiratory-rate-over-80": Printed("above", "/min", by_who_days(("80", "common-practice", PRACTICE), None, None)),
    "respiratory-rate-slow": Printed(
        "below",
        "/min",
        {"0 d to 60 d": ("30", "aha-pals-2020", PRACTICE), "60 d to 3 mo": ("25", "fleming-2011", SECONDARY)}
        | {age: row for age, row in fleming(CENTILE_1).items() if age != "0 mo to 3 mo"},
    ),
    "respiratory-rate-very-low": Printed(
        "below",
        "/min",
        {"0 mo to 6 mo": ("20", "common-practice", PRACTICE), "6 mo to 24 mo": ("15", "common-practice", PRACTICE)},
    ),
    "respiratory-rate-zero": at_all_ages("at-or-below", "/min", ("0", "common-practice", PRACTICE)),
    "respiratory-rate-low-at-birth": at_all_ages("below", "/min", ("30", "who-imci-2014", SECONDARY)),
    "pause-apnoea": at_all_ages("at-or-above", "s", ("20", "aap-apnoea-2003", SECONDARY)),
    "pause-apnoea-preterm": at_all_ages("at-or-above", "s", ("10", "aap-apnoea-2016", SECONDARY)),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


@pytest.mark.parametrize(
    ("age", "rate", "level"),
    [
        ("59 d", 59, None),
        ("59 d", 60, "recheck"),
        ("60 d", 49, None),
        ("60 d", 50, "note"),
        ("364 d", 49, None),
        ("364 d", 50, "note"),
        ("365 d", 39, None),
        ("365 d", 40, "note"),
    ],
)
def test_fast_breathing_begins_at_the_who_limit_of_the_day(
    adviser: Adviser, age: str, rate: int, level: str | None
) -> None:
    assert raised(adviser, entry(age, breathing(rate))).get("fast-breathing") == level


def test_who_asks_for_a_second_count_under_2_months(adviser: Adviser) -> None:
    once = entry("59 d", breathing(60))
    twice = {**once, "earlier": [before(1, breathing(60))]}
    assert raised(adviser, once)["fast-breathing"] == "recheck"
    assert raised(adviser, twice)["fast-breathing"] == "discuss"


def test_from_2_months_who_asks_for_cough_or_difficult_breathing(adviser: Adviser) -> None:
    assert raised(adviser, entry("4 mo", breathing(50), sign("cough")))["fast-breathing"] == "discuss"


@pytest.mark.parametrize(
    ("pause", "level"),
    [
        ({"value": 20}, "contact"),
        ({"value": 19}, None),
        ({"value": 8, "with": ["cyanosis"]}, "contact"),
        ({"value": 8, "with": ["pallor"]}, "contact"),
        ({"value": 8, "with": ["limpness"]}, "contact"),
        ({"value": 8, "with": ["bradycardia"]}, "contact"),
    ],
)
def test_a_pause_is_apnoea_by_its_length_or_by_what_comes_with_it(
    adviser: Adviser, pause: Data, level: str | None
) -> None:
    charted = entry("20 d", {"code": "breathing-pause", "unit": "s", **pause})
    assert raised(adviser, charted).get("apnoea") == level


# Common practice, no source: a full minute, because breathing is irregular and pauses briefly.


def test_a_count_of_half_a_minute_is_provisional_and_says_so(adviser: Adviser) -> None:
    short = entry("20 d", breathing(64, counted_seconds=30))
    made = [each for each in advise(adviser, short)["findings"] if each["finding"] == "fast-breathing"]
    assert [each["status"] for each in made] == ["provisional"]
    assert "count-too-short" in raised(adviser, short)


def test_brief_pauses_in_a_row_are_a_note(adviser: Adviser) -> None:
    assert raised(adviser, entry("20 d", breathing(44), sign("periodic-breathing"))) == {"periodic-breathing": "note"}


# Common practice, no source: 30 to 60 /min in a settled young infant. The sweep goes on to 24 months, where the
# published limits are narrower still.

WHO_60 = {
    "transition-fast-breathing": ("1 h",),
    "fast-breathing-first-week": ("3 h", "12 h", "36 h", "3 d"),
    "fast-breathing-young-infant": ("10 d", "20 d", "29 d", "45 d"),
}
RUSCONI_99_ASLEEP = {"29 d": 60, "45 d": 60, "61 d": 58} | dict(
    zip(MONTHS, (57, 55, 53, 52, 51, 49, 48, 47, 46, 45, 44, 43, 42, 41, 40, 39, 39, 38, 37, 37, 36), strict=True)
)
FLEMING_99_AWAKE = dict.fromkeys(MONTHS[6:9], 59) | dict.fromkeys(MONTHS[9:15], 54) | dict.fromkeys(MONTHS[15:], 47)
NARROWER = [
    Narrower(rule, "WHO young infant chart: 60 or more is fast", SETTLED, dict.fromkeys(ages, (60, 60)))
    for rule, ages in WHO_60.items()
] + [
    Narrower(
        "respiratory-rate-above-reference",
        "Rusconi 1994: above the 99th centile asleep",
        ASLEEP,
        {age: (first, 60) for age, first in RUSCONI_99_ASLEEP.items()},
    ),
    Narrower(
        "respiratory-rate-above-reference",
        "Fleming 2011: above the 99th centile",
        AWAKE + NOT_CHARTED,
        {age: (first, 60) for age, first in FLEMING_99_AWAKE.items()},
    ),
]


def test_30_to_60_when_settled_raises_only_what_a_narrower_published_limit_raises(adviser: Adviser) -> None:
    rates = range(30, 61)

    def chart(age: str, state: State, rate: int) -> Data:
        return entry(age, breathing(rate, state))

    found = sweep(adviser, chart, Grid(AGES, SETTLED, rates))
    assert found == {cell for each in NARROWER for cell in each.covers(rates)}
