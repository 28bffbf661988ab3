"""Length and head over time, and the head beside the chest.

Takes the last usable length, head and chest of an entry and those of earlier entries. Gives centimetres a month of
30.4375 days, and centimetres, exact; a gain over times that are only dates is a span. Holds no limit.

A length measured standing is 0.7 cm short of one measured lying (WHO child growth standards 2006), which is added.
"""

from __future__ import annotations

from fractions import Fraction

from cds.entry.model import Observation
from cds.entry.units import UNITS, written
from cds.judge.changes import (
    DAY,
    Stretch,
    amount,
    before,
    lasting,
    latest,
    not_exact,
    quantity_of,
    said,
    said_span,
    times_needed,
)
from cds.judge.inputs import missing
from cds.judge.view import Value, View

MONTH_DAYS = Fraction(304_375, 10_000)
STANDING = Fraction(7, 10)
_TICKS = 100
_LEAST, _MOST = 14 * DAY, 100 * DAY


def length_gain(view: View) -> Value:
    """Gain of length [cm/mo] since the latest at least 14 d and at most 100 d before."""
    return _gain(view, "body-length", "length")


def head_gain(view: View) -> Value:
    """Gain of the head [cm/mo] since the latest at least 14 d and at most 100 d before."""
    return _gain(view, "head-circumference", "head")


def head_minus_chest(view: View) -> Value:
    """Head less chest [cm] in this entry; below 0 where the chest is larger."""
    head, chest = latest(view, "head-circumference"), latest(view, "chest-circumference")
    if head is None or chest is None:
        return not_exact(view, "head-circumference" if head is None else "chest-circumference")
    apart = amount(quantity_of(head), "cm").minus(amount(quantity_of(chest), "cm"))
    low, high = apart.times(Fraction(UNITS["cm"].factor)).positions()
    sizes = ("head", written(quantity_of(head))), ("chest", written(quantity_of(chest)))
    return Value(low, high, numbers=(*sizes, ("difference", f"{said_span(apart)} cm")))


def _gain(view: View, code: str, name: str) -> Value:
    here = latest(view, code)
    if here is None:
        return not_exact(view, code)
    then = before(view, here, _LEAST, _MOST)
    if then is None:
        return missing(f"an earlier {name}")
    gain = _lying(here).minus(_lying(then.observation)).over(then.apart).times(MONTH_DAYS * DAY)
    low, high = gain.times(Fraction(_TICKS)).positions()
    words = f"{said_span(gain)} cm/month over {lasting(then.apart)}"
    sizes = (name, _written(here)), ("before", _written(then.observation))
    return Value(low, high, numbers=(("gain", words), *sizes), needs=times_needed(then.apart))


def _lying(observation: Observation) -> Stretch:
    size = amount(quantity_of(observation), "cm")
    return size.plus(STANDING) if _stands(observation) else size


def _written(observation: Observation) -> str:
    more = f" standing, {said(STANDING)} cm added" if _stands(observation) else ""
    return f"{written(quantity_of(observation))}{more}"


def _stands(observation: Observation) -> bool:
    return observation.context.get("position") == "standing"
