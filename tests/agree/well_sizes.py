"""Weight, length, head and chest of an invented well infant who keeps to its curves.

Takes a source of chance and the centiles between which it draws; gives one infant's curves, and what is charted of them
on a day of age. Where each draw comes from:

- curves: WHO Child Growth Standards 2006, day tables; an infant keeps one z of length and of head, and one of weight
  that goes with length (correlation 0.65, from memory) so that weight for length lies between the centiles too.
- first days: loss of weight after birth 6.0 % (standard deviation 1.9 %), deepest at 2.5 d, birth weight back at 8.3 d
  (published reviews: mean loss 5.7 to 6.6 %, lowest on day 2 to 3; mean regain in breastfed infants 8.3 d).
- error of measuring: length 0.3 cm, head 0.2 cm, one standard deviation (WHO Multicentre Growth Reference Study, from
  memory); weight is read to 10 g.
- chest: 1.5 cm under the head at birth, as large at 12 months, standard deviation 0.4 cm (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from random import Random
from statistics import NormalDist
from typing import Any

from tests.who import size, weight_for_length_z

Data = dict[str, Any]

TOGETHER = 0.65
LOSS, LOSS_SPREAD, DEEPEST, BACK = 6.0, 1.9, 2.5, 8.3
ERROR = {"body-length": 0.3, "head-circumference": 0.2}
LOOKED_AT = (0, 30, 120, 270, 560)
"""Days of age on which weight for length is held between the centiles as well."""
CHEST_LESS, CHEST_SPREAD, CHEST_EVEN = 1.5, 0.4, 365


@dataclass(frozen=True, slots=True)
class Curves:
    """The z of one infant, and the share of birth weight that it loses at most."""

    sex: str
    weight: float
    length: float
    head: float
    loss: float

    @property
    def birth_weight(self) -> int:
        """In grams, to 10 g."""
        return round(size("body-weight", self.sex, 0, self.weight) * 100) * 10

    def weight_on(self, days: float) -> float:
        """In kilograms: birth weight less what is lost until it is back, then the curve."""
        if days >= BACK:
            return max(size("body-weight", self.sex, int(days), self.weight), self.birth_weight / 1000)
        share = days / DEEPEST if days < DEEPEST else (BACK - days) / (BACK - DEEPEST)
        return self.birth_weight / 1000 * (1 - self.loss * share)


def curves(sex: str, random: Random, centiles: tuple[float, float]) -> Curves:
    """The curves of one infant."""
    head, loss = (_z(random, centiles) for _ in range(2))
    while True:
        length, other = (_z(random, centiles) for _ in range(2))
        made = Curves(sex, TOGETHER * length + (1 - TOGETHER**2) ** 0.5 * other, length, head, _lost(loss))
        if all(_is_within(made, day, centiles) for day in LOOKED_AT):
            return made


def _z(random: Random, centiles: tuple[float, float]) -> float:
    return NormalDist().inv_cdf(random.uniform(*centiles) / 100)


def _lost(z: float) -> float:
    return (LOSS + LOSS_SPREAD * z) / 100


def _is_within(made: Curves, day: int, centiles: tuple[float, float]) -> bool:
    """Whether weight for length too lies between the centiles."""
    weight, length = (
        size(code, made.sex, day, z) for code, z in (("body-weight", made.weight), ("body-length", made.length))
    )
    place = 100 * NormalDist().cdf(weight_for_length_z(made.sex, weight, max(length, 45)))
    return centiles[0] <= place <= centiles[1]


def sizes(infant: Curves, days: float, random: Random) -> list[Data]:
    """What is charted at one visit; each size in nine visits of ten, the chest in three."""
    head = size("head-circumference", infant.sex, int(days), infant.head)
    less = CHEST_LESS * max(1 - days / CHEST_EVEN, 0) + random.gauss(0, CHEST_SPREAD)
    charted = [
        {"code": "body-weight", "value": round(infant.weight_on(days) * 100) * 10, "unit": "g", "clothing": "nude"},
        _length("body-length", size("body-length", infant.sex, int(days), infant.length), random),
        _length("head-circumference", head, random),
        _length("chest-circumference", head - less, random),
    ]
    shares = (0.9, 0.9, 0.9, 0.3)
    return [each for each, share in zip(charted, shares, strict=True) if random.random() < share]


def _length(code: str, centimetres: float, random: Random) -> Data:
    read = centimetres + random.gauss(0, ERROR.get(code, 0))
    return {"code": code, "value": Decimal(round(read * 10)) / 10, "unit": "cm"}
