"""Weight, length and head of invented well infants, by the WHO growth standards of 2006.

Medians, L and S of some months as the publication prints them, straight lines between; a z that each infant keeps, with
a little of its own at each visit, and long infants are heavy ones. In the first days a newborn weighs less than at
birth.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from random import Random

MONTH = 30.4375
MONTHS = (0, 1, 2, 3, 6, 9, 12, 18, 24)
Row = tuple[float, float, float]
WEIGHT: dict[str, tuple[Row, ...]] = {
    "male": (
        (0.3487, 3.3464, 0.14602), (0.2297, 4.4709, 0.13395), (0.1970, 5.5675, 0.12385), (0.1738, 6.3762, 0.11727),
        (0.1257, 7.9340, 0.10958), (0.0917, 8.9014, 0.10881), (0.0644, 9.6479, 0.10925), (0.0211, 10.9385, 0.11119),
        (-0.0137, 12.1515, 0.11426),
    ),
    "female": (
        (0.3809, 3.2322, 0.14171), (0.1714, 4.1873, 0.13724), (0.0962, 5.1282, 0.13000), (0.0402, 5.8458, 0.12619),
        (-0.0756, 7.2970, 0.12204), (-0.1507, 8.2254, 0.12199), (-0.2024, 8.9481, 0.12268),
        (-0.2637, 10.2315, 0.12309), (-0.2941, 11.4775, 0.12390),
    ),
}  # fmt: skip
LENGTH: dict[str, tuple[Row, ...]] = {
    "male": (
        (1, 49.8842, 0.03795), (1, 54.7244, 0.03557), (1, 58.4249, 0.03424), (1, 61.4292, 0.03328),
        (1, 67.6236, 0.03165), (1, 71.9687, 0.03117), (1, 75.7488, 0.03137), (1, 82.2587, 0.03279),
        (1, 87.8161, 0.03479),
    ),
    "female": (
        (1, 49.1477, 0.03790), (1, 53.6872, 0.03640), (1, 57.0673, 0.03568), (1, 59.8029, 0.03520),
        (1, 65.7311, 0.03448), (1, 70.1435, 0.03444), (1, 74.0150, 0.03479), (1, 80.7079, 0.03598),
        (1, 86.4153, 0.03734),
    ),
}  # fmt: skip
HEAD: dict[str, tuple[Row, ...]] = {
    "male": (
        (1, 34.4618, 0.03686), (1, 37.2759, 0.03133), (1, 39.1285, 0.02997), (1, 40.5135, 0.02918),
        (1, 43.3306, 0.02817), (1, 44.9998, 0.02792), (1, 46.0661, 0.02789), (1, 47.3711, 0.02800),
        (1, 48.2515, 0.02821),
    ),
    "female": (
        (1, 33.8787, 0.03496), (1, 36.5463, 0.03210), (1, 38.2521, 0.03168), (1, 39.5328, 0.03140),
        (1, 42.1995, 0.03087), (1, 43.8300, 0.03053), (1, 44.8965, 0.03027), (1, 46.2424, 0.02987),
        (1, 47.1822, 0.02957),
    ),
}  # fmt: skip
SIZES = {"body-weight": WEIGHT, "body-length": LENGTH, "head-circumference": HEAD}
WOBBLE = 0.25
MOST = 2.5


def size(rows: Sequence[Row], days: float, z: float) -> float:
    """The size at an age and z: kg or cm."""
    month = min(days / MONTH, MONTHS[-1] - 0.001)
    place = bisect_right(MONTHS, month) - 1
    share = (month - MONTHS[place]) / (MONTHS[place + 1] - MONTHS[place])
    power, middle, spread = (a + share * (b - a) for a, b in zip(rows[place], rows[place + 1], strict=True))
    return float(middle * (1 + power * spread * z) ** (1 / power))


class WellInfant:
    """One infant with a sex and a z of its own for each size."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.sex = random.choice(("female", "male"))
        shared = random.gauss(0, 1)
        self.z = {code: _bounded(0.8 * shared + 0.6 * random.gauss(0, 1)) for code in SIZES}
        self.birth_weight = size(WEIGHT[self.sex], 0, self.z["body-weight"])

    def charted(self, code: str, days: float) -> float:
        """A size at an age, with what one visit and one reading add: kg or cm."""
        z = _bounded(self.z[code] + self.random.gauss(0, WOBBLE))
        if code == "body-weight" and days < 12:
            lost = self.random.uniform(0.01, 0.09) * min(days, 3) / 3 * max(0, min(1, (12 - days) / 8))
            return self.birth_weight * (1 - lost)
        return size(SIZES[code][self.sex], days, z)


def _bounded(z: float) -> float:
    return max(-MOST, min(MOST, z))
