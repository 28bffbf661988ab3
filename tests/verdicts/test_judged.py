"""What one criterion answers and on what grounds: context that is missing, second counts, agreed limits, the order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from graphlib import CycleError
from typing import Any

import pytest

from cds.entry.model import Observation
from cds.infer.plain import condition, findings_in, in_order
from cds.judge.agreed import in_force, why_not, with_agreed
from cds.judge.choose import has, is_calm
from cds.judge.compare import Ends, ends, reached
from cds.judge.criteria import calm_verdict, judge
from cds.judge.gates import age_gate, gate
from cds.judge.view import Judged, View
from cds.rules.model import Comparator, Criterion, Filter, FindingIs, Group, Reach, Rule
from cds.values import Limit, Rank, Verdict
from tests.verdicts.bedside import Data, counted, saturation, temperature, view_of
from tests.verdicts.golden import rule_set

FAST = Criterion("fast", "observed", "respiratory-rate", reach=Reach("respiratory-rate-fast"))
TWICE = replace(FAST, key="twice", repeated_within=24 * 3600)
BEFORE = "2025-11-12T08:30:00+00:00"
EARLIER = "2025-11-12T07:30:00+00:00"
EVENING = "2025-11-12T20:00:00+00:00"
CLINICIAN = Filter("reported_by", frozenset({"clinician"}), frozenset({"carer"}), "unknown")


def observed(code: str, *grades: str, **more: Any) -> Criterion:
    return Criterion(f"{code} {grades} {sorted(more)}", "observed", code, grades=frozenset(grades), **more)


def cannot_tell(rank: Rank, *reasons: str) -> Verdict:
    return Verdict(rank, frozenset(reasons))


def test_a_context_that_is_missing_is_the_reason() -> None:
    pale = observed("skin-colour", "pale", where=(CLINICIAN,))
    said: list[Data] = [{"code": "skin-colour", "grade": ["pale"]}]
    assert judge(pale, view_of(said)).verdict == cannot_tell(Rank.POSSIBLE, "missing-input")
    by_carer = [{**said[0], "reported_by": "carer"}]
    assert judge(pale, view_of(by_carer)).verdict == cannot_tell(Rank.UNKNOWN, "missing-input")


def test_an_ungraded_sign_that_meets_at_every_grade_is_in_doubt_only_by_its_context() -> None:
    present: list[Data] = [{"code": "nasal-flaring", "grade": "present"}]
    any_grade = observed("nasal-flaring", "minimal", "marked")
    assert judge(any_grade, view_of(present)).verdict == Verdict(Rank.MET)
    in_context = replace(any_grade, key="context", where=(replace(CLINICIAN, key="state"),))
    assert judge(in_context, view_of(present)).verdict == cannot_tell(Rank.POSSIBLE, "unknown-state")
    marked = observed("nasal-flaring", "marked")
    assert judge(marked, view_of(present)).verdict == cannot_tell(Rank.POSSIBLE, "unknown-grade")
    assert judge(replace(marked, key="strict", ungraded="not-met"), view_of(present)).verdict == Verdict(Rank.NOT_MET)


SETTLED_FAST = Criterion(
    "by-state",
    "observed",
    "respiratory-rate",
    reach=Reach(by="state", each=(("asleep", "respiratory-rate-asleep-above"), ("awake", "respiratory-rate-fast"))),
)


def test_an_age_or_a_state_that_is_missing_is_the_reason() -> None:
    fast = [counted("respiratory-rate", 55)]
    assert judge(FAST, view_of(fast, infant={"birth": None})).verdict == cannot_tell(Rank.POSSIBLE, "unknown-age")
    no_state = [{key: value for key, value in counted("respiratory-rate", 62).items() if key != "state"}]
    assert judge(SETTLED_FAST, view_of(no_state)).verdict == cannot_tell(Rank.POSSIBLE, "unknown-state")
    assert judge(SETTLED_FAST, view_of([counted("respiratory-rate", 62)])).verdict == Verdict(Rank.MET)
    asleep = view_of([counted("respiratory-rate", 62, "light-sleep")])
    assert judge(SETTLED_FAST, asleep).verdict == Verdict(Rank.NOT_MET)


def test_a_birth_date_at_an_edge_of_age_is_the_reason() -> None:
    fast = [counted("respiratory-rate", 55)]
    at_the_edge = {"birth": "2025-09-13"}
    assert judge(FAST, view_of(fast, infant=at_the_edge)).verdict == cannot_tell(Rank.POSSIBLE, "unknown-age")
    gate_at_the_edge = gate_of("breathing-rate-over-60", **at_the_edge)
    assert gate_at_the_edge == cannot_tell(Rank.POSSIBLE, "unknown-age")
    assert judge(FAST, view_of(fast, infant={"birth": "2025-09-12"})).verdict == Verdict(Rank.MET)
    assert judge(FAST, view_of(fast, infant={"birth": "2025-09-14"})).verdict == Verdict(Rank.NOT_MET)


def test_a_gestation_that_is_missing_is_the_reason_at_a_limit_by_postmenstrual_age() -> None:
    high = Criterion("high", "observed", "systolic-pressure", reach=Reach("systolic-high"))
    pressure: list[Data] = [{"code": "systolic-pressure", "value": 90, "unit": "mm[Hg]"}]
    view = view_of(pressure, infant={"gestation": None})
    assert judge(high, view).verdict == cannot_tell(Rank.POSSIBLE, "unknown-gestation")


def test_an_age_without_a_published_limit_is_the_reason() -> None:
    over = Criterion("over", "observed", "respiratory-rate", reach=Reach("respiratory-rate-over-60"))
    unpublished = judge(over, view_of([counted("respiratory-rate", 70)])).verdict
    assert unpublished == cannot_tell(Rank.UNKNOWN, "no-limit-published")


def test_past_24_months_no_limit_is_borrowed() -> None:
    extreme = Criterion("extreme", "observed", "heart-rate", reach=Reach("heart-rate-extreme"))
    fast = [counted("heart-rate", 230)]
    assert judge(extreme, view_of(fast)).verdict == Verdict(Rank.MET)
    old = view_of(fast, infant={"birth": "2023-10-12T09:00:00+00:00"})
    assert judge(extreme, old).verdict == cannot_tell(Rank.UNKNOWN, "outside-rule-age")


def test_a_reading_keeps_what_was_charted_withheld_or_not() -> None:
    withheld = {**counted("respiratory-rate", 62), "status": "entered-in-error"}
    sign: Data = {"code": "cough", "grade": "present"}
    for criterion, charted_as in ((FAST, withheld), (FAST, counted("respiratory-rate", 62)), (COUGH, sign)):
        view = view_of([charted_as])
        (reading,) = judge(criterion, view).readings
        assert reading.observation is view.entry.observations[0]


COUGH = Criterion("cough", "observed", "cough", grades=frozenset({"present"}))


def test_a_sign_asked_for_without_a_grade_meets_where_it_is_charted() -> None:
    charted_at_all = replace(COUGH, key="charted", grades=frozenset())
    assert judge(charted_at_all, view_of([{"code": "cough", "grade": "absent"}])).verdict == Verdict(Rank.MET)
    assert judge(charted_at_all, view_of([])).verdict == cannot_tell(Rank.UNKNOWN, "missing-input")


def test_what_an_entry_cannot_hold_raises_nothing_and_care_that_is_not_charted_could_be() -> None:
    blank = Criterion("blank", "blank", why="a smile is not charted")
    assert judge(blank, view_of([])).verdict == cannot_tell(Rank.UNKNOWN, "missing-input")
    care = Criterion("care", "care", "feeding_route", grades=frozenset({"breast"}))
    assert judge(care, view_of([])).verdict == cannot_tell(Rank.POSSIBLE, "missing-input")
    asked_for = replace(care, key="asked for", uncharted="missing")
    assert judge(asked_for, view_of([])).verdict == cannot_tell(Rank.UNKNOWN, "missing-input")


def test_a_bound_is_open_on_one_side() -> None:
    at = 2 * 62 * 100
    for comparator, ends_at in (
        ("<", (None, at - 1)),
        ("<=", (None, at)),
        (">", (at + 1, None)),
        (">=", (at, None)),
        (None, (at, at)),
    ):
        bound = {} if comparator is None else {"comparator": comparator}
        assert ends(charted({**counted("respiratory-rate", 62), **bound})) == ends_at


@pytest.mark.parametrize(
    ("comparator", "value", "met"),
    [
        ("at-or-above", (None, 10), None),
        ("at-or-above", (None, 9), False),
        ("at-or-above", (10, None), True),
        ("at-or-above", (9, None), None),
        ("above", (None, 11), None),
        ("above", (None, 10), False),
        ("above", (11, None), True),
        ("at-or-below", (None, 10), True),
        ("at-or-below", (10, None), None),
        ("at-or-below", (11, None), False),
        ("below", (None, 9), True),
        ("below", (9, None), None),
        ("below", (10, None), False),
    ],
)
def test_a_bound_against_a_limit_of_10(comparator: Comparator, value: Ends, met: bool | None) -> None:
    assert reached(comparator, value, 10) is met


def test_a_finding_that_nothing_gives_is_not_met() -> None:
    assert condition(FindingIs("apnoea"), view_of([]), {}) == Verdict(Rank.NOT_MET)


def of_derived(name: str, reach: str | None = None, *words: str) -> Criterion:
    asked = Reach(reach) if reach else None
    return Criterion(f"{name} {reach} {words}", "derived", name, reach=asked, grades=frozenset(words))


def test_a_derived_value_answers_with_itself_its_limits_and_the_reason_for_doubt() -> None:
    hand, foot = saturation(99, site="right-hand"), saturation(94, site="foot")
    asked = of_derived("saturation-difference", "saturation-limb-difference")
    known = judge(asked, view_of([hand, foot]))
    assert known.verdict == Verdict(Rank.MET)
    (reading,) = known.readings
    assert reading.value is not None
    assert reading.value.numbers == (("difference", "5 points"),)
    assert [limit.band.id for limit in reading.limits] == ["oxygen-24-hours-to-27-days"]
    ageless = judge(asked, view_of([hand, foot], infant={"birth": None})).verdict
    assert ageless == cannot_tell(Rank.POSSIBLE, "unknown-age")
    missing = judge(asked, view_of([hand]))
    (unread,) = missing.readings
    assert missing.verdict == unread.verdict == cannot_tell(Rank.UNKNOWN, "missing-input")
    assert unread.value is not None
    assert unread.value.needs == ("oxygen-saturation: foot",)


def test_a_word_that_could_be_several_is_in_doubt_for_its_reason() -> None:
    screen = [saturation(97, site=site, purpose="newborn-screen") for site in ("right-hand", "foot")]
    passed = of_derived("newborn-screen", None, "pass")
    assert judge(passed, view_of(screen)).verdict == cannot_tell(Rank.POSSIBLE, "unknown-oxygen")
    in_air = [{**each, "oxygen": "room-air"} for each in screen]
    assert judge(passed, view_of(in_air)).verdict == Verdict(Rank.MET)


def test_hours_that_are_only_the_least_do_not_say_that_a_limit_is_not_reached() -> None:
    prolonged = of_derived("fever-hours", "prolonged-fever")
    assert judge(prolonged, view_of([temperature(38.4)])).verdict == cannot_tell(Rank.UNKNOWN, "missing-input")
    well = ("2025-11-12T08:30:00+00:00", [temperature(37.0)])
    assert judge(prolonged, view_of([temperature(38.4)], well)).verdict == Verdict(Rank.NOT_MET)


def gate_of(rule: str, **infant: Any) -> Verdict:
    wanted = next(each.gate for each in rule_set().rules if each.id == rule)
    return gate(wanted, view_of([], infant=infant))


def test_a_postmenstrual_gate_without_gestation_or_birth() -> None:
    rule = "apnoea-of-prematurity"
    outside = Verdict(Rank.NOT_MET, frozenset({"outside-rule-age"}))
    assert gate_of(rule) == outside
    assert gate_of(rule, gestation={"weeks": 33}) == Verdict(Rank.MET)
    assert gate_of(rule, gestation=None) == cannot_tell(Rank.POSSIBLE, "unknown-gestation")
    assert gate_of(rule, gestation=None, birth="2025-02-10T09:00:00+00:00") == outside
    assert gate_of(rule, birth=None) == cannot_tell(Rank.POSSIBLE, "unknown-age")


@pytest.mark.parametrize(
    ("reading", "calm"),
    [
        (counted("heart-rate", 150, "crying"), False),
        (counted("heart-rate", 150, "drowsy"), True),
        (counted("heart-rate", 150, counted_seconds=59), False),
        ({"code": "systolic-pressure", "value": 80, "unit": "mm[Hg]", "state": "crying"}, False),
        ({"code": "diastolic-pressure", "value": 50, "unit": "mm[Hg]", "state": "feeding"}, False),
        ({"code": "mean-pressure", "value": 60, "unit": "mm[Hg]", "state": "active"}, False),
        ({"code": "mean-pressure", "value": 60, "unit": "mm[Hg]", "state": "light-sleep"}, True),
        ({"code": "nasal-flaring", "grade": "marked", "state": "crying"}, False),
        ({"code": "retractions", "grade": "mild", "state": "crying"}, False),
        ({"code": "retractions", "grade": "severe", "state": "crying"}, True),
        ({"code": "grunting", "grade": "by-ear", "state": "crying"}, True),
    ],
)
def test_which_readings_stand_by_themselves(reading: Data, calm: bool) -> None:
    assert is_calm(view_of([reading]).entry.observations[0]) is calm


def charted(reading: Data) -> Observation:
    return view_of([reading]).entry.observations[0]


def test_a_count_is_short_or_full() -> None:
    for seconds, word in ((59, "short"), (60, "full")):
        count = charted(counted("heart-rate", 150, counted_seconds=seconds))
        assert [each for each in ("short", "full") if has(count, "count", frozenset({each}))] == [word]
    assert has(charted({"code": "heart-rate", "value": 150, "unit": "/min"}), "count", frozenset({"full"}))


def test_only_calm_readings_are_asked_for_a_calm_verdict() -> None:
    crying, settled = counted("respiratory-rate", 70, "crying"), counted("respiratory-rate", 44)
    assert calm_verdict(FAST, view_of([crying])) == Verdict(Rank.NOT_MET)
    assert calm_verdict(FAST, view_of([crying, settled])) == Verdict(Rank.NOT_MET)
    assert judge(FAST, view_of([crying, settled])).verdict == Verdict(Rank.MET)
    assert calm_verdict(FAST, view_of([counted("respiratory-rate", 70)])) == Verdict(Rank.MET)
    assert calm_verdict(FAST, view_of([])) == cannot_tell(Rank.UNKNOWN, "missing-input")


def twice(now: list[Data], *earlier: tuple[str, list[Data]], times: int = 2) -> Judged:
    return judge(replace(TWICE, repeated_times=times), view_of(now, *earlier))


MET_NOW, NOT_NOW = counted("respiratory-rate", 62), counted("respiratory-rate", 50)


def test_a_second_count_is_the_latest_earlier_calm_one_that_meets() -> None:
    both = twice([MET_NOW], (BEFORE, [MET_NOW]))
    assert (both.verdict, len(both.readings)) == (Verdict(Rank.MET), 1)
    assert both.past is not None
    assert both.past.event.measured is not None
    assert both.past.event.measured.text == BEFORE
    assert twice([MET_NOW]).verdict == Verdict(Rank.NOT_MET)
    assert twice([MET_NOW], (EARLIER, [MET_NOW]), (BEFORE, [NOT_NOW])).verdict == Verdict(Rank.NOT_MET)


@pytest.mark.parametrize(
    "between",
    [
        counted("respiratory-rate", 50, "crying"),
        {**NOT_NOW, "status": "entered-in-error"},
        saturation(97),
    ],
)
def test_what_says_nothing_between_two_counts_does_not_break_the_run(between: Data) -> None:
    assert twice([MET_NOW], (EARLIER, [MET_NOW]), (BEFORE, [between])).verdict == Verdict(Rank.MET)


def test_an_entry_without_a_time_is_passed_over() -> None:
    entry = view_of([MET_NOW], (EARLIER, [MET_NOW]), (BEFORE, [NOT_NOW])).entry
    first, untimed = entry.earlier
    untimed = replace(untimed, event=replace(untimed.event, measured=None))
    view = View(replace(entry, earlier=(first, untimed)), rule_set())
    assert judge(TWICE, view).verdict == Verdict(Rank.MET)


def test_a_count_that_cannot_be_told_now_stays_so_whatever_came_before() -> None:
    withheld = {**MET_NOW, "status": "entered-in-error"}
    for earlier in ((), ((BEFORE, [MET_NOW]),), ((BEFORE, [NOT_NOW]),)):
        assert twice([withheld], *earlier).verdict == cannot_tell(Rank.UNKNOWN, "entered-in-error")


def test_of_entries_at_one_instant_the_last_sent_counts_and_once() -> None:
    same = [(BEFORE, [MET_NOW]), (BEFORE, [MET_NOW])]
    assert twice([MET_NOW], *same).verdict == Verdict(Rank.MET)
    assert twice([MET_NOW], *same, times=3).verdict == Verdict(Rank.NOT_MET)
    assert twice([MET_NOW], (EARLIER, [MET_NOW]), *same, times=3).verdict == Verdict(Rank.MET)
    assert twice([MET_NOW], (BEFORE, [MET_NOW]), (BEFORE, [NOT_NOW])).verdict == Verdict(Rank.NOT_MET)
    assert twice([MET_NOW], (BEFORE, [NOT_NOW]), (BEFORE, [MET_NOW])).verdict == Verdict(Rank.MET)


def test_counts_at_two_times_of_one_entry_repeat_each_other() -> None:
    first = {**MET_NOW, "measured": "2025-11-12T09:20:00+00:00"}
    second = {**MET_NOW, "measured": "2025-11-12T09:30:00+00:00"}
    assert twice([first, second]).verdict == Verdict(Rank.MET)
    assert twice([first, first]).verdict == Verdict(Rank.NOT_MET)
    assert twice([first, second], times=3).verdict == Verdict(Rank.NOT_MET)
    assert twice([first, second], (BEFORE, [MET_NOW]), times=3).verdict == Verdict(Rank.MET)
    unmet = {**NOT_NOW, "measured": "2025-11-12T09:20:00+00:00"}
    assert twice([unmet, second]).verdict == Verdict(Rank.NOT_MET)


def test_a_repeat_is_as_sure_as_the_less_sure_of_both() -> None:
    bound = {**MET_NOW, "value": 59, "comparator": ">="}
    possible = twice([MET_NOW], (BEFORE, [bound])).verdict
    assert possible == cannot_tell(Rank.POSSIBLE, "bound-only-value")
    assert twice([bound], (BEFORE, [MET_NOW])).verdict == possible


def agreed(until: str, code: str = "heart-rate") -> View:
    ends = {"from": 80, "to": 210, "unit": "/min"}
    limit = {"quantity": code, **ends, "by": "consultant", "until": until}
    return view_of([counted("heart-rate", 150)], care={"agreed_limits": [limit]})


@pytest.mark.parametrize(
    ("until", "why"),
    [
        ("2025-11-12T09:30:00+00:00", ""),
        ("2025-11-12T09:29:59+00:00", "its end has passed"),
        ("2025-11-13T09:30:00+00:00", ""),
        ("2025-11-13T09:30:01+00:00", "its end lies more than 24 h ahead"),
    ],
)
def test_until_when_an_agreed_limit_holds(until: str, why: str) -> None:
    view = agreed(until)
    limits: Any = view.entry.care["agreed_limits"]
    assert why_not(limits[0], view) == why
    assert in_force("heart-rate", view) == (limits[0] if not why else None)
    assert in_force("respiratory-rate", view) is None


def test_an_agreed_limit_without_an_end_or_a_time_of_measuring_does_not_hold() -> None:
    view = agreed(EVENING)
    limits: Any = view.entry.care["agreed_limits"]
    untimed = View(replace(view.entry, event=replace(view.entry.event, measured=None)), view.rules)
    assert why_not(limits[0], untimed) == "no time of measuring"
    assert why_not(replace(limits[0], until=None), view) == "it names no end"
    assert in_force("heart-rate", view_of([])) is None


def test_an_agreed_limit_stands_in_place_of_every_limit_of_its_side() -> None:
    view = agreed(EVENING)
    thresholds = view.rules.thresholds
    for name, how, at in (("heart-rate-high-awake", "above", 210), ("heart-rate-low-awake", "below", 80)):
        made = with_agreed(thresholds[name], "heart-rate", view)
        (band,) = made.bands
        assert (made.reached, band.limit) == (how, Limit(Decimal(at), "/min", 200 * at))
        assert (band.reached, band.no_limit, band.source) == (how, None, None)
        assert band.set_by == f"agreed for this infant by consultant until {EVENING}"
    at_or_above = with_agreed(
        thresholds["respiratory-rate-fast"], "respiratory-rate", agreed(EVENING, "respiratory-rate")
    )
    assert (at_or_above.reached, at_or_above.bands[0].reached) == ("above", "above")
    unpublished = thresholds["respiratory-rate-over-60"]
    assert unpublished.bands[0].no_limit is not None
    (band,) = with_agreed(unpublished, "respiratory-rate", agreed(EVENING, "respiratory-rate")).bands
    assert band.no_limit is None
    never = thresholds["heart-rate-very-slow"]
    assert with_agreed(never, "heart-rate", view) is never
    assert with_agreed(thresholds["fever"], "body-temperature", view) is thresholds["fever"]


def asking(rule: Rule, name: str, gives: str, *findings: str) -> Rule:
    parts = tuple(FindingIs(finding) for finding in findings)
    return replace(rule, id=name, finding=gives, when=Group("any", parts) if parts else rule.when)


def test_rules_come_after_those_whose_findings_they_ask_for_and_else_as_written() -> None:
    plain = rule_set().rules[0]
    first, last = asking(plain, "first", "a"), asking(plain, "last", "e")
    third, second = asking(plain, "third", "d", "c", "b"), asking(plain, "second", "c", "b")
    leaf = asking(plain, "leaf", "b")
    assert names(in_order([first, third, second, leaf, last])) == ["first", "leaf", "last", "second", "third"]
    with pytest.raises(CycleError):
        in_order([asking(plain, "one", "a", "b"), asking(plain, "two", "b", "a")])


def test_the_shipped_rules_ask_for_findings_only_of_rules_before_them() -> None:
    rules = in_order(rule_set().rules)
    asked = {rule.id: findings_in(rule.when) for rule in rules}
    assert any(asked.values())
    for place, rule in enumerate(rules):
        assert asked[rule.id].isdisjoint(later.finding for later in rules[place:])
    silent = [rule.id for rule in rule_set().rules if not asked[rule.id]]
    assert [name for name in names(rules) if not asked[name]] == silent


def names(rules: Sequence[Rule]) -> list[str]:
    return [rule.id for rule in rules]


def test_a_corrected_age_on_both_sides_of_zero_lies_in_a_band_from_birth() -> None:
    band = rule_set().bands["under-3-months"]
    born = {"birth": "2025-08-02T09:00:00+00:00", "gestation": {"weeks": 25}}
    around_due = view_of([], infant=born)
    corrected = around_due.ages.corrected
    assert corrected is not None
    assert corrected.elapsed.low < 0 < corrected.elapsed.high
    assert age_gate((band,), "chronological", around_due) == Verdict(Rank.NOT_MET)
    assert age_gate((band,), "either", around_due) == Verdict(Rank.MET)


@pytest.mark.parametrize(
    ("birth", "weeks", "expected"),
    [
        ("2025-09-01T09:00:00+00:00", {"weeks": 36, "days": 0}, Verdict(Rank.MET)),
        ("2025-09-25T09:00:00+00:00", {"weeks": 32, "days": 0}, Verdict(Rank.MET)),
        ("2025-08-20T09:00:00+00:00", {"weeks": 39, "days": 0}, Verdict(Rank.NOT_MET)),
        ("2025-08-20T09:00:00+00:00", {"weeks": 36}, Verdict(Rank.POSSIBLE, frozenset({"unknown-age"}))),
        ("2025-10-30T09:00:00+00:00", {"weeks": 39, "days": 0}, Verdict(Rank.NOT_MET)),
    ],
)
def test_either_age_may_lie_in_a_band_that_begins_after_birth(birth: str, weeks: Data, expected: Verdict) -> None:
    band = rule_set().bands["28-to-59-days"]
    assert age_gate((band,), "either", view_of([], infant={"birth": birth, "gestation": weeks})) == expected


def test_a_corrected_age_on_both_sides_of_the_end_of_a_band_from_birth_may_lie_in_it() -> None:
    band = rule_set().bands["newborn-28-days"]
    born = {"birth": "2025-09-13T09:00:00+00:00", "gestation": {"weeks": 35}}
    expected = Verdict(Rank.POSSIBLE, frozenset({"unknown-age"}))
    assert age_gate((band,), "either", view_of([], infant=born)) == expected
    late = {"birth": "2025-09-01T09:00:00+00:00", "gestation": {"weeks": 36, "days": 6}}
    assert age_gate((band,), "either", view_of([], infant=late)) == Verdict(Rank.NOT_MET)
