"""What derived values are made from: usable observations, single limits, and the answer where something is missing."""

from __future__ import annotations

from fractions import Fraction

from cds.entry.model import Observation
from cds.judge.compare import reached
from cds.judge.view import WITHHELD, Value, View, unknown
from cds.values import Span


def standing(view: View, code: str) -> list[Observation]:
    """Observations of a code that their status, or that of the entry, does not withhold."""
    if view.entry.event.status in WITHHELD:
        return []
    return [observation for observation in view.charted(code) if observation.status not in WITHHELD]


def usable(view: View, code: str) -> list[Observation]:
    """Observations of a code with an exact value that nothing withholds."""
    return [each for each in standing(view, code) if is_exact(each)]


def is_exact(observation: Observation) -> bool:
    """Whether an observation has a value and no bound, and its own status does not withhold it."""
    told = observation.quantity is not None and observation.comparator is None
    return told and observation.status not in WITHHELD


def missing(*needs: str) -> Value:
    """No value, because these were not charted."""
    return Value(verdict=unknown("missing-input"), needs=needs)


def weeks(days: Span) -> str:
    """Gestation as weeks and days, or weeks alone where the days are not stated."""
    if days.low == days.high:
        return f"{days.low // 7} weeks {days.low % 7} d"
    return f"{days.low // 7} weeks"


def meets(observation: Observation, threshold: str, view: View) -> bool:
    """Whether an exact value reaches the one limit of a threshold that has the same limit at every age."""
    assert observation.quantity is not None
    return position_meets(observation.quantity.position, threshold, view)


def position_meets(position: int, threshold: str, view: View) -> bool:
    """`meets` for a position."""
    wanted = view.rules.thresholds[threshold]
    limit = wanted.bands[0].limit
    assert limit is not None
    return reached(wanted.reached, (position, position), limit.position) is True


def plain(number: Fraction) -> str:
    """A number as short decimal text, to two places."""
    return f"{float(round(number, 2)):g}"
