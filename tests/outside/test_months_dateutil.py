"""Calendar months against dateutil's relativedelta, which also ends a short month on its last day.

Source: dateutil (general-purpose, open source), where it is installed.
"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cds.entry.calendar import add_months, count_months

relativedelta = pytest.importorskip("dateutil.relativedelta").relativedelta

DAYS = st.dates(date(1900, 1, 1), date(2190, 1, 1))


@given(DAYS, st.integers(0, 60))
@settings(max_examples=300)
def test_months_after_a_day_are_those_of_dateutil(day: date, months: int) -> None:
    assert date.fromordinal(add_months(day.toordinal(), months)) == day + relativedelta(months=months)


@given(DAYS, st.integers(0, 1500))
@settings(max_examples=300)
def test_completed_months_are_the_most_that_dateutil_fits_in(day: date, later: int) -> None:
    now = date.fromordinal(day.toordinal() + later)
    months, over = count_months(day.toordinal(), now.toordinal())
    assert day + relativedelta(months=months) <= now < day + relativedelta(months=months + 1)
    assert (now - (day + relativedelta(months=months))).days == over
