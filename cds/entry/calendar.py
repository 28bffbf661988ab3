"""Calendar months from a day, and how many days a number of months can take.

Days are ordinals of the proleptic Gregorian calendar. A month that is too short ends on its last day:
31 January and one month is 28 or 29 February.
"""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from cds.values import Span

_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
# 1896 to 1912 holds every pattern of leap years that up to eight years of months can meet, 1900 without one included.
_BIRTH_YEARS = range(1896, 1913)
# A date ends with the year 9999; an edge beyond it is as unreachable there.
_LAST_YEAR = 9998


@lru_cache(maxsize=8192)
def add_months(day: int, months: int) -> int:
    """The day that many calendar months after a day, both as ordinals; months may not be negative."""
    start = date.fromordinal(day)
    years, month = divmod(start.month - 1 + months, 12)
    year = min(start.year + years, _LAST_YEAR)
    return date(year, month + 1, min(start.day, _month_length(year, month))).toordinal()


def count_months(start: int, day: int) -> tuple[int, int]:
    """Completed calendar months from a day to a later one, and the days over."""
    first, last = date.fromordinal(start), date.fromordinal(day)
    months = (last.year - first.year) * 12 + last.month - first.month
    if add_months(start, months) > day:
        months -= 1
    return months, day - add_months(start, months)


@lru_cache(maxsize=256)
def month_days(months: int) -> Span:
    """Fewest and most days that a number of calendar months takes, over every day an infant could be born."""
    firsts = (date(year, month, 1) for year in _BIRTH_YEARS for month in range(1, 13))
    lengths = [
        add_months(first.toordinal() + day, months) - first.toordinal() - day
        for first in firsts
        for day in range(_month_length(first.year, first.month - 1))
    ]
    return Span(min(lengths), max(lengths))


def _month_length(year: int, month: int) -> int:
    is_leap = month == 1 and year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return _LENGTHS[month] + is_leap
