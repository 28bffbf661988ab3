"""The value before this one: the last earlier one of the same sign, the change since, and how long ago.

Takes the view; gives words for each charted value. A temperature, saturation or pressure of another route or site is
not compared: it is another measurement. Withheld values and bounds are passed over. No finding rests on it.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cds.advice.answer import Data
from cds.entry.ages import is_before_birth
from cds.entry.model import Entry, Moment, Observation
from cds.entry.times import between
from cds.entry.units import POUNDS_OUNCES, UNITS, counted, shown, written
from cds.judge.changes import DAY, HOUR, said
from cds.judge.inputs import is_exact
from cds.judge.view import WITHHELD, View
from cds.values import Quantity, Span

Key = tuple[str, object, object]
Previous = dict[Key, tuple[Observation, Moment]]
_MINUTE = 60


def previous(view: View) -> Previous:
    """The last earlier value of each sign, by code, route and site; looked through once for an entry."""
    found: Previous = {}
    now = view.entry.event.measured
    for entry in reversed(view.entry.earlier) if now else ():
        for observation, measured in _usable(entry):
            if now is not None and measured.seconds.high < now.seconds.low:
                latest = found.setdefault(_key(observation), (observation, measured))
                if latest[1].seconds.high < measured.seconds.low:
                    found[_key(observation)] = observation, measured
    return found


def before(observation: Observation, view: View, earlier: Previous) -> Data | None:
    """Value, change and how long ago; None where there is nothing to compare."""
    now = observation.measured or view.entry.event.measured
    if _key(observation) not in earlier or not is_exact(observation) or now is None:
        return None
    then, measured = earlier[_key(observation)]
    assert observation.quantity is not None
    assert then.quantity is not None
    change = _change(observation.quantity, then.quantity)
    return {"value": written(then.quantity), "change": change, "ago": f"{_lasting(between(measured, now))} ago"}


def _usable(entry: Entry) -> Iterator[tuple[Observation, Moment]]:
    """Exact values of an entry with their times, the last first."""
    if entry.event.status in WITHHELD:
        return
    for observation in reversed(entry.observations):
        measured = observation.measured or entry.event.measured
        if is_exact(observation) and measured is not None and not is_before_birth(entry.infant, measured):
            yield observation, measured


def _key(observation: Observation) -> Key:
    return observation.code, observation.context.get("route"), observation.context.get("site")


def _change(now: Quantity, then: Quantity) -> str:
    apart = now.position - then.position
    if not apart:
        return "the same"
    unit = "[oz_av]" if now.unit == POUNDS_OUNCES else now.unit
    exact = shown(abs(apart), unit, is_difference=True)
    number = f"about {said(Fraction(abs(apart), 2 * UNITS[unit].factor))}" if exact is None else str(exact)
    return f"{counted(number, unit)} {'more' if apart > 0 else 'less'}"


def _lasting(seconds: Span) -> str:
    """A time in whole minutes, hours or days; both ends where it is not known to one."""
    unit, words = next((size, name) for size, name, most in _UNITS if seconds.high < most)
    low, high = max(seconds.low, 0) // unit, seconds.high // unit
    return f"{low} {words}" if low == high else f"{low} to {high} {words}"


_UNITS = ((_MINUTE, "min", HOUR), (HOUR, "h", 2 * DAY), (DAY, "d", float("inf")))
