"""Loss, gain and differences of sizes: exact against fractions, and which earlier entry speaks."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.model import Entry
from cds.entry.read import read_entry, read_json
from cds.errors import Refused
from cds.judge.changes import Stretch, lasting, said
from cds.judge.compare import reached
from cds.judge.derive import derive
from cds.judge.view import Value, View
from cds.rules.model import Comparator
from cds.values import Rank, Span, Verdict
from tests.verdicts.golden import rule_set

Data = dict[str, Any]
NOW = datetime(2026, 10, 1, 8, tzinfo=UTC)
BORN = NOW - timedelta(days=200)
MISSING = Verdict(Rank.UNKNOWN, frozenset({"missing-input"}))
COMPARATORS: tuple[Comparator, ...] = ("above", "at-or-above", "below", "at-or-below")
OVER_TIME = (
    "weight-change",
    "weight-change-over-month",
    "weight-gain-since-last",
    "weight-gain-over-5-days",
    "length-gain",
    "head-gain",
)


def weight(grams: object, unit: object = "g", **more: Any) -> Data:
    return {"code": "body-weight", "value": grams, "unit": unit, **more}


def size(code: str, value: object, unit: str = "cm", **more: Any) -> Data:
    return {"code": code, "value": value, "unit": unit, **more}


def ago(**time: int) -> str:
    return (NOW - timedelta(**time)).isoformat()


def entry(*observations: Data, earlier: Iterable[tuple[str, Data]] = (), **infant: Any) -> Entry:
    past = [{"event": {"measured": at}, "observations": [seen]} for at, seen in earlier]
    who = {key: value for key, value in {"birth": BORN.isoformat(), **infant}.items() if value is not None}
    whole = {"infant": who, "event": {"measured": NOW.isoformat()}, "observations": list(observations), "earlier": past}
    return read_entry(read_json(json.dumps(whole)))


def derived(name: str, *observations: Data, **more: Any) -> Value:
    return derive(name, View(entry(*observations, **more), rule_set()))


def grams(value: object, unit: object = "g") -> Data:
    return {"value": value, "unit": unit}


def holds(exact: Fraction, comparator: Comparator, limit: Fraction) -> bool:
    answers = {"above": exact > limit, "at-or-above": exact >= limit, "below": exact < limit}
    return answers.get(comparator, exact <= limit)


def check_exact(value: Value, exact: Fraction, limit: Fraction) -> None:
    """The value answers every comparator to a limit in hundredths as the exact number does."""
    assert value.low is not None
    for comparator in COMPARATORS:
        got = reached(comparator, (value.low, value.high), int(limit * 200))
        assert got is holds(exact, comparator, limit), (comparator, exact, limit)


HUNDREDTHS = st.integers(-40_000, 40_000).map(lambda number: Fraction(number, 100))


@given(born=st.integers(1, 700_000), now=st.integers(0, 1_400_000), limit=HUNDREDTHS)
def test_loss_is_judged_as_the_exact_fraction(born: int, now: int, limit: Fraction) -> None:
    at = {"birth_weight": grams(born / 100)}
    loss = Fraction(100 * (born - now), born)
    for near in (limit, Fraction(round(loss * 100), 100)):
        check_exact(derived("weight-loss", weight(now / 100), **at), loss, near)
        check_exact(derived("weight-of-birth-weight", weight(now / 100), **at), 100 - loss, 100 - near)


@given(then=st.integers(0, 20_000), now=st.integers(0, 20_000), apart=st.integers(72_000, 3_000_000), limit=HUNDREDTHS)
def test_gain_a_day_is_judged_as_the_exact_fraction(then: int, now: int, apart: int, limit: Fraction) -> None:
    value = derived("weight-gain-since-last", weight(now), earlier=[(ago(seconds=apart), weight(then))])
    gain = Fraction((now - then) * 86_400, apart)
    for near in (limit, Fraction(round(gain * 100), 100)):
        check_exact(value, gain, near)


@given(
    then=st.integers(200, 900),
    now=st.integers(200, 900),
    apart=st.integers(1_209_600, 8_640_000),
    standing=st.booleans(),
)
def test_growth_a_month_is_judged_as_the_exact_fraction(then: int, now: int, apart: int, standing: bool) -> None:
    position = {"position": "standing"} if standing else {}
    value = derived(
        "length-gain",
        size("body-length", now / 10, **position),
        earlier=[(ago(seconds=apart), size("body-length", then, "mm"))],
    )
    month = Fraction(2_629_800)
    gain = (Fraction(now - then, 10) + (Fraction(7, 10) if standing else 0)) * month / apart
    for near in (Fraction(0), Fraction(round(gain * 100), 100)):
        check_exact(value, gain, near)


@given(pounds=st.integers(1, 20), ounces=st.integers(0, 159), born=st.integers(1000, 5000))
def test_pounds_with_ounces_weigh_what_they_weigh(pounds: int, ounces: int, born: int) -> None:
    charted = weight([pounds, ounces / 10], ["[lb_av]", "[oz_av]"])
    exact = (pounds + Fraction(ounces, 160)) * Fraction("453.59237")
    value = derived("weight-of-birth-weight", charted, birth_weight=grams(born))
    share = 100 * exact / born
    check_exact(value, share, Fraction(round(share * 100), 100))


TIMES = st.lists(st.integers(1, 170 * 24), min_size=1, max_size=8, unique=True)


@given(hours=TIMES, data=st.data())
def test_the_order_in_which_earlier_entries_are_sent_changes_nothing(hours: list[int], data: st.DataObject) -> None:
    past = [(ago(hours=each), weight(3000 + each)) for each in hours]
    mixed = data.draw(st.permutations(past))
    for name in OVER_TIME[:4]:
        assert derived(name, weight(5000), earlier=past) == derived(name, weight(5000), earlier=mixed)


@given(hours=TIMES)
def test_an_earlier_entry_sent_twice_changes_nothing(hours: list[int]) -> None:
    past = [(ago(hours=each), weight(3000 + each)) for each in hours]
    for name in OVER_TIME[:4]:
        assert derived(name, weight(5000), earlier=past) == derived(name, weight(5000), earlier=past + past)


@given(hours=TIMES)
def test_the_latest_that_lies_far_enough_back_is_taken(hours: list[int]) -> None:
    past = [(ago(hours=each), weight(3000 + each)) for each in hours]
    spans = {
        "weight-change": (1, 24_000),
        "weight-change-over-month": (28 * 24, 62 * 24),
        "weight-gain-since-last": (20, 24_000),
        "weight-gain-over-5-days": (120, 35 * 24),
    }
    for name, (least, most) in spans.items():
        told = [each for each in hours if least <= each <= most]
        value = derived(name, weight(5000), earlier=past)
        expected = f"{3000 + min(told)} g" if told else None
        assert dict(value.numbers).get("before") == expected
        assert value.verdict == (None if told else MISSING)


def test_hundreds_of_earlier_entries_are_looked_through() -> None:
    hourly = [(ago(hours=each), weight(4000 - each)) for each in range(1, 700)]
    value = derived("weight-gain-over-5-days", weight(4000), earlier=hourly)
    assert value.numbers == (("gain", "24 g/day over 5 d"), ("weight", "4000 g"), ("before", "3880 g"))


def test_of_two_entries_of_one_instant_the_last_sent_speaks() -> None:
    twice = [(ago(days=2), weight(3900)), (ago(days=2), weight(3800))]
    assert dict(derived("weight-change", weight(4000), earlier=twice).numbers)["before"] == "3800 g"


def test_of_two_weights_of_one_entry_the_last_exact_one_speaks() -> None:
    bound = weight(9000, comparator="<")
    wrong = weight(9000, status="entered-in-error")
    value = derived("weight-loss", weight(2900), weight(2800), bound, wrong, birth_weight=grams(3000))
    assert dict(value.numbers)["weight"] == "2800 g"


@pytest.mark.parametrize("name", OVER_TIME)
def test_no_earlier_value_is_taken_from_before_birth_after_the_entry_or_its_instant(name: str) -> None:
    code = {"length-gain": "body-length", "head-gain": "head-circumference"}.get(name)
    seen = size(code, 40) if code else weight(4000)
    for at in (ago(days=201), NOW.isoformat(), (NOW + timedelta(days=1)).isoformat()):
        value = derived(name, seen, earlier=[(at, seen)])
        assert value.verdict == MISSING
        assert value.needs == (f"an earlier {'length' if code == 'body-length' else 'head' if code else 'weight'}",)


def test_a_weight_from_before_birth_is_not_taken_where_only_an_age_is_given() -> None:
    past = [(ago(days=12), weight(3000))]
    young = derived("weight-change", weight(3500), earlier=past, birth=None, age={"days": 10})
    assert young.needs == ("an earlier weight",)
    assert dict(derived("weight-change", weight(3500), earlier=past, birth=None, age={"days": 13}).numbers)


@pytest.mark.parametrize("status", ["entered-in-error", "cancelled"])
def test_a_withheld_earlier_weight_is_passed_over(status: str) -> None:
    past = [(ago(days=1), weight(9000, status=status)), (ago(days=2), weight(3900))]
    assert dict(derived("weight-change", weight(4000), earlier=past).numbers)["change"] == "100 g over 2 d"


def test_times_that_are_only_dates_give_a_span() -> None:
    value = derived("weight-gain-since-last", weight(4000), earlier=[("2026-09-28", weight(3900))])
    least, most = (Fraction(100 * 86_400, seconds) for seconds in (80 * 3600, 56 * 3600 + 1))
    assert value.low == 2 * int(100 * least)
    assert value.high == 2 * int(100 * most) + 1
    assert dict(value.numbers)["gain"] == "30 to 42.9 g/day over 2.3 to 3.3 d"
    falling = derived("weight-gain-since-last", weight(3800), earlier=[("2026-09-28", weight(3900))])
    assert falling.low is not None
    assert value.high is not None
    assert (falling.low, falling.high) == (-value.high, -value.low)


def test_a_date_counts_as_far_enough_back_only_where_all_of_it_is() -> None:
    assert derived("weight-gain-over-5-days", weight(4000), earlier=[("2026-09-26", weight(3900))]).verdict == MISSING
    assert derived("weight-gain-over-5-days", weight(4000), earlier=[("2026-09-25", weight(3900))]).verdict is None


def test_an_observation_with_a_time_of_its_own_is_compared_by_that() -> None:
    value = derived("weight-change", weight(4000, measured=ago(hours=1)), earlier=[(ago(hours=3), weight(3900))])
    assert dict(value.numbers)["change"] == "100 g over 2 h"


def test_gain_since_birth_needs_an_age_above_nothing() -> None:
    at = {"birth_weight": grams(3000)}
    assert dict(derived("weight-gain-since-birth", weight(7000), **at).numbers) == {
        "gain": "20 g/day over 200 d",
        "weight": "7000 g",
        "birth weight": "3000 g",
    }
    same = derived("weight-gain-since-birth", weight(3000), birth=NOW.isoformat(), **at)
    today = derived("weight-gain-since-birth", weight(3000), birth="2026-10-01", **at)
    assert same.needs == today.needs == ("a later weight",)
    unknown = derived("weight-gain-since-birth", weight(3000), birth=None, **at)
    assert unknown.verdict == Verdict(Rank.POSSIBLE, frozenset({"unknown-age"}))


@pytest.mark.parametrize("name", ["weight-loss", "weight-of-birth-weight", "weight-gain-since-birth", *OVER_TIME[:4]])
def test_without_a_weight_the_weight_is_asked_for(name: str) -> None:
    assert derived(name, birth_weight=grams(3000)) == Value(verdict=MISSING, needs=("body-weight",))
    only = derived(name, weight(2500, comparator="<"), birth_weight=grams(3000))
    assert only.verdict == Verdict(Rank.UNKNOWN, frozenset({"bound-only-value"}))


@pytest.mark.parametrize("name", ["weight-loss", "weight-of-birth-weight", "weight-gain-since-birth"])
def test_without_a_birth_weight_the_birth_weight_is_asked_for(name: str) -> None:
    assert derived(name, weight(3000)) == Value(verdict=MISSING, needs=("birth weight",))


@pytest.mark.parametrize("name", ["weight-loss", "weight-of-birth-weight"])
def test_nothing_is_a_share_of_a_birth_weight_of_0(name: str) -> None:
    assert derived(name, weight(3000), birth_weight=grams(0)) == Value(verdict=MISSING, needs=("birth weight",))


def test_a_birth_weight_of_0_is_shown_as_charted() -> None:
    value = derived("birth-weight", birth_weight=grams(0))
    assert (value.low, value.high, value.numbers) == (0, 0, (("birth weight", "0 g"),))
    assert derived("birth-weight").needs == ("birth weight",)


def test_a_weight_of_0_is_a_loss_of_all() -> None:
    value = derived("weight-loss", weight(0), birth_weight=grams(3000))
    assert (value.low, value.high) == (20_000, 20_000)
    assert value.numbers == (("loss", "100 %"), ("birth weight", "3000 g"), ("weight", "0 g"))


def test_a_birth_weight_in_kilograms_charted_as_grams_is_computed_as_charted() -> None:
    value = derived("weight-loss", weight(3300), birth_weight=grams(3.3))
    assert value.numbers[0] == ("above birth weight", "99900 %")
    assert dict(derived("weight-of-birth-weight", weight(3300), birth_weight=grams(3.3)).numbers)[
        "share of birth weight"
    ] == ("100000 %")


@pytest.mark.parametrize(
    "bad", [weight(-1), weight([-1, 3], ["[lb_av]", "[oz_av]"]), weight([6, 17], ["[lb_av]", "[oz_av]"])]
)
def test_a_weight_below_0_or_with_too_many_ounces_is_refused(bad: Data) -> None:
    with pytest.raises(Refused):
        entry(bad)


def test_a_value_between_two_ticks_is_never_taken_for_one_of_them() -> None:
    """2700 g of 3000 g is a loss of exactly 10 %; a hair less is more, a hair more is less."""
    third = Fraction(1, 3)
    assert Stretch(Fraction(1000), Fraction(1000) + third, True).positions() == (2001, 2001)
    assert Stretch(Fraction(1000) - third, Fraction(1000), True).positions() == (1999, 1999)
    assert Stretch(Fraction(1000), Fraction(1001), True).positions() == (2001, 2001)
    assert Stretch(Fraction(1000), Fraction(1000), True).positions() == (2000, 2000)
    assert Stretch(Fraction(1000), Fraction(1001)).positions() == (2000, 2002)


def test_weights_off_the_grid_stay_exact_beside_a_limit() -> None:
    fine = "2700.004987654321987"
    read = read_json(json.dumps(weight(0)).replace(": 0", f": {fine}"))
    raw = {
        "infant": {"birth": BORN.isoformat(), "birth_weight": grams(3000)},
        "event": {"measured": NOW.isoformat()},
        "observations": [read],
    }
    value = derive("weight-loss", View(read_entry(raw), rule_set()))
    assert value.low is not None
    assert reached("above", (value.low, value.high), 2000) is False
    assert value.low == value.high == 1999


def test_first_entry_is_the_one_without_earlier_ones() -> None:
    assert derived("first-entry").words == frozenset({"yes"})
    assert derived("first-entry", earlier=[(ago(days=1), weight(3000))]).words == frozenset({"no"})


def test_head_minus_chest_is_exact_across_units() -> None:
    head, chest = size("head-circumference", 14, "[in_i]"), size("chest-circumference", 330, "mm")
    value = derived("head-minus-chest", head, chest)
    assert value.low == value.high == 2 * 256_000
    assert value.numbers == (("head", "14 in"), ("chest", "330 mm"), ("difference", "2.6 cm"))
    assert derived("head-minus-chest", head).needs == ("chest-circumference",)
    assert derived("head-minus-chest", chest).needs == ("head-circumference",)


def test_a_length_standing_is_said_with_what_is_added() -> None:
    stands = size("body-length", 60, position="standing")
    value = derived("length-gain", stands, earlier=[(ago(days=28), size("body-length", 60))])
    assert dict(value.numbers) == {
        "gain": "0.8 cm/month over 28 d",
        "length": "60 cm standing, 0.7 cm added",
        "before": "60 cm",
    }


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Fraction(10), "10"),
        (Fraction(1003, 100), "10.03"),
        (Fraction(10_003, 1000), "10.003"),
        (Fraction(100_001, 10_000), "just over 10"),
        (Fraction(99_999, 10_000), "just under 10"),
        (Fraction(67, 8), "8.4"),
        (Fraction(-13, 3), "-4.3"),
        (Fraction(1_234_567), "1234567"),
    ],
)
def test_a_number_never_reads_as_the_whole_number_that_it_is_not(number: Fraction, text: str) -> None:
    assert said(number) == text


def test_times_are_said_in_hours_under_two_days() -> None:
    assert lasting(Span(26 * 3600, 26 * 3600)) == "26 h"
    assert lasting(Span(48 * 3600, 48 * 3600)) == "2 d"
    assert lasting(Span(86_400, 3 * 86_400)) == "1 to 3 d"
