"""Slips of unit and decimal point, repeats, siblings and what is held: over invented well infants, and one by one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.advice.status import Raised, decide
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.entry.units import UNITS
from cds.judge.derive import derive
from cds.judge.view import Value, View
from cds.rules.load import load
from cds.rules.model import RuleSet
from tests.sizes import WellInfant

Data = dict[str, Any]
BORN = datetime(2026, 1, 5, 6, tzinfo=UTC)
VISITS = (1, 2, 4, 14, 30, 62, 122, 183, 274, 366, 457, 548, 640, 720)
SLIP = {"body-weight": "weight-slip", "body-length": "length-slip", "head-circumference": "head-slip"}
CHARTED = {"body-weight": "kg", "body-length": "cm", "head-circumference": "cm"}
POUND, INCH = Decimal("0.45359237"), Decimal("2.54")
OF_WEIGHT = (
    *(
        ("unit", 1 / POUND, "kg"),
        ("unit", POUND, "kg"),
        ("unit", Decimal("0.001"), "kg"),
        ("unit", Decimal(1), "[lb_av]"),
    ),
    *(
        ("unit", 1 / POUND, "g"),
        ("unit", POUND, "g"),
        ("decimal", Decimal(10), "kg"),
        ("decimal", Decimal("0.1"), "kg"),
    ),
    *(("decimal", Decimal(10), "g"), ("decimal", Decimal("0.1"), "g")),
)
OF_LENGTH = (
    *(("unit", Decimal(10), "cm"), ("unit", 1 / INCH, "cm"), ("unit", INCH, "cm"), ("decimal", Decimal("0.1"), "cm")),
    *(("unit", Decimal(1), "[in_i]"), ("unit", Decimal(1), "mm")),
)
WAYS = {"body-weight": OF_WEIGHT, "body-length": OF_LENGTH, "head-circumference": OF_LENGTH}


@pytest.fixture(scope="module")
def rules() -> RuleSet:
    return load(Path(__file__).parents[2] / "rulesets" / "infant-vitals")


@pytest.fixture(scope="module")
def plain(rules: RuleSet) -> Adviser:
    alone = Adviser(rules)
    alone.evaluators.engine = None
    return alone


def size(code: str, value: Decimal | float, unit: str) -> Data:
    places = 1 if unit in ("cm", "[in_i]") else 0 if unit in ("g", "mm") else 3
    return {"code": code, "value": round(Decimal(value), places), "unit": unit}


def part(days: float, *observations: Data) -> Data:
    return {"event": {"measured": (BORN + timedelta(days=days)).isoformat()}, "observations": list(observations)}


def entry(days: float, *observations: Data, **more: Any) -> Data:
    infant = {"id": "T-5", "birth": BORN.isoformat(), "sex": "female", "gestation": {"weeks": 39, "days": 1}}
    return {"infant": infant | more.pop("infant", {}), **part(days, *observations), **more}


def told(name: str, data: Data, rules: RuleSet) -> Value:
    return derive(name, View(read_entry(data), rules))


def word(name: str, data: Data, rules: RuleSet) -> str:
    (only,) = told(name, data, rules).words
    return only


def findings(data: Data, adviser: Adviser) -> dict[str, Raised]:
    answer = adviser.answer(read_entry(data))
    return {made.rule.id: made for made in decide(answer.rules.rules, answer.inference.verdicts, answer.view)}


def visits(number: int) -> Iterator[tuple[WellInfant, int, int]]:
    """Well infants, each with two visits one after the other, in days of age."""
    random = Random(20261001)
    for _ in range(number):
        place = random.randrange(1, len(VISITS))
        yield WellInfant(random), VISITS[place - 1], VISITS[place]


def born(infant: WellInfant) -> Data:
    """What an entry says of a well infant."""
    return {"sex": infant.sex, "birth_weight": {"value": round(Decimal(infant.birth_weight), 3), "unit": "kg"}}


def test_a_value_of_a_well_infant_is_no_slip_and_can_be(rules: RuleSet) -> None:
    """With the visit before, and without it, with birth weight; 300 infants."""
    for infant, first, then in visits(300):
        for code, name in SLIP.items():
            now, past = (size(code, infant.charted(code, days), CHARTED[code]) for days in (then, first))
            for earlier in ([part(first, past)], []):
                data = entry(then, now, infant=born(infant), earlier=earlier)
                assert word(name, data, rules) == "none", data


def test_a_slipped_value_of_a_well_infant_is_found_after_the_visit_before(rules: RuleSet) -> None:
    """By every factor; 60 infants."""
    for infant, first, then in visits(60):
        for code, name in SLIP.items():
            past = size(code, infant.charted(code, first), CHARTED[code])
            value = round(Decimal(infant.charted(code, then)), 3)
            for slip, factor, unit in WAYS[code]:
                base = value * 1000 if unit == "g" else value
                now = {"code": code, "value": round(base * factor, 4), "unit": unit}
                data = entry(then, now, infant=born(infant), earlier=[part(first, past)])
                assert word(name, data, rules) == slip, (data, told(name, data, rules))


def test_a_slipped_weight_of_the_first_month_is_found_by_birth_weight_alone(rules: RuleSet) -> None:
    for infant, _, then in visits(120):
        if then >= 28:
            continue
        value = round(Decimal(infant.charted("body-weight", then)), 3)
        for slip, factor, unit in OF_WEIGHT:
            base = value * 1000 if unit == "g" else value
            now = {"code": "body-weight", "value": round(base * factor, 4), "unit": unit}
            assert word("weight-slip", entry(then, now, infant=born(infant)), rules) == slip, now


@pytest.mark.parametrize(
    ("charted", "numbers"),
    [
        ({"value": 510, "unit": "cm"}, ("if millimetres", "51 cm")),
        ({"value": 51, "unit": "mm"}, ("if centimetres", "510 mm")),
        ({"value": Decimal("20.1"), "unit": "cm"}, ("if inches", "51.05 cm")),
        ({"value": Decimal("5.1"), "unit": "cm"}, ("if the point is one place off", "51 cm")),
    ],
)
def test_ten_times_too_long_in_cm_is_a_unit_and_ten_times_too_short_a_decimal(
    rules: RuleSet, charted: Data, numbers: tuple[str, str]
) -> None:
    value = told("length-slip", entry(3, {"code": "body-length", **charted}), rules)
    assert value.numbers[1] == numbers
    assert value.words == {"decimal" if "point" in numbers[0] else "unit"}


@pytest.mark.parametrize(
    ("value", "unit", "reading"),
    [("98.6", "Cel", "37 °C"), ("37.0", "[degF]", "37 °C"), ("3.7", "Cel", "37 °C"), ("986", "[degF]", "37 °C")],
)
def test_a_temperature_is_read_in_the_other_unit_exactly(rules: RuleSet, value: str, unit: str, reading: str) -> None:
    seen = {"code": "body-temperature", "value": Decimal(value), "unit": unit}
    assert told("temperature-slip", entry(40, seen), rules).numbers[1][1] == reading


@pytest.mark.parametrize("pounds", range(3, 25))
def test_pounds_and_ounces_charted_with_a_point_are_found_on_the_day_of_the_weight_before(
    rules: RuleSet, pounds: int
) -> None:
    """Where the decimal is more than 2 % and a day's change from it, and no well decimal is found."""
    for ounces in range(1, 16):
        true = {"code": "body-weight", "value": [pounds, ounces], "unit": ["[lb_av]", "[oz_av]"]}
        decimal = Decimal(f"{pounds}.{ounces}")
        meant = Decimal(pounds) + Decimal(ounces) / 16
        found = word("weight-slip", _later(true, decimal), rules)
        far = abs(decimal - meant) / meant * 100 > Decimal("2.1")
        near = abs(decimal - meant) / meant * 100 < Decimal("1.9")
        assert found == ("pounds-as-decimal" if far else "none") or not (far or near)
        assert word("weight-slip", _later(true, round(meant, 2)), rules) == "none" or ounces == 1


