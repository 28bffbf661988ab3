"""What is expected at this age and state of each sign that was charted, on both sides, and whose figure that is.

Beside it the value before, and for sizes what the growth reference gives.

Takes the limits that the rule set names for this purpose, gives the narrowest on each side. Where age or state leave
more than one, the widest of them is shown: what any possibility allows.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cds.advice.answer import given
from cds.advice.centile import centile
from cds.advice.expected_size import size
from cds.advice.explain import context_words, limit_words, observed_words
from cds.advice.previous import before, previous
from cds.entry.catalogue import CATALOGUE
from cds.entry.model import Observation, QuantityRange
from cds.judge.cooling import target_words
from cds.judge.criteria import limits_of, thresholds_of
from cds.judge.view import View
from cds.rules.model import BandLimit, Reach, Threshold

_OTHERWISE = {
    "vaccinated": "no limit in these rules",
    "first-urine": "passed in the first days",
    "first-meconium": "passed in the first days",
}
Side = tuple[Threshold, BandLimit]
_INCLUDED = ("below", "above")
_COOLED = "target of cooling"


def expected(view: View) -> list[dict[str, Any]]:
    """One row for each charted sign or value, in the order charted."""
    earlier = previous(view)
    return [
        {**_row(observation, view), **given(before=before(observation, view, earlier))}
        for observation in view.entry.observations
    ]


def _row(observation: Observation, view: View) -> dict[str, Any]:
    row: dict[str, Any] = {"code": observation.code, "value": observed_words(observation)}
    if observation.context:
        row["context"] = context_words(observation)
    if observation.status != "final":
        row["status"] = observation.status
    if observation.grades:
        return {**row, "expected": _quiet(observation), "sources": []}
    target = view.entry.care.get("cooling")
    if isinstance(target, QuantityRange) and observation.code == "body-temperature":
        return {**row, "expected": target_words(target), "limits": [], "sources": [{"ref": _COOLED}]}
    sized = size(observation, view)
    if sized is not None:
        return {**row, **sized}
    return {**row, **_limits(observation, view), **given(centile=centile(observation, view))}


def _quiet(observation: Observation) -> str:
    """The grade of a sign that was looked for and not seen, which the catalogue names first."""
    return _OTHERWISE.get(observation.code, CATALOGUE[observation.code].grades[0])


def sides(observation: Observation, view: View) -> tuple[Side | None, Side | None]:
    """The limit below which and the one above which a charted value is not expected, each with its threshold."""
    wanted = view.rules.expected.get(observation.code)
    if wanted is None:
        return None, None
    return _narrowest(wanted.low, observation, view, max), _narrowest(wanted.high, observation, view, min)


def _limits(observation: Observation, view: View) -> dict[str, Any]:
    low, high = sides(observation, view)
    stated = [side for side in (low, high) if side is not None]
    return {
        "expected": _words(low, high, observation) or "no limit in these rules at this age",
        "limits": [
            {"threshold": threshold.id, "band": limit.band.id, "set_by": limit.set_by} for threshold, limit in stated
        ],
        "sources": [_source(limit) for _, limit in stated],
    }


def _source(limit: BandLimit) -> dict[str, Any]:
    if limit.source is None:
        return {"ref": limit.set_by}
    return {"ref": limit.source.ref, "at": limit.source.at, "figure_from": limit.source.figure_from}


def _words(low: Side | None, high: Side | None, observation: Observation) -> str:
    """Both sides in words: "25 to under 60 /min", "36.5 °C or more", "under 3 s"."""
    if low and high:
        return f"{_number(low, observation)} to {_number(high, observation, with_unit=True)}"
    if low:
        return f"{_number(low, observation, with_unit=True)} or more"
    return f"{_number(high, observation, with_unit=True)}{_or_less(high)}" if high else ""


def _or_less(side: Side) -> str:
    return " or less" if side[0].reached in _INCLUDED else ""


def _number(side: Side, observation: Observation, with_unit: bool = False) -> str:
    threshold, limit = side
    words = limit_words(limit, observation.quantity.unit if observation.quantity else None)
    number = words if with_unit else words.partition(" ")[0]
    if threshold.reached in _INCLUDED:
        return number
    return f"under {number}" if threshold.reached == "at-or-above" else f"over {number}"


def _narrowest(reaches: Iterable[Reach], observation: Observation, view: View, pick: Any) -> Side | None:
    found = [side for reach in reaches if (side := _widest(reach, observation, view, pick))]
    return pick(found, key=_position) if found else None


def _widest(reach: Reach, observation: Observation, view: View, pick: Any) -> Side | None:
    thresholds, doubt = thresholds_of(reach, observation, view)
    if doubt is not None and reach.by in observation.context:
        # By another route or site than any that a limit is published for: none of them is expected here.
        return None
    limits = [(each, limit) for each in thresholds for limit in limits_of(each, view)[0]]
    if reach.bands and not reach.bands.issuperset(limit.band.id for _, limit in limits):
        # Shown in these bands only, and the age may lie outside them.
        return None
    found = [(each, limit) for each, limit in limits if limit.limit is not None]
    other = min if pick is max else max
    return other(found, key=_position) if found else None


def _position(side: Side) -> int:
    assert side[1].limit is not None
    return side[1].limit.position
