"""Derived values whole: what they are, what is shown beside them, and what would settle them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from cds.entry.model import QuantityRange
from cds.entry.units import quantity
from cds.judge.cooling import target_words
from cds.judge.derive import derive
from cds.judge.scores import item_points
from cds.judge.view import Value
from cds.rules.model import Cut, ScoreItem
from cds.values import Limit, Rank, Verdict
from tests.verdicts.bedside import Data, counted, in_care, saturation, temperature, view_of

MISSING = Verdict(Rank.UNKNOWN, frozenset({"missing-input"}))
NO_GESTATION = Verdict(Rank.POSSIBLE, frozenset({"unknown-gestation"}))
SCREEN = {"purpose": "newborn-screen", "oxygen": "room-air"}
OF_2025 = ("algorithm", "AAP 2025")


def derived(name: str, observations: list[Data], *earlier: tuple[str, list[Data]], **more: Any) -> Value:
    """The value for an infant of two days born at 39 weeks 4 d."""
    return derive(name, view_of(observations, *earlier, **more))


def pressure(value: int) -> Data:
    return {"code": "mean-pressure", "value": value, "unit": "mm[Hg]"}


def test_gestation_is_exact_to_the_day_and_a_week_where_days_are_not_stated() -> None:
    known = derived("gestation", [])
    assert (known.low, known.high, known.numbers) == (7915, 7915, (("gestation", "39 weeks 4 d"),))
    week = derived("gestation", [], infant={"gestation": {"weeks": 39}})
    assert (week.low, week.high, week.numbers) == (7800, 7971, (("gestation", "39 weeks"),))
    assert derived("gestation", [], infant={"gestation": None}) == Value(verdict=NO_GESTATION, needs=("gestation",))


def test_the_difference_of_saturations_is_between_the_lowest_of_each_limb() -> None:
    hand, foot = saturation(99, site="right-hand"), saturation(96, site="foot")
    value = derived("saturation-difference", [hand, foot, saturation(97, site="right-hand"), saturation(90)])
    assert (value.low, value.high, value.numbers) == (200, 200, (("difference", "1 points"),))
    none = derived("saturation-difference", [saturation(0, site="right-hand"), saturation(4, site="foot")])
    other = derived("saturation-difference", [saturation(4, site="right-hand"), saturation(0, site="foot")])
    assert (none.low, other.low) == (800, 800)
    assert derived("saturation-difference", [foot, saturation(99, site="foot")]) == Value(
        verdict=MISSING, needs=("oxygen-saturation: right-hand",)
    )
    unplaced = derived("saturation-difference", [hand, saturation(99)])
    assert unplaced.needs == ("oxygen-saturation: foot",)
    assert unplaced.verdict == Verdict(Rank.UNKNOWN, frozenset({"unknown-site"}))


def test_mean_pressure_is_taken_against_completed_weeks_of_gestation() -> None:
    value = derived("mean-pressure-below-gestation", [pressure(41), pressure(38)])
    assert (value.low, value.high) == (-200, -200)
    assert value.numbers == (("mean pressure", "38 mmHg"), ("gestation", "39 weeks 4 d"))
    assert value.quantity is not None
    assert value.quantity.text == "38"
    assert derived("mean-pressure-below-gestation", []) == Value(verdict=MISSING, needs=("mean-pressure",))
    unknown = derived("mean-pressure-below-gestation", [pressure(38)], infant={"gestation": None})
    assert unknown == Value(verdict=NO_GESTATION, numbers=(("mean pressure", "38 mmHg"),), needs=("gestation",))


def test_wet_diapers_are_counted_to_24_hours_and_the_fewest_speaks() -> None:
    def wet(count: int, hours: int | None) -> Data:
        over = {} if hours is None else {"over_hours": hours}
        return {"code": "wet-diapers", "value": count, "unit": "count", **over}

    value = derived("wet-diapers-per-day", [wet(5, 24), wet(2, 12), wet(1, None)])
    assert (value.low, value.high, value.numbers) == (800, 800, (("wet diapers", "2"), ("over", "12 h")))
    assert value.quantity is not None
    assert value.quantity.text == "2"
    tie = derived("wet-diapers-per-day", [wet(4, 24), wet(2, 12)])
    assert tie.numbers == (("wet diapers", "4"), ("over", "24 h"))
    assert derived("wet-diapers-per-day", [wet(1, None)]) == Value(verdict=MISSING, needs=("wet-diapers",))


@pytest.mark.parametrize(("need", "word"), [("new", "yes"), ("rising", "yes"), ("steady", "no")])
def test_a_new_or_rising_need_of_oxygen(need: str, word: str) -> None:
    assert derived("oxygen-need-new", [saturation(93, need=need)]) == Value(words=frozenset({word}))


def test_a_need_of_oxygen_that_is_not_charted() -> None:
    missing = Value(verdict=MISSING, needs=("oxygen-saturation: need",))
    assert derived("oxygen-need-new", [saturation(93)]) == missing
    assert derived("oxygen-need-new", [saturation(93, need="new", status="entered-in-error")]) == missing


TARGET = {"from": 33, "to": 34, "unit": "Cel"}


@pytest.mark.parametrize(
    ("values", "word", "said"),
    [
        ([33.0], "inside", "33.0 °C"),
        ([34.0], "inside", "34.0 °C"),
        ([32.9], "below", "32.9 °C"),
        ([34.1], "above", "34.1 °C"),
        ([33.5, 34.2], "above", "34.2 °C"),
        ([33.5, 33.6], "inside", "33.5 °C"),
    ],
)
def test_a_cooled_infant_against_the_target(values: list[float], word: str, said: str) -> None:
    value = derived("cooling-target", [temperature(each) for each in values], care={"cooling": TARGET})
    assert value.words == frozenset({word})
    assert value.numbers == (("temperature", said), ("cooling target", "33 to 34 °C"))
    assert value.quantity is not None
    assert f"{value.quantity.text} °C" == said


def test_a_bound_against_the_target_could_be_inside_or_beyond_it() -> None:
    value = derived("cooling-target", [temperature(33.5, comparator=">")], care={"cooling": TARGET})
    assert (value.words, value.doubt) == (frozenset({"inside", "above"}), "bound-only-value")
    assert value.numbers == (("temperature", "> 33.5 °C"), ("cooling target", "33 to 34 °C"))
    under = derived("cooling-target", [temperature(33.5, comparator="<")], care={"cooling": TARGET})
    assert under.words == frozenset({"inside", "below"})


def test_a_target_with_one_end_says_nothing_of_the_other_side() -> None:
    low, high = quantity("temperature", 33, "Cel"), quantity("temperature", 34, "Cel")
    assert target_words(QuantityRange(low, None)) == "33 °C"
    assert target_words(QuantityRange(None, high)) == "34 °C"
    for value, of_low, of_high in ((32.9, "below", "inside"), (33.5, "inside", "inside"), (34.1, "inside", "above")):
        for target, word in ((QuantityRange(low, None), of_low), (QuantityRange(None, high), of_high)):
            view = in_care([temperature(value)], {"cooling": target})
            assert derive("cooling-target", view).words == frozenset({word})


def test_a_cooled_infant_without_a_reading_of_the_body() -> None:
    skin = temperature(35.0, route="skin")
    cooled = {"cooling": TARGET}
    assert derived("cooling-target", [skin], care=cooled) == Value(verdict=MISSING, needs=("body-temperature",))
    assert derived("cooling-target", [skin]) == Value(words=frozenset({"not-cooled"}))


def test_fever_is_counted_from_the_first_of_an_unbroken_run() -> None:
    before = [
        ("2025-11-11T00:30:00+00:00", [temperature(38.9)]),
        ("2025-11-11T09:30:00+00:00", [temperature(37.9)]),
        ("2025-11-11T21:30:00+00:00", [temperature(38.0)]),
        ("2025-11-12T01:30:00+00:00", [saturation(97)]),
    ]
    value = derived("fever-hours", [temperature(38.4)], *before)
    assert (value.low, value.high, value.needs) == (2400, 2400, ())
    assert value.numbers == (("fever for", "12 h"), ("since", "2025-11-11T21:30:00+00:00"))
    alone = derived("fever-hours", [temperature(38.4)])
    assert (alone.low, alone.high, alone.needs) == (0, 0, ("fever-history: since",))
    untaken = derived("fever-hours", [temperature(38.4)], ("2025-11-11T00:30:00+00:00", [saturation(97)]))
    assert (untaken.low, untaken.is_least) == (0, True)
    short = derived("fever-hours", [temperature(38.4)], ("2025-11-12T09:10:00+00:00", [temperature(38.0)]))
    assert short.numbers[0] == ("fever for", "0.33 h")
    needs = ("body-temperature over time", "fever-history: since")
    assert derived("fever-hours", [temperature(37.9)]) == Value(verdict=MISSING, needs=needs)


def test_fever_since_a_date_is_a_span_and_the_highest_reported_speaks() -> None:
    def history(**context: Any) -> Data:
        return {"code": "fever-history", "grade": "present", **context}

    since = derived("fever-hours", [history(since="2025-11-11")])
    assert (since.low, since.high) == (1901, 6700)
    assert since.numbers == (("fever for", "9.5 h"), ("since", "2025-11-11"))
    reported = [history(highest={"value": value, "unit": "Cel"}) for value in (38.1, 39.2, 38.5)]
    highest = derived("fever-highest", reported)
    assert (highest.low, highest.high, highest.numbers) == (70560, 70560, (("reported highest", "39.2 °C"),))
    assert highest.quantity is not None
    assert highest.quantity.text == "39.2"
    assert derived("fever-highest", [history()]) == Value(verdict=MISSING, needs=("fever-history: highest",))


def screen(hand: int, foot: int, **context: Any) -> list[Data]:
    of_limb = {**SCREEN, **context}
    return [saturation(hand, site="right-hand", **of_limb), saturation(foot, site="foot", **of_limb)]


@pytest.mark.parametrize(
    ("hand", "foot", "word"),
    [(95, 95, "pass"), (98, 95, "pass"), (99, 95, "repeat"), (94, 97, "repeat"), (90, 90, "repeat"), (97, 89, "fail")],
)
def test_a_first_screen(hand: int, foot: int, word: str) -> None:
    value = derived("newborn-screen", screen(hand, foot))
    assert value.words == frozenset({word})
    said = (("right hand", f"{hand} %"), ("foot", f"{foot} %"), ("screen", "1 of 2"), OF_2025)
    assert (value.numbers, value.verdict) == (said, None)


def test_a_second_screen_that_does_not_pass_fails() -> None:
    before = ("2025-11-12T08:00:00+00:00", screen(94, 94))
    value = derived("newborn-screen", screen(94, 94), before)
    assert (value.words, value.numbers[2]) == (frozenset({"fail"}), ("screen", "2 of 2"))
    passed = ("2025-11-12T08:30:00+00:00", screen(97, 97))
    after_pass = derived("newborn-screen", screen(94, 94), before, passed)
    assert (after_pass.words, after_pass.numbers[2]) == (frozenset({"repeat"}), ("screen", "1 of 2"))
    failed = ("2025-11-12T08:30:00+00:00", screen(94, 89))
    after_fail = derived("newborn-screen", screen(94, 94), before, failed)
    assert (after_fail.words, after_fail.numbers[2]) == (frozenset({"repeat"}), ("screen", "1 of 2"))
    no_screen = ("2025-11-12T08:30:00+00:00", [saturation(94)])
    assert derived("newborn-screen", screen(94, 94), before, no_screen).numbers[2] == ("screen", "2 of 2")
    unusable = ("2025-11-12T08:30:00+00:00", screen(94, 94, oxygen="supplemental"))
    after_oxygen = derived("newborn-screen", screen(94, 94), before, unusable)
    assert after_oxygen.numbers[2] == ("screen", "2 of 2")


def test_a_screen_by_one_limb_is_invalid_and_says_which_is_missing() -> None:
    value = derived("newborn-screen", screen(97, 97)[:1])
    assert value.words == frozenset({"invalid"})
    assert value.numbers[:2] == (("right hand", "97 %"), ("foot", "not charted"))
    beside = derived("newborn-screen", [*screen(97, 97), saturation(80, site="left-hand", **SCREEN)])
    assert beside.words == frozenset({"pass"})
    left = derived("newborn-screen", [saturation(97, site="left-hand", **SCREEN), screen(97, 97)[1]])
    assert left.numbers[:3] == (("left hand", "97 %"), ("foot", "97 %"), ("right hand", "not charted"))


def test_a_screen_with_context_missing_keeps_all_it_could_be() -> None:
    value = derived("newborn-screen", screen_without("oxygen"))
    assert (value.words, value.doubt) == (frozenset({"pass", "invalid"}), "unknown-oxygen")
    assert value.needs == ("oxygen-saturation: oxygen",)
    unplaced = derived("newborn-screen", screen_without("site"))
    assert (unplaced.words, unplaced.doubt) == (frozenset({"pass", "invalid"}), "unknown-site")
    assert unplaced.needs == ("oxygen-saturation: site",)
    assert unplaced.numbers == (*[("site not charted", "97 %")] * 2, ("screen", "1 of 2"), OF_2025)
    both = derived("newborn-screen", screen_without("site", "oxygen"))
    assert both.needs == ("oxygen-saturation: site", "oxygen-saturation: oxygen")


def screen_without(*keys: str) -> list[Data]:
    return [{key: value for key, value in each.items() if key not in keys} for each in screen(97, 97)]


def test_more_readings_without_context_than_can_be_tried_could_be_anything() -> None:
    four, five = [[screen_without("site")[0]] * count for count in (4, 5)]
    assert derived("newborn-screen", four).words == frozenset({"pass", "invalid"})
    assert derived("newborn-screen", five).words == frozenset({"pass", "repeat", "fail", "invalid"})
    no_air = [screen_without("oxygen")[0]] * 5
    assert derived("newborn-screen", no_air).words == frozenset({"pass", "repeat", "fail", "invalid"})
    assert derived("newborn-screen", [*screen(97, 97), *screen(96, 96), *screen(98, 98)]).words == frozenset({"pass"})


def test_a_screen_before_24_hours_is_early_and_not_surely_passed_where_the_birth_is_a_date() -> None:
    early = derived("newborn-screen", screen(97, 97), infant={"birth": "2025-11-11T09:31:00+00:00"})
    assert early.words == frozenset({"early"})
    on_time = derived("newborn-screen", screen(97, 97), infant={"birth": "2025-11-11T09:30:00+00:00"})
    assert on_time.words == frozenset({"pass"})
    unsure = derived("newborn-screen", screen(97, 97), infant={"birth": "2025-11-11"})
    assert (unsure.words, unsure.doubt) == (frozenset({"pass", "early"}), "unknown-age")
    assert unsure.needs == ("time of birth",)
    assert derived("newborn-screen", [saturation(97)]).needs == ("oxygen-saturation: newborn-screen",)


def test_a_score_has_a_total_only_with_every_item() -> None:
    grades = {
        "chest-abdomen-movement": "chest-lags",
        "lower-chest-retraction": "minimal",
        "xiphoid-retraction": "absent",
        "nasal-flaring": "marked",
        "grunting": "by-ear",
    }
    signs = [{"code": code, "grade": grade} for code, grade in grades.items()]
    value = derived("silverman-andersen", signs)
    assert (value.low, value.high) == (1200, 1200)
    points = (("upper chest and abdomen", "1"), ("lower chest", "1"), ("xiphoid", "0"), ("nares", "2"))
    assert value.numbers == (*points, ("expiratory grunt", "2"), ("total", "6 of 10"))
    part = derived("silverman-andersen", signs[:4])
    assert part == Value(verdict=MISSING, numbers=(*points, ("points so far", "4 of 4 items")), needs=("grunting",))
    ungraded = derived("silverman-andersen", [*signs[:4], {"code": "grunting", "grade": "present"}])
    assert ungraded.verdict == Verdict(Rank.UNKNOWN, frozenset({"unknown-grade"}))


def test_a_value_before_the_first_cut_of_an_item_has_no_points() -> None:
    cuts = (Cut("at-or-above", Limit(Decimal(40), "/min", 8000), 1), Cut("above", Limit(Decimal(60), "/min", 12000), 2))
    item = ScoreItem("respiratory-rate", "rate", {}, cuts)
    given = [item_points(item, view_of([counted("respiratory-rate", rate)])) for rate in (39, 40, 60, 61)]
    assert given == [None, 1, 1, 2]


@pytest.mark.parametrize(("rate", "points"), [(59, 1), (60, 2), (80, 2), (81, 3)])
def test_the_points_of_a_rate_and_of_cyanosis(rate: int, points: int) -> None:
    assert downes(rate).low == 200 * points
    assert downes(rate, in_oxygen="persists").low == 200 * (points + 1)
    assert downes(rate, in_oxygen="corrects").low == 200 * points


def downes(rate: int, **context: str) -> Value:
    grades = {"retractions": "absent", "grunting": "absent", "air-entry": "clear"}
    signs: list[Data] = [{"code": code, "grade": grade} for code, grade in grades.items()]
    return derived(
        "downes", [*signs, counted("respiratory-rate", rate), {"code": "cyanosis", "grade": "central", **context}]
    )
