"""The same sign over hours: a rise of temperature, warming, a recheck that was not charted in time."""

from __future__ import annotations

from typing import Any

import pytest

from cds.advice.explain import explain
from cds.advice.reasons import reasons
from cds.cli.rule_words import condition_lines
from cds.infer.plain import condition as told
from cds.judge.criteria import judge
from cds.judge.derive import derive
from cds.judge.trend import WARMING
from cds.judge.view import View
from cds.rules.conditions import Named, condition
from cds.rules.model import Criterion, Group
from cds.rules.share import codes_of, observes_only, share
from cds.values import Rank
from tests.verdicts.bedside import NOW, Data, counted, saturation, temperature, view_of
from tests.verdicts.golden import rule_set

HOUR_AGO, TWO_HOURS_AGO = "2025-11-12T08:30:00+00:00", "2025-11-12T07:30:00+00:00"
SIX_HOURS_AGO, MORE_THAN_SIX = "2025-11-12T03:30:00+00:00", "2025-11-12T03:29:59+00:00"
FAST = {"observed": "respiratory-rate", "reaches": "respiratory-rate-fast"}
DEGREE = 2 * 900


def asked(after: str = "1 h", within: str = "24 h", **more: Any) -> Criterion:
    """A fast count that was due again and is not charted since."""
    made = condition({**FAST, **more, "unanswered": {"after": after, "within": within}}, Named({}, {}))
    assert isinstance(made, Criterion)
    return made


def rank(view: View, **how: Any) -> Rank:
    return judge(asked(**how), view).verdict.rank


def rate(value: int, **more: Any) -> Data:
    return {**counted("respiratory-rate", value), **more}


# A rise of temperature


def rise(now: list[Data], *earlier: tuple[str, list[Data]], **more: Any) -> int | None:
    return derive("temperature-rise", view_of(now, *earlier, **more)).low


def test_a_rise_is_exact_and_counts_from_the_lowest_of_six_hours() -> None:
    low, high = temperature(36.4), temperature(36.9)
    assert rise([temperature(37.5)], (SIX_HOURS_AGO, [low]), (HOUR_AGO, [high])) == 11 * DEGREE // 10
    assert rise([temperature(37.5)], (MORE_THAN_SIX, [low]), (HOUR_AGO, [high])) == 6 * DEGREE // 10


def test_a_fall_is_below_zero() -> None:
    assert rise([temperature(36.5)], (HOUR_AGO, [temperature(37)])) == -DEGREE // 2


def test_of_several_readings_now_the_one_that_rose_most_counts() -> None:
    now = [temperature(37), temperature(38, route="rectal")]
    assert rise(now, (HOUR_AGO, [temperature(36.8), temperature(37.1, route="rectal")])) == 9 * DEGREE // 10


@pytest.mark.parametrize(
    ("now", "then", "compared"),
    [
        ("axillary", "axillary", True),
        ("axillary", "rectal", False),
        (None, "rectal", True),
        ("rectal", None, True),
        (None, None, True),
        ("skin", "skin", False),
        ("axillary", "skin", False),
        (None, "skin", False),
        ("skin", None, False),
    ],
)
def test_routes_that_may_be_one_are_held_beside_each_other(now: str | None, then: str | None, compared: bool) -> None:
    charted = [temperature(value) for value in (37.5, 36)]
    for reading, route in zip(charted, (now, then), strict=True):
        reading.pop("route") if route is None else reading.update(route=route)
    assert (rise(charted[:1], (HOUR_AGO, charted[1:])) is not None) is compared


def test_a_value_between_two_ticks_is_between_two_rises() -> None:
    value = derive("temperature-rise", view_of([temperature(36.55556)], (HOUR_AGO, [temperature(36)])))
    assert (value.low, value.high) == (1001, 1001)
    both = derive("temperature-rise", view_of([temperature(36.55556)], (HOUR_AGO, [temperature(36.05556)])))
    assert (both.low, both.high) == (899, 901)
    assert dict(value.numbers) == {"rise": "0.6 °C", "from": "36 °C", "to": "36.55556 °C"}


def test_fahrenheit_beside_celsius_is_no_rise() -> None:
    warm = temperature(98.6, unit="[degF]")
    assert rise([warm], (HOUR_AGO, [temperature(37)])) == 0


@pytest.mark.parametrize("bound", [{"comparator": "<"}, {"status": "entered-in-error"}])
def test_a_bound_and_a_withdrawn_reading_are_no_lowest(bound: Data) -> None:
    assert rise([temperature(37.5)], (HOUR_AGO, [temperature(36, **bound)])) is None


def test_what_a_rise_needs_is_said() -> None:
    assert derive("temperature-rise", view_of([])).needs == ("body-temperature",)
    assert derive("temperature-rise", view_of([temperature(37)])).needs == (
        "body-temperature by the same route in the past 6 h",
    )
    assert derive("temperature-rise", view_of([temperature(37, route="skin")])).needs == ("body-temperature but skin",)


