"""The picture of one entry with its earlier ones: a panel for each sign with a charted value, then its growth.

Takes an answer. Gives a picture: marks over time, the limits in force at the age and state of this entry on both sides,
and a caption that names the rules. The limits are those that the advice shows as expected.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from types import MappingProxyType

from cds.advice.answer import Answer, heading
from cds.advice.expected import sides
from cds.advice.explain import limit_words
from cds.advice.header import DEFERENCE, age, entry, infant, rules
from cds.advice.terms import COMPARATORS, label, say_code
from cds.entry.model import QuantityRange
from cds.entry.units import UNITS, written
from cds.judge.criteria import limits_of
from cds.judge.view import View
from cds.pictures.growth import growth_panel, without_lines
from cds.pictures.marks import APART, Series, axis_unit, in_unit, no_mark, series
from cds.pictures.model import LimitLine, Panel, Picture, Side
from cds.pictures.times import time_axis
from cds.rules.model import BandLimit, Comparator, Threshold
from cds.values import Quantity

OUTER: Mapping[Comparator, Side] = MappingProxyType(
    {"at-or-above": "above", "above": "above", "at-or-below": "below", "below": "below"}
)
_HOUR, _DAY = 3600, 86_400


def picture(answer: Answer) -> Picture:
    """The picture of the entry that was answered."""
    view = answer.view
    told = heading(answer)
    panels = tuple(_panels(view))
    joined = f"Marks are joined over at most {APART[False] // _HOUR} h, of weight, length, head and chest over "
    return Picture(
        title=f"Entry {told['event'].get('id', 'without identifier')}, with {_earlier(view)}",
        about=(f"Infant {infant(told)}", f"Age {age(told['age'])}", f"Entry {entry(told)}", *_undrawn(view)),
        panels=panels,
        caption=(
            "Limits are those in force at the age and state of this entry; a line reaches back over earlier entries of "
            "the same age band. Ticks stand on the side where the limit is reached.",
            f"{joined}{APART[True] // _DAY} d, and never over an entry that did not chart the sign.",
            *_reference_words(panels, view),
            f"Rules {rules(told['rules'])}.",
            DEFERENCE,
        ),
    )


def _reference_words(panels: tuple[Panel, ...], view: View) -> Iterator[str]:
    if view.rules.growth is not None and any(panel.references for panel in panels):
        yield f"Reference lines: {view.rules.growth.words}."


def _earlier(view: View) -> str:
    count = len(view.entry.earlier)
    return f"{count} earlier {'entry' if count == 1 else 'entries'}" if count else "no earlier entry"


def _undrawn(view: View) -> Iterator[str]:
    """What earlier entries charted as a value and this one did not: it has no panel, and that is said."""
    here = {code for code, _ in _valued(view)}
    before = (each.code for past in view.entry.earlier for each in past.observations if each.quantity)
    others = [code for code in dict.fromkeys(before) if code not in here]
    if others:
        yield f"Charted earlier and not now, no panel: {', '.join(map(say_code, others))}"
    if not here:
        yield "This entry charts no value; there is nothing to draw."


def _valued(view: View) -> Iterator[tuple[str, str]]:
    """The codes with a value in this entry, each with the unit of its axis, in the order charted."""
    for code, observations in view.by_code.items():
        unit = axis_unit(observations)
        if unit is not None:
            yield code, unit


def _panels(view: View) -> Iterator[Panel]:
    over_age = {code: panel for code, unit in _valued(view) if (panel := growth_panel(code, unit, view))}
    over_time = {code: (unit, series(code, unit, view)) for code, unit in _valued(view) if over_age.get(code) is None}
    yield from _timed(over_time, view)
    yield from over_age.values()


def _timed(drawn: Mapping[str, tuple[str, Series]], view: View) -> Iterator[Panel]:
    """Panels over one axis of time, so that what happened together stands together."""
    marks = [mark for _, each in drawn.values() for mark in each.marks]
    ends = [int(end) for mark in marks for end in (mark.x - mark.spread, mark.x + mark.spread)] or [0]
    measured = view.entry.event.measured
    axis = time_axis(min(ends), max(ends), (measured.offset or 0) if measured else 0)
    for code, (unit, each) in drawn.items():
        limits = tuple(_limits(code, unit, each, view))
        yield Panel(
            code=code,
            title=say_code(code).capitalize(),
            unit=UNITS[unit].words,
            axis=axis,
            marks=each.marks,
            limits=limits,
            remarks=(*without_lines(code, view), *_without_limits(limits), *map(no_mark, each.left_out)),
        )


def _without_limits(limits: tuple[LimitLine, ...]) -> tuple[str, ...]:
    return () if limits else ("no limit in these rules at this age",)


def _limits(code: str, unit: str, drawn: Series, view: View) -> Iterator[LimitLine]:
    last = next((each for each in reversed(view.by_code[code]) if each.quantity), None)
    target = view.entry.care.get("cooling")
    if last is None or not drawn.charted:
        return
    if code == "body-temperature" and isinstance(target, QuantityRange):
        yield from _target(target, unit, drawn)
        return
    for threshold, limit in filter(None, sides(last, view)):
        assert limit.limit is not None
        yield LimitLine(
            y=in_unit(limit.limit.position, unit),
            start=_start(threshold, limit, drawn, view),
            outer=OUTER[limit.reached],
            words=f"{COMPARATORS[limit.reached]} {limit_words(limit, unit)}",
            source=label(limit.source.ref) if limit.source else limit.set_by,
        )


def _target(target: QuantityRange, unit: str, drawn: Series) -> Iterator[LimitLine]:
    ends: tuple[tuple[Quantity | None, Side], ...] = ((target.low, "below"), (target.high, "above"))
    for end, side in ends:
        if end is not None:
            start = drawn.marks[-1].x
            yield LimitLine(in_unit(end.position, unit), start, side, f"{side} {written(end)}", "target of cooling")


def _start(threshold: Threshold, limit: BandLimit, drawn: Series, view: View) -> Fraction:
    """From which mark on the limit is drawn: the first of an unbroken run of entries in the same age band."""
    start = drawn.marks[-1].x
    for each in reversed(drawn.charted):
        if limit not in limits_of(threshold, View(each.entry, view.rules))[0]:
            break
        start = each.mark.x
    return start
