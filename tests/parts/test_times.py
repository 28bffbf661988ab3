"""Dates and date-times are read strictly, and mean the same seconds as the calendar of the standard library."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.times import DAY, TimeRefused, find_offset, from_datetime, join_moments, local_days, read_moment
from cds.values import Span

ZONES = st.builds(lambda minutes: timezone(timedelta(minutes=minutes)), st.integers(-14 * 60, 14 * 60))
SECONDS = st.integers(-2_208_000_000, 7_258_000_000)  # 1900 to 2199, a day inside both ends
TIMES = st.builds(lambda seconds, zone: datetime.fromtimestamp(seconds, zone), SECONDS, ZONES)


@given(TIMES)
def test_a_date_time_means_the_seconds_and_the_local_date_of_the_standard_library(time: datetime) -> None:
    found = read_moment(time.isoformat())
    seconds = (time - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(seconds=1)
    assert found.seconds == Span(seconds, seconds)
    assert found.dates == (time.date(), time.date())
    assert local_days(found, None) == local_days(found, found.offset) == Span(*[time.toordinal()] * 2)


@given(TIMES)
def test_a_clock_that_is_passed_in_means_the_same_moment_as_its_text(time: datetime) -> None:
    clock, text = from_datetime(time), read_moment(time.isoformat())
    assert (clock.seconds, clock.dates) == (text.seconds, text.dates)


def test_a_clock_without_zone_is_refused() -> None:
    with pytest.raises(TimeRefused):
        from_datetime(datetime(2026, 3, 20))  # noqa: DTZ001


@given(st.dates(date(1900, 1, 2), date(2199, 12, 30)), st.sampled_from([-5 * 3600, 0, 3600]))
def test_a_date_is_the_day_from_midnight_in_the_offset_in_which_it_is_meant(day: date, offset: int) -> None:
    found = read_moment(day.isoformat(), offset)
    midnight = read_moment(f"{day}T00:00Z").seconds.low
    assert found.seconds == Span(midnight - offset, midnight - offset + DAY - 1)
    assert (found.dates, found.offset) == ((day, day), None)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("2026-03-02T04:20+01:00", "2026-03-02T03:20:00Z"),
        ("2026-03-02T04:20:59.999999999Z", "2026-03-02T04:20:59Z"),
        ("2026-03-02T04:20:00-00:00", "2026-03-02T04:20:00Z"),
        ("2026-03-02T23:59:59-14:00", "2026-03-03T13:59:59Z"),
    ],
)
def test_seconds_may_be_left_out_and_their_fraction_is_cut_off(text: str, same: str) -> None:
    assert read_moment(text).seconds == read_moment(same).seconds


def test_utc_with_the_offset_unknown_states_no_offset() -> None:
    assert read_moment("2026-03-02T04:20:00-00:00").offset is None
    assert read_moment("2026-03-02T04:20:00+00:00").offset == 0


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("2026-02-29", "day"),
        ("2026-13-01", "day"),
        ("2026-00-10", "day"),
        ("2026-04-31T10:00:00Z", "day"),
        ("2026-03-20T24:00:00Z", "hour"),
        ("2026-06-30T23:59:60Z", "hour"),
        ("2026-03-20T10:60:00Z", "hour"),
        ("2026-03-20T10:00:00+14:01", "offset"),
        ("2026-03-20T10:00:00-01:60", "offset"),
        ("2026-03-20T10:00:00", "zone"),
        ("2026-03-20T10:00", "zone"),
        ("2026-03", "form"),
        ("2026", "form"),
        ("20260320", "form"),
        ("2026-W12-5", "form"),
        ("2026-03-20 10:00:00Z", "form"),
        ("2026-03-20t10:00:00z", "form"),
        ("2026-03-20T10:00:00.Z", "form"),
        ("2026-03-20T10Z", "form"),
        ("2026-03-20T10:00:00+0100", "form"),
        ("2026-03-20Z", "form"),
        (" 2026-03-20", "form"),
        ("2026-03-20\n", "form"),
        ("1899-12-31", "form"),
        ("2200-01-01", "form"),
        ("٢٠٢٦-03-20", "form"),
        ("", "form"),
    ],
)
def test_any_other_text_is_refused_with_its_reason(text: str, why: str) -> None:
    with pytest.raises(TimeRefused) as refused:
        read_moment(text)
    assert refused.value.why == why


def test_a_period_lasts_from_the_beginning_of_its_start_to_the_end_of_its_end() -> None:
    start, end = read_moment("2026-03-20"), read_moment("2026-03-20T10:00:00Z")
    period = join_moments(start, end)
    assert period.seconds == Span(start.seconds.low, end.seconds.high)
    assert period.text == "2026-03-20/2026-03-20T10:00:00Z"


def test_a_period_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(TimeRefused) as refused:
        join_moments(read_moment("2026-03-20T10:00:00Z"), read_moment("2026-03-20T10:30:00+01:00"))
    assert refused.value.why == "order"


@pytest.mark.parametrize(
    ("text", "offset"),
    [("2026-03-20T10:00:00-05:30", -19_800), ("2026-03-20T10:00:00-00:00", None), ("2026-03-20", None), (7, None)],
)
def test_an_offset_is_found_where_a_time_states_one(text: object, offset: int | None) -> None:
    assert find_offset(text) == offset
