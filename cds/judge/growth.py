"""Weight, length and head of this entry against the growth reference of WHO.

Takes a view; gives values that are held against limits by exact cut-offs (`judge.cuts`), with z to two decimals for
show. Weight and length are the last usable of this entry. Standing, 0.7 cm is added to the length (WHO, under 731
days); a position that was not charted counts as lying. Oedema of both feet leaves weight without a place.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from cds.entry.model import Observation
from cds.entry.units import UNITS, written
from cds.judge.changes import latest, not_exact, quantity_of
from cds.judge.compare import Outcome
from cds.judge.cuts import GrowthCuts, Possible, rounded
from cds.judge.frame import OUTSIDE, Frame, digest_of, frame, is_term, sexes_of
from cds.judge.inputs import missing, standing
from cds.judge.lms import At, covers_length, z_of
from cds.judge.sizes import STANDING
from cds.judge.view import Value, View
from cds.rules.growth import Index
from cds.values import Quantity, Verdict

SWOLLEN = "oedema of both feet"
Numbers = tuple[tuple[str, str], ...]

_ADDED = 2 * int(STANDING * UNITS["cm"].factor)


class Charted(NamedTuple):
    """What was charted: its quantity as charted, its name and words, and the position that it is judged at."""

    quantity: Quantity
    name: str
    words: str
    position: int

    @property
    def numbers(self) -> Numbers:
        """Name and words, to be shown."""
        return ((self.name, self.words),)

    def ticks(self) -> tuple[int, ...]:
        """The tick, or both where it lies between two."""
        low, over = divmod(self.position, 2)
        return (low, low + 1) if over else (low,)


def weight_for_age(view: View) -> Value:
    """z of this entry's weight by age and sex."""
    weight = charted(view, "body-weight", "weight")
    if weight is None:
        return not_exact(view, "body-weight")
    return swollen(weight, view) or _by_age("weight-for-age", weight, view)


def length_for_age(view: View) -> Value:
    """z of this entry's length by age and sex."""
    length = _length(view)
    return not_exact(view, "body-length") if length is None else _by_age("length-for-age", length, view)


def head_for_age(view: View) -> Value:
    """z of this entry's head circumference by age and sex."""
    head = charted(view, "head-circumference", "head")
    return not_exact(view, "head-circumference") if head is None else _by_age("head-for-age", head, view)


def weight_for_length(view: View) -> Value:
    """z of this entry's weight by its length and sex, from 45 to 110 cm."""
    weight, length = charted(view, "body-weight", "weight"), _length(view)
    if weight is None or length is None:
        return not_exact(view, "body-weight" if weight is None else "body-length")
    return swollen(weight, view) or _by_length(weight, length, view)


def birth_weight_for_age(view: View) -> Value:
    """z of the birth weight at day 0, for infants born at 37 weeks or later."""
    birth = birth_weight(view)
    if birth is None:
        return missing("birth weight")
    term = is_term(view)
    if term is False:
        return outside(birth, "born before 37 weeks")
    places = [At(digest_of(view), "weight-for-age", sex, 0) for sex in sexes_of(view)]
    gestation = () if term else ("unknown-gestation",)
    cuts = GrowthCuts(
        tuple(Possible(at, birth.position) for at in places),
        birth.quantity.unit,
        untold=tuple(Outcome(None, reason) for reason in gestation),
        doubts=(*(("unknown-sex",) if len(places) > 1 else ()), *gestation),
    )
    return Value(quantity=birth.quantity, cuts=cuts, numbers=(*birth.numbers, ("z at birth", z_words(cuts.possible))))


def birth_weight(view: View) -> Charted | None:
    """The birth weight as charted."""
    birth = view.entry.infant.birth_weight
    return None if birth is None else Charted(birth, "birth weight", written(birth), birth.position)


def charted(view: View, code: str, name: str) -> Charted | None:
    """The last usable observation of a code."""
    found = latest(view, code)
    if found is None:
        return None
    quantity = quantity_of(found)
    return Charted(quantity, name, written(quantity), quantity.position)


def swollen(weight: Charted, view: View) -> Value | None:
    """No place in the reference for a weight with oedema of both feet."""
    return outside(weight, SWOLLEN) if is_swollen(view) else None


def is_swollen(view: View) -> bool:
    """Whether oedema of both feet is charted."""
    return any("present" in each.grades for each in standing(view, "oedema-both-feet"))


def outside(what: Charted, why: str) -> Value:
    """No place in the reference, with the reason among the numbers."""
    return Value(verdict=OUTSIDE, quantity=what.quantity, numbers=(*what.numbers, ("not in the reference", why)))


def without_age(what: Charted, verdict: Verdict) -> Value:
    """No value for a reason of age."""
    return Value(verdict=verdict, quantity=what.quantity, numbers=what.numbers)


def z_words(possible: Iterable[Possible]) -> str:
    """z to two decimals, or from the least to the highest that is possible."""
    return spread(z_of(each.at, Fraction(each.position, 2)) for each in possible)


def spread(values: Iterable[Decimal]) -> str:
    """Numbers to two decimals, half away from zero: one, or from the least to the highest."""
    shown = sorted({rounded(value) for value in values})
    return f"{shown[0]}" if len(shown) == 1 else f"{shown[0]} to {shown[-1]}"


def corrected_words(found: Frame) -> Numbers:
    """The corrected age, where days were taken off."""
    days = found.days()
    if not found.lags.high or not days:
        return ()
    return (("corrected age", f"{days[0]} d" if len(days) == 1 else f"{days[0]} to {days[-1]} d"),)


def _length(view: View) -> Charted | None:
    lying, found = charted(view, "body-length", "length"), latest(view, "body-length")
    if lying is None or found is None or not added(found):
        return lying
    words = f"{lying.words} standing, 0.7 cm added"
    return lying._replace(words=words, position=lying.position + added(found))


def added(observation: Observation) -> int:
    """What a length measured standing is short of one measured lying, in positions; else 0."""
    return _ADDED if observation.context.get("position") == "standing" else 0


def _by_age(index: Index, what: Charted, view: View) -> Value:
    found = frame(view)
    if isinstance(found, Verdict):
        return without_age(what, found)
    cuts = GrowthCuts(
        tuple(Possible(at, what.position) for at in found.places(index)),
        what.quantity.unit,
        found.untold,
        found.doubts,
        higher=found.may_be_younger(),
    )
    numbers = (*what.numbers, ("z", z_words(cuts.possible)), *corrected_words(found))
    return Value(quantity=what.quantity, cuts=cuts, numbers=numbers)


def _by_length(weight: Charted, length: Charted, view: View) -> Value:
    found = frame(view)
    if isinstance(found, Verdict):
        return without_age(weight, found)
    rows = length.ticks()
    if not all(map(covers_length, rows)):
        return outside(weight, f"length {length.words}; 45 to 110 cm")
    places = [At(found.digest, "weight-for-length", sex, row) for sex, row in product(found.sexes, rows)]
    possible = tuple(Possible(at, weight.position) for at in places)
    doubts = tuple(reason for reason in found.doubts if reason != "unknown-age")
    doubts += ("bound-only-value",) if len(rows) > 1 else ()
    cuts = GrowthCuts(possible, weight.quantity.unit, found.untold, doubts)
    return Value(
        quantity=weight.quantity, cuts=cuts, numbers=(*weight.numbers, *length.numbers, ("z", z_words(possible)))
    )
