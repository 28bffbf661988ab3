"""The derived values that rule data may ask for: what each may be held against, and what it reads.

Takes nothing, gives frozen tables. How each is computed is written in `judge.derive`. Holds no limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Derived:
    """What is computed from observations: the units a limit of it may have, or its words; thresholds it reads by id.

    `codes` are the observation codes without which there is no value.
    """

    units: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    thresholds: tuple[str, ...] = ()
    codes: frozenset[str] = frozenset()


_WEIGHT, _LENGTH = frozenset({"body-weight"}), frozenset({"body-length"})
_HEAD = frozenset({"head-circumference"})
_SLIPS = ("none", "unit", "decimal", "pounds-as-decimal")
_BIRTH_WEIGHT = ("implausible-birth-weight-low", "implausible-birth-weight-high")
_POUNDS = ("pounds-reading-near", "pounds-reading-a-day")
_OTHER_INFANT = (
    *("far-from-own-weight", "far-from-own-length", "far-from-own-head"),
    *("near-sibling-weight", "near-sibling-length", "near-sibling-head"),
    *("own-weight-a-day", "own-length-a-day", "own-head-a-day"),
)


def _limits(size: str) -> tuple[str, ...]:
    """The thresholds of what a size, and its change since an earlier one, cannot be."""
    more = _BIRTH_WEIGHT if size == "weight" else ()
    own = (f"implausible-{size}-low", f"implausible-{size}-high")
    return (*own, f"{size}-fall-implausible", f"{size}-rise-implausible", *more)


def _readings(size: str) -> tuple[str, ...]:
    """The thresholds of a slip: what a size cannot be, and how near another reading of it must come."""
    return (*_limits(size), f"{size}-reading-near", f"own-{size}-a-day")


DERIVED: Mapping[str, Derived] = MappingProxyType(
    {
        "gestation": Derived(units=("wk",)),
        "saturation-difference": Derived(units=("%",)),
        "newborn-screen": Derived(
            words=("pass", "repeat", "fail", "invalid", "early"),
            thresholds=("screen-fail", "screen-pass", "screen-difference"),
        ),
        "fever-hours": Derived(units=("h",), thresholds=("fever",)),
        "fever-highest": Derived(units=("Cel", "[degF]")),
        "mean-pressure-below-gestation": Derived(units=("mm[Hg]",)),
        "oxygen-need-new": Derived(words=("yes",)),
        "cooling-target": Derived(words=("below", "above", "inside", "not-cooled")),
        "wet-diapers-per-day": Derived(units=("count",)),
        "birth-weight": Derived(units=("g", "kg")),
        "first-entry": Derived(words=("yes", "no")),
        "weight-loss": Derived(units=("%",), codes=_WEIGHT),
        "weight-of-birth-weight": Derived(units=("%",), codes=_WEIGHT),
        "weight-change": Derived(units=("g",), codes=_WEIGHT),
        "weight-gain-since-last": Derived(units=("g/d",), codes=_WEIGHT),
        "weight-gain-over-5-days": Derived(units=("g/d",), codes=_WEIGHT),
        "weight-gain-since-birth": Derived(units=("g/d",), codes=_WEIGHT),
        "weight-change-over-month": Derived(units=("g",), codes=_WEIGHT),
        "length-gain": Derived(units=("cm/mo",), codes=_LENGTH),
        "head-gain": Derived(units=("cm/mo",), codes=_HEAD),
        "head-minus-chest": Derived(units=("cm",), codes=_HEAD | {"chest-circumference"}),
        "weight-for-age": Derived(units=("{z}",), codes=_WEIGHT),
        "length-for-age": Derived(units=("{z}",), codes=_LENGTH),
        "weight-for-length": Derived(units=("{z}",), codes=_WEIGHT | _LENGTH),
        "head-for-age": Derived(units=("{z}",), codes=_HEAD),
        "birth-weight-for-age": Derived(units=("{z}",)),
        "weight-centile-fall": Derived(units=("{space}",), codes=_WEIGHT),
        "head-centile-rise": Derived(units=("{space}",), codes=_HEAD),
        "temperature-rise": Derived(units=("Cel",), codes=frozenset({"body-temperature"})),
        "warmed": Derived(words=("yes", "no")),
        "charting-delay": Derived(units=("h",)),
        "order-of-measurement": Derived(words=("usual", "other")),
        "repeat-of-earlier": Derived(words=("none", "size", "all-vitals")),
        "weight-slip": Derived(words=_SLIPS, codes=_WEIGHT, thresholds=(*_readings("weight"), *_POUNDS)),
        "length-slip": Derived(words=_SLIPS, codes=_LENGTH, thresholds=_readings("length")),
        "head-slip": Derived(words=_SLIPS, codes=_HEAD, thresholds=_readings("head")),
        "temperature-slip": Derived(
            words=_SLIPS,
            codes=frozenset({"body-temperature"}),
            thresholds=("implausible-temperature-low", "implausible-temperature-high"),
        ),
        "birth-weight-slip": Derived(words=_SLIPS, thresholds=_BIRTH_WEIGHT),
        "fits-infant": Derived(words=("this-infant", "sibling-better"), thresholds=_OTHER_INFANT),
        "weight-rise": Derived(units=("%",), codes=_WEIGHT, thresholds=_limits("weight")),
        "length-rise": Derived(units=("%",), codes=_LENGTH, thresholds=_limits("length")),
        "head-rise": Derived(units=("%",), codes=_HEAD, thresholds=_limits("head")),
    }
)
READS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "fits-infant": _WEIGHT | _LENGTH | _HEAD,
        **dict.fromkeys(
            (
                *("birth-weight", "birth-weight-slip", "birth-weight-for-age", "weight-loss", "weight-of-birth-weight"),
                *("weight-gain-since-birth", "weight-centile-fall"),
            ),
            frozenset({"birth-weight"}),
        ),
    }
)
"""What derived values read beside the codes that they need: codes that may be charted, the birth weight."""
