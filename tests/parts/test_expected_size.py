"""What the growth reference gives for a size beside what was charted, and the value before."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from cds.advice.model import Advice
from cds.advice.text import text
from cds.adviser import Adviser
from tests.bedside import adviser as shipped_adviser
from tests.outside.bedside import Data, advise, before, breathing, entry, saturation, sign, temperature

BOY = {"sex": "male", "gestation": {"weeks": 40, "days": 0}}
GIVEN = {"kg": "6.36 to 9.85 kg", "g": "6360 to 9850 g", "[lb_av]": "14.02 to 21.72 lb"}


@pytest.fixture(name="adviser", scope="module")
def _adviser() -> Adviser:
    return shipped_adviser()


def size(code: str, value: str, unit: str, **more: Any) -> Data:
    return {"code": code, "value": Decimal(value), "unit": unit, **more}


def weight(value: str = "7.9", unit: str = "kg", **more: Any) -> Data:
    return size("body-weight", value, unit, **more)


def charted(*observations: Data, days: int = 183, infant: Data = BOY, **more: Any) -> Data:
    return entry(f"{days} d", *observations, infant=infant, **more)


def row(adviser: Adviser, *observations: Data, **more: Any) -> Data:
    found: Data = advise(adviser, charted(*observations, **more))["expected"][0]
    return found


@pytest.mark.parametrize(("unit", "value"), [("kg", "7.9"), ("g", "7900"), ("[lb_av]", "17.4")])
def test_a_weight_stands_beside_the_lines_in_its_own_unit_and_its_z(adviser: Adviser, unit: str, value: str) -> None:
    """WHO, boys, day 183: 6.357 kg at z -2, 9.855 at z 2; both ends are rounded inward."""
    found = row(adviser, weight(value, unit))
    assert found["expected"] == f"{GIVEN[unit]}, z ±2"
    assert abs(float(found["z"])) < 0.1
    assert [source["ref"] for source in found["sources"]] == ["who-growth-2006"]


def test_both_ends_shown_lie_inside_and_one_step_beyond_does_not(adviser: Adviser) -> None:
    low, high = GIVEN["kg"].removesuffix(" kg").split(" to ")
    step = Decimal("0.01")
    for value, inside in ((low, True), (high, True), (Decimal(low) - step, False), (Decimal(high) + step, False)):
        z = Decimal(row(adviser, weight(str(value)))["z"])
        assert (abs(z) <= 2) is inside or abs(z) == 2


def test_pounds_with_ounces_are_shown_in_whole_ounces(adviser: Adviser) -> None:
    both = {"code": "body-weight", "value": [17, 6], "unit": ["[lb_av]", "[oz_av]"]}
    assert row(adviser, both)["expected"] == "14 lb 1 oz to 21 lb 11 oz, z ±2"


def test_length_and_head_are_shown_in_centimetres_millimetres_and_inches(adviser: Adviser) -> None:
    """WHO, boys, 6 months: length 67.6236 cm, S 0.03165; head 40.898 to 45.781 cm."""
    assert row(adviser, size("body-length", "67", "cm"))["expected"] == "63.4 to 71.9 cm, z ±2"
    assert row(adviser, size("body-length", "670", "mm"))["expected"] == "634 to 719 mm, z ±2"
    assert row(adviser, size("head-circumference", "17", "[in_i]"))["expected"] == "16.2 to 18.0 in, z ±2"


def test_a_length_taken_standing_is_held_0_7_cm_lower(adviser: Adviser) -> None:
    lying, standing = size("body-length", "67.7", "cm"), size("body-length", "67", "cm", position="standing")
    assert row(adviser, standing)["expected"] == "62.7 to 71.2 cm, z ±2"
    assert row(adviser, standing)["z"] == row(adviser, lying)["z"]


def test_what_is_not_known_of_the_infant_is_said_and_the_widest_is_shown(adviser: Adviser) -> None:
    """WHO, girls, day 183: 5.733 kg at z -2."""
    found = row(adviser, weight(), infant={"gestation": BOY["gestation"]})
    assert found["expected"] == "5.74 to 9.85 kg, z ±2; sex not charted"
    assert found["z"] == "-0.04 to 0.64"
    no_gestation = row(adviser, weight(), infant={"sex": "male"})
    assert no_gestation["expected"] == f"{GIVEN['kg']}, z ±2; gestation not charted"
    weeks_only = row(adviser, weight("5"), infant={"sex": "male", "gestation": {"weeks": 33}})
    assert weeks_only["expected"].endswith("; corrected age 134 to 140 d; days of gestation not charted")
    dated = row(adviser, weight(), infant={**BOY, "birth": "2025-09-18"})
    assert "not known" not in dated["expected"]


def test_an_infant_without_a_line_is_told_why(adviser: Adviser) -> None:
    early = {"sex": "male", "gestation": {"weeks": 33, "days": 0}}
    outside = "not in the growth reference: "
    assert row(adviser, weight("2"), days=10, infant=early)["expected"] == f"{outside}before 40 weeks"
    assert row(adviser, weight("12"), days=740)["expected"] == f"{outside}over 730 d"
    unborn = {"observations": [weight()], "event": {"measured": "2026-03-20T09:00:00Z"}, "infant": {"sex": "male"}}
    assert advise(adviser, unborn)["expected"][0]["expected"] == f"{outside}age not known"
    swollen = charted(weight(), sign("oedema-both-feet"))
    assert advise(adviser, swollen)["expected"][0]["expected"] == f"{outside}oedema of both feet"
    assert "z" not in advise(adviser, swollen)["expected"][0]


def test_a_bound_or_a_withheld_weight_has_a_line_and_no_z(adviser: Adviser) -> None:
    for more in ({"status": "entered-in-error"}, {"comparator": "<"}):
        found = row(adviser, weight(**more))
        assert found["expected"] == f"{GIVEN['kg']}, z ±2"
        assert "z" not in found
    absent = {"code": "body-weight", "absent": "not-performed"}
    assert row(adviser, absent)["expected"] == f"{GIVEN['kg']}, z ±2"


def test_a_chest_stands_beside_the_head(adviser: Adviser) -> None:
    chest, head = size("chest-circumference", "42", "cm"), size("head-circumference", "43.5", "cm")
    assert row(adviser, chest)["expected"] == "no growth reference for the chest"
    assert row(adviser, chest, head)["expected"] == "no growth reference for the chest; head less chest 1.5 cm"


def test_the_value_before_is_shown_with_the_change_and_how_long_ago(adviser: Adviser) -> None:
    past = [before(48, weight("7850", "g")), before(24, weight("7925", "g"), temperature("36.6"))]
    found = row(adviser, weight("7900", "g"), earlier=past)
    assert found["before"] == {"value": "7925 g", "change": "25 g less", "ago": "24 h ago"}
    cooler = row(adviser, temperature("36.9"), earlier=past)
    assert cooler["before"] == {"value": "36.6 °C", "change": "0.3 °C more", "ago": "24 h ago"}
    assert row(adviser, weight("7925", "g"), earlier=past)["before"]["change"] == "the same"
    assert row(adviser, weight("7.9"), earlier=past)["before"]["change"] == "0.025 kg less"
    ounces = {"code": "body-weight", "value": [17, 6], "unit": ["[lb_av]", "[oz_av]"]}
    assert row(adviser, ounces, earlier=past)["before"]["change"] == "about 1.5 oz less"


@pytest.mark.parametrize(
    ("hours", "ago"), [(1, "1 h ago"), (47, "47 h ago"), (48, "2 d ago"), (71, "2 d ago"), (24 * 62, "62 d ago")]
)
def test_how_long_ago_is_said_in_hours_then_in_days(adviser: Adviser, hours: int, ago: str) -> None:
    assert row(adviser, breathing(40), earlier=[before(hours, breathing(44))])["before"]["ago"] == ago


def test_what_is_not_the_same_measurement_is_not_compared(adviser: Adviser) -> None:
    rectal = temperature("37.1", route="rectal")
    assert "before" not in row(adviser, temperature("36.9"), earlier=[before(2, rectal)])
    hand, foot = saturation(97, site="right-hand"), saturation(95, site="foot")
    assert "before" not in row(adviser, hand, earlier=[before(2, foot)])
    for past in (breathing(44, status="entered-in-error"), {"code": "respiratory-rate", "absent": "not-performed"}):
        assert "before" not in row(adviser, breathing(40), earlier=[before(2, past)])
    older = [before(4, breathing(48)), before(2, breathing(44, comparator="<"))]
    assert row(adviser, breathing(40), earlier=older)["before"]["value"] == "48 /min"
    assert "before" not in row(adviser, breathing(40), earlier=[before(-2, breathing(44))])
    assert "before" not in row(adviser, sign("cough"), earlier=[before(2, sign("cough"))])


def test_of_several_values_of_one_entry_the_last_in_time_was_before(adviser: Adviser) -> None:
    early, late = "2026-03-20T07:00:00Z", "2026-03-20T07:30:00Z"
    past = before(2, breathing(50, measured=late), breathing(60, measured=early))
    found = row(adviser, breathing(40), earlier=[past])
    assert found["before"] == {"value": "50 /min", "change": "10 /min less", "ago": "1 h ago"}


def test_a_date_alone_leaves_how_long_ago_open_between_two_days(adviser: Adviser) -> None:
    past = {"event": {"measured": "2026-03-18"}, "observations": [breathing(44)]}
    assert row(adviser, breathing(40), earlier=[past])["before"]["ago"] == "1 to 2 d ago"


def test_the_text_says_value_place_before_and_lines_in_one_row(adviser: Adviser) -> None:
    advice = advise(adviser, charted(weight(), earlier=[before(48, weight("7.85"))]))
    Advice.model_validate(advice)
    (line,) = [each for each in text(advice, 240).splitlines() if each.startswith("  weight ")]
    assert " ".join(line.split()) == (
        "weight 7.9 kg, z -0.04; before: 7.85 kg, 0.05 kg more, 2 d ago 6.36 to 9.85 kg, z ±2 WHO growth 2006"
    )
