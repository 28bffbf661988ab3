"""Positions order as true values do; limits convert only where exact; nothing absurd is computed with."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cds.entry.catalogue import CATALOGUE
from cds.entry.units import UNITS, QuantityRefused, difference, limit, measure, quantity, shown, written
from cds.values import Quantity, Span

ONE = {  # one of each unit in the first unit of its dimension, and the zero of each scale
    "Cel": (Fraction(1), Fraction(0)),
    "[degF]": (Fraction(5, 9), Fraction(-160, 9)),
    "g": (Fraction(1), Fraction(0)),
    "kg": (Fraction(1000), Fraction(0)),
    "[lb_av]": (Fraction("453.59237"), Fraction(0)),
    "[oz_av]": (Fraction("28.349523125"), Fraction(0)),
    "cm": (Fraction(1), Fraction(0)),
    "mm": (Fraction(1, 10), Fraction(0)),
    "[in_i]": (Fraction("2.54"), Fraction(0)),
}
TICKS = {"temperature": 900, "mass": 10**11, "length": 10**5}  # in one Cel, one g, one cm


def truth(value: Decimal, unit: str) -> Fraction:
    factor, zero = ONE[unit]
    return Fraction(value) * factor + zero


def charted(unit: str) -> st.SearchStrategy[Decimal]:
    return st.decimals(0, 9000, places=UNITS[unit].places, allow_nan=False)


@pytest.mark.parametrize("unit", ONE)
@given(data=st.data())
def test_a_value_at_the_accepted_decimals_lies_on_the_grid_at_its_true_place(unit: str, data: st.DataObject) -> None:
    value = data.draw(charted(unit))
    dimension = UNITS[unit].dimension
    position = quantity(dimension, value, unit).position
    assert Fraction(position, 2) == truth(value, unit) * TICKS[dimension]
    assert position % 2 == 0


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit not in ONE])
def test_other_dimensions_hold_hundredths(unit: str) -> None:
    assert quantity(UNITS[unit].dimension, Decimal("46.37"), unit).position == 2 * 4637


@given(st.data())
def test_two_values_in_any_units_order_as_their_true_values_do_against_a_limit(data: st.DataObject) -> None:
    unit, other = data.draw(
        st.sampled_from([(a, b) for a in ONE for b in ONE if UNITS[a].dimension == UNITS[b].dimension])
    )
    bound = data.draw(charted(other))
    near = Decimal(str(round(float((truth(bound, other) - ONE[unit][1]) / ONE[unit][0]), 6)))
    value = data.draw(st.sampled_from([near, near + Decimal("0.000001"), max(near - Decimal("0.000001"), Decimal(0))]))
    assume(0 <= value < UNITS[unit].bound)
    position, edge = quantity(UNITS[unit].dimension, value, unit).position, limit(bound, other).position
    true, true_edge = truth(value, unit), truth(bound, other)
    assert (position > edge, position == edge) == (true > true_edge, true == true_edge)


def test_temperatures_that_charts_in_both_units_share_are_equal() -> None:
    assert quantity("temperature", Decimal("100.4"), "[degF]").position == limit(Decimal("38.0"), "Cel").position
    assert quantity("temperature", Decimal("97.7"), "[degF]").position == limit(Decimal("36.5"), "Cel").position
    assert quantity("temperature", Decimal("100.3"), "[degF]").position < limit(Decimal("38.0"), "Cel").position


def test_five_pounds_eight_ounces_is_under_2500_grams() -> None:
    weight = quantity("mass", [5, 8], ["[lb_av]", "[oz_av]"])
    assert weight.position < limit(2500, "g").position
    assert Fraction(weight.position, 2 * 10**11) == Fraction("2494.758035")
    assert written(weight) == "5 lb 8 oz"


def test_pounds_with_a_decimal_is_another_weight_than_pounds_with_ounces() -> None:
    decimal, ounces = quantity("mass", Decimal("7.8"), "[lb_av]"), quantity("mass", [7, 8], ["[lb_av]", "[oz_av]"])
    assert 136 < Fraction(difference(decimal, ounces).low, 2 * 10**11) < 137


def test_a_value_between_two_ticks_is_odd_and_between_its_neighbours() -> None:
    between = quantity("temperature", Decimal("36.55556"), "Cel")
    assert between.position % 2 == 1
    assert quantity("temperature", Decimal("36.55"), "Cel").position < between.position
    assert between.position < quantity("temperature", Decimal("36.56"), "Cel").position
    assert between.exact_ticks() is None


@pytest.mark.parametrize(
    ("text", "unit", "step"),
    [
        ("66.899999999999991", "cm", "66.9"),
        ("38.000000000000007", "Cel", "38"),
        ("37.9999999995", "Cel", "38"),
        ("3.6200000000000001", "kg", "3.62"),
        ("-0.00000000000001", "Cel", "0"),
    ],
)
def test_binary_float_debris_is_decided_as_its_step_and_keeps_its_text(text: str, unit: str, step: str) -> None:
    dimension = UNITS[unit].dimension
    found, is_debris = measure(dimension, Decimal(text), unit)
    assert is_debris
    assert found.text == text
    assert found.position == quantity(dimension, Decimal(step), unit).position


@pytest.mark.parametrize("text", ["36.55556", "37.999999999", "37.9999999980", "36.9000000000000", "36.5555555555556"])
def test_nine_decimals_or_a_value_off_the_step_is_no_debris(text: str) -> None:
    found, is_debris = measure("temperature", Decimal(text), "Cel")
    assert not is_debris
    assert Fraction(found.position // 2, 900) <= Fraction(text) < Fraction(found.position // 2 + 1, 900)


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (Decimal("1e999999"), "digits"),
        (Decimal("1e-999999"), "digits"),
        (Decimal("0e999999"), "digits"),
        (Decimal("9" * 49), "digits"),
        (10**400, "large"),
        (Decimal("NaN"), "kind"),
        (Decimal("Infinity"), "kind"),
        (36.9, "kind"),
        (True, "kind"),
        ("36.9", "kind"),
        (None, "kind"),
        (10_000, "large"),
        (Decimal("-10000.0"), "large"),
    ],
)
def test_what_is_no_plain_number_is_refused(value: object, why: str) -> None:
    with pytest.raises(QuantityRefused) as refused:
        measure("temperature", value, "Cel")
    assert refused.value.why == why


@pytest.mark.parametrize(
    ("value", "unit", "why"),
    [
        ([6, 16], ["[lb_av]", "[oz_av]"], "pounds"),
        ([6, Decimal("15.995")], ["[lb_av]", "[oz_av]"], None),
        ([-1, 3], ["[lb_av]", "[oz_av]"], "pounds"),
        ([Decimal("6.5"), 3], ["[lb_av]", "[oz_av]"], "pounds"),
        ([6, 3, 1], ["[lb_av]", "[oz_av]"], "pounds"),
        ([6, -3], ["[lb_av]", "[oz_av]"], "negative"),
        ([6, 3], ["[lb_av]", "g"], "unit"),
        ([6, 3], "[lb_av]", "unit"),
        (6, ["[lb_av]", "[oz_av]"], "unit"),
    ],
)
def test_pounds_with_ounces_have_one_form(value: object, unit: object, why: str | None) -> None:
    if why is None:
        assert measure("mass", value, unit)[0].text == "6 lb 15.995 oz"
        return
    with pytest.raises(QuantityRefused) as refused:
        measure("mass", value, unit)
    assert refused.value.why == why


def test_only_temperature_may_be_below_zero() -> None:
    assert quantity("temperature", -2, "Cel").position == -3600
    with pytest.raises(QuantityRefused):
        quantity("rate", -2, "/min")


@pytest.mark.parametrize(("dimension", "unit"), [("temperature", "g"), ("rate", "bpm"), ("mass", "Cel")])
def test_a_unit_of_another_dimension_is_refused(dimension: str, unit: str) -> None:
    with pytest.raises(QuantityRefused) as refused:
        quantity(dimension, 1, unit)
    assert refused.value.why == "unit"


def test_a_limit_is_on_the_grid_or_refused() -> None:
    assert limit(Decimal("38.0"), "Cel").position == 2 * 34200
    with pytest.raises(QuantityRefused) as refused:
        limit(Decimal("37.7777"), "Cel")
    assert refused.value.why == "off-grid"
    with pytest.raises(QuantityRefused):
        limit(38, "K")


@pytest.mark.parametrize(
    ("value", "written_in", "asked", "expected"),
    [
        ("38.0", "Cel", "[degF]", "100.4"),
        ("36.5", "Cel", "[degF]", "97.7"),
        ("100.3", "[degF]", "Cel", None),
        ("2500", "g", "kg", "2.5"),
        ("2500", "g", "[lb_av]", None),
        ("8", "[lb_av]", "[oz_av]", "128"),
        ("50.8", "cm", "[in_i]", "20"),
        ("50", "cm", "mm", "500"),
        ("60", "/min", "/min", "60"),
    ],
)
def test_a_limit_is_shown_in_another_unit_only_where_that_is_exact(
    value: str, written_in: str, asked: str, expected: str | None
) -> None:
    found = shown(limit(Decimal(value), written_in).position, asked)
    assert (None if found is None else str(found)) == expected


@given(st.sampled_from(sorted(UNITS)), st.data())
def test_what_is_shown_is_the_value_again(unit: str, data: st.DataObject) -> None:
    value = data.draw(charted(unit))
    assert shown(limit(value, unit).position, unit) == value


def test_a_difference_of_temperatures_has_no_offset() -> None:
    warm, cool = quantity("temperature", Decimal("38.5"), "Cel"), quantity("temperature", Decimal("37.5"), "Cel")
    apart = difference(warm, cool)
    assert shown(apart.low, "[degF]", is_difference=True) == Decimal("1.8")
    assert apart.low == apart.high


def test_a_difference_of_two_values_between_ticks_is_a_span() -> None:
    finer = [Quantity("", "Cel", "temperature", position) for position in (65801, 65701)]
    assert difference(*finer) == Span(99, 101)
    assert difference(finer[0], Quantity("", "Cel", "temperature", 65700)) == Span(101, 101)
    with pytest.raises(QuantityRefused):
        difference(finer[0], quantity("rate", 1, "/min"))


@given(st.fractions(-3, 3), st.fractions(-3, 3))
def test_a_difference_holds_the_true_difference(first: Fraction, second: Fraction) -> None:
    def place(ticks: Fraction) -> int:
        return 2 * (ticks.numerator // ticks.denominator) + (ticks.denominator != 1)

    sides = [Quantity("", "Cel", "temperature", place(ticks)) for ticks in (first, second)]
    span = difference(*sides)
    assert span.low <= place(first - second) <= span.high


@pytest.mark.parametrize("unit", UNITS)
def test_every_accepted_step_is_whole_ticks_and_every_position_fits_63_bits(unit: str) -> None:
    known = UNITS[unit]
    assert known.factor % 10**known.places == 0
    assert 2 * known.bound * known.factor < 2**63


def test_every_unit_of_the_catalogue_is_known_in_its_dimension() -> None:
    charted_units = [(kind.dimension, unit) for kind in CATALOGUE.values() for unit in kind.units]
    assert charted_units
    assert all(UNITS[unit].dimension == dimension for dimension, unit in charted_units)


@pytest.mark.parametrize(
    ("dimension", "value", "unit", "text"),
    [
        ("temperature", Decimal("36.90"), "Cel", "36.90 °C"),
        ("rate", 46, "/min", "46 /min"),
        ("count", 3, "count", "3"),
        ("mass", Decimal("3.62e3"), "g", "3620 g"),
        ("pressure", 42, "mm[Hg]", "42 mmHg"),
    ],
)
def test_a_quantity_is_written_as_charted(dimension: str, value: int | Decimal, unit: str, text: str) -> None:
    assert written(quantity(dimension, value, unit)) == text
