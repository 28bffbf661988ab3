"""Say an age in the words of the bedside: minutes and hours first, then days, weeks, calendar months.

Takes elapsed seconds as a span and, where known, completed months with days over. Gives text, for display only.
"""

from __future__ import annotations

from dataclasses import dataclass

from cds.values import Span

_HOUR = 3600
_DAY = 24 * _HOUR
_WEEK = 7 * _DAY
_HOURS_UNTIL = 2 * _DAY
_DAYS_UNTIL = 28 * _DAY
_MONTHS_FROM = 2
_ABOUT_TWO_MONTHS = 62 * _DAY


@dataclass(frozen=True, slots=True)
class Counted:
    """An age as elapsed seconds, and as completed calendar months with days over where the calendar is known."""

    elapsed: Span
    months: tuple[int, int] | None = None


def say(age: Counted, weeks: bool = False) -> str:
    """The age in words; both ends of a span where their words differ. `weeks` keeps to weeks and days."""
    exact = age.elapsed.low == age.elapsed.high
    if age.months is not None and age.months[0] >= _MONTHS_FROM and not weeks:
        return _joined((age.months[0], "months"), (age.months[1], "d"))
    low, high = (_say_one(seconds, exact, weeks) for seconds in (age.elapsed.low, age.elapsed.high))
    return low if low == high else f"{low} to {high}"


def _say_one(seconds: int, exact: bool, weeks: bool) -> str:
    if seconds < 0:
        return f"minus {_say_one(-(seconds // _DAY) * _DAY, exact, weeks)}"
    if weeks:
        return _say_weeks(seconds)
    if seconds < _HOUR:
        return f"{seconds // 60} min"
    if seconds < _HOURS_UNTIL:
        return f"{seconds // _HOUR} h"
    return _say_days(seconds, exact)


def _say_days(seconds: int, exact: bool) -> str:
    days, rest = divmod(seconds, _DAY)
    if seconds < _DAYS_UNTIL:
        return _joined((days, "d"), (rest // _HOUR if exact else 0, "h"))
    return _say_weeks(seconds) if seconds < _ABOUT_TWO_MONTHS else f"{days} d"


def _say_weeks(seconds: int) -> str:
    weeks, rest = divmod(seconds, _WEEK)
    return _joined((weeks, "weeks" if weeks != 1 else "week"), (rest // _DAY, "d"))


def _joined(first: tuple[int, str], second: tuple[int, str]) -> str:
    parts = [f"{amount} {unit}" for amount, unit in (first, second) if amount]
    return " ".join(parts) or f"0 {second[1]}"
