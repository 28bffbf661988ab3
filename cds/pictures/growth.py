"""Growth over age: the weights, lengths or heads of an infant on the lines of the growth reference.

Takes a view and a code. Gives a panel over age in whole days, corrected where the infant was born early, with the lines
z -3, -2, 0, +2 and +3 of its sex; or None where there is no reference to draw on, and the sign is drawn over time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from cds.advice.terms import say_code
from cds.entry.ages import NO_LAG, ages_at
from cds.entry.units import UNITS
from cds.judge.frame import days_since_birth, lags_of
from cds.judge.growth import SWOLLEN, added, is_swollen
from cds.judge.inputs import weeks
from cds.judge.lms import At, cut_off
from cds.judge.view import View
from cds.pictures.marks import Charted, Series, in_unit, no_mark, series
from cds.pictures.model import Axis, Mark, Panel, Reference
from cds.rules.growth import LAST_DAY, Index, Sex
from cds.values import Span

INDICES: Mapping[str, Index] = MappingProxyType(
    {"body-weight": "weight-for-age", "body-length": "length-for-age", "head-circumference": "head-for-age"}
)
LINES = (-3, -2, 0, 2, 3)
_SEXES: Mapping[str, Sex] = MappingProxyType({"female": "female", "male": "male"})
_LEAST_DAYS = 14
_MOST_POINTS = 60
_IN_DAYS = 91
_FROM_BIRTH = 30
_STEPS = (1, 2, 3, 6, 7, 14, 28, 91)
_MOST_TICKS = 8
MONTH = Fraction(487, 16)
"""Days of a month on an age axis: 365.25 / 12."""


def growth_panel(code: str, unit: str, view: View) -> Panel | None:
    """The panel of one sign over age; None where the reference, the sex or every age is lacking."""
    index, sex = INDICES.get(code), _SEXES.get(view.entry.infant.sex or "")
    if index is None or sex is None or view.rules.growth is None:
        return None
    drawn, left_out = _aged(series(code, unit, view), lags_of(view))
    if not drawn:
        return None
    axis = _axis(drawn, _age_words(view))
    at = At(view.rules.growth.digest, index, sex, 0)
    return Panel(
        code=code,
        title=f"{say_code(code).capitalize()} by age, {sex}",
        unit=UNITS[unit].words,
        axis=axis,
        marks=tuple(drawn),
        references=tuple(_line(at, z, axis, unit) for z in LINES),
        remarks=(*_remarks(code, view), *left_out),
    )


def without_lines(code: str, view: View) -> tuple[str, ...]:
    """Why a sign that the reference knows is drawn over time, without lines."""
    if code not in INDICES:
        return ()
    if view.rules.growth is None:
        return ("these rules name no growth reference",)
    if view.entry.infant.sex not in _SEXES:
        return ("sex not known: no reference lines",)
    why = "before 40 weeks" if view.ages.chronological else "age not known"
    return (f"{why}: no reference lines",)


def _aged(charted: Series, lags: Span) -> tuple[list[Mark], list[str]]:
    """The marks over age in days, and what lies before the reference begins."""
    marks: list[Mark] = []
    left_out = [no_mark(words) for words in charted.left_out]
    for each in charted.charted:
        days = _days(each, lags)
        if days is None or days.high < 0:
            left_out.append(no_mark(f"{each.mark.when}: {each.mark.words}, before 40 weeks or birth"))
        else:
            low = max(days.low, 0)
            middle, spread = Fraction(low + days.high, 2), Fraction(days.high - low, 2)
            begun = any(mark.around == each.mark.around for mark in marks)
            marks.append(replace(each.mark, x=middle, spread=spread, joined=each.mark.joined and begun))
    return marks, left_out


def _days(charted: Charted, lags: Span) -> Span | None:
    """Age in whole days as the reference counts, less the days that are taken off at this entry."""
    age = ages_at(charted.entry.infant, charted.observation.measured or charted.entry.event.measured).chronological
    return None if age is None else days_since_birth(age).shifted(Span(-lags.high, -lags.low))


def _age_words(view: View) -> str:
    gestation = view.entry.infant.gestation
    if gestation is not None and lags_of(view) != NO_LAG:
        return f"corrected age in {{}}, born at {weeks(gestation)}"
    return "age in {}"


def _remarks(code: str, view: View) -> Iterator[str]:
    """What keeps marks from being read straight off the lines."""
    if view.entry.infant.gestation is None:
        yield "gestation not charted: age since birth"
    if any(map(added, view.charted(code))):
        yield "charted standing: drawn as charted; the lines are for lying, 0.7 cm more"
    if code == "body-weight" and is_swollen(view):
        yield f"{SWOLLEN}: this weight has no place among the lines"


def _axis(drawn: list[Mark], words: str) -> Axis:
    first, last = min(mark.x - mark.spread for mark in drawn), max(mark.x + mark.spread for mark in drawn)
    pad = max((last - first) / 16, Fraction(1))
    low = first - pad if first > _FROM_BIRTH else Fraction(0)
    high = max(last + pad, low + _LEAST_DAYS)
    in_days = high <= _IN_DAYS
    unit = Fraction(1) if in_days else MONTH
    step = next(each for each in _STEPS if (high - low) / unit <= _MOST_TICKS * each)
    count = range(-(-low // (unit * step)), int(high // (unit * step)) + 1)
    ticks = tuple((place * step * unit, str(place * step)) for place in count)
    return Axis(words.format("days" if in_days else "months of 30.44 days"), low, high, ticks)


def _line(at: At, z: int, axis: Axis, unit: str) -> Reference:
    first, last = -(-axis.low // 1), min(axis.high // 1, LAST_DAY)
    step = max((last - first) // _MOST_POINTS, 1)
    days = dict.fromkeys([*range(first, last, step), last])
    cuts = (cut_off(at._replace(row=day), Decimal(z)) for day in days)
    return Reference(z, tuple((Fraction(day), in_unit(cut, unit)) for day, cut in zip(days, cuts, strict=True)))
