"""Invented well infants, three visits each.

Takes a number and a seed; gives entries as our JSON, each with the earlier visits. Nothing in an entry is ill: rates
are drawn from published distributions of well infants, temperature from the published range, sizes from the growth
reference (`well_sizes`), and every sign that is charted is charted as usual. `well_tally` counts what the rules raise.

Where each draw comes from:

- visits: American Academy of Pediatrics and Bright Futures, recommendations for preventive pediatric health care
  (periodicity schedule), newborn to 18 months; the newborn visit falls from 2 hours after birth to the end of day 3.
  Three that follow one another, a day apart at least, from each of the first eight on in turn; half asleep.
- breathing rate: Rusconi F and others, Pediatrics 1994;94:350-355, equations by age and state with a normal z. They
  were made from 15 days on; before that age they are carried back to birth, which the paper does not vouch for. What
  the equations put outside the same centiles of Fleming 2011 (carried on as below) is drawn again: the two sources
  disagree on the outermost, and an infant is drawn as well where both say so.
- heart rate: Fleming S and others, Lancet 2011;377:1011-1018, web appendix; a normal z, straight lines between the
  centiles, carried on beyond the outer two, and over the first month from the centiles at birth to those of 0 to 3
  months (the median peaks at about 1 month). They pool awake and asleep, so they are high for an infant asleep.
- z: between two centiles, by default the 0.5th and the 99.5th. 618 children stand behind the equations of breathing;
  neither source says how the outer hundredth of infants is spread. `TAILS` draws it by the normal curve all the same.
- temperature: 36.5 to 37.5 Cel by axilla, each tenth alike (World Health Organization 1997, thermal protection of the
  newborn).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from random import Random
from statistics import NormalDist
from typing import Any

from tests.agree.well_sizes import Curves, curves, sizes

Data = dict[str, Any]
Visit = tuple[str, float, float]

SEED = 20261125
WITHIN = (0.5, 99.5)
TAILS = (0.0, 100.0)
MONTH = 30.4375
"""Days in a month where an equation takes months."""

VISITS: tuple[Visit, ...] = (
    ("newborn", 2 / 24, 4),
    ("3 to 5 days", 3, 6),
    ("1 month", 25, 35),
    ("2 months", 60, 75),
    ("4 months", 115, 135),
    ("6 months", 175, 195),
    ("9 months", 265, 285),
    ("12 months", 366, 385),
    ("15 months", 455, 475),
    ("18 months", 548, 570),
)
"""Each visit with the age in days from which, and before which, it falls."""

STATES = {True: ("deep-sleep", "light-sleep"), False: ("drowsy", "quiet-alert")}
USUAL = {
    "nasal-flaring": "absent",
    "retractions": "absent",
    "grunting": "absent",
    "cyanosis": "absent",
    "skin-colour": "usual",
    "breathing-effort": "usual",
    "tone": "usual",
    "cry": "strong",
    "feeding": "usual",
    "vomiting": "absent",
    "fontanelle": "flat",
    "mucosa": "moist",
    "convulsions": "absent",
    "jaundice": "absent",
    "looks-ill": "absent",
}

CENTILE_Z = (-2.3263, -1.2816, -0.6745, 0.0, 0.6745, 1.2816, 2.3263)
HEART_AT_BIRTH = (90, 107, 116, 127, 138, 148, 164)
HEART_BEFORE_MONTH: tuple[tuple[float, tuple[int, ...]], ...] = (
    (3, (107, 123, 133, 143, 154, 164, 181)),
    (6, (104, 120, 129, 140, 150, 159, 175)),
    (9, (98, 114, 123, 134, 143, 152, 168)),
    (12, (93, 109, 118, 128, 137, 145, 161)),
    (18, (88, 103, 112, 123, 132, 140, 156)),
    (24, (82, 98, 106, 116, 126, 135, 149)),
)
"""Fleming's 1st, 10th, 25th, 50th, 75th, 90th and 99th centile of the heart rate before each age in months."""

VISITS_EACH = 3
APART = 1.0
"""Days between two visits, at least."""


BREATHING_BEFORE_MONTH: tuple[tuple[float, tuple[int, ...]], ...] = (
    (3, (25, 34, 40, 43, 52, 57, 66)),
    (6, (24, 33, 38, 41, 49, 55, 64)),
    (9, (23, 31, 36, 39, 47, 52, 61)),
    (12, (22, 30, 35, 37, 45, 50, 58)),
    (18, (21, 28, 32, 35, 42, 46, 53)),
    (24, (19, 25, 29, 31, 36, 40, 46)),
)
"""As `HEART_BEFORE_MONTH`, of the breathing rate."""


def breathing_rate(days: float, asleep: bool, z: float) -> int:
    """The breathing rate [/min] at an age, state and normal z."""
    a = days / MONTH
    if asleep:
        power = (1.5773 + 0.09196 * z) - (0.01314 + 0.0005155 * z) * a + 0.00017646 * a * a
    else:
        power = (1.6801 + 0.08592 * z) - (0.01189 + 0.0004301 * z) * a + 0.00013401 * a * a
    return round(10**power)


