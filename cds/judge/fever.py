"""How long and how high a fever has been, from charted temperatures and the history given.

A run of fever begins with the earliest charted fever after which no charted temperature was below the limit, or with
the `since` of a history of fever. The limit is the threshold `fever` of the rule set. Where neither a history nor a
temperature below the limit is charted before the run, it may have begun earlier: its hours are then the least of it.
"""

from __future__ import annotations

from fractions import Fraction

from cds.entry.model import Moment, Observation
from cds.entry.times import between
from cds.entry.units import written
from cds.judge.inputs import meets, missing, plain, standing, usable
from cds.judge.view import Value, View
from cds.values import Quantity, position_of

_TICKS = 100
_HOUR = 3600
_LOOK_BACK = 30 * 24 * _HOUR


def fever_hours(view: View) -> Value:
    """Hours [h] from the start of the run of fever to this entry; a span where a start is only a date."""
    now = view.entry.event.measured
    starts, begins = _starts(view)
    if now is None or not starts:
        return missing("body-temperature over time", "fever-history: since")
    first = min(starts, key=lambda start: start.seconds.low)
    ago = between(first, now)
    low, high = (Fraction(max(each, 0), _HOUR) for each in (ago.low, ago.high))
    return Value(
        position_of(_TICKS * low),
        position_of(_TICKS * high),
        numbers=(("fever for", f"{plain(low)} h"), ("since", first.text)),
        needs=() if begins else ("fever-history: since",),
        is_least=not begins,
    )


def fever_highest(view: View) -> Value:
    """Highest temperature [Cel] that any history of fever gives."""
    given = [history.context.get("highest") for history in _histories(view)]
    reported = [each for each in given if isinstance(each, Quantity)]
    if not reported:
        return missing("fever-history: highest")
    highest = max(reported, key=lambda each: each.position)
    return Value(highest.position, highest.position, highest, numbers=(("reported highest", written(highest)),))


def _histories(view: View) -> list[Observation]:
    return [sign for sign in standing(view, "fever-history") if "present" in sign.grades]


def _starts(view: View) -> tuple[list[Moment], bool]:
    """Every known time of the run of fever, and whether its beginning is among them."""
    given = [history.context.get("since") for history in _histories(view)]
    starts = [since for since in given if isinstance(since, Moment)]
    begins = bool(starts) or any("absent" in sign.grades for sign in standing(view, "fever-history"))
    for each in (view, *view.past(_LOOK_BACK)):
        verdict = _is_febrile(each)
        if verdict is False:
            return starts, True
        if verdict and each.entry.event.measured:
            starts.append(each.entry.event.measured)
    return starts, begins


def _is_febrile(view: View) -> bool | None:
    temperatures = usable(view, "body-temperature")
    return any(meets(each, "fever", view) for each in temperatures) if temperatures else None
