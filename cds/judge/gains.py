"""Weight over time: loss from birth weight, its regain, and gain between weighings.

Takes the last usable weight of an entry, the birth weight and the weights of earlier entries. Gives percent, grams
and grams a day, exact; a gain over times that are only dates is a span. Holds no limit, asks no reference.

Which earlier weight is taken: the latest that lies far enough back, whatever was weighed since.
A birth weight of 0 is shown as it is, but nothing is a share of it.
"""

from __future__ import annotations

from fractions import Fraction

from cds.entry.model import Observation
from cds.entry.units import UNITS, written
from cds.judge.changes import (
    DAY,
    HOUR,
    Before,
    Stretch,
    amount,
    before,
    lasting,
    latest,
    not_exact,
    quantity_of,
    said_span,
    times_needed,
)
from cds.judge.inputs import missing
from cds.judge.view import Value, View, unknown
from cds.values import Quantity, Rank, Span

_WEIGHT = "body-weight"
_TICKS = 100
_EVER = 1000 * DAY
_NO_EARLIER = missing("an earlier weight")


def birth_weight(view: View) -> Value:
    """Birth weight [g] as charted."""
    weight = view.entry.infant.birth_weight
    if weight is None:
        return missing("birth weight")
    return Value(weight.position, weight.position, weight, numbers=(("birth weight", written(weight)),))


def first_entry(view: View) -> Value:
    """Whether no earlier entry was sent that stands: yes or no."""
    return Value(words=frozenset({"no" if len(view.entry.earlier) > len(view.aside) else "yes"}))


def weight_loss(view: View) -> Value:
    """Loss since birth [% of birth weight]; below 0 where the infant weighs more than at birth."""
    share = _share(view)
    if isinstance(share, Value):
        return share
    loss = Stretch(100 - share.high, 100 - share.low, share.is_open)
    above = loss.low < 0
    shown = Stretch(-loss.high, -loss.low) if above else loss
    return _percent(loss, ("above birth weight" if above else "loss", f"{said_span(shown)} %"), view)


def weight_of_birth_weight(view: View) -> Value:
    """This weight as a share of birth weight [%]."""
    share = _share(view)
    if isinstance(share, Value):
        return share
    return _percent(share, ("share of birth weight", f"{said_span(share)} %"), view)


def _share(view: View) -> Stretch | Value:
    here, born = latest(view, _WEIGHT), view.entry.infant.birth_weight
    if here is None:
        return not_exact(view, _WEIGHT)
    if born is None or amount(born, "g").low == 0:
        return missing("birth weight")
    return amount(quantity_of(here), "g").share_of(amount(born, "g")).times(Fraction(100))


def _percent(share: Stretch, shown: tuple[str, str], view: View) -> Value:
    born, here = view.entry.infant.birth_weight, latest(view, _WEIGHT)
    assert born is not None
    assert here is not None
    weights = (("birth weight", written(born)), ("weight", written(quantity_of(here))))
    low, high = share.times(Fraction(_TICKS)).positions()
    return Value(low, high, numbers=(shown, *weights))


def weight_change(view: View) -> Value:
    """Change [g] since the last earlier weight, whenever that was."""
    return _change(view, 1, _EVER)


def weight_change_over_month(view: View) -> Value:
    """Change [g] since the latest weight at least 28 d and at most 62 d before."""
    return _change(view, 28 * DAY, 62 * DAY)


def weight_gain_since_last(view: View) -> Value:
    """Gain [g/d] since the last earlier weight at least 20 h before."""
    return _gain(view, 20 * HOUR, _EVER)


def weight_gain_over_5_days(view: View) -> Value:
    """Gain [g/d] since the latest weight at least 5 d and at most 35 d before."""
    return _gain(view, 5 * DAY, 35 * DAY)


def weight_gain_since_birth(view: View) -> Value:
    """Gain [g/d] since birth, over the age at this entry."""
    here, born, age = latest(view, _WEIGHT), view.entry.infant.birth_weight, view.ages.chronological
    if here is None:
        return not_exact(view, _WEIGHT)
    if born is None:
        return missing("birth weight")
    if age is None:
        return Value(verdict=unknown("unknown-age", Rank.POSSIBLE), needs=("time of birth",))
    if age.elapsed.low <= 0:
        return missing("a later weight")
    return _rate(here, born, age.elapsed, "birth weight")


def _change(view: View, least: int, most: int) -> Value:
    pair = _pair(view, least, most)
    if isinstance(pair, Value):
        return pair
    here, then = pair
    change = amount(quantity_of(here), "g").minus(amount(quantity_of(then.observation), "g"))
    low, high = change.times(Fraction(UNITS["g"].factor)).positions()
    words = f"{said_span(change)} g over {lasting(then.apart)}"
    return Value(low, high, numbers=(("change", words), *_weights(here, quantity_of(then.observation), "before")))


def _gain(view: View, least: int, most: int) -> Value:
    pair = _pair(view, least, most)
    if isinstance(pair, Value):
        return pair
    here, then = pair
    return _rate(here, quantity_of(then.observation), then.apart, "before")


def _pair(view: View, least: int, most: int) -> tuple[Observation, Before] | Value:
    here = latest(view, _WEIGHT)
    if here is None:
        return not_exact(view, _WEIGHT)
    then = before(view, here, least, most)
    return _NO_EARLIER if then is None else (here, then)


def _rate(here: Observation, then: Quantity, apart: Span, name: str) -> Value:
    gain = amount(quantity_of(here), "g").minus(amount(then, "g")).over(apart).times(Fraction(DAY))
    low, high = gain.times(Fraction(_TICKS)).positions()
    words = f"{said_span(gain)} g/day over {lasting(apart)}"
    return Value(low, high, numbers=(("gain", words), *_weights(here, then, name)), needs=times_needed(apart))


def _weights(here: Observation, then: Quantity, name: str) -> tuple[tuple[str, str], ...]:
    return ("weight", written(quantity_of(here))), (name, written(then))