def heart_rate(days: float, z: float) -> int:
    """The heart rate [/min] at an age and normal z."""
    row = next(row for month, row in HEART_BEFORE_MONTH if days / MONTH < month)
    share = min(days / MONTH, 1)
    return round(share * _between(row, z) + (1 - share) * _between(HEART_AT_BIRTH, z))


def well_breathing(days: float, asleep: bool, random: Random, centiles: tuple[float, float]) -> int:
    """A breathing rate by the equations, drawn again while it lies outside Fleming's centiles."""
    row = next(row for month, row in BREATHING_BEFORE_MONTH if days / MONTH < month)
    low, high = (_between(row, normal(percent)) for percent in centiles)
    while True:
        rate = breathing_rate(days, asleep, normal(random.uniform(*centiles)))
        if low <= rate <= high:
            return rate


def normal(percent: float) -> float:
    """The normal z of a centile; 0 and 100 as far out as draws are told apart."""
    return NormalDist().inv_cdf(min(max(percent, 1e-7), 100 - 1e-7) / 100)


def _between(row: Sequence[int], z: float) -> float:
    """The value at z on straight lines through the centiles, the outer lines carried on."""
    place = max(0, min(sum(z > each for each in CENTILE_Z) - 1, len(row) - 2))
    low, high = CENTILE_Z[place], CENTILE_Z[place + 1]
    return row[place] + (row[place + 1] - row[place]) * (z - low) / (high - low)


def well_infants(number: int, seed: int = SEED, centiles: tuple[float, float] = WITHIN) -> list[Data]:
    """The entries of so many infants, three for each, the later ones with the earlier."""
    random = Random(seed)
    return [entry for place in range(number) for entry in _well_infant(place, random, centiles)]


def visit_of(place: int) -> Visit:
    """The visit of the entry in that place."""
    infant, number = divmod(place, VISITS_EACH)
    return VISITS[infant % (len(VISITS) - VISITS_EACH + 1) + number]


def _well_infant(place: int, random: Random, centiles: tuple[float, float]) -> list[Data]:
    born = datetime(2026, 6, 1, tzinfo=UTC) + timedelta(minutes=random.randrange(60 * 24 * 60))
    infant: Data = {"id": f"W-{place}", "birth": born.isoformat(), "sex": random.choice(("female", "male"))}
    grows = curves(infant["sex"], random, centiles)
    if random.random() < 0.8:
        infant["gestation"] = {"weeks": random.randrange(37, 42), "days": random.randrange(7)}
    if random.random() < 0.8:
        infant["birth_weight"] = {"value": grows.birth_weight, "unit": "g"}
    entries: list[Data] = []
    days = -APART
    for number in range(VISITS_EACH):
        first, last = visit_of(place * VISITS_EACH + number)[1:]
        days = random.uniform(max(first, days + APART), last)
        measured = born + timedelta(minutes=int(days * 24 * 60))
        entries.append(
            {
                "infant": infant,
                "event": {"id": f"W-{place}-{number}", "measured": measured.isoformat(), "status": "final"},
                "care": _care(random),
                "observations": _visit(days, grows, random, centiles),
                "earlier": [{key: each[key] for key in ("event", "observations")} for each in entries],
            }
        )
    return entries


def _visit(days: float, grows: Curves, random: Random, centiles: tuple[float, float]) -> list[Data]:
    asleep = random.random() < 0.5
    rates = well_breathing(days, asleep, random, centiles), heart_rate(days, normal(random.uniform(*centiles)))
    values = _values(rates, asleep, random)
    return [*values, *sizes(grows, days, random), *_signs(asleep, random)]


def _care(random: Random) -> Data:
    care = {"breathing_support": "none", "feeding_route": random.choice(("breast", "bottle"))}
    return {key: word for key, word in care.items() if random.random() < 0.7}


def _values(rates: tuple[int, int], asleep: bool, random: Random) -> list[Data]:
    counted: Data = {"state": random.choice(STATES[asleep])} if random.random() < 0.6 else {}
    counted |= {"counted_seconds": 60} if random.random() < 0.6 else {}
    route: Data = {"route": "axillary"} if random.random() < 0.8 else {}
    degrees = Decimal(random.randrange(365, 376)) / 10
    return [
        {"code": "respiratory-rate", "value": rates[0], "unit": "/min", **counted},
        {"code": "heart-rate", "value": rates[1], "unit": "/min", **counted},
        {"code": "body-temperature", "value": degrees, "unit": "Cel", **route},
    ]


def _signs(asleep: bool, random: Random) -> list[Data]:
    awake: Data = {} if asleep else {"responsiveness": "alert", "social-response": "usual"}
    return [{"code": code, "grade": grade} for code, grade in (USUAL | awake).items() if random.random() < 0.5]
