"""Entries that bring a value computed from sizes to a limit, or one charted step beside it.

Takes the quantity of a threshold, its limit, steps away from it and the infant's age; gives what is charted now, before
and at birth. Places on the growth curves are worked out in floats and charted to 10 g or 0.1 cm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from tests.who import size, weight_at_length

Data = dict[str, Any]

SEX = "female"
SPACE = 0.67
MONTH = 30.4375
BIRTH_WEIGHT = 3200


@dataclass(frozen=True, slots=True)
class Aim:
    """A limit, charted steps away from it (-1, 0, 1), and age in days: corrected and since birth."""

    limit: float
    away: int
    corrected: int
    days: float


@dataclass(frozen=True, slots=True)
class Sized:
    """What is charted now, how many days before what else, and the birth weight in grams."""

    now: tuple[Data, ...]
    before: tuple[tuple[float, Data], ...] = ()
    birth_weight: int = BIRTH_WEIGHT


def _weight(grams: float, away: int = 0) -> Data:
    return {"code": "body-weight", "value": max(round(grams / 10) * 10 + 10 * away, 0), "unit": "g"}


def _length(code: str, centimetres: float, away: int = 0) -> Data:
    return {"code": code, "value": Decimal(round(centimetres * 10) + away) / 10, "unit": "cm"}


def _charted(code: str, at: float, away: int = 0) -> Data:
    return _weight(at * 1000, away) if code == "body-weight" else _length(code, at, away)


def _for_age(code: str) -> Callable[[Aim], Sized]:
    return lambda aim: Sized((_charted(code, size(code, SEX, aim.corrected, aim.limit), aim.away),))


def _for_length(aim: Aim) -> Sized:
    weight = weight_at_length(SEX, 62.0, aim.limit)
    return Sized((_weight(weight * 1000, aim.away), _length("body-length", 62)))


def _at_birth(aim: Aim) -> Sized:
    grams = int(_weight(size("body-weight", SEX, 0, aim.limit) * 1000, aim.away)["value"])
    return Sized((_charted("body-weight", size("body-weight", SEX, aim.corrected, -2.5)),), birth_weight=grams)


def _fall(aim: Aim) -> Sized:
    born = int(_weight(size("body-weight", SEX, 0, 0) * 1000)["value"])
    return Sized(
        (_charted("body-weight", size("body-weight", SEX, aim.corrected, -SPACE * aim.limit), aim.away),), (), born
    )


def _rise(aim: Aim) -> Sized:
    before = max(aim.corrected - 30, 0)
    now = size("head-circumference", SEX, aim.corrected, -1 + SPACE * aim.limit)
    earlier = _length("head-circumference", size("head-circumference", SEX, before, -1))
    return Sized((_length("head-circumference", now, aim.away),), ((30, earlier),))


def _of_birth_weight(aim: Aim) -> Sized:
    return Sized((_weight(BIRTH_WEIGHT * aim.limit / 100, aim.away),))


def _loss(aim: Aim) -> Sized:
    return Sized((_weight(BIRTH_WEIGHT * (1 - aim.limit / 100), -aim.away),))


def _gain(days: float) -> Callable[[Aim], Sized]:
    return lambda aim: Sized((_weight(4000 + days * aim.limit, aim.away),), ((days, _weight(4000)),))


def _since_birth(aim: Aim) -> Sized:
    return Sized((_weight(BIRTH_WEIGHT + aim.limit * aim.days, aim.away),))


def _over_month(aim: Aim) -> Sized:
    return Sized((_weight(6000 + aim.limit, aim.away),), ((30, _weight(6000)),))


def _longer(code: str, before: float) -> Callable[[Aim], Sized]:
    def chart(aim: Aim) -> Sized:
        return Sized((_length(code, before + aim.limit * 61 / MONTH, aim.away),), ((61, _length(code, before)),))

    return chart


def _head_and_chest(aim: Aim) -> Sized:
    return Sized((_length("head-circumference", 36, aim.away), _length("chest-circumference", 36 - aim.limit)))


SIZED: Mapping[str, Callable[[Aim], Sized]] = {
    "weight-for-age": _for_age("body-weight"),
    "length-for-age": _for_age("body-length"),
    "head-for-age": _for_age("head-circumference"),
    "weight-for-length": _for_length,
    "birth-weight-for-age": _at_birth,
    "weight-centile-fall": _fall,
    "head-centile-rise": _rise,
    "weight-loss": _loss,
    "weight-of-birth-weight": _of_birth_weight,
    "weight-gain-since-last": _gain(2),
    "weight-gain-over-5-days": _gain(10),
    "weight-gain-since-birth": _since_birth,
    "weight-change-over-month": _over_month,
    "length-gain": _longer("body-length", 60),
    "head-gain": _longer("head-circumference", 40),
    "head-minus-chest": _head_and_chest,
}