def _later(before: Data, pounds: Decimal) -> Data:
    now = {"code": "body-weight", "value": pounds, "unit": "[lb_av]"}
    return entry(100.05, now, earlier=[part(100, before)])


def test_a_value_between_two_steps_is_judged_as_exactly_as_one_on_a_step(rules: RuleSet) -> None:
    """75 % of 4000 g is no fall that cannot be; a hair below it is."""
    before = part(100, size("body-weight", 4000, "g"))
    for value, rank in (("3000", "not-met"), ("2999.999999", "met"), ("3000.000001", "not-met")):
        now = {"code": "body-weight", "value": Decimal(value), "unit": "g"}
        answer = Adviser(rules).answer(read_entry(entry(110, now, earlier=[before])))
        assert answer.inference.verdicts["weight-change-implausible"].word == rank, value


def test_an_earlier_value_that_cannot_be_is_passed_over(rules: RuleSet) -> None:
    wrong, right = size("body-weight", Decimal("69.0"), "kg"), size("body-weight", Decimal("6.8"), "kg")
    data = entry(120, size("body-weight", Decimal("6.9"), "kg"), earlier=[part(100, right), part(110, wrong)])
    assert word("weight-slip", data, rules) == "none"
    assert told("weight-rise", data, rules).numbers[0] == ("last weight", "6.800 kg")


def test_a_slip_of_birth_weight_is_not_what_the_weight_is_held_against(rules: RuleSet) -> None:
    infant = {"birth_weight": {"value": Decimal("3.3"), "unit": "g"}}
    data = entry(3, size("body-weight", 3150, "g"), infant=infant)
    assert (word("weight-slip", data, rules), word("birth-weight-slip", data, rules)) == ("none", "unit")


@pytest.mark.parametrize("unit", [unit for unit, known in UNITS.items() if known.dimension in ("mass", "length")])
def test_zero_and_nothing_are_no_slips(rules: RuleSet, unit: str) -> None:
    code = "body-weight" if UNITS[unit].dimension == "mass" else "body-length"
    if unit != "[oz_av]":
        assert word(SLIP[code], entry(3, {"code": code, "value": 0, "unit": unit}), rules) == "none"
    assert told(SLIP[code], entry(3), rules).needs == (code,)


