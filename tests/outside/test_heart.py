"""Heart rate against its publications.

- Fleming S and others, Lancet 2011;377:1011-18, web appendix: 1st and 99th centile of six age bands. Seen secondary.
- AHA, PALS provider manual 2020: asleep ranges; awake from 100 under 12 months. Seen secondary. 220 and more as the
  range of a fixed fast rhythm in infants: from memory.
- AAP (Benitz), Pediatrics 2015;135:948-53, hospital stay: awake 100 or more before discharge. Seen secondary.
- NICE NG51, 2016, table for under 5s: under 60 is high risk. Seen secondary.
- Under 70 and under 80 in the first year: common practice, no source.
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, advise, entry, heart, raised
from tests.outside.practice import AGES, AWAKE, SETTLED, Grid, Narrower, State, sweep
from tests.outside.printed import MEMORY, PRACTICE, SECONDARY, Printed, Row, at_all_ages, held

AFTER_3_MONTHS = ("3 mo to 6 mo", "6 mo to 9 mo", "9 mo to 12 mo", "12 mo to 18 mo", "18 mo to 24 mo")
PALS_AGES = ("0 d to 28 d", "28 d to 12 mo", "12 mo to 24 mo")


def fleming(ages: tuple[str, ...], *values: str) -> dict[str, Row]:
    return {age: (value, "fleming-2011", SECONDARY) for age, value in zip(ages, values, strict=True)}


def pals(*values: str) -> dict[str, Row]:
    return {age: (value, "aha-pals-2020", SECONDARY) for age, value in zip(PALS_AGES, values, strict=True)}


def first_year(row: Row) -> dict[str, Row]:
    return {"0 mo to 12 mo": row, "12 mo to 24 mo": None}


PRINTED = {
    "heart-rate-high-awake": Printed(
        "above", "/min", fleming(("0 mo to 3 mo", *AFTER_3_MONTHS), "181", "175", "168", "161", "156", "149")
    ),
    "heart-rate-low-awake": Printed(
        "below",
        "/min",
        {"0 d to 7 d": ("100", "aap-discharge-2015", SECONDARY)}
        | fleming(("7 d to 3 mo", *AFTER_3_MONTHS), "107", "104", "98", "93", "88", "82"),
    ),
    "heart-rate-high-asleep": Printed("above", "/min", pals("160", "160", "120")),
    "heart-rate-low-asleep": Printed("below", "/min", pals("90", "90", "80")),
    "heart-rate-under-100": Printed("below", "/min", first_year(("100", "aha-pals-2020", SECONDARY))),
    "heart-rate-under-80": Printed("below", "/min", first_year(("80", "common-practice", PRACTICE))),
    "heart-rate-under-70": Printed("below", "/min", first_year(("70", "common-practice", PRACTICE))),
    "heart-rate-very-slow": at_all_ages("below", "/min", ("60", "nice-ng51", SECONDARY)),
    "heart-rate-extreme": at_all_ages("at-or-above", "/min", ("220", "aha-pals-2020", MEMORY)),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


@pytest.mark.parametrize(
    ("rate", "finding"),
    [
        (59, "very-slow-heart-rate"),
        (60, "very-slow-heart-rate"),
        (107, None),
        (181, None),
        (182, "heart-rate-outside-reference"),
        (219, "heart-rate-outside-reference"),
        (220, "extreme-fast-heart-rate"),
    ],
)
def test_the_gravest_limit_that_an_awake_rate_reaches_is_raised(
    adviser: Adviser, rate: int, finding: str | None
) -> None:
    assert next(iter(raised(adviser, entry("1 mo", heart(rate)))), None) == finding


@pytest.mark.parametrize(("age", "last"), [("3 d", 160), ("11 mo", 160), ("12 mo", 120), ("23 mo", 120)])
def test_a_rate_over_the_pals_range_asleep_is_a_note(adviser: Adviser, age: str, last: int) -> None:
    """Fleming's centiles, of all states, put many well infants above it: half of them from 12 months."""
    assert raised(adviser, entry(age, heart(last, "deep-sleep"))) == {}
    assert raised(adviser, entry(age, heart(last + 1, "deep-sleep"))) == {"heart-rate-outside-reference": "note"}


