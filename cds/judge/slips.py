"""A value that cannot be, and that would fit after one slip of unit or decimal point.

Takes a view. Gives `none`, or the slip that the value may be, with the reading that would fit beside it. A unit slip:
the number in another unit of the dimension, or converted the wrong way; a decimal slip: ten times too much or too
little in the unit charted, where that is no other unit. Length in cm that is ten times too long is mm: a unit slip.
Of several readings that fit, the one nearest to the size before it, else the first of the table: units before decimals.
Suspects only; never changes a value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from types import MappingProxyType

from cds.entry.model import Observation
from cds.entry.units import UNITS, written
from cds.judge.changes import latest
from cds.judge.inputs import missing, plain, usable
from cds.judge.plausible import (
    Before,
    Bounds,
    before,
    cannot_be,
    could_be,
    ends_of,
    is_outside,
    percent,
    percents,
    ticks_of,
)
from cds.judge.view import Value, View
from cds.values import Quantity

NONE = Value(words=frozenset({"none"}))
_POUND = Fraction(UNITS["[lb_av]"].factor, UNITS["kg"].factor)
_INCH = Fraction(UNITS["[in_i]"].factor, UNITS["cm"].factor)
_MOST_OUNCES = 16


@dataclass(frozen=True, slots=True)
class Reading:
    """Another reading of a value: which slip, in words, and how its ticks come from those charted."""

    slip: str
    words: str
    read: Callable[[Fraction], Fraction]

    def of(self, size: Bounds) -> Bounds:
        """The bounds of a value read so."""
        return self.read(size[0]), self.read(size[1])


def _times(factor: Fraction | int, ticks: Fraction) -> Fraction:
    return ticks * factor


def _by(slip: str, words: str, factor: Fraction | int) -> Reading:
    return Reading(slip, words, partial(_times, factor))


def _shifted(slip: str, words: str, scale: tuple[Fraction, str, str]) -> Reading:
    """A temperature whose number, times a factor, is read in the second unit in place of the first."""
    return Reading(slip, words, partial(_renumber, scale))


def _renumber(scale: tuple[Fraction, str, str], ticks: Fraction) -> Fraction:
    factor, charted, meant = scale
    number = (ticks + UNITS[charted].offset) / UNITS[charted].factor
    return number * factor * UNITS[meant].factor - UNITS[meant].offset


_TENTH = Fraction(1, 10)
_DECIMALS = (
    _by("decimal", "if the point is one place off", _TENTH),
    _by("decimal", "if the point is one place off", 10),
)
_AS = {"to pounds": "if converted to pounds by mistake", "from pounds": "if converted from pounds by mistake"}
READINGS: Mapping[str, tuple[Reading, ...]] = MappingProxyType(
    {
        "kg": (
            _by("unit", "if pounds", _POUND),
            _by("unit", "if grams", Fraction(1, 1000)),
            _by("unit", _AS["from pounds"], 1 / _POUND),
            _by("unit", "if converted from grams by mistake", 1000),
            *_DECIMALS,
        ),
        "g": (
            _by("unit", "if kilograms", 1000),
            _by("unit", "if pounds", 1000 * _POUND),
            _by("unit", _AS["to pounds"], _POUND),
            _by("unit", _AS["from pounds"], 1 / _POUND),
            _by("unit", "if converted to grams by mistake", Fraction(1, 1000)),
            *_DECIMALS,
        ),
        "[lb_av]": (
            _by("unit", "if kilograms", 1 / _POUND),
            _by("unit", "if grams", 1 / (1000 * _POUND)),
            _by("unit", _AS["to pounds"], _POUND),
            *_DECIMALS,
        ),
        "cm": (
            _by("unit", "if inches", _INCH),
            _by("unit", "if millimetres", _TENTH),
            _by("unit", "if converted from inches by mistake", 1 / _INCH),
            _DECIMALS[1],
        ),
        "mm": (
            _by("unit", "if inches", 10 * _INCH),
            _by("unit", "if centimetres", 10),
            _DECIMALS[0],
        ),
        "[in_i]": (
            _by("unit", "if centimetres", 1 / _INCH),
            _by("unit", "if millimetres", 1 / (10 * _INCH)),
            _by("unit", "if converted to inches by mistake", _INCH),
            *_DECIMALS,
        ),
        "Cel": (
            _shifted("unit", "if Fahrenheit", (Fraction(1), "Cel", "[degF]")),
            _shifted("decimal", _DECIMALS[0].words, (_TENTH, "Cel", "Cel")),
            _shifted("decimal", _DECIMALS[1].words, (Fraction(10), "Cel", "Cel")),
        ),
        "[degF]": (
            _shifted("unit", "if Celsius", (Fraction(1), "[degF]", "Cel")),
            _shifted("decimal", _DECIMALS[0].words, (_TENTH, "[degF]", "[degF]")),
            _shifted("decimal", _DECIMALS[1].words, (Fraction(10), "[degF]", "[degF]")),
        ),
    }
)
"""The readings tried for each charted unit, in order; pounds with ounces have none."""

_SHOWN_IN: Mapping[str, str] = MappingProxyType(
    {"kg": "kg", "g": "g", "[lb_av]": "kg", "cm": "cm", "mm": "mm", "[in_i]": "cm", "Cel": "Cel", "[degF]": "Cel"}
)


def size_slip(code: str, view: View) -> Value:
    """The slip that the weight, length or head of this entry may be; unknown where none is charted."""
    charted = latest(view, code)
    if charted is None or charted.quantity is None:
        return missing(code)
    since = before(view, code)
    if since is not None and _is_pounds_as_decimal(charted.quantity, since, view):
        return _slip(_pounds_reading(charted.quantity), charted.quantity, since)
    if not cannot_be(ticks_of(charted.quantity), code, view, since):
        return NONE
    return _fitting(charted.quantity, since, lambda size: could_be(size, code, view, since))


def temperature_slip(view: View) -> Value:
    """The slip that a temperature may be; of several, the first that may be one."""
    charted = usable(view, "body-temperature")
    found = [slip for each in charted if (slip := _temperature_slip(each, view)) is not NONE]
    return found[0] if found else NONE if charted else missing("body-temperature")


def _temperature_slip(charted: Observation, view: View) -> Value:
    assert charted.quantity is not None
    limits = ("implausible-temperature-low", "implausible-temperature-high")
    if not _is_beyond(ticks_of(charted.quantity), limits, view):
        return NONE
    return _fitting(charted.quantity, None, lambda size: not _is_beyond(size, limits, view))


def birth_weight_slip(view: View) -> Value:
    """The slip that the weight at birth may be; unknown where it is not sent."""
    weight = view.entry.infant.birth_weight
    if weight is None:
        return missing("birth-weight")
    limits = ("implausible-birth-weight-low", "implausible-birth-weight-high")
    if not _is_beyond(ticks_of(weight), limits, view):
        return NONE
    return _fitting(weight, None, lambda size: not _is_beyond(size, limits, view))


def _is_beyond(size: Bounds, limits: Sequence[str], view: View) -> bool:
    return any(is_outside(ends_of(size), each, view) for each in limits)


def _fitting(charted: Quantity, since: Before | None, fits: Callable[[Bounds], bool]) -> Value:
    size = ticks_of(charted)
    readings = [reading for reading in READINGS.get(charted.unit, ()) if fits(reading.of(size))]
    if not readings:
        return NONE
    return _slip(min(readings, key=lambda reading: _apart(reading.of(size), since)), charted, since)


def _apart(size: Bounds, since: Before | None) -> Fraction:
    """How many times as much one is as the other, at least 1; all alike where there is nothing before."""
    if since is None:
        return Fraction(1)
    ratio = size[0] / since.ticks[0]
    return max(ratio, 1 / ratio)


def _slip(reading: Reading, charted: Quantity, since: Before | None) -> Value:
    meant = reading.of(ticks_of(charted))[0]
    beside = ((since.what, since.said),) if since else ()
    numbers = (("charted", written(charted)), (reading.words, _said(meant, _SHOWN_IN[charted.unit])), *beside)
    return Value(quantity=charted, words=frozenset({reading.slip}), numbers=numbers)


def _said(ticks: Fraction, unit: str) -> str:
    known = UNITS[unit]
    number = (ticks + known.offset) / known.factor
    return f"{plain(Fraction(round(number)) if unit in ('g', 'mm') else number)} {known.words}"


def _is_pounds_as_decimal(charted: Quantity, since: Before, view: View) -> bool:
    """Whether decimals of pounds, read as ounces, come near the weight before while as decimals they cannot be it."""
    if not _ounces(charted):
        return False
    near, a_day = percent("pounds-reading-near", view), percent("pounds-reading-a-day", view)
    size = ticks_of(charted)
    read = _pounds_reading(charted).of(size)
    return _off(read, since) <= near and _least_off(size, since) > near + a_day * since.days[1]


def _off(size: Bounds, since: Before) -> Fraction:
    return max(map(abs, percents(size, since)))


def _least_off(size: Bounds, since: Before) -> Fraction:
    low, high = percents(size, since)
    return Fraction(0) if low <= 0 <= high else min(abs(low), abs(high))


def _ounces(charted: Quantity) -> int:
    """The decimals of a weight charted in pounds as whole ounces under 16; 0 where they cannot be ounces."""
    decimals = charted.text.partition(".")[2]
    if charted.unit != "[lb_av]" or not 1 <= len(decimals) <= 2 or decimals.startswith("0"):
        return 0
    return int(decimals) if int(decimals) < _MOST_OUNCES else 0


def _pounds_reading(charted: Quantity) -> Reading:
    pounds, ounces = int(charted.text.partition(".")[0]), _ounces(charted)
    ticks = Fraction(pounds * UNITS["[lb_av]"].factor + ounces * UNITS["[oz_av]"].factor)
    return Reading("pounds-as-decimal", f"if {pounds} lb {ounces} oz", lambda _: ticks)