def test_what_is_only_a_bound_or_withdrawn_is_no_slip(rules: RuleSet) -> None:
    for more in ({"comparator": ">"}, {"status": "entered-in-error"}):
        seen = {"code": "body-length", "value": 510, "unit": "cm", **more}
        assert told("length-slip", entry(3, seen), rules).words == frozenset()


def test_a_held_finding_names_why_and_no_contact_finding_is_held(plain: Adviser) -> None:
    infant = {"birth_weight": {"value": 3310, "unit": "g"}}
    found = findings(entry(3, size("body-weight", Decimal("1.43"), "kg"), infant=infant), plain)
    assert found["weight-loss-12-or-more"].status == "raised"
    assert found["weight-unit-slip"].together
    advice = plain.advise(read_entry(entry(3, size("body-weight", Decimal("1.43"), "kg"), infant=infant)))
    slip = next(each for each in advice["findings"] if each["rule"] == "weight-unit-slip")
    assert slip["summary"].endswith("Check entry and infant together.")
    held = [each for each in advice["findings"] if each["status"] == "held"]
    assert held
    assert {each["level"] for each in held}.isdisjoint({"contact"})
    because = {"reason": "suspected-entry-error", "by": ["weight-unit-slip", "weight-change-implausible"]}
    assert all(set(each["held"]["by"]) <= {*because["by"], "weight-for-age-implausible"} for each in held)
    assert {each["held"]["reason"] for each in held} == {because["reason"]}


def test_what_reads_something_else_is_not_held(plain: Adviser) -> None:
    hot = {"code": "body-temperature", "value": Decimal("39.5"), "unit": "Cel", "route": "axillary"}
    found = findings(entry(130, size("body-weight", 65, "kg"), hot), plain)
    assert {"weight-decimal-slip"} <= found.keys()
    fever = [made for made in found.values() if made.rule.area == "temperature"]
    assert fever
    assert all(made.status != "held" for made in fever)


def test_the_z_of_a_suspected_weight_is_shown_all_the_same(plain: Adviser) -> None:
    advice = plain.advise(read_entry(entry(180, size("body-weight", Decimal("20.0"), "kg"))))
    flag = next(each for each in advice["findings"] if each["rule"] == "weight-for-age-implausible")
    assert flag["numbers"]
    assert any(each["name"] == "weight-for-age" for each in advice["derived"])


def test_nothing_on_the_entry_itself_is_held_by_a_slip(rules: RuleSet, plain: Adviser) -> None:
    seen = size("body-weight", 65, "kg") | {"clothing": "clothed"}
    found = findings(entry(130, seen), plain)
    assert found["weight-clothed"].status == "raised"
    assert all(made.status != "held" for made in found.values() if made.rule.area == "quality")
    assert {rule.level for rule in rules.rules if rule.holds} == {"recheck"}


def test_every_rule_that_suspects_says_what_of(rules: RuleSet) -> None:
    holds = [rule for rule in rules.rules if rule.holds]
    assert all(rule.reads for rule in holds)
    assert {rule.finding for rule in holds} == {
        *("possible-unit-slip", "possible-decimal-slip", "possible-wrong-infant", "implausible-value")
    }
    own = [rule for rule in rules.rules if "plausible.yaml" in rule.place]
    assert [rule.id for rule in own if not rule.holds] == ["saturation-implausible"]


def twin(weight: Decimal | int, **more: Any) -> Data:
    return {"infant": {"id": "T-6"}, **part(12, size("body-weight", weight, "g")), **more}


def test_siblings_speak_only_where_an_own_weight_does_not_fit(rules: RuleSet) -> None:
    own = [part(12, size("body-weight", 2500, "g"))]
    now = size("body-weight", 3010, "g")
    fits = [
        (entry(13, now, earlier=own, siblings=[twin(3000)]), "sibling-better"),
        (entry(13, now, earlier=own, siblings=[twin(2700), twin(3000)]), "sibling-better"),
        (entry(13, size("body-weight", 2520, "g"), earlier=own, siblings=[twin(2520)]), "this-infant"),
        (entry(13, now, earlier=own, siblings=[{**twin(3000), "infant": {"id": "T-5"}}]), None),
        (entry(13, now, earlier=own, siblings=[]), None),
        (entry(13, now, siblings=[twin(3000)]), None),
    ]
    for data, expected in fits:
        value = told("fits-infant", data, rules)
        assert value.words == ({expected} if expected else frozenset()), data


def test_a_sibling_s_withdrawn_weight_is_not_the_infant_s(rules: RuleSet) -> None:
    own = [part(12, size("body-weight", 2500, "g"))]
    sibling = twin(3000)
    sibling["observations"][0]["status"] = "entered-in-error"
    data = entry(13, size("body-weight", 3010, "g"), earlier=own, siblings=[sibling])
    assert word("fits-infant", data, rules) == "this-infant"
    sibling["earlier"] = [part(11, size("body-weight", 2990, "g"))]
    assert word("fits-infant", data, rules) == "sibling-better"
