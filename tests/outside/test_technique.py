"""Technique and plausibility against publications and the trade.

- World Health Organization, WHO Anthro 3.2.2 manual, 2011: flags of implausible z (weight-for-age -6 and +5,
  length-for-age -6 and +6, weight-for-length and head-for-age -5 and +5), strict. Seen at the publisher.
- World Health Organization and UNICEF, recommendations for anthropometry, 2019: without clothes, a clean dry diaper
  allowed; lying under 24 months on a length board, two people. Seen at the publisher.
- Common practice, no source: everything else. A limit beyond which an entry is checked is no published figure; each is
  held here against the tightest published one that it must leave alone.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from itertools import permutations

import pytest

from cds.adviser import Adviser
from cds.rules.model import RuleSet
from tests.outside.bedside import NOW, Data, advise, before, breathing, entry, heart, raised, saturation, temperature
from tests.outside.printed import PRACTICE, PUBLISHER, Printed, Row, at_all_ages, held

SIZE_AGES = ("0 d to 7 d", "7 d to 28 d", "28 d to 3 mo", "3 mo to 6 mo", "6 mo to 12 mo", "12 mo to 24 mo")


def practice(*values: str) -> dict[str, Row]:
    """Common practice, no source, by age."""
    return {age: (value, "common-practice", PRACTICE) for age, value in zip(SIZE_AGES, values, strict=True)}


def cp(value: str) -> Row:
    return value, "common-practice", PRACTICE


def flag(reached: str, value: str) -> Printed:
    return at_all_ages(reached, "{z}", (value, "who-anthro-2011", PUBLISHER))


PRINTED = {
    "implausible-weight-for-age-low": flag("below", "-6"),
    "implausible-weight-for-age-high": flag("above", "5"),
    "implausible-length-for-age-low": flag("below", "-6"),
    "implausible-length-for-age-high": flag("above", "6"),
    "implausible-weight-for-length-low": flag("below", "-5"),
    "implausible-weight-for-length-high": flag("above", "5"),
    "implausible-head-for-age-low": flag("below", "-5"),
    "implausible-head-for-age-high": flag("above", "5"),
    "implausible-weight-low": Printed("below", "g", practice("300", "350", "400", "1000", "2500", "3500")),
    "implausible-weight-high": Printed("above", "g", practice("6500", "8200", "11000", "13500", "16500", "21500")),
    "implausible-length-low": Printed("below", "cm", practice("22.0", "23.0", "25.0", "32.0", "42.0", "50.0")),
    "implausible-length-high": Printed("above", "cm", practice("62.0", "67.0", "75.0", "82.0", "92.0", "108.0")),
    "implausible-head-low": Printed("below", "cm", practice("15.0", "16.0", "18.0", "22.0", "28.0", "32.0")),
    "implausible-head-high": Printed("above", "cm", practice("50.0", "52.0", "55.0", "58.0", "62.0", "66.0")),
    "implausible-chest-low": Printed("below", "cm", practice("14.0", "15.0", "17.0", "22.0", "28.0", "32.0")),
    "implausible-chest-high": Printed("above", "cm", practice("50.0", "52.0", "55.0", "58.0", "62.0", "68.0")),
    "implausible-birth-weight-low": at_all_ages("below", "g", cp("250")),
    "implausible-birth-weight-high": at_all_ages("above", "g", cp("6500")),
    "implausible-breathing-rate": at_all_ages("above", "/min", cp("150")),
    "implausible-heart-rate": at_all_ages("above", "/min", cp("350")),
    "implausible-saturation": at_all_ages("above", "%", cp("100")),
    "implausible-temperature-low": at_all_ages("below", "Cel", cp("25.0")),
    "implausible-temperature-high": at_all_ages("above", "Cel", cp("43.5")),
    "implausible-refill": at_all_ages("above", "s", cp("20")),
    "implausible-systolic": at_all_ages("above", "mm[Hg]", cp("220")),
    "implausible-diastolic": at_all_ages("above", "mm[Hg]", cp("180")),
    "implausible-mean-pressure": at_all_ages("above", "mm[Hg]", cp("200")),
    "weight-fall-implausible": at_all_ages("below", "%", cp("-25")),
    "length-fall-implausible": at_all_ages("below", "%", cp("-6")),
    "head-fall-implausible": at_all_ages("below", "%", cp("-6")),
    "weight-rise-implausible": Printed("above", "%", practice("75", "75", "110", "60", "40", "30")),
    "length-rise-implausible": Printed("above", "%", practice("30", "30", "30", "20", "15", "12")),
    "head-rise-implausible": Printed("above", "%", practice("35", "35", "35", "25", "20", "20")),
    "weight-reading-near": at_all_ages("at-or-below", "%", cp("20")),
    "length-reading-near": at_all_ages("at-or-below", "%", cp("10")),
    "head-reading-near": at_all_ages("at-or-below", "%", cp("10")),
    "pounds-reading-near": at_all_ages("at-or-below", "%", cp("2")),
    "pounds-reading-a-day": at_all_ages("above", "%", cp("1")),
    "far-from-own-weight": at_all_ages("above", "%", cp("10")),
    "far-from-own-length": at_all_ages("above", "%", cp("4")),
    "far-from-own-head": at_all_ages("above", "%", cp("4")),
    "near-sibling-weight": at_all_ages("at-or-below", "%", cp("3")),
    "near-sibling-length": at_all_ages("at-or-below", "%", cp("2")),
    "near-sibling-head": at_all_ages("at-or-below", "%", cp("2")),
    "own-weight-a-day": at_all_ages("above", "%", cp("1")),
    "own-length-a-day": at_all_ages("above", "%", cp("0.5")),
    "own-head-a-day": at_all_ages("above", "%", cp("0.5")),
    "charted-late": at_all_ages("above", "h", cp("4")),
}


@pytest.mark.parametrize("threshold", PRINTED)
def test_the_rule_set_holds_the_printed_limit(rules: RuleSet, threshold: str) -> None:
    assert held(rules.thresholds[threshold]) == PRINTED[threshold]


def weight(value: str, unit: str = "kg", **more: object) -> Data:
    return {"code": "body-weight", "value": Decimal(value), "unit": unit, **more}


def length(value: str, **more: object) -> Data:
    return {"code": "body-length", "value": Decimal(value), "unit": "cm", **more}


def head(value: str) -> Data:
    return {"code": "head-circumference", "value": Decimal(value), "unit": "cm"}


def at(minute: int, observation: Data) -> Data:
    return observation | {"measured": (NOW - timedelta(minutes=minute)).isoformat()}


@pytest.mark.parametrize(
    ("weighed", "expected"),
    [("nude", {}), ("dry-diaper", {}), ("clothed", {"clothing-not-advised": "note"})],
)
def test_an_infant_is_weighed_without_clothes_a_dry_diaper_allowed(
    adviser: Adviser, weighed: str, expected: dict[str, str]
) -> None:
    """WHO and UNICEF 2019; the same as common practice, no source."""
    assert raised(adviser, entry("4 mo", weight("6.9", clothing=weighed))) == expected


def test_length_is_measured_lying_under_24_months(adviser: Adviser) -> None:
    """WHO and UNICEF 2019; the same as common practice, no source."""
    assert raised(adviser, entry("18 mo", length("81", position="standing"))) == {"position-not-advised": "note"}
    assert raised(adviser, entry("18 mo", length("81", position="lying"))) == {}


LEAST_TO_MOST = (
    *(breathing(34), heart(130), temperature("36.9"), weight("6.9", clothing="nude"), length("64", position="lying")),
    *(head("42"), {"code": "chest-circumference", "value": Decimal("41.5"), "unit": "cm"}),
    {"code": "systolic-pressure", "value": 88, "unit": "mm[Hg]", "state": "quiet-alert", "site": "right-arm"},
)
RECTAL = temperature("37.0", route="rectal")


def test_measured_from_least_to_most_disturbing_raises_nothing(adviser: Adviser) -> None:
    """Common practice, no source: breathing, heart rate, temperature, weight, length, head, chest; pressure last."""
    timed = [at(len(LEAST_TO_MOST) - place, each) for place, each in enumerate(LEAST_TO_MOST)]
    assert "order-of-measurement" not in raised(adviser, entry("4 mo", *timed))


def test_any_two_measured_the_other_way_round_are_noted(adviser: Adviser) -> None:
    """Common practice, no source."""
    for first, then in permutations(range(len(LEAST_TO_MOST)), 2):
        pair = (at(2, LEAST_TO_MOST[first]), at(1, LEAST_TO_MOST[then]))
        found = raised(adviser, entry("4 mo", *pair)).get("order-of-measurement")
        assert found == ("note" if first > then else None), (first, then)


def test_a_rectal_temperature_comes_last(adviser: Adviser) -> None:
    """Common practice, no source."""
    early = raised(adviser, entry("4 mo", at(2, RECTAL), at(1, weight("6.9"))))
    late = raised(adviser, entry("4 mo", at(1, RECTAL), at(2, weight("6.9"))))
    assert ("order-of-measurement" in early, "order-of-measurement" in late) == (True, False)


def test_head_and_chest_at_their_usual_places_raise_nothing(adviser: Adviser) -> None:
    """Common practice, no source: head at its largest circumference, chest at the nipple line, 1 to 2 cm less at birth.

    An entry has no word for the place of the tape: nothing is asked and nothing is raised.
    """
    chest = {"code": "chest-circumference", "value": Decimal("32.5"), "unit": "cm"}
    found = raised(adviser, entry("1 d", head("34.0"), chest, infant={"gestation": {"weeks": 39, "days": 4}}))
    assert found == {}


@pytest.mark.parametrize("z", ["weight-for-age", "length-for-age", "weight-for-length", "head-for-age"])
def test_a_z_on_the_flag_itself_is_kept(rules: RuleSet, z: str) -> None:
    """WHO Anthro 2011: values beyond the flag are set aside, the flag itself is not."""
    assert rules.thresholds[f"implausible-{z}-low"].reached == "below"
    assert rules.thresholds[f"implausible-{z}-high"].reached == "above"


def test_limits_of_a_size_leave_alone_what_who_keeps_as_possible(rules: RuleSet) -> None:
    """At the end of each age the upper limit is not under the flag of WHO there (median and spread as printed, 2006).

    Weight +5 in g and length +6 in cm of boys at 3, 6 and 12 months, by the printed +2 and +3 and by M and S.
    """
    flags = {"weight": ("11000", "13100", "15900"), "length": ("73.7", "80.5", "90.0")}
    for name, values in flags.items():
        rows = list(PRINTED[f"implausible-{name}-high"].rows.values())[2:5]
        assert all(row and Decimal(row[0]) >= Decimal(value) for row, value in zip(rows, values, strict=True)), name


def test_what_an_entry_suspects_is_said_with_the_reading_that_would_fit(adviser: Adviser) -> None:
    """6.9 kg three days after birth at 3130 g is 6.9 lb; common practice, no source."""
    infant = {"birth_weight": {"value": 3130, "unit": "g"}, "sex": "female"}
    findings = advise(adviser, entry("3 d", weight("6.9"), infant=infant))["findings"]
    slip = next(each for each in findings if each["finding"] == "possible-unit-slip")
    assert slip["numbers"] == {"charted": "6.9 kg", "if pounds": "3.13 kg", "birth weight": "3130 g"}
    assert "may be" in slip["summary"]
    assert slip["level"] == "recheck"


def test_zero_is_a_value_and_no_saturation_is_taken_as_a_slip(adviser: Adviser) -> None:
    """Common practice, no source."""
    for seen in (heart(0), breathing(0), saturation(0), saturation(40)):
        found = raised(adviser, entry("4 mo", seen))
        assert "implausible-value" not in found
        assert "contact" in found.values()
    assert raised(adviser, entry("4 mo", saturation(101, site="foot")))["implausible-value"] == "recheck"


def test_the_same_vital_signs_again_are_noted_and_hold_nothing(adviser: Adviser) -> None:
    """Common practice, no source."""
    signs = (breathing(72), heart(130), temperature("36.9"))
    found = advise(adviser, entry("4 mo", *signs, earlier=[before(4, *signs)]))["findings"]
    assert next(each for each in found if each["finding"] == "repeat-of-earlier-value")["level"] == "note"
    assert {each["status"] for each in found} <= {"raised", "confirmed"}
