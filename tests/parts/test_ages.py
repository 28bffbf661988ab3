"""Ages turn over on the right second, day and calendar month; what is uncertain is a span, never a guess."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.ages import Age, Ages, ages, ages_at, correction, is_before_birth
from cds.entry.calendar import add_months, count_months, month_days
from cds.entry.model import Entry, Event, Infant
from cds.entry.times import from_datetime, join_moments, read_moment
from cds.values import Span

BIRTH = "2026-03-02T04:20:00+01:00"


def ages_of(birth: str, measured: str, gestation: Span | None = None) -> Ages:
    return ages_at(Infant(birth=read_moment(birth), gestation=gestation), read_moment(measured))


def age_of(birth: str, measured: str) -> Age:
    age = ages_of(birth, measured).chronological
    assert age is not None
    return age


def weeks(whole: int, days: int) -> Span:
    return Span(7 * whole + days, 7 * whole + days)


@pytest.mark.parametrize(
    ("measured", "amount", "unit", "reached"),
    [
        ("2026-03-02T04:29:59+01:00", 10, "min", False),
        ("2026-03-02T04:30:00+01:00", 10, "min", True),
        ("2026-03-02T16:19:59+01:00", 12, "h", False),
        ("2026-03-02T16:20:00+01:00", 12, "h", True),
        ("2026-03-09T04:19:59+01:00", 7, "d", False),
        ("2026-03-09T04:20:00+01:00", 7, "d", True),
        ("2026-03-16T03:20:00Z", 2, "wk", True),
        ("2026-03-16T03:19:59Z", 2, "wk", False),
    ],
)
def test_elapsed_edges_turn_over_on_the_second(measured: str, amount: int, unit: str, reached: bool) -> None:
    assert age_of(BIRTH, measured).at_least(amount, unit) is reached


def test_hours_pass_in_utc_over_a_change_of_the_clocks() -> None:
    night = age_of("2026-03-07T14:30:00-05:00", "2026-03-08T14:30:00-04:00")
    assert night.elapsed == Span(23 * 3600, 23 * 3600)


@pytest.mark.parametrize(
    ("birth", "day_before", "day"),
    [
        ("2026-03-02T23:59:00+01:00", "2026-05-01T23:59:00+01:00", "2026-05-02T00:00:00+01:00"),
        ("2026-01-31T10:00:00Z", "2026-02-27T23:00:00Z", "2026-02-28T00:00:00Z"),
        ("2024-01-31T10:00:00Z", "2024-02-28T23:00:00Z", "2024-02-29T00:00:00Z"),
        ("2024-02-29T10:00:00Z", "2024-03-28T23:00:00Z", "2024-03-29T00:00:00Z"),
    ],
)
def test_months_turn_over_on_the_local_date_of_birth(birth: str, day_before: str, day: str) -> None:
    months = 2 if birth.startswith("2026-03") else 1
    assert age_of(birth, day_before).at_least(months, "mo") is False
    assert age_of(birth, day).at_least(months, "mo") is True


def test_a_leap_day_birth_is_12_months_on_28_february_and_48_on_29() -> None:
    assert age_of("2024-02-29", "2025-02-27T12:00:00Z").at_least(12, "mo") is False
    assert age_of("2024-02-29", "2025-02-28T12:00:00Z").at_least(12, "mo") is True
    assert age_of("2024-02-29", "2028-02-28T12:00:00Z").at_least(48, "mo") is False


def test_the_date_that_counts_is_that_of_the_births_own_offset() -> None:
    # 23:30 UTC on 1 May is 2 May where the infant was born.
    assert age_of("2026-03-02T04:20:00+01:00", "2026-05-01T23:30:00Z").at_least(2, "mo") is True
    assert age_of("2026-03-02T04:20:00Z", "2026-05-01T23:30:00Z").at_least(2, "mo") is False


def test_utc_with_the_offset_unknown_counts_in_utc() -> None:
    assert age_of("2026-03-02T04:20:00-00:00", "2026-05-02T00:30:00+01:00").at_least(2, "mo") is False
    assert age_of("2026-03-02T04:20:00-00:00", "2026-05-02T00:30:00Z").at_least(2, "mo") is True


def test_a_bare_date_of_birth_is_a_day_long() -> None:
    age = age_of("2026-03-02", "2026-03-20T09:30:00Z")
    assert age.elapsed.high - age.elapsed.low == 86_399
    assert age.at_least(17, "d") is True
    assert age.at_least(18, "d") is None
    assert age.at_least(19, "d") is False
    assert age_of("2026-03-02", "2026-05-01T23:59:00Z").at_least(2, "mo") is False
    assert age_of("2026-03-02", "2026-05-02T00:00:00Z").at_least(2, "mo") is True


def test_a_bare_date_of_birth_is_never_below_zero_on_the_day_of_birth() -> None:
    age = age_of("2026-03-02", "2026-03-02T09:30:00Z")
    assert age.elapsed == Span(0, 9 * 3600 + 1800)
    assert age.at_least(0, "d") is True
    assert age.at_least(0, "mo") is True
    assert age.at_least(24, "h") is False


def test_a_measuring_that_lasts_makes_the_age_a_span() -> None:
    period = join_moments(read_moment("2026-03-09T04:00:00+01:00"), read_moment("2026-03-09T04:40:00+01:00"))
    age = ages_at(Infant(birth=read_moment(BIRTH)), period).chronological
    assert age is not None
    assert age.at_least(7, "d") is None
    assert age.at_least(6, "d") is True


def test_a_measuring_on_a_bare_date_may_have_reached_the_month() -> None:
    age = age_of("2026-03-02T04:20:00+01:00", "2026-05-01")  # the day in UTC ends on 2 May in the birth's offset
    assert age.at_least(2, "mo") is None


@pytest.mark.parametrize(
    ("gestation", "lag"),
    [
        (weeks(36, 6), Span(22, 22)),
        (weeks(37, 0), Span(0, 0)),
        (weeks(41, 3), Span(0, 0)),
        (weeks(28, 2), Span(82, 82)),
        (Span(252, 258), Span(22, 28)),
        (Span(252, 265), Span(0, 28)),
        (Span(259, 265), Span(0, 0)),
    ],
)
def test_days_short_of_40_weeks_are_taken_off_before_37_weeks(gestation: Span, lag: Span) -> None:
    assert correction(gestation) == lag


@given(st.integers(112, 328), st.integers(0, 20))
def test_a_span_of_gestation_holds_the_correction_of_each_of_its_days(low: int, width: int) -> None:
    lag = correction(Span(low, low + width))
    each = [correction(Span(day, day)).low for day in range(low, low + width + 1)]
    assert (lag.low, lag.high) == (min(each), max(each))


def test_corrected_age_turns_over_when_the_chronological_age_less_the_lag_does() -> None:
    early = ages_of("2026-01-01T10:00:00Z", "2026-03-25T10:00:00Z", weeks(32, 0))
    assert early.corrected is not None
    assert early.corrected.elapsed == Span(27 * 86_400, 27 * 86_400)
    assert early.corrected.at_least(27, "d") is True
    assert early.corrected.at_least(28, "d") is False
    assert early.corrected.at_least(1, "mo") is False
    later = ages_of("2026-01-01T10:00:00Z", "2026-03-26T10:00:00Z", weeks(32, 0)).corrected
    assert later is not None
    assert later.at_least(1, "mo") is True  # counted from 26 February


def test_corrected_age_below_zero_has_reached_nothing() -> None:
    early = ages_of("2026-03-02T10:00:00Z", "2026-03-20T10:00:00Z", weeks(30, 0)).corrected
    assert early is not None
    assert early.elapsed.high < 0
    assert early.at_least(0, "d") is False
    assert early.at_least(0, "mo") is False
    assert early.words() == "7 weeks 3 d before 40 weeks"


def test_at_term_the_corrected_age_is_the_chronological() -> None:
    term = ages_of(BIRTH, "2026-03-20T09:30:00+01:00", weeks(39, 2))
    assert term.corrected is not None
    assert term.chronological is not None
    assert term.corrected.elapsed == term.chronological.elapsed
    assert term.words("corrected") == term.words("chronological") == "18 d 5 h"


def test_postmenstrual_age_is_gestation_and_age() -> None:
    early = ages_of("2026-03-02T10:00:00Z", "2026-03-20T10:00:00Z", weeks(30, 3)).postmenstrual
    assert early is not None
    assert early.elapsed.low == (213 + 18) * 86_400
    assert early.at_least(33, "wk") is True
    assert early.at_least(34, "wk") is False
    assert early.words() == "33 weeks"


def test_completed_weeks_of_gestation_make_a_span_of_postmenstrual_age() -> None:
    early = ages_of("2026-03-02T10:00:00Z", "2026-03-03T10:00:00Z", Span(252, 258)).postmenstrual
    assert early is not None
    assert early.at_least(36, "wk") is True
    assert early.at_least(37, "wk") is None
    assert early.words() == "36 weeks 1 d to 37 weeks"


def test_without_gestation_only_the_chronological_age_is_told() -> None:
    found = ages_of(BIRTH, "2026-03-20T09:30:00+01:00")
    assert found.chronological is not None
    assert found.corrected is None
    assert found.postmenstrual is None
    assert found.missing("corrected") == ("unknown-gestation",)
    assert found.missing("postmenstrual") == ("unknown-gestation",)
    assert found.missing("chronological") == ()


@pytest.mark.parametrize(
    "infant", [Infant(), Infant(birth=read_moment("2026-03-21")), Infant(age_days=2, age_at=read_moment("2026-03-25"))]
)
def test_no_birth_or_a_birth_after_the_measuring_leaves_every_age_unknown(infant: Infant) -> None:
    found = ages_at(infant, read_moment("2026-03-20T23:59:00Z"))
    assert (found.chronological, found.corrected, found.postmenstrual) == (None, None, None)
    assert found.missing("chronological") == ("unknown-age",)
    assert found.missing("corrected") == ("unknown-age", "unknown-gestation")
    assert is_before_birth(infant, read_moment("2026-03-20T23:59:00Z")) is (infant != Infant())


def test_no_time_of_measuring_leaves_the_age_unknown() -> None:
    assert ages(Entry(Infant(birth=read_moment(BIRTH)), Event())).missing("chronological") == ("unknown-age",)


def test_a_stated_age_is_completed_days_and_its_months_depend_on_the_birth_date() -> None:
    def reaches(days: int, months: int) -> bool | None:
        age = ages_at(Infant(age_days=days), None).chronological
        assert age is not None
        return age.at_least(months, "mo")

    assert [reaches(days, 2) for days in (58, 59, 61, 62)] == [False, None, None, True]
    assert [reaches(days, 1) for days in (27, 28, 30, 31)] == [False, None, None, True]
    assert [reaches(days, 12) for days in (364, 365, 366)] == [False, None, True]


def test_a_stated_age_turns_over_days_exactly() -> None:
    age = ages_at(Infant(age_days=59), None).chronological
    assert age is not None
    assert age.at_least(59, "d") is True
    assert age.at_least(60, "d") is False
    assert age.at_least(60 * 24, "h") is False
    assert age.at_least(59 * 24 + 1, "h") is None


def test_a_stated_age_is_counted_back_to_an_earlier_time() -> None:
    infant = Infant(age_days=18, age_at=read_moment("2026-03-20T09:00:00Z"))
    age = ages_at(infant, read_moment("2026-03-19T09:00:00Z")).chronological
    assert age is not None
    assert age.elapsed == Span(17 * 86_400, 18 * 86_400 - 1)
    assert ages_at(infant, None).chronological is None


@pytest.mark.parametrize("months", [*range(30), 36, 48, 60])
def test_days_of_a_month_count_over_every_birth_date_of_a_whole_cycle(months: int) -> None:
    # Every date on which the length can differ: month ends and starts of 400 years.
    days = [
        date(year, month, 1) + timedelta(days=off)
        for year in range(1600, 2000)
        for month in range(1, 13)
        for off in (-4, -3, -2, -1, 0)
    ]
    lengths = [add_months(day.toordinal(), months) - day.toordinal() for day in days]
    assert month_days(months) == Span(min(lengths), max(lengths))


@given(st.dates(date(1990, 1, 1), date(2150, 1, 1)), st.integers(0, 800))
def test_months_and_days_over_lead_back_to_the_day(birth: date, later: int) -> None:
    day = birth.toordinal() + later
    months, over = count_months(birth.toordinal(), day)
    assert add_months(birth.toordinal(), months) + over == day
    assert add_months(birth.toordinal(), months + 1) > day


@given(st.integers(0, 4_000_000_000), st.integers(0, 800 * 86_400), st.sampled_from(["h", "d", "wk", "mo"]))
def test_larger_amounts_go_from_reached_over_may_be_to_not_reached(birth: int, later: int, unit: str) -> None:
    born = from_datetime(datetime.fromtimestamp(birth, timezone(timedelta(hours=1))))
    now = [from_datetime(datetime.fromtimestamp(birth + later + more, UTC)) for more in (0, 3600)]
    found = ages_at(Infant(birth=born, gestation=weeks(33, 1)), join_moments(*now))
    for age in (found.chronological, found.corrected, found.postmenstrual):
        assert age is not None
        told = [age.at_least(amount, unit) for amount in range(40)]
        assert told == sorted(told, key=[True, None, False].index)


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(0, 800), st.integers(0, 23), st.integers(1, 26))
def test_a_bare_date_answers_only_what_every_time_of_that_day_answers(
    born: date, later: int, hour: int, months: int
) -> None:
    measured = f"{born + timedelta(days=later)}T{hour:02}:30:00Z"
    unsure = age_of(str(born), measured)
    sure = [age_of(f"{born}T{clock}Z", measured) for clock in ("00:00:00", "23:59:59") if later or clock == "00:00:00"]
    for amount, unit in ((months, "mo"), (later, "d"), (later * 24 + hour, "h")):
        told = unsure.at_least(amount, unit)
        assert told is None or all(age.at_least(amount, unit) is told for age in sure)


@pytest.mark.parametrize(
    ("birth", "measured", "words"),
    [
        ("2026-03-20T08:55:00Z", "2026-03-20T09:30:00Z", "35 min"),
        ("2026-03-19T02:30:00Z", "2026-03-20T09:30:00Z", "31 h"),
        ("2026-03-02T04:20:00Z", "2026-03-20T09:30:00Z", "18 d 5 h"),
        ("2026-03-02T09:30:00Z", "2026-03-20T09:30:00Z", "18 d"),
        ("2026-01-30T09:30:00Z", "2026-03-20T09:30:00Z", "7 weeks"),
        ("2026-01-01T10:00:00Z", "2026-05-13T09:30:00Z", "4 months 12 d"),
        ("2025-03-20T10:00:00Z", "2026-03-20T09:30:00Z", "12 months"),
        ("2026-03-02", "2026-03-20T09:30:00Z", "17 d to 18 d"),
        ("2026-03-20", "2026-03-20T09:30:00Z", "0 min to 9 h"),
    ],
)
def test_ages_are_said_as_at_the_bedside(birth: str, measured: str, words: str) -> None:
    assert age_of(birth, measured).words() == words


def test_ages_for_an_answer_name_days_or_what_is_missing() -> None:
    assert ages_of(BIRTH, "2026-03-20T09:30:00+01:00").data() == {
        "chronological": {"words": "18 d 5 h", "days": {"from": 18, "to": 18}},
        "corrected": {"missing": ["unknown-gestation"]},
        "postmenstrual": {"missing": ["unknown-gestation"]},
    }
