"""Body temperature against its publications.

- WHO, Thermal protection of the newborn: a practical guide, 1997: classes by axilla, hyperthermia over 37.5, mild
  36.0-36.4, moderate 32.0-35.9, severe under 32.0. Seen secondary. The gaps between the printed tenths belong to the
  colder class's neighbour above (our reading).
- WHO, possible serious bacterial infection, 2015 and December 2024, and its table in Pediatrics 154 Suppl 1, 2024:
  0-59 days, 38.0 or more, under 35.5. Publisher. Older WHO charts print 37.5 and are not followed.
- AAP (Pantell), Pediatrics 2021;148:e2021052228: well febrile infants, 38.0 or more, strata 8-21, 22-28, 29-60 days.
  Publisher; the past 24 hours, at home or in clinic, from memory.
- NICE NG143, 2019, table: 38 or more under 3 months, 39 or more at 3-6 months, fever of 5 days. Seen secondary.
- NICE NG51, 2016, table for under 5s: under 36 is high risk. Seen secondary. Under 35.0 from 2 months: common practice.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import Data, advise, before, entry, raised, temperature, verdict
from tests.outside.practice import AGES, NOT_CHARTED, Grid, Narrower, State, sweep
from tests.outside.printed import MEMORY, PRACTICE, PUBLISHER, SECONDARY, Printed, Row, at_all_ages, held

STRATA = ("0 d to 8 d", "8 d to 22 d", "22 d to 29 d", "29 d to 61 d", "61 d to 3 mo")


def newborn(row: Row) -> dict[str, Row]:
    return {"0 d to 28 d": row, "28 d to 60 d": None, "60 d to 24 mo": None}


def from_2_months(row: Row) -> dict[str, Row]:
    return {"0 d to 28 d": None, "28 d to 60 d": None, "60 d to 24 mo": row}


PRINTED = {
    "newborn-temperature-high": Printed("above", "Cel", newborn(("37.5", "who-thermal-1997", SECONDARY))),
    "newborn-temperature-mild-low": Printed("below", "Cel", newborn(("36.5", "who-thermal-1997", SECONDARY))),
    "temperature-moderate-low": at_all_ages("below", "Cel", ("36.0", "who-thermal-1997", SECONDARY)),
    "newborn-temperature-severe-low": Printed("below", "Cel", newborn(("32.0", "who-thermal-1997", SECONDARY))),
    "temperature-very-low-young-infant": at_all_ages("below", "Cel", ("35.5", "who-sbi-2024", PUBLISHER)),
    "fever": at_all_ages("at-or-above", "Cel", ("38.0", "aap-fever-2021", PUBLISHER)),
    "reported-fever": at_all_ages("at-or-above", "Cel", ("38.0", "aap-fever-2021", MEMORY)),
    "high-fever": Printed(
        "at-or-above",
        "Cel",
        dict.fromkeys(STRATA) | {"3 mo to 6 mo": ("39.0", "nice-ng143", SECONDARY), "6 mo to 24 mo": None},
    ),
    "prolonged-fever": at_all_ages("at-or-above", "h", ("120", "nice-ng143", SECONDARY)),
    "temperature-low-from-2-months": Printed("below", "Cel", from_2_months(("36.0", "nice-ng51", SECONDARY))),
    "temperature-very-low-from-2-months": Printed("below", "Cel", from_2_months(("35.0", "common-practice", PRACTICE))),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


CLASSES = ("severe-hypothermia", "moderate-hypothermia", "mild-hypothermia", "newborn-hyperthermia")


@pytest.mark.parametrize(
    ("value", "printed"),
    [
        ("37.6", "newborn-hyperthermia"),
        ("37.5", None),
        ("36.5", None),
        ("36.4", "mild-hypothermia"),
        ("36.0", "mild-hypothermia"),
        ("35.9", "moderate-hypothermia"),
        ("32.0", "moderate-hypothermia"),
        ("31.9", "severe-hypothermia"),
    ],
)
def test_a_newborn_by_axilla_falls_in_the_who_class(adviser: Adviser, value: str, printed: str | None) -> None:
    charted = entry("10 d", temperature(value))
    met = [rule for rule in CLASSES if verdict(adviser, charted, rule) == "met"]
    assert next(iter(met), None) == printed


@pytest.mark.parametrize(
    ("age", "stratum"),
    [
        ("7 d", "under-8-days"),
        ("8 d", "8-to-21-days"),
        ("21 d", "8-to-21-days"),
        ("22 d", "22-to-28-days"),
        ("28 d", "22-to-28-days"),
        ("29 d", "29-to-60-days"),
        ("60 d", "29-to-60-days"),
        ("61 d", "61-days-to"),
    ],
)
def test_fever_is_told_with_the_stratum_of_the_day(adviser: Adviser, age: str, stratum: str) -> None:
    findings = advise(adviser, entry(age, temperature("38.0")))["findings"]
    rules = [each["rule"] for each in findings if each["finding"] == "young-infant-fever" and not each["superseded_by"]]
    assert len(rules) == 1
    assert rules[0].startswith(f"fever-{stratum}")


@pytest.mark.parametrize("age", ["2 d", "8 d", "21 d", "28 d", "60 d", "61 d", "2 mo"])
@pytest.mark.parametrize("route", ["axillary", "rectal", "tympanic", None])
def test_38_0_under_3_months_asks_for_the_clinician_by_any_route(adviser: Adviser, age: str, route: str | None) -> None:
    assert raised(adviser, entry(age, temperature("38.0", route=route)))["young-infant-fever"] == "contact"
    assert "young-infant-fever" not in raised(adviser, entry(age, temperature("37.9", route=route)))


def test_fever_of_an_infant_born_early_counts_by_corrected_age_too(adviser: Adviser) -> None:
    term = entry("4 mo", temperature("38.0"), infant={"gestation": {"weeks": 40, "days": 0}})
    early = entry("4 mo", temperature("38.0"), infant={"gestation": {"weeks": 33, "days": 0}})
    assert "young-infant-fever" not in raised(adviser, term)
    assert raised(adviser, early)["young-infant-fever"] == "contact"


@pytest.mark.parametrize(("value", "unit"), [("100.4", "[degF]"), ("38.0", "Cel")])
def test_100_4_fahrenheit_is_38_0_and_100_3_is_not(adviser: Adviser, value: str, unit: str) -> None:
    assert "young-infant-fever" in raised(adviser, entry("20 d", temperature(value, unit)))
    assert "young-infant-fever" not in raised(adviser, entry("20 d", temperature("100.3", "[degF]")))


@pytest.mark.parametrize(("value", "level"), [("35.4", "contact"), ("35.5", None)])
def test_under_35_5_is_a_who_sign_to_59_days(adviser: Adviser, value: str, level: str | None) -> None:
    assert raised(adviser, entry("59 d", temperature(value))).get("low-temperature") == level


def test_a_second_cold_reading_is_discussed(adviser: Adviser) -> None:
    again = entry("10 d", temperature("36.3"), earlier=[before(1, temperature("36.2"))])
    assert raised(adviser, again)["mild-hypothermia"] == "discuss"


# Common practice, no source: 97.5 to 99.3 degF by axilla; 36.4 to 37.3 Cel is the same span in tenths. A temperature
# has no state.

FAHRENHEIT = [Decimal(tenths) / 10 for tenths in range(975, 994)]
CELSIUS = [Decimal(tenths) / 10 for tenths in range(364, 374)]
WHO_36_5 = "WHO 1997: under 36.5 by axilla, newborns; 36.5 Cel is 97.7 degF"
NEWBORN_AGES = AGES[:7]


@pytest.mark.parametrize(
    ("unit", "values", "coldest", "last"),
    [("[degF]", FAHRENHEIT, Decimal("97.5"), Decimal("97.6")), ("Cel", CELSIUS, Decimal("36.4"), Decimal("36.4"))],
)
def test_97_5_to_99_3_by_axilla_raises_only_what_who_raises_in_newborns(
    adviser: Adviser, unit: str, values: list[Decimal], coldest: Decimal, last: Decimal
) -> None:
    def chart(age: str, _state: State, value: Decimal) -> Data:
        return entry(age, temperature(str(value), unit))

    narrower = Narrower("mild-hypothermia", WHO_36_5, NOT_CHARTED, dict.fromkeys(NEWBORN_AGES, (coldest, last)))
    assert sweep(adviser, chart, Grid(AGES, NOT_CHARTED, values)) == set(narrower.covers(values))
