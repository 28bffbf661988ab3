"""The same sign over hours: how far a temperature rose, and whether the infant was being warmed.

Takes a view; looks back over the earlier entries that stand. Readings are held beside each other by one route only: no
route is turned into another, and a skin reading, which follows the warmer as much as the infant, is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cds.entry.model import Observation
from cds.entry.units import UNITS, written
from cds.judge.changes import HOUR, Stretch, not_exact, quantity_of, said_span, stretch
from cds.judge.inputs import missing, usable
from cds.judge.view import Value, View

TEMPERATURE = "body-temperature"
RISE_WITHIN, WARMED_WITHIN = 6 * HOUR, 4 * HOUR
WARMING = frozenset({"skin-to-skin", "incubator", "radiant-warmer"})
_SKIN = "skin"


def temperature_rise(view: View) -> Value:
    """Rise [Cel] from the lowest usable temperature by the same route in the past 6 h; below 0 where it fell.

    Of several readings now the one that rose most. A route that is not charted is held beside any but skin.
    """
    now = [each for each in usable(view, TEMPERATURE) if _route(each) != _SKIN]
    if not now:
        return missing(f"{TEMPERATURE} but skin") if usable(view, TEMPERATURE) else not_exact(view, TEMPERATURE)
    before = list(_before(view))
    pairs = [(here, then) for here in now for then in before if _alike(here, then)]
    if not pairs:
        return missing(f"{TEMPERATURE} by the same route in the past 6 h")
    here, then = max(pairs, key=lambda pair: _rise(*pair).low)
    return _said(here, then, _rise(here, then))


def _said(here: Observation, then: Observation, rise: Stretch) -> Value:
    low, high = rise.positions()
    degrees = rise.times(Fraction(1, UNITS["Cel"].factor))
    numbers = (("rise", f"{said_span(degrees)} °C"), ("from", _written(then)), ("to", _written(here)))
    return Value(low, high, numbers=numbers)


def _written(observation: Observation) -> str:
    return written(quantity_of(observation))


def _before(view: View) -> Iterator[Observation]:
    """Earlier temperatures by any route but skin; of entries at one instant those of the last sent that has one."""
    seen: set[object] = set()
    for past in view.past(RISE_WITHIN):
        found = [each for each in usable(past, TEMPERATURE) if _route(each) != _SKIN]
        if found and past.entry.event.measured not in seen:
            seen.add(past.entry.event.measured)
            yield from found


def _route(observation: Observation) -> object:
    return observation.context.get("route")


def _alike(here: Observation, then: Observation) -> bool:
    routes = (_route(here), _route(then))
    return None in routes or routes[0] == routes[1]


def _rise(here: Observation, then: Observation) -> Stretch:
    return stretch(quantity_of(here)).minus(stretch(quantity_of(then)))


def warmed(view: View) -> Value:
    """Whether this entry, or an earlier one in the past 4 h, charts that the infant was being warmed: yes or no."""
    charted = [each.entry.care["warmth"] for each in (view, *view.past(WARMED_WITHIN)) if "warmth" in each.entry.care]
    if not charted:
        return missing("care: warmth")
    return Value(words=frozenset({"no" if WARMING.isdisjoint(charted) else "yes"}))
