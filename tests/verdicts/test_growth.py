"""Values against the growth reference: what each reads, what makes it unknown or only possible, what is shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from cds.entry.read import read_entry
from cds.entry.times import join_moments, read_moment
from cds.entry.units import limit
from cds.infer.plain import in_order, infer
from cds.judge.compare import settle
from cds.judge.cuts import GrowthCuts
from cds.judge.derive import derive
from cds.judge.view import Value, View
from cds.values import Rank, Verdict
from tests.verdicts.bedside import Data, view_of
from tests.verdicts.golden import rule_set

BORN = date(2025, 1, 10)
BOY = {"sex": "male", "birth": BORN.isoformat()}


def weight(value: str, unit: str = "kg", **more: Any) -> Data:
    return {"code": "body-weight", "value": float(value), "unit": unit, **more}


def length(value: str, unit: str = "cm", **context: Any) -> Data:
    return {"code": "body-length", "value": float(value), "unit": unit, **context}


def head(value: str) -> Data:
    return {"code": "head-circumference", "value": float(value), "unit": "cm"}


def on(day: int) -> str:
    return f"{BORN + timedelta(days=day)}T09:00:00+00:00"


def infant_at(day: int, *charted: Data, earlier: tuple[tuple[int, list[Data]], ...] = (), **infant: Any) -> View:
    """The view of a boy born at 39 weeks 4 d, so many days after the date of his birth."""
    past = [(on(at), observations) for at, observations in earlier]
    return view_of(list(charted), *past, infant={**BOY, **infant}, event={"measured": on(day)})


def z(value: Value) -> str:
    return dict(value.numbers)["z"]


def asked(value: Value, comparator: Any, number: str, unit: str = "{z}") -> Verdict:
    """What a criterion on the value answers."""
    if value.verdict is not None:
        return value.verdict
    assert value.cuts is not None
    return settle(value.cuts.outcomes(comparator, limit(Decimal(number), unit)))


def because(value: Value) -> tuple[Rank, set[str]]:
    assert value.verdict is not None
    return value.verdict.rank, set(value.verdict.reasons)


OUTSIDE = (Rank.UNKNOWN, {"outside-reference-range"})
MET, NOT_MET = Verdict(Rank.MET), Verdict(Rank.NOT_MET)
GESTATION = frozenset({"unknown-gestation"})


# What each reads


def test_weight_length_and_head_are_held_against_day_and_sex() -> None:
    view = infant_at(183, weight("5.5"), length("61.0"), head("45"))
    assert derive("weight-for-age", view).numbers == (("weight", "5.5 kg"), ("z", "-3.26"))
    assert derive("length-for-age", view).numbers == (("length", "61.0 cm"), ("z", "-3.10"))
    assert derive("head-for-age", view).numbers == (("head", "45.0 cm"), ("z", "1.36"))
    girl = infant_at(183, weight("5.5"), length("61.0"), head("45"), sex="female")
    assert [z(derive(name, girl)) for name in ("weight-for-age", "length-for-age", "head-for-age")] == [
        "-2.35",
        "-2.10",
        "2.14",
    ]


def test_weight_for_length_reads_both_of_this_entry_and_no_age() -> None:
    both = [weight("5.5"), length("61.0")]
    value = derive("weight-for-length", infant_at(183, *both))
    assert value.numbers == (("weight", "5.5 kg"), ("length", "61.0 cm"), ("z", "-1.60"))
    assert z(derive("weight-for-length", infant_at(40, *both))) == "-1.60"
    alone = derive("weight-for-length", infant_at(183, weight("5.5"), earlier=((182, [length("61.0")]),)))
    assert (because(alone), alone.needs) == ((Rank.UNKNOWN, {"missing-input"}), ("body-length",))
    assert derive("weight-for-length", infant_at(183, length("61.0"))).needs == ("body-weight",)


def test_between_two_rows_of_length_all_three_numbers_are_between() -> None:
    zs = [z(derive("weight-for-length", infant_at(183, weight("5.5"), length(at)))) for at in ("61.0", "61.05", "61.1")]
    assert zs == ["-1.60", "-1.63", "-1.65"]


def test_the_day_of_birth_is_day_0() -> None:
    view = infant_at(0, weight("2.0"), length("46.0"), head("32"))
    assert [z(derive(name, view)) for name in ("weight-for-age", "length-for-age", "head-for-age")] == [
        "-3.21",
        "-2.05",
        "-1.94",
    ]


def test_days_are_dates_and_not_times_of_day() -> None:
    born, charted = "2025-01-10T23:50:00+00:00", [weight("3.0")]
    late = view_of(charted, infant={**BOY, "birth": born}, event={"measured": "2025-01-11T00:10:00+00:00"})
    early = view_of(charted, infant={**BOY, "birth": born}, event={"measured": "2025-01-10T23:59:00+00:00"})
    assert (z(derive("weight-for-age", early)), z(derive("weight-for-age", late))) == ("-0.73", "-0.67")


def test_the_last_exact_one_counts_and_one_in_error_does_not() -> None:
    error = weight("9.9", status="entered-in-error")
    view = infant_at(183, weight("5.5"), weight("7.0"), error)
    assert dict(derive("weight-for-age", view).numbers)["weight"] == "7.0 kg"
    bound = derive("weight-for-age", infant_at(183, weight("7.0", comparator="<")))
    assert because(bound) == (Rank.UNKNOWN, {"bound-only-value"})


@pytest.mark.parametrize(
    ("name", "need"),
    [("weight-for-age", "body-weight"), ("length-for-age", "body-length"), ("head-for-age", "head-circumference")],
)
def test_what_is_not_charted_is_missing(name: str, need: str) -> None:
    value = derive(name, infant_at(183))
    assert (because(value), value.needs) == ((Rank.UNKNOWN, {"missing-input"}), (need,))


# Length and its position


def test_a_length_measured_standing_is_taken_7_mm_longer() -> None:
    standing = infant_at(700, weight("11.0"), length("85.0", position="standing"))
    lying = infant_at(700, weight("11.0"), length("85.7", position="lying"))
    for name in ("length-for-age", "weight-for-length"):
        assert z(derive(name, standing)) == z(derive(name, lying))
    assert dict(derive("length-for-age", standing).numbers)["length"] == "85.0 cm standing, 0.7 cm added"
    assert z(derive("length-for-age", infant_at(700, length("85.7")))) == z(derive("length-for-age", lying))


@pytest.mark.parametrize(
    ("size", "told"), [("44.99", False), ("45.0", True), ("110.0", True), ("110.01", False), ("510", False)]
)
def test_weight_for_length_reaches_from_45_to_110_cm(size: str, told: bool) -> None:
    value = derive("weight-for-length", infant_at(300, weight("5.5"), length(size)))
    assert (value.cuts is not None) is told
    if not told:
        assert because(value) == OUTSIDE
        assert dict(value.numbers)["not in the reference"].endswith("; 45 to 110 cm")


def test_standing_counts_for_the_edge_of_the_table_too() -> None:
    assert derive("weight-for-length", infant_at(300, weight("2.5"), length("44.3", position="standing"))).cuts
    assert derive("weight-for-length", infant_at(300, weight("2.5"), length("44.2", position="standing"))).cuts is None


def test_millimetres_charted_as_centimetres_still_show_their_z() -> None:
    assert z(derive("length-for-age", infant_at(30, length("510")))) == "234.04"


# What weight does not tell


@pytest.mark.parametrize("name", ["weight-for-age", "weight-for-length", "weight-centile-fall"])
def test_weight_with_oedema_of_both_feet_has_no_place(name: str) -> None:
    swollen = {"code": "oedema-both-feet", "grade": "present"}
    birth = {"birth_weight": {"value": 3100, "unit": "g"}}
    value = derive(name, infant_at(183, weight("5.5"), length("61.0"), swollen, **birth))
    assert because(value) == OUTSIDE
    assert dict(value.numbers) == {"weight": "5.5 kg", "not in the reference": "oedema of both feet"}
    assert value.needs == ()
    looked = {"code": "oedema-both-feet", "grade": "absent"}
    assert derive(name, infant_at(183, weight("5.5"), length("61.0"), looked, **birth)).cuts is not None
    assert derive("length-for-age", infant_at(183, length("61.0"), swollen)).cuts is not None


# Age and gestation


def test_born_before_37_weeks_the_days_short_of_40_weeks_are_taken_off() -> None:
    early = infant_at(90, weight("4.5"), gestation={"weeks": 33, "days": 0})
    term = infant_at(90 - 49, weight("4.5"))
    assert z(derive("weight-for-age", early)) == z(derive("weight-for-age", term))
    assert dict(derive("weight-for-age", early).numbers)["corrected age"] == "41 d"
    at_37 = infant_at(90, weight("4.5"), gestation={"weeks": 37, "days": 0})
    assert derive("weight-for-age", at_37).numbers == derive("weight-for-age", infant_at(90, weight("4.5"))).numbers


@pytest.mark.parametrize(("day", "told"), [(48, False), (49, True)])
@pytest.mark.parametrize("name", ["weight-for-age", "length-for-age", "weight-for-length", "head-for-age"])
def test_before_40_weeks_there_is_no_z_and_never_that_of_day_0(name: str, day: int, told: bool) -> None:
    charted = [weight("3.0"), length("50.0"), head("35")]
    value = derive(name, infant_at(day, *charted, gestation={"weeks": 33, "days": 0}))
    assert (value.cuts is not None) is told
    if not told:
        assert because(value) == OUTSIDE


def test_weeks_without_days_are_each_possible_day() -> None:
    view = infant_at(60, weight("3.0"), gestation={"weeks": 36})
    value = derive("weight-for-age", view)
    assert value.numbers == (("weight", "3.0 kg"), ("z", "-3.35 to -2.96"), ("corrected age", "32 to 38 d"))
    assert asked(value, "below", "-2") == MET
    assert asked(value, "below", "-3") == Verdict(Rank.POSSIBLE, GESTATION)
    assert asked(value, "below", "-4") == NOT_MET
    assert value.cuts is not None
    assert value.cuts.apart(limit(-3, "{z}")) is None


def test_some_days_before_40_weeks_leave_it_possible_at_most() -> None:
    value = derive("weight-for-age", infant_at(25, weight("2.0"), gestation={"weeks": 36}))
    assert asked(value, "below", "-2") == Verdict(Rank.POSSIBLE, GESTATION | {"outside-reference-range"})
    assert asked(value, "above", "2").rank is Rank.UNKNOWN


def test_without_gestation_it_is_judged_at_the_age_since_birth_and_possible_at_most() -> None:
    value = derive("weight-for-age", infant_at(60, weight("3.0"), gestation=None))
    assert z(value) == z(derive("weight-for-age", infant_at(60, weight("3.0"))))
    assert asked(value, "below", "-3") == Verdict(Rank.POSSIBLE, GESTATION)
    assert asked(value, "above", "3") == Verdict(Rank.UNKNOWN, GESTATION)


@pytest.mark.parametrize(("day", "told"), [(730, True), (731, False)])
def test_the_tables_end_with_day_730(day: int, told: bool) -> None:
    value = derive("length-for-age", infant_at(day, length("85.0")))
    assert (value.cuts is not None) is told
    assert told or because(value) == OUTSIDE


def test_correction_ends_at_24_months_unless_a_site_set_36_for_births_before_32_weeks() -> None:
    view = infant_at(740, weight("10.0"), gestation={"weeks": 31, "days": 6})
    assert because(derive("weight-for-age", view)) == OUTSIDE
    longer = replace(view.rules, settings={**view.rules.settings, "corrected_until_below_32_weeks": "36 mo"})
    assert dict(derive("weight-for-age", View(view.entry, longer)).numbers)["corrected age"] == "683 d"
    later = infant_at(740, weight("10.0"), gestation={"weeks": 32, "days": 0})
    assert because(derive("weight-for-age", View(later.entry, longer))) == OUTSIDE
    week = infant_at(740, weight("10.0"), gestation={"weeks": 31})
    assert derive("weight-for-age", View(week.entry, longer)).cuts is not None


def test_without_age_it_is_unknown() -> None:
    value = derive("weight-for-age", infant_at(60, weight("3.0"), birth=None))
    assert because(value) == (Rank.UNKNOWN, {"unknown-age"})
    assert value.numbers == (("weight", "3.0 kg"),)


def test_a_time_of_measuring_over_days_is_each_of_them_up_to_31() -> None:
    def over(days: int) -> Value:
        view = infant_at(60, weight("4.4"))
        event = replace(view.entry.event, measured=join_moments(read_moment(on(60)), read_moment(on(60 + days))))
        return derive("weight-for-age", View(replace(view.entry, event=event), view.rules))

    assert asked(over(14), "below", "-2") == Verdict(Rank.POSSIBLE, frozenset({"unknown-age"}))
    assert over(30).cuts is not None
    assert because(over(31)) == (Rank.UNKNOWN, {"unknown-age"})


def test_a_stated_age_counts_completed_days() -> None:
    view = view_of([weight("5.5")], infant={"sex": "male", "birth": None, "age": {"days": 183}})
    assert z(derive("weight-for-age", view)) == "-3.26"
    early = {"sex": "male", "birth": None, "age": {"days": 90}, "gestation": {"weeks": 33, "days": 0}}
    assert dict(derive("weight-for-age", view_of([weight("4.5")], infant=early)).numbers)["corrected age"] == "41 d"


# Sex


@pytest.mark.parametrize("sex", ["unknown", None])
def test_without_sex_it_is_judged_as_both(sex: str | None) -> None:
    value = derive("weight-for-age", infant_at(183, weight("6.2"), sex=sex))
    assert z(value) == "-2.22 to -1.35"
    assert asked(value, "below", "-1") == MET
    assert asked(value, "below", "-2") == Verdict(Rank.POSSIBLE, frozenset({"unknown-sex"}))
    assert asked(value, "below", "-3") == NOT_MET


# Birth weight


def test_birth_weight_is_held_against_day_0_for_births_from_37_weeks() -> None:
    birth = {"birth_weight": {"value": 3100, "unit": "g"}}
    value = derive("birth-weight-for-age", infant_at(183, **birth))
    assert value.numbers == (("birth weight", "3100 g"), ("z at birth", "-0.52"))
    early = derive("birth-weight-for-age", infant_at(183, **birth, gestation={"weeks": 36, "days": 6}))
    assert because(early) == OUTSIDE
    assert early.numbers == (("birth weight", "3100 g"), ("not in the reference", "born before 37 weeks"))
    assert derive("birth-weight-for-age", infant_at(183)).needs == ("birth weight",)


def test_birth_weight_needs_sex_and_gestation_to_be_more_than_possible() -> None:
    birth = {"birth_weight": {"value": 2420, "unit": "g"}}
    no_gestation = derive("birth-weight-for-age", infant_at(183, **birth, gestation=None))
    assert asked(no_gestation, "below", "-2") == Verdict(Rank.POSSIBLE, GESTATION)
    assert asked(no_gestation, "above", "2") == Verdict(Rank.UNKNOWN, GESTATION)
    no_sex = derive("birth-weight-for-age", infant_at(183, **birth, sex=None))
    assert asked(no_sex, "below", "-2") == Verdict(Rank.POSSIBLE, frozenset({"unknown-sex"}))


# Falls and rises


def test_a_fall_is_counted_in_spaces_from_the_z_of_the_birth_weight() -> None:
    birth = {"birth_weight": {"value": 3500, "unit": "g"}}
    value = derive("weight-centile-fall", infant_at(92, weight("5.0"), **birth))
    assert value.numbers == (
        ("birth weight", "3500 g"),
        ("z at birth", "0.31"),
        ("weight", "5.0 kg"),
        ("z", "-2.05"),
        ("fall", "3.53 centile spaces"),
    )
    assert [asked(value, "at-or-above", n, "{space}") for n in ("1", "2", "3", "4")] == [MET, MET, MET, NOT_MET]
    assert [asked(value, "above", n, "{space}") for n in ("3", "4")] == [MET, NOT_MET]
    assert [asked(value, "below", n, "{space}") for n in ("3", "4")] == [NOT_MET, MET]
    assert [asked(value, "at-or-below", n, "{space}") for n in ("3", "4")] == [NOT_MET, MET]


def test_two_spaces_below_the_z_of_birth_lie_between_two_weights_10_g_apart() -> None:
    """z at birth less 1.34 is 5.6581 kg on day 92, computed at 50 digits."""
    birth = {"birth_weight": {"value": 3500, "unit": "g"}}
    at_92 = {text: derive("weight-centile-fall", infant_at(92, weight(text), **birth)) for text in ("5.65", "5.66")}
    answers = {text: asked(value, "at-or-above", "2", "{space}") for text, value in at_92.items()}
    assert answers == {"5.65": MET, "5.66": NOT_MET}
    cuts = at_92["5.65"].cuts, at_92["5.66"].cuts
    assert [each.apart(limit(2, "{space}")) > 0 for each in cuts if each] == [True, False]  # type: ignore[operator]


@pytest.mark.parametrize(("day", "told"), [(27, False), (28, True)])
def test_a_fall_is_told_from_day_28(day: int, told: bool) -> None:
    birth = {"birth_weight": {"value": 3500, "unit": "g"}}
    value = derive("weight-centile-fall", infant_at(day, weight("3.0"), **birth))
    assert (value.cuts is not None) is told
    assert told or because(value) == OUTSIDE


def test_a_gain_is_no_fall() -> None:
    birth = {"birth_weight": {"value": 3000, "unit": "g"}}
    value = derive("weight-centile-fall", infant_at(92, weight("7.5"), **birth))
    assert dict(value.numbers)["fall"].startswith("-")
    assert asked(value, "at-or-above", "1", "{space}") == NOT_MET


def test_a_fall_needs_weight_birth_weight_and_birth_at_term() -> None:
    birth = {"birth_weight": {"value": 3500, "unit": "g"}}
    assert derive("weight-centile-fall", infant_at(92, **birth)).needs == ("body-weight",)
    assert derive("weight-centile-fall", infant_at(92, weight("5.0"))).needs == ("birth weight",)
    early = derive("weight-centile-fall", infant_at(92, weight("5.0"), **birth, gestation={"weeks": 35, "days": 0}))
    assert because(early) == OUTSIDE
    unknown = derive("weight-centile-fall", infant_at(92, weight("5.0"), **birth, gestation=None))
    assert asked(unknown, "at-or-above", "3", "{space}") == Verdict(Rank.POSSIBLE, GESTATION)
    no_age = derive("weight-centile-fall", infant_at(92, weight("5.0"), **birth, birth=None))
    assert because(no_age) == (Rank.UNKNOWN, {"unknown-age"})


def test_a_rise_is_counted_from_the_earliest_head_after_day_14_and_14_days_before() -> None:
    earlier = ((14, [head("33.0")]), (15, [head("36.0")]), (78, [head("40.0")]), (79, [head("40.0")]))
    value = derive("head-centile-rise", infant_at(92, head("42.0"), earlier=earlier))
    assert value.numbers[:2] == (("head then", "36.0 cm"), ("z then", "0.03"))
    assert value.numbers[2:] == (("head", "42.0 cm"), ("z", "1.23"), ("rise", "1.80 centile spaces"))
    assert [asked(value, "at-or-above", n, "{space}") for n in ("1", "2")] == [MET, NOT_MET]
    assert value.cuts is not None
    assert [value.cuts.apart(limit(n, "{space}")) > 0 for n in (1, 2)] == [True, False]  # type: ignore[operator]


@pytest.mark.parametrize(("then", "told"), [(14, False), (15, True), (78, True), (79, False)])
def test_which_earlier_heads_a_rise_is_counted_from(then: int, told: bool) -> None:
    value = derive("head-centile-rise", infant_at(92, head("42.0"), earlier=((then, [head("37.0")]),)))
    assert (value.cuts is not None) is told
    assert told or value.needs == ("an earlier head circumference",)


def test_a_rise_of_an_infant_born_early_is_counted_from_the_earliest_head_after_40_weeks() -> None:
    earlier = ((30, [head("30.0")]), (48, [head("34.0")]), (49, [head("34.5")]))
    value = derive(
        "head-centile-rise", infant_at(120, head("42.0"), earlier=earlier, gestation={"weeks": 33, "days": 0})
    )
    assert dict(value.numbers)["head then"] == "34.5 cm"
    assert dict(value.numbers)["z then"] == "0.03"


def test_a_rise_without_a_head_or_an_age_is_unknown() -> None:
    assert derive("head-centile-rise", infant_at(92)).needs == ("head-circumference",)
    no_age = derive("head-centile-rise", infant_at(92, head("42.0"), birth=None))
    assert because(no_age) == (Rank.UNKNOWN, {"unknown-age"})


# Cut-offs


def test_where_the_z_that_is_shown_is_the_limit_the_cut_off_tells_the_side() -> None:
    def cut(value: Value, number: int) -> str | None:
        assert isinstance(value.cuts, GrowthCuts)
        return value.cuts.cut_off(limit(number, "{z}"))

    below = derive("weight-for-age", infant_at(183, weight("6.355")))
    above = derive("weight-for-age", infant_at(183, weight("6.360")))
    assert (z(below), z(above)) == ("-2.00", "-2.00")
    assert (asked(below, "below", "-2"), asked(above, "below", "-2")) == (MET, NOT_MET)
    assert (cut(below, -2), cut(above, -2), cut(above, -3)) == ("6.3571 kg", "6.3571 kg", None)
    grams = derive("weight-for-age", infant_at(183, weight("6355", "g")))
    assert cut(grams, -2) == "6357.04 g"
    both = {"code": "body-weight", "value": [14, 0.2], "unit": ["[lb_av]", "[oz_av]"]}
    assert cut(derive("weight-for-age", infant_at(183, both)), -2) == "14 lb 0.24 oz"
    assert cut(derive("weight-for-age", infant_at(183, weight("6.355"), gestation=None)), -2) is None


def test_a_cut_off_on_a_charted_step_is_reached_by_it() -> None:
    """A head at the median of its day has z 0: it is not above and not below."""
    value = derive("head-for-age", infant_at(0, {"code": "head-circumference", "value": 344.618, "unit": "mm"}))
    assert (z(value), asked(value, "below", "0"), asked(value, "above", "0")) == ("0.00", NOT_MET, NOT_MET)
    assert (asked(value, "at-or-above", "0"), asked(value, "at-or-below", "0")) == (MET, MET)
    assert value.cuts is not None
    assert value.cuts.apart(limit(0, "{z}")) == 0


@pytest.mark.parametrize(
    ("days", "centimetres", "expected"),
    [(168, "51.2", "met"), (167, "51.2", "cannot-tell"), (168, "45.0", "cannot-tell")],
)
def test_beyond_an_upper_line_at_every_gestation_is_told_without_it(days: int, centimetres: str, expected: str) -> None:
    """Born early, an infant is younger on the curves, where z 5 lies lower; at most 168 days are taken off."""
    head = [{"code": "head-circumference", "value": Decimal(centimetres), "unit": "cm"}]
    entry = read_entry({"infant": {"age": {"days": days}, "sex": "male"}, "observations": head})
    verdicts = infer(in_order(rule_set().rules), View(entry, rule_set()))
    assert verdicts["head-for-age-implausible"].word == expected