# Common practice, no source: the apex, at the fourth intercostal space beside the midclavicular line.


@pytest.mark.parametrize("age", ["3 d", "2 mo", "11 mo", "23 mo"])
def test_a_count_at_the_apex_raises_nothing_and_at_the_wrist_a_note(adviser: Adviser, age: str) -> None:
    assert raised(adviser, entry(age, heart(140, site="apical"))) == {}
    assert raised(adviser, entry(age, heart(140, site="radial"))) == {"site-not-advised": "note"}


def test_the_note_names_the_place_of_the_apex(adviser: Adviser) -> None:
    [note] = advise(adviser, entry("2 mo", heart(140, site="radial")))["findings"]
    [source] = note["sources"]
    assert source["figure_from"] == "common-practice"
    assert "fourth intercostal space" in source["at"]
    assert "midclavicular line" in source["at"]


def test_a_count_of_half_a_minute_at_the_apex_is_a_note(adviser: Adviser) -> None:
    assert raised(adviser, entry("20 d", heart(140, counted_seconds=30))) == {"count-too-short": "note"}


# Common practice, no source: 100 to 190 /min under 1 month and 90 to 180 /min from 1 month in a settled infant.

# From 3 months the first and the last month of each band of centiles are swept.

BY_BAND = {
    3: ("3 mo", "5 mo"),
    6: ("6 mo", "8 mo"),
    9: ("9 mo", "11 mo"),
    12: ("12 mo", "17 mo"),
    18: ("18 mo", "23 mo"),
}
UNDER_1_MONTH, UNDER_3_MONTHS = AGES[:7], ("29 d", "45 d", "61 d")
FIRST_YEAR = (*UNDER_3_MONTHS, *BY_BAND[3], *BY_BAND[6], *BY_BAND[9])
FROM_1_MONTH = (*FIRST_YEAR, *BY_BAND[12], *BY_BAND[18])
Range = dict[str, tuple[int, int]]


def over(band: int, first: int) -> Range:
    return dict.fromkeys(BY_BAND[band], (first, 180))


def under(band: int, last: int) -> Range:
    return dict.fromkeys(BY_BAND[band], (90, last))


ABOVE_99: Range = dict.fromkeys(UNDER_1_MONTH, (182, 190))
ABOVE_99 |= over(3, 176) | over(6, 169) | over(9, 162) | over(12, 157) | over(18, 150)
BELOW_1: Range = dict.fromkeys(("10 d", "20 d", *UNDER_3_MONTHS), (90, 106))
BELOW_1 |= under(3, 103) | under(6, 97) | under(9, 92)

NARROWER = [
    Narrower("heart-rate-above-reference", "Fleming 2011: above the 99th centile", SETTLED, ABOVE_99),
    Narrower("heart-rate-below-reference", "Fleming 2011: below the 1st centile, from 7 days", AWAKE, BELOW_1),
    Narrower(
        "heart-rate-under-100-awake",
        "PALS 2020: awake from 100 under 12 months",
        AWAKE,
        dict.fromkeys(FIRST_YEAR, (90, 99)),
    ),
]


def limits_and_neighbours(rules: RuleSet, first: int, last: int) -> list[int]:
    """The ends, and every limit of heart rate with the numbers beside it: no verdict changes anywhere else."""
    held_limits = (each for one in rules.thresholds.values() if one.quantity == "heart-rate" for each in one.bands)
    limits = {int(each.limit.value) for each in held_limits if each.limit}
    near = {limit + step for limit in limits for step in (-1, 0, 1)}
    return sorted(value for value in near | {first, last} if first <= value <= last)


@pytest.mark.parametrize(("ages", "first", "last"), [(UNDER_1_MONTH, 100, 190), (FROM_1_MONTH, 90, 180)])
def test_a_settled_rate_of_the_trade_raises_only_what_a_narrower_published_limit_raises(
    adviser: Adviser, ages: tuple[str, ...], first: int, last: int
) -> None:
    rates = limits_and_neighbours(adviser.rules, first, last)

    def chart(age: str, state: State, rate: int) -> Data:
        return entry(age, heart(rate, state))

    found = sweep(adviser, chart, Grid(ages, SETTLED, rates))
    assert found == {cell for each in NARROWER for cell in each.covers(rates) if cell[1] in ages}
