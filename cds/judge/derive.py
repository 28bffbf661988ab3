"""Values computed from an entry: a closed catalogue, each with its inputs and what missing inputs give.

| name | unit or words | inputs | missing gives |
| --- | --- | --- | --- |
| gestation | wk, exact; a span where days are not stated | infant.gestation | possible, unknown-gestation |
| saturation-difference | % points, exact | saturations at right hand and foot | unknown |
| mean-pressure-below-gestation | mm[Hg]; below 0 is below | mean pressure, infant.gestation | unknown or possible |
| wet-diapers-per-day | count in 24 h | wet diapers with their hours | unknown, missing-input |
| oxygen-need-new | yes, no | need of saturations in oxygen | unknown, missing-input |
| cooling-target | below, above, inside, not-cooled | body temperature but skin, care.cooling | unknown, missing-input |
| fever-hours, fever-highest | h, Cel | `judge.fever` | unknown, missing-input |
| newborn-screen | pass, repeat, fail, invalid, early | `judge.screen` | unknown, missing-input |
| any score | {score} | `judge.scores` | unknown, missing-input |

Nothing here is a limit; the limits that fever and screen need are thresholds of the rule set.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from cds.entry.model import Observation
from cds.entry.units import written
from cds.judge.cooling import cooling_target
from cds.judge.fever import fever_highest, fever_hours
from cds.judge.inputs import missing, standing, usable, weeks
from cds.judge.scores import score_total
from cds.judge.screen import newborn_screen
from cds.judge.view import Value, View, unknown
from cds.values import Quantity, Rank, Verdict, position_of

_TICKS = 100


def derive(name: str, view: View) -> Value:
    """The derived value or score of that name, computed once for each view."""
    found = view.derived.get(name)
    if found is None:
        score = view.rules.scores.get(name)
        found = view.derived[name] = DERIVED[name](view) if score is None else score_total(score, view)
    return found


def _gestation(view: View) -> Value:
    days = view.entry.infant.gestation
    if days is None:
        return Value(verdict=unknown("unknown-gestation", Rank.POSSIBLE), needs=("gestation",))
    low, high = (position_of(Fraction(day * _TICKS, 7)) for day in (days.low, days.high))
    return Value(low, high, numbers=(("gestation", weeks(days)),))


def _saturation_difference(view: View) -> Value:
    sites = {site: _lowest(view, site) for site in ("right-hand", "foot")}
    if None in sites.values():
        absent = [f"oxygen-saturation: {site}" for site, value in sites.items() if value is None]
        return Value(verdict=_site_doubt(view), needs=tuple(absent))
    points = abs((sites["right-hand"] or 0) - (sites["foot"] or 0))
    return Value(points, points, numbers=(("difference", f"{Fraction(points, 2 * _TICKS)} points"),))


def _lowest(view: View, site: str) -> int | None:
    found = [
        o.quantity.position for o in usable(view, "oxygen-saturation") if o.quantity and o.context.get("site") == site
    ]
    return min(found, default=None)


def _site_doubt(view: View) -> Verdict:
    unplaced = [o for o in usable(view, "oxygen-saturation") if "site" not in o.context]
    return unknown("unknown-site" if unplaced else "missing-input")


def _mean_below_gestation(view: View) -> Value:
    pressures = usable(view, "mean-pressure")
    days = view.entry.infant.gestation
    if not pressures:
        return missing("mean-pressure")
    lowest = min((o.quantity for o in pressures if o.quantity), key=lambda pressure: pressure.position)
    mean = ("mean pressure", written(lowest))
    if days is None:
        return Value(verdict=unknown("unknown-gestation", Rank.POSSIBLE), numbers=(mean,), needs=("gestation",))
    low, high = (lowest.position - 2 * _TICKS * (day // 7) for day in (days.high, days.low))
    return Value(low, high, lowest, numbers=(mean, ("gestation", weeks(days))))


def _wet_diapers(view: View) -> Value:
    counted = [(rate, each) for each in usable(view, "wet-diapers") if (rate := _per_day(each)) is not None]
    if not counted:
        return missing("wet-diapers")
    rate, fewest = min(counted, key=lambda each: each[0])
    at, hours = position_of(rate), fewest.context["over_hours"]
    assert fewest.quantity is not None
    assert isinstance(hours, Quantity)
    return Value(at, at, fewest.quantity, numbers=(("wet diapers", fewest.quantity.text), ("over", f"{hours.text} h")))


def _per_day(counted: Observation) -> Fraction | None:
    """Ticks of a count in 24 h, where its hours are charted."""
    hours = counted.context.get("over_hours")
    if counted.quantity is None or not isinstance(hours, Quantity):
        return None
    return Fraction(24 * _TICKS * counted.quantity.position, hours.position)


def _oxygen_need_new(view: View) -> Value:
    needs = {o.context["need"] for o in standing(view, "oxygen-saturation") if o.quantity and "need" in o.context}
    if not needs:
        return missing("oxygen-saturation: need")
    return Value(words=frozenset({"no" if needs.isdisjoint({"new", "rising"}) else "yes"}))


DERIVED: dict[str, Callable[[View], Value]] = {
    "gestation": _gestation,
    "saturation-difference": _saturation_difference,
    "mean-pressure-below-gestation": _mean_below_gestation,
    "wet-diapers-per-day": _wet_diapers,
    "oxygen-need-new": _oxygen_need_new,
    "cooling-target": cooling_target,
    "fever-hours": fever_hours,
    "fever-highest": fever_highest,
    "newborn-screen": newborn_screen,
}
