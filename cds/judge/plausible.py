"""Sizes of one infant side by side: the one charted now, the last one before it, and whether the change can be.

Takes a view. Gives exact ticks and days; what lies between two ticks or is known to the day alone is a span. Every
limit is a threshold of the rule set. Never rounds to decide, never looks at an earlier size that cannot be itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from cds.entry.times import DAY
from cds.entry.units import written
from cds.judge.changes import latest, stretch
from cds.judge.compare import Ends, reached
from cds.judge.inputs import missing, plain
from cds.judge.repeats import apart
from cds.judge.view import Value, View
from cds.values import Quantity, Span, position_of

SIZES: Mapping[str, str] = MappingProxyType(
    {"body-weight": "weight", "body-length": "length", "head-circumference": "head"}
)
"""The sizes that are followed, and how thresholds name them."""

Bounds = tuple[Fraction, Fraction]
LOOK_BACK = 731 * DAY
"""Seconds over which an earlier size counts."""
_FIRST_MONTH = 28
_MONTH = 30
_HUNDRED = 100
_TICKS = 100


@dataclass(frozen=True, slots=True)
class Before:
    """A size charted before: ticks and days since as bounds, what it was, and as it is said."""

    ticks: Bounds
    days: Bounds
    what: str
    said: str


def ticks_of(quantity: Quantity) -> Bounds:
    """A quantity in ticks: one number, or the two between which it lies."""
    ticks = stretch(quantity)
    return ticks.low, ticks.high


def ends_of(bounds: Bounds) -> Ends:
    """Bounds in ticks as positions."""
    return position_of(bounds[0]), position_of(bounds[1])


def before(view: View, code: str) -> Before | None:
    """The last size before this one that can be; in the first month the weight at birth where there is none."""
    return earlier(view, code) or (at_birth(view) if code == "body-weight" else None)


def earlier(view: View, code: str) -> Before | None:
    """The last size of an earlier entry that can be."""
    for past in view.past(LOOK_BACK):
        found = latest(past, code)
        if found is None or found.quantity is None:
            continue
        size = ticks_of(found.quantity)
        if not cannot_be(size, code, past, at_birth(past) if code == "body-weight" else None):
            return Before(size, _in_days(apart(past, view)), f"last {SIZES[code]}", written(found.quantity))
    return None


def at_birth(view: View) -> Before | None:
    """The weight at birth, in the first month and where it can be."""
    weight, age = view.entry.infant.birth_weight, view.ages.chronological
    if weight is None or age is None or age.at_least(_FIRST_MONTH, "d") is not False:
        return None
    size = ticks_of(weight)
    if not _inside(ends_of(size), ("implausible-birth-weight-low", "implausible-birth-weight-high"), view):
        return None
    return Before(size, _in_days(age.elapsed), "birth weight", written(weight))


def cannot_be(size: Bounds, code: str, view: View, since: Before | None) -> bool:
    """Whether a size lies outside what is possible at its age, or too far from the one before it."""
    name = SIZES[code]
    if any(is_outside(ends_of(size), f"implausible-{name}-{side}", view) for side in ("low", "high")):
        return True
    change = None if since is None else rise(size, since)
    return change is not None and any(is_outside(change, f"{name}-{way}-implausible", view) for way in _WAYS)


def could_be(size: Bounds, code: str, view: View, since: Before | None) -> bool:
    """Whether a size lies wholly inside what is possible, and near the one before it."""
    name = SIZES[code]
    if not _inside(ends_of(size), (f"implausible-{name}-low", f"implausible-{name}-high"), view):
        return False
    if since is None:
        return True
    near = percent(f"{name}-reading-near", view) + since.days[0] * percent(f"own-{name}-a-day", view)
    if max(map(abs, percents(size, since))) > near:
        return False
    return _inside(rise(size, since), tuple(f"{name}-{way}-implausible" for way in _WAYS), view)


_WAYS = ("fall", "rise")


def percent(threshold: str, view: View) -> Fraction:
    """The value of a threshold in per cent that is the same at every age."""
    limit = view.rules.thresholds[threshold].bands[0].limit
    assert limit is not None
    return Fraction(limit.value)


def is_outside(ends: Ends, threshold: str, view: View) -> bool:
    """Whether a value reaches a threshold, whatever of its span and of the age."""
    told = _reaches(ends, threshold, view)
    return bool(told) and all(told)


def _inside(ends: Ends, thresholds: tuple[str, ...], view: View) -> bool:
    return all(told is False for threshold in thresholds for told in _reaches(ends, threshold, view))


def _reaches(ends: Ends, name: str, view: View) -> list[bool | None]:
    threshold = view.rules.thresholds[name]
    limits, _ = view.limits(threshold)
    return [reached(threshold.reached, ends, each.limit.position) for each in limits if each.limit]


def rise(size: Bounds, since: Before) -> Ends:
    """How far a size is above the one before it [%], a rise over each 30 days of at least 30, a fall as a whole."""
    low, high = percents(size, since)
    return position_of(_TICKS * _spread(low, since.days[1])), position_of(_TICKS * _spread(high, since.days[0]))


def percents(size: Bounds, since: Before) -> Bounds:
    """How far a size is above the one before it [%]; below 0 where it is under it."""
    least, most = size[0] / since.ticks[1], size[1] / since.ticks[0]
    return _HUNDRED * (least - 1), _HUNDRED * (most - 1)


def _spread(change: Fraction, days: Fraction) -> Fraction:
    return change * _MONTH / max(days, Fraction(_MONTH)) if change > 0 else change


def rise_of(code: str, view: View) -> Value:
    """The derived value of `rise`; missing without a size now or before."""
    now, since = latest(view, code), before(view, code)
    if now is None or now.quantity is None:
        return missing(code)
    if since is None:
        return missing(f"an earlier {code}")
    size = ticks_of(now.quantity)
    low, high = rise(size, since)
    change = f"{plain(percents(size, since)[0])} % over {plain(since.days[0])} d"
    return Value(low, high, now.quantity, numbers=((since.what, since.said), ("change", change)))


def _in_days(seconds: Span) -> Bounds:
    return Fraction(max(seconds.low, 0), DAY), Fraction(max(seconds.high, 0), DAY)
