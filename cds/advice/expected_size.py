"""What the growth reference gives for a weight, length or head at this age and sex, and where the value lies in it.

Takes an observation and the view; gives words in the charted unit, between z -2 and z 2, and the z of the value. Each
end is rounded inward to a step that is charted, so that both ends shown lie inside. Where sex, age or gestation leave
more than one line, the widest is shown and why. Decides nothing: no limit of the rule set is read here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from cds.advice.answer import Data, given
from cds.advice.terms import REASONS
from cds.entry.model import Observation
from cds.entry.units import POUNDS_OUNCES, UNITS
from cds.judge.derive import derive
from cds.judge.frame import MOST_DAYS, Frame, frame
from cds.judge.growth import SWOLLEN, added, corrected_words, is_swollen, spread
from cds.judge.inputs import is_exact
from cds.judge.lms import At, cut_off, z_of
from cds.judge.view import View
from cds.rules.growth import LAST_DAY, Index
from cds.rules.model import GrowthTables
from cds.values import Verdict

LOW, HIGH = Decimal(-2), Decimal(2)
_INDEX: Mapping[str, Index] = MappingProxyType(
    {"body-weight": "weight-for-age", "body-length": "length-for-age", "head-circumference": "head-for-age"}
)
_UNIT = MappingProxyType({"body-weight": "kg"})
_STEPS: Mapping[str, Decimal] = MappingProxyType(
    {
        "kg": Decimal("0.01"),
        "g": Decimal(10),
        "[lb_av]": Decimal("0.01"),
        "[oz_av]": Decimal(1),
        "cm": Decimal("0.1"),
        "mm": Decimal(1),
        "[in_i]": Decimal("0.1"),
    }
)
_OUNCES = 16
_CHEST = "no growth reference for the chest"


class _Ends(NamedTuple):
    """The cut-offs of z -2 and 2 that lie farthest apart, as positions."""

    low: int
    high: int


def size(observation: Observation, view: View) -> Data | None:
    """Expected words, z and source of one size; None for anything else."""
    if observation.code == "chest-circumference":
        return {"expected": _beside_head(view), "limits": [], "sources": []}
    tables = view.rules.growth
    if observation.code not in _INDEX or tables is None:
        return None
    found = frame(view)
    if isinstance(found, Verdict):
        return _row(f"not in the growth reference: {_why(view)}", tables)
    if observation.code == "body-weight" and is_swollen(view):
        return _row(f"not in the growth reference: {SWOLLEN}", tables)
    places = found.places(_INDEX[observation.code])
    words = "; ".join([f"{_span(places, observation)}, z ±{HIGH}", *_said(found, view)])
    return {**_row(words, tables), **given(z=_z(observation, places))}


def _row(words: str, tables: GrowthTables) -> Data:
    at = tables.source
    return {
        "expected": words,
        "limits": [],
        "sources": [{"ref": at.ref, "at": at.at, **given(figure_from=at.figure_from)}],
    }


def _beside_head(view: View) -> str:
    """How much larger the head is, where both were charted."""
    apart = dict(derive("head-minus-chest", view).numbers).get("difference")
    return f"{_CHEST}; head less chest {apart}" if apart else _CHEST


def _why(view: View) -> str:
    """Why there is no line: no age to a month, or one before or beyond the lines."""
    age = view.ages.corrected or view.ages.chronological
    if age is None or age.today.high - age.today.low >= MOST_DAYS:
        return "age not known"
    return "before 40 weeks" if age.elapsed.high < 0 else f"over {LAST_DAY} d"


def _said(found: Frame, view: View) -> Iterator[str]:
    """By which age, and what is not known."""
    yield from (f"{name} {days}" for name, days in corrected_words(found))
    known = {"unknown-age": "day of age not known"}
    if view.entry.infant.gestation:
        known["unknown-gestation"] = "days of gestation not charted"
    yield from (known.get(reason, REASONS[reason]) for reason in found.doubts)


def _span(places: Iterable[At], observation: Observation) -> str:
    ends = _ends(places)
    shift = added(observation)
    unit = observation.quantity.unit if observation.quantity else _UNIT.get(observation.code, "cm")
    low, high = (_inward(end - shift, unit, up) for end, up in ((ends.low, True), (ends.high, False)))
    if unit == POUNDS_OUNCES:
        return f"{_pounds(low)} to {_pounds(high)}"
    return f"{low} to {high} {UNITS[unit].words}"


def _ends(places: Iterable[At]) -> _Ends:
    cuts = [(cut_off(at, LOW), cut_off(at, HIGH)) for at in places]
    return _Ends(min(low for low, _ in cuts), max(high for _, high in cuts))


def _inward(position: int, unit: str, up: bool) -> Decimal:
    """The nearest charted step at or inside a position: the next one up, or the last one down."""
    name = "[oz_av]" if unit == POUNDS_OUNCES else unit
    steps = Fraction(position, 2) / (Fraction(_STEPS[name]) * UNITS[name].factor)
    whole = -(-steps.numerator // steps.denominator) if up else steps.numerator // steps.denominator
    return whole * _STEPS[name]


def _pounds(ounces: Decimal) -> str:
    return f"{ounces // _OUNCES} lb {ounces % _OUNCES} oz"


def _z(observation: Observation, places: Iterable[At]) -> str | None:
    """z to two decimals, or from the least to the highest that is possible; None where no exact value stands."""
    if observation.quantity is None or not is_exact(observation):
        return None
    at = Fraction(observation.quantity.position + added(observation), 2)
    return spread(z_of(place, at) for place in places)
