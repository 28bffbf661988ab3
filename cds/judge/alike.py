"""Whether values are those of an earlier entry, or fit a sibling better than this infant.

Takes a view. Alike are values at the same position of their dimension, whatever the unit. A sibling fits better only
where every size charted now that has an earlier one is far from that and near the sibling's latest. Every limit is a
threshold of the rule set.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice

from cds.entry.model import Entry, Observation
from cds.entry.times import DAY
from cds.entry.units import written
from cds.judge.changes import latest
from cds.judge.inputs import is_exact, missing, usable
from cds.judge.plausible import LOOK_BACK, SIZES, Before, Bounds, before, percent, percents, ticks_of
from cds.judge.repeats import apart
from cds.judge.view import WITHHELD, Value, View
from cds.values import Quantity

_WEEK = 7 * DAY
_FEWEST = 3
_VITALS = (
    *("respiratory-rate", "heart-rate", "body-temperature", "oxygen-saturation"),
    *("systolic-pressure", "diastolic-pressure", "mean-pressure"),
)
_NONE = Value(words=frozenset({"none"}))


def repeat_of_earlier(view: View) -> Value:
    """all-vitals, size or none; unknown where nothing charted now was charted before.

    all-vitals: three or more vital signs of the entry before, within 24 h, and each of them as then. size: weight,
    length or head as in the last entry that has it, at least 7 days before.
    """
    vitals, sizes = _vitals(view), list(_sizes(view))
    same = [said for is_same, said in vitals if is_same]
    if len(vitals) >= _FEWEST and len(same) == len(vitals):
        return Value(words=frozenset({"all-vitals"}), numbers=tuple(same))
    same = [said for is_same, said in sizes if is_same]
    if same:
        return Value(words=frozenset({"size"}), numbers=tuple(same))
    return _NONE if vitals or sizes else missing("an earlier entry")


Compared = tuple[bool, tuple[str, str]]


def _vitals(view: View) -> list[Compared]:
    """The vital signs that this entry shares with the one before it, within 24 h, and whether each is as then."""
    past = next(islice(view.past(DAY), 1), None)
    if past is None:
        return []
    pairs = ((code, usable(view, code), usable(past, code)) for code in _VITALS)
    return [(_positions(now) == _positions(then), _said(code, now)) for code, now, then in pairs if now and then]


def _positions(seen: Sequence[Observation]) -> list[int]:
    return sorted(each.quantity.position for each in seen if each.quantity)


def _said(code: str, seen: Sequence[Observation]) -> tuple[str, str]:
    return code.replace("-", " "), " and ".join(written(each.quantity) for each in seen if each.quantity)


def _sizes(view: View) -> Iterator[Compared]:
    """The sizes that were charted before, and whether each is as at the last time, a week or more ago."""
    for code in SIZES:
        charted = latest(view, code)
        past = next((each for each in view.past(LOOK_BACK) if latest(each, code)), None)
        if charted is None or past is None:
            continue
        is_old = apart(past, view).low >= _WEEK
        last = latest(past, code)
        assert last is not None
        yield is_old and _positions([charted]) == _positions([last]), _said(code, [charted])


def fits_infant(view: View) -> Value:
    """this-infant or sibling-better; unknown without siblings, or where no size charted now has an earlier one."""
    own = view.entry.infant.id
    siblings = [each for each in view.entry.siblings if each.infant.id is None or each.infant.id != own]
    if not siblings:
        return missing("siblings")
    sizes = {code: since for code in SIZES if latest(view, code) and (since := before(view, code))}
    if not sizes:
        return missing("an earlier body-weight, body-length or head-circumference")
    if all(_is_far(_size(view, code), code, since, view) for code, since in sizes.items()):
        for sibling in siblings:
            near = [_nearness(code, sibling, view) for code in sizes]
            if all(near):
                return Value(words=frozenset({"sibling-better"}), numbers=_numbers(sizes, near, view))
    return Value(words=frozenset({"this-infant"}))


def _size(view: View, code: str) -> Bounds:
    charted = latest(view, code)
    assert charted is not None
    assert charted.quantity is not None
    return ticks_of(charted.quantity)


def _is_far(size: Bounds, code: str, since: Before, view: View) -> bool:
    """Whether a size is farther from the infant's own one before than the days between let it be."""
    low, high = percents(size, since)
    apart = min(abs(low), abs(high)) if low * high > 0 else Fraction(0)
    name = SIZES[code]
    return apart > percent(f"far-from-own-{name}", view) + since.days[1] * percent(f"own-{name}-a-day", view)


def _nearness(code: str, sibling: Entry, view: View) -> Quantity | None:
    """The latest size of a sibling, where the one charted now is near it."""
    theirs = _last_of(sibling, code)
    if theirs is None or theirs.position == 0:
        return None
    low, high = percents(_size(view, code), Before(ticks_of(theirs), (Fraction(0), Fraction(0)), "", ""))
    return theirs if max(abs(low), abs(high)) <= percent(f"near-sibling-{SIZES[code]}", view) else None


def _last_of(sibling: Entry, code: str) -> Quantity | None:
    """The size of a sibling's entry, else of the last of its earlier ones that has it."""
    for entry in (sibling, *reversed(sibling.earlier)):
        sizes = [each.quantity for each in entry.observations if each.code == code and is_exact(each)]
        if sizes and entry.event.status not in WITHHELD:
            return sizes[-1]
    return None


def _numbers(sizes: dict[str, Before], near: Sequence[Quantity | None], view: View) -> tuple[tuple[str, str], ...]:
    told: list[tuple[str, str]] = []
    for (code, since), theirs in zip(sizes.items(), near, strict=True):
        charted = latest(view, code)
        assert charted is not None
        assert charted.quantity is not None
        assert theirs is not None
        now = (SIZES[code], written(charted.quantity))
        told += [now, (since.what, since.said), (f"{SIZES[code]} of a sibling", written(theirs))]
    return tuple(told)
