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
| weight-for-age, length-for-age, head-for-age | {z} | `judge.growth`: size, age, sex, gestation | unknown or possible |
| weight-for-length | {z} | `judge.growth`: weight and length of this entry, sex | unknown or possible |
| birth-weight-for-age | {z} | `judge.growth`: birth weight, sex, gestation | unknown or possible |
| weight-centile-fall | {space} | `judge.spaces`: birth weight, weight from day 28 | unknown or possible |
| head-centile-rise | {space} | `judge.spaces`: this head, the earliest after day 14 | unknown or possible |
| birth-weight | g, exact | infant.birth_weight | unknown, missing-input |
| first-entry | yes, no | whether earlier entries were sent | always told |
| weight-loss, weight-of-birth-weight | %, exact | weight, birth weight above 0 | unknown, missing-input |
| weight-change | g, exact | weight, the last earlier weight | unknown, missing-input |
| weight-change-over-month | g, exact | weight, the latest 28 to 62 d before | unknown, missing-input |
| weight-gain-since-last | g/d | weight, the last at least 20 h before | unknown, missing-input |
| weight-gain-over-5-days | g/d | weight, the latest 5 to 35 d before | unknown, missing-input |
| weight-gain-since-birth | g/d | weight, birth weight, age | unknown, or possible without age |
| length-gain, head-gain | cm in 30.4375 d | length or head, the latest 14 to 100 d before | unknown, missing-input |
| head-minus-chest | cm; below 0 the chest is larger | head and chest of this entry | unknown, missing-input |
| weight-rise, length-rise, head-rise | %: rises by 30 d, falls whole | `judge.plausible` | unknown, missing-input |
| weight-slip, length-slip, head-slip | none, unit, decimal, pounds-as-decimal | `judge.slips` | missing-input |
| temperature-slip, birth-weight-slip | none, unit, decimal | `judge.slips` | unknown, missing-input |
| order-of-measurement | usual, other | `judge.order`: two times or more | unknown, missing-input |
| charting-delay | h, exact; a span where a time is one | event.measured, event.charted | unknown, missing-input |
| repeat-of-earlier | none, size, all-vitals | `judge.alike`: this entry and those before | unknown, missing-input |
| fits-infant | this-infant, sibling-better | `judge.alike`: sizes before, siblings | unknown, missing-input |
| temperature-rise | Cel, exact | `judge.trend`: temperature, the lowest by its route in the past 6 h | unknown |
| warmed | yes, no | `judge.trend`: care.warmth of this entry and of those in the past 4 h | unknown, missing-input |
| any score | {score} | `judge.scores` | unknown, missing-input |

Where a code is charted more than once, the last exact one is the weight, length, head or chest of its entry; where only
a bound was sent, the reason is bound-only-value. A rate over times that are only dates is a span (`judge.changes`).

Nothing here is a limit; the limits that fever and screen need are thresholds of the rule set.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial

from cds.entry.model import Observation
from cds.entry.units import written
from cds.judge.alike import fits_infant, repeat_of_earlier
from cds.judge.cooling import cooling_target
from cds.judge.fever import fever_highest, fever_hours
from cds.judge.gains import (
    birth_weight,
    first_entry,
    weight_change,
    weight_change_over_month,
    weight_gain_over_5_days,
    weight_gain_since_birth,
    weight_gain_since_last,
    weight_loss,
    weight_of_birth_weight,
)
from cds.judge.growth import birth_weight_for_age, head_for_age, length_for_age, weight_for_age, weight_for_length
from cds.judge.inputs import missing, standing, usable, weeks
from cds.judge.order import charting_delay, order_of_measurement
from cds.judge.plausible import rise_of
from cds.judge.scores import score_total
from cds.judge.screen import newborn_screen
from cds.judge.sizes import head_gain, head_minus_chest, length_gain
from cds.judge.slips import birth_weight_slip, size_slip, temperature_slip
from cds.judge.spaces import head_centile_rise, weight_centile_fall
from cds.judge.trend import temperature_rise, warmed
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
    "weight-for-age": weight_for_age,
    "length-for-age": length_for_age,
    "weight-for-length": weight_for_length,
    "head-for-age": head_for_age,
    "birth-weight-for-age": birth_weight_for_age,
    "weight-centile-fall": weight_centile_fall,
    "head-centile-rise": head_centile_rise,
    "birth-weight": birth_weight,
    "first-entry": first_entry,
    "weight-loss": weight_loss,
    "weight-of-birth-weight": weight_of_birth_weight,
    "weight-change": weight_change,
    "weight-change-over-month": weight_change_over_month,
    "weight-gain-since-last": weight_gain_since_last,
    "weight-gain-over-5-days": weight_gain_over_5_days,
    "weight-gain-since-birth": weight_gain_since_birth,
    "length-gain": length_gain,
    "head-gain": head_gain,
    "head-minus-chest": head_minus_chest,
    "weight-rise": partial(rise_of, "body-weight"),
    "length-rise": partial(rise_of, "body-length"),
    "head-rise": partial(rise_of, "head-circumference"),
    "weight-slip": partial(size_slip, "body-weight"),
    "length-slip": partial(size_slip, "body-length"),
    "head-slip": partial(size_slip, "head-circumference"),
    "temperature-slip": temperature_slip,
    "birth-weight-slip": birth_weight_slip,
    "order-of-measurement": order_of_measurement,
    "charting-delay": charting_delay,
    "repeat-of-earlier": repeat_of_earlier,
    "fits-infant": fits_infant,
    "temperature-rise": temperature_rise,
    "warmed": warmed,
}
