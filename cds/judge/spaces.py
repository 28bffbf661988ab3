"""Centile spaces between two times: how far weight fell since birth, how far the head rose.

Takes a view; gives values whose limits are exact cut-offs on what was charted now. One centile space is 0.67 of a z
(NICE NG75, on the charts of the United Kingdom).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import product

from cds.entry.times import DAY
from cds.judge.changes import not_exact
from cds.judge.compare import Outcome
from cds.judge.cuts import GrowthCuts, Possible
from cds.judge.frame import Frame, days_since_birth, frame, is_term
from cds.judge.growth import Charted, birth_weight, charted, outside, spread, swollen, without_age, z_words
from cds.judge.inputs import missing
from cds.judge.lms import At, z_of
from cds.judge.repeats import apart
from cds.judge.view import Value, View
from cds.rules.growth import LAST_DAY
from cds.values import Span, Verdict

SPACE = Decimal("0.67")
_APART = 14 * DAY
_SETTLED_AFTER = 14
_FALLS_FROM = 28
_LOOK_BACK = 3 * 366 * DAY


def weight_centile_fall(view: View) -> Value:
    """Centile spaces from the z of the birth weight down to that of this entry's weight.

    From day 28 on, as loss and regain before are judged by themselves (NICE NG75); born at 37 weeks or later.
    """
    weight, birth = charted(view, "body-weight", "weight"), birth_weight(view)
    if weight is None:
        return not_exact(view, "body-weight")
    if birth is None:
        return missing("birth weight")
    if is_term(view) is False:
        return outside(weight, "born before 37 weeks")
    return swollen(weight, view) or _fall(birth, weight, view)


def head_centile_rise(view: View) -> Value:
    """Centile spaces up to the z of this entry's head from that of the earliest one to compare it with.

    That is the earliest after day 14, when a head has settled from birth, and at least 14 days before; of an infant
    born before 37 weeks the earliest after 40 weeks.
    """
    head = charted(view, "head-circumference", "head")
    if head is None:
        return not_exact(view, "head-circumference")
    found = frame(view)
    if isinstance(found, Verdict):
        return without_age(head, found)
    earliest = _earliest_head(view, found)
    if earliest is None:
        return missing("an earlier head circumference")
    return _rise(*earliest, head, found)


def _fall(birth: Charted, weight: Charted, view: View) -> Value:
    found = frame(view)
    if isinstance(found, Verdict):
        return without_age(weight, found)
    if found.born.low < _FALLS_FROM:
        return outside(weight, "under 28 days, while birth weight is regained")
    days = [day for day in range(found.born.low, found.born.high + 1) if day <= LAST_DAY]
    possible = [
        Possible(At(found.digest, "weight-for-age", sex, day), weight.position, start)
        for sex, day in product(found.sexes, days)
        for start in _z_before(birth, At(found.digest, "weight-for-age", sex, 0))
    ]
    gestation = () if is_term(view) else (Outcome(None, "unknown-gestation"),)
    untold = tuple(dict.fromkeys([*gestation, *found.untold]))
    cuts = GrowthCuts(tuple(possible), weight.quantity.unit, untold, found.doubts, -SPACE)
    return _value((birth, "z at birth"), weight, cuts, "fall")


def _rise(before: Charted, then: Span, head: Charted, found: Frame) -> Value:
    possible = [
        Possible(At(found.digest, "head-for-age", sex, now), head.position, start)
        for sex, (now, early) in product(found.sexes, found.pairs(then))
        if now <= LAST_DAY
        for start in _z_before(before, At(found.digest, "head-for-age", sex, early))
    ]
    cuts = GrowthCuts(tuple(possible), head.quantity.unit, found.untold, found.doubts, SPACE)
    return _value((before, "z then"), head, cuts, "rise")


def _value(before: tuple[Charted, str], now: Charted, cuts: GrowthCuts, name: str) -> Value:
    starts = spread(each.start for each in cuts.possible)
    numbers = (*before[0].numbers, (before[1], starts), *now.numbers, ("z", z_words(cuts.possible)))
    spaces = spread(map(cuts.beyond, cuts.possible))
    return Value(quantity=now.quantity, cuts=cuts, numbers=(*numbers, (name, f"{spaces} centile spaces")))


def _z_before(what: Charted, at: At) -> Sequence[Decimal]:
    return [z_of(at, Fraction(tick)) for tick in what.ticks()]


def _earliest_head(view: View, now: Frame) -> tuple[Charted, Span] | None:
    """The earliest head that may be compared, with its days since birth."""
    found = None
    for past in view.past(_LOOK_BACK):
        head = charted(past, "head-circumference", "head then")
        age = past.ages.chronological
        if head is None or age is None or apart(past, view).low < _APART:
            continue
        born = days_since_birth(age)
        if born.low > _SETTLED_AFTER and born.low >= now.lags.high:
            found = head, born
    return found