def test_of_two_entries_at_one_instant_the_last_sent_counts() -> None:
    earlier = ((HOUR_AGO, [temperature(36)]), (HOUR_AGO, [temperature(37)]))
    assert rise([temperature(37.5)], *earlier) == DEGREE // 2
    assert rise([temperature(37.5)], *reversed(earlier)) == 3 * DEGREE // 2
    assert rise([temperature(37.5)], earlier[0], (HOUR_AGO, [saturation(97)])) == 3 * DEGREE // 2


# Warming


@pytest.mark.parametrize("warmth", sorted(WARMING))
def test_warming_now_or_in_four_hours_is_warmed(warmth: str) -> None:
    assert derive("warmed", view_of([], care={"warmth": warmth})).words == {"yes"}
    assert warmed_at("2025-11-12T05:30:00+00:00", warmth) == {"yes"}
    assert warmed_at("2025-11-12T05:29:00+00:00", warmth) == set()


def warmed_at(then: str, warmth: str) -> frozenset[str]:
    past = {"event": {"measured": then}, "care": {"warmth": warmth}, "observations": []}
    return derive("warmed", view_of([], earlier=[past])).words


def test_a_cot_is_no_warming_and_nothing_charted_is_not_told() -> None:
    assert derive("warmed", view_of([], care={"warmth": "cot"})).words == {"no"}
    value = derive("warmed", view_of([]))
    assert (value.words, value.needs) == (frozenset(), ("care: warmth",))
    assert value.verdict is not None
    assert value.verdict.rank is Rank.UNKNOWN


# A recheck that was not charted in time


@pytest.mark.parametrize(
    ("then", "after", "expected"),
    [
        (TWO_HOURS_AGO, "1 h", Rank.MET),
        (HOUR_AGO, "1 h", Rank.NOT_MET),
        ("2025-11-12T08:29:59+00:00", "1 h", Rank.MET),
        (HOUR_AGO, "59 min", Rank.MET),
        ("2025-11-11T09:30:00+00:00", "1 h", Rank.MET),
        ("2025-11-11T09:29:59+00:00", "1 h", Rank.NOT_MET),
    ],
)
def test_overdue_is_longer_ago_than_asked_and_not_too_long(then: str, after: str, expected: Rank) -> None:
    assert rank(view_of([temperature(37)], (then, [rate(64)])), after=after) is expected


@pytest.mark.parametrize(
    "now",
    [
        rate(40),
        rate(64),
        rate(64, state="crying"),
        rate(64, comparator=">"),
    ],
)
def test_whatever_is_charted_now_answers(now: Data) -> None:
    assert rank(view_of([now], (TWO_HOURS_AGO, [rate(64)]))) is Rank.NOT_MET


@pytest.mark.parametrize(
    "now",
    [
        {"code": "respiratory-rate", "absent": "not-performed"},
        {"code": "respiratory-rate", "unusable": "unit-unmapped", "found": "64"},
        rate(40, status="entered-in-error"),
        rate(40, status="cancelled"),
    ],
)
def test_what_gives_no_value_answers_nothing(now: Data) -> None:
    assert rank(view_of([now], (TWO_HOURS_AGO, [rate(64)]))) is Rank.MET


def test_the_last_earlier_reading_decides_and_others_between_do_not() -> None:
    fast, slow, other = [rate(64)], [rate(40)], [saturation(97)]
    assert rank(view_of([], (TWO_HOURS_AGO, fast), (HOUR_AGO, slow)), after="30 min") is Rank.NOT_MET
    assert rank(view_of([], (TWO_HOURS_AGO, slow), (HOUR_AGO, fast)), after="30 min") is Rank.MET
    assert rank(view_of([], (TWO_HOURS_AGO, fast), (HOUR_AGO, other)), after="30 min") is Rank.MET
    withdrawn = [rate(40, status="entered-in-error")]
    assert rank(view_of([], (TWO_HOURS_AGO, fast), (HOUR_AGO, withdrawn)), after="30 min") is Rank.MET


@pytest.mark.parametrize("how", [{"state": "crying"}, {"counted_seconds": 30}])
def test_an_unsettled_or_short_count_asks_nothing(how: Data) -> None:
    assert rank(view_of([], (TWO_HOURS_AGO, [rate(64, **how)]))) is Rank.NOT_MET


def test_a_filter_looks_at_the_earlier_reading() -> None:
    view = view_of([], (TWO_HOURS_AGO, [rate(64, state="light-sleep")]))
    assert rank(view, where={"state": ["asleep"]}) is Rank.MET
    assert rank(view, where={"state": ["awake"]}) is Rank.NOT_MET


