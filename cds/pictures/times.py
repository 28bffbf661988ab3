"""An axis of time, with the places that carry a text.

Takes the first and last second, and the offset in which clocks are read. Gives an axis in seconds since 1970. Names of
months are written out here, so that no locale changes them.
"""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction

from cds.entry.times import DAY
from cds.pictures.model import Axis

_HOUR = 3600
_STEPS = tuple(hours * _HOUR for hours in (1, 2, 4, 6, 12)) + tuple(days * DAY for days in (1, 2, 7, 14, 28, 91, 182))
_MOST_TICKS = 9
_LEAST_PAD = _HOUR
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def time_axis(first: int, last: int, offset: int) -> Axis:
    """The axis from a little before the first second to a little after the last."""
    pad = max((last - first) // 25, _LEAST_PAD)
    low, high = first - pad, last + pad
    return Axis(f"time of measuring, {zone(offset)}", Fraction(low), Fraction(high), _ticks(low, high, offset))


def _ticks(low: int, high: int, offset: int) -> tuple[tuple[Fraction, str], ...]:
    step = next((each for each in _STEPS if (high - low) // each < _MOST_TICKS), _STEPS[-1])
    start = -((-low - offset) // step) * step
    clocks = range(start, high + offset + 1, step)
    return tuple((Fraction(at - offset), _tick(at, step, at == start)) for at in clocks)


def _tick(at: int, step: int, is_first: bool) -> str:
    """A text for a second of local time: the hour with its day where that begins, or the day with its year."""
    local = datetime.fromtimestamp(at, UTC)
    day = f"{local.day} {_MONTHS[local.month - 1]}"
    if step >= DAY:
        begins = is_first or (local.month == 1 and local.day <= step // DAY)
        return f"{day}\n{local.year}" if begins else day
    hour = f"{local.hour:02d}:{local.minute:02d}"
    return f"{hour}\n{day} {local.year}" if is_first else f"{hour}\n{day}" if local.hour == 0 else hour


def zone(offset: int) -> str:
    """An offset in words: "UTC", "UTC+01:00"."""
    if offset == 0:
        return "UTC"
    hours, minutes = divmod(abs(offset) // 60, 60)
    return f"UTC{'-' if offset < 0 else '+'}{hours:02d}:{minutes:02d}"
