"""Where the temperature of a cooled infant lies to the target range that the care states.

Takes charted temperatures, a bound such as `< 33` too, and the target. Gives below, above or inside, or several of them
where only a bound was sent. A skin reading does not count.
"""

from __future__ import annotations

from cds.entry.model import Observation, QuantityRange
from cds.entry.units import written
from cds.judge.compare import ends, reached
from cds.judge.inputs import missing, standing
from cds.judge.view import Value, View

_INSIDE = frozenset({"inside"})
_OUTSIDE = (frozenset({"below"}), frozenset({"above"}))


def cooling_target(view: View) -> Value:
    """below, above or inside the target; the reading farthest from it speaks."""
    target = view.entry.care.get("cooling")
    if not isinstance(target, QuantityRange):
        return Value(words=frozenset({"not-cooled"}))
    readings = [each for each in standing(view, "body-temperature") if each.quantity and _counts(each)]
    if not readings:
        return missing("body-temperature")
    sides = [(_sides(each, target), each) for each in readings]
    words, reading = next((each for each in sides if each[0] in _OUTSIDE), max(sides, key=lambda each: len(each[0])))
    numbers = (("temperature", _said(reading)), ("cooling target", target_words(target)))
    return Value(quantity=reading.quantity, words=words, doubt="bound-only-value", numbers=numbers)


def target_words(target: QuantityRange) -> str:
    """A target range in words: "33 to 34 °C"."""
    stated = [end for end in (target.low, target.high) if end is not None]
    return " to ".join([*(end.text for end in stated[:-1]), *(written(end) for end in stated[-1:])])


def _counts(reading: Observation) -> bool:
    return reading.context.get("route") != "skin"


def _sides(reading: Observation, target: QuantityRange) -> frozenset[str]:
    value = ends(reading)
    below = reached("below", value, target.low.position) if target.low else False
    above = reached("above", value, target.high.position) if target.high else False
    if below or above:
        return _OUTSIDE[0] if below else _OUTSIDE[1]
    could = {"below": below is None, "above": above is None}
    return _INSIDE.union(word for word, may in could.items() if may)


def _said(reading: Observation) -> str:
    assert reading.quantity is not None
    bound = f"{reading.comparator} " if reading.comparator else ""
    return f"{bound}{written(reading.quantity)}"