def test_without_earlier_entries_or_a_time_it_cannot_tell() -> None:
    assert rank(view_of([])) is Rank.UNKNOWN
    assert rank(view_of([saturation(97)])) is Rank.UNKNOWN
    assert rank(view_of([], (HOUR_AGO, []))) is Rank.NOT_MET
    timeless = view_of([], (HOUR_AGO, [rate(64)]), event={"absent": "unknown"})
    assert rank(timeless) is Rank.UNKNOWN
    gone = {"event": {"measured": TWO_HOURS_AGO, "status": "cancelled"}, "observations": [rate(64)]}
    assert rank(view_of([], earlier=[gone])) is Rank.UNKNOWN


def test_a_withdrawn_entry_asks_for_nothing() -> None:
    view = view_of([], (TWO_HOURS_AGO, [rate(64)]), event={"measured": NOW, "status": "entered-in-error"})
    verdict = judge(asked(), view).verdict
    assert (verdict.rank, verdict.reasons) == (Rank.UNKNOWN, {"entered-in-error"})


def test_a_time_that_is_only_a_date_could_be_longer_ago() -> None:
    assert rank(view_of([], ("2025-11-12", [rate(64)]))) is Rank.POSSIBLE
    assert rank(view_of([], ("2025-11-12", [rate(40)]))) is Rank.NOT_MET
    assert rank(view_of([], ("2025-11-11", [rate(64)])), within="2 d") is Rank.MET


def test_the_earlier_entry_is_judged_at_its_own_age() -> None:
    born = {"birth": "2025-09-13T10:00:00+00:00"}
    view = view_of([], ("2025-11-12T07:30:00+00:00", [rate(55)]), infant=born)
    assert rank(view) is Rank.NOT_MET
    older = view_of([], ("2025-11-12T07:30:00+00:00", [rate(55)]), infant={"birth": "2025-09-13T07:00:00+00:00"})
    assert rank(older) is Rank.MET


def test_a_group_that_asks_so_is_not_skipped_where_its_code_is_not_charted() -> None:
    group = condition({"any": [{**FAST, "unanswered": {"after": "1 h", "within": "24 h"}}, FAST]}, Named({}, {}))
    assert isinstance(group, Group)
    assert not observes_only(group)
    assert codes_of(group) == {"respiratory-rate"}
    assert codes_of(group.parts[0]) == frozenset()
    rule = next(each for each in rule_set().rules if each.id == "breathing-recheck-overdue")
    (shared,) = share([rule])
    assert shared.codes == frozenset()
    view = view_of([], (TWO_HOURS_AGO, [rate(64)]))
    assert told(shared.when, view, {}).rank is Rank.MET


def test_the_reasons_name_the_earlier_reading_and_entry() -> None:
    view = view_of([], (TWO_HOURS_AGO, [rate(64)]))
    (said,) = reasons(explain(asked(), view, {}))
    assert said.startswith("breathing rate 64 /min")
    assert said.endswith(f"in entry {TWO_HOURS_AGO}, due again within 1 h, not charted since")
    (unread,) = reasons(explain(asked(), view_of([]), {}))
    assert unread == "breathing rate due again within 1 h: not charted"


def test_the_page_of_a_rule_says_what_is_asked() -> None:
    ((_, said),) = condition_lines(asked(), rule_set())
    assert said.endswith(", at the last settled reading within 24 h, more than 1 h ago, and none charted since")
    repeated = condition({**FAST, "repeated": {"after": "30 min", "within": "4 h"}}, Named({}, {}))
    ((_, said),) = condition_lines(repeated, rule_set())
    assert said.endswith(", at 2 settled readings within 4 h, an earlier one at least 30 min before")


# A repeat that lies some time back


def again(*earlier: tuple[str, list[Data]], now: list[Data] | None = None) -> Rank:
    made = condition({**FAST, "repeated": {"after": "30 min", "within": "4 h"}}, Named({}, {}))
    assert isinstance(made, Criterion)
    return judge(made, view_of(now or [rate(64)], *earlier)).verdict.rank


def test_a_repeat_counts_from_its_least_time_on() -> None:
    assert again(("2025-11-12T09:00:00+00:00", [rate(64)])) is Rank.MET
    assert again(("2025-11-12T09:00:01+00:00", [rate(64)])) is Rank.NOT_MET
    assert again(("2025-11-12T05:30:00+00:00", [rate(64)])) is Rank.MET
    assert again(("2025-11-12T05:29:59+00:00", [rate(64)])) is Rank.NOT_MET


def test_a_nearer_one_neither_counts_nor_breaks_unless_it_does_not_meet() -> None:
    near, far = "2025-11-12T09:15:00+00:00", HOUR_AGO
    assert again((far, [rate(64)]), (near, [rate(64)])) is Rank.MET
    assert again((far, [rate(64)]), (near, [rate(40)])) is Rank.NOT_MET


def test_two_counts_of_one_entry_are_no_repeat_after_some_time() -> None:
    twice = [rate(64, measured=NOW), rate(64, measured="2025-11-12T09:20:00+00:00")]
    assert again(now=twice) is Rank.NOT_MET
