"""Published teaching cases, each as one whole advice.

- WHO IMCI training course, 1997, in the national adaptation of Ethiopia's health-extension modules: a boy of 6 months
  with cough, a newborn girl with a convulsion (postnatal module). Figures seen secondary. Names, times and what the
  text does not give are invented.
- Corrected age, as taught for growth of infants born early (40 weeks less gestation): teaching example, seen secondary.
The teaching case of the newborn heart screen is in test_oxygen.py.
"""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from tests.outside.bedside import Data, advise, breathing, entry, raised, sign, temperature

BREAST = {"feeding_route": "breast"}


def boy_of_6_months(rate: int) -> Data:
    """5.5 kg, 38.0, cough for 2 days, breastfed, no indrawing, no stridor. His weight is judged with growth."""
    signs = sign("cough"), sign("retractions", "absent"), sign("stridor-when-calm", "absent"), sign("feeding", "usual")
    return entry("6 mo", temperature("38.0"), breathing(rate), *signs, care=BREAST, infant={"sex": "male"})


def test_the_boy_with_cough_and_58_breathes_fast_and_is_in_the_amber_column(adviser: Adviser) -> None:
    assert raised(adviser, boy_of_6_months(58)) == {
        "fast-breathing": "discuss",
        "fever-table-amber": "discuss",
        "fever": "note",
    }


def test_the_same_boy_with_49_does_not_breathe_fast(adviser: Adviser) -> None:
    assert raised(adviser, boy_of_6_months(49)) == {"fever": "note"}


def test_the_girl_of_28_hours_with_a_convulsion_asks_for_the_clinician_at_once(adviser: Adviser) -> None:
    """39 weeks, 3000 g, convulsion, not feeding, 38.5."""
    girl = {"sex": "female", "gestation": {"weeks": 39, "days": 0}, "birth_weight": {"value": 3000, "unit": "g"}}
    signs = sign("convulsions"), sign("feeding", "unable")
    found = raised(adviser, entry("28 h", temperature("38.5"), *signs, care=BREAST, infant=girl))
    assert {found[each] for each in ("danger-sign", "young-infant-fever", "young-infant-critical-illness")} == {
        "contact"
    }
    assert set(found.values()) == {"contact"}


def test_her_advice_lists_both_danger_signs_as_red_flags(adviser: Adviser) -> None:
    signs = sign("convulsions"), sign("feeding", "unable")
    findings = advise(adviser, entry("28 h", *signs, care=BREAST))["findings"]
    danger = [each["rule"] for each in findings if each["finding"] == "danger-sign" and each["red_flag"]]
    assert sorted(danger) == ["convulsion", "unable-to-feed"]


@pytest.mark.parametrize(
    ("weeks", "age", "corrected"),
    [(35, "56 d", 21), (36, "56 d", 28), (37, "56 d", None), (40, "56 d", None), (33, "14 d", -35)],
)
def test_eight_weeks_after_birth_at_35_weeks_is_three_weeks_corrected(
    adviser: Adviser, weeks: int, age: str, corrected: int | None
) -> None:
    """Born from 37 weeks on, the age is not corrected; before 40 weeks it is less than nothing."""
    born = {"gestation": {"weeks": weeks, "days": 0}}
    ages = advise(adviser, entry(age, breathing(40), infant=born))["age"]
    expected = int(age.split()[0]) if corrected is None else corrected
    assert ages["corrected"]["days"] == {"from": expected, "to": expected}
