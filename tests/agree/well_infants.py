"""Invented well infants, one visit each, and how often the rules raise something for them.

Takes a number and a seed; gives entries as our JSON, and a table of the levels raised. Nothing in an entry is ill: rates
are drawn from published distributions of well infants, tails included, temperature from the published range, and every
sign that is charted is charted as usual.

Where each draw comes from:

- visits: days 0 to 3 on the ward (from 2 hours after birth), then days 4 to 6, weeks 2, 4 and 9, months 4, 6, 9, 12, 15,
  18 and 23; the same share of infants at each.
- breathing rate: Rusconi F and others, Pediatrics 1994;94:350-355, equations by age and state with a normal z. They were
  made from 15 days on; before that age they are carried back to birth, which the paper does not vouch for.
- heart rate: Fleming S and others, Lancet 2011;377:1011-1018, web appendix; a normal z, straight lines between the
  centiles and beyond the outer two, and from the centiles at birth to those of 0 to 3 months over the first month (the
  paper's median peaks at about 1 month). It is one distribution for all states, so for infants asleep it is too high.
- temperature: 36.5 to 37.5 Cel by axilla, each tenth alike (World Health Organization 1997, thermal protection of the
  newborn; Canadian Paediatric Society, axillary range).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from cds.advice.status import Raised, decide
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.rules.model import LEVELS

Data = dict[str, Any]

SEED = 20261125
MONTH = 30.4375
"""Days in a month where an equation takes months."""

VISITS: tuple[tuple[str, float, float], ...] = (
    ("day 0", 2 / 24, 1),
    ("day 1", 1, 2),
    ("day 2", 2, 3),
    ("day 3", 3, 4),
    ("days 4 to 6", 4, 7),
    ("week 2", 7, 15),
    ("week 4", 25, 32),
    ("week 9", 60, 67),
    ("4 months", 118, 132),
    ("6 months", 178, 195),
    ("9 months", 270, 286),
    ("12 months", 366, 385),
    ("15 months", 455, 475),
    ("18 months", 548, 570),
    ("23 months", 700, 725),
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
HEART_BY_MONTH: tuple[tuple[float, tuple[int, ...]], ...] = (
    (3, (107, 123, 133, 143, 154, 164, 181)),
    (6, (104, 120, 129, 140, 150, 159, 175)),
    (9, (98, 114, 123, 134, 143, 152, 168)),
    (12, (93, 109, 118, 128, 137, 145, 161)),
    (18, (88, 103, 112, 123, 132, 140, 156)),
    (24, (82, 98, 106, 116, 126, 135, 149)),
)
"""Fleming's 1st, 10th, 25th, 50th, 75th, 90th and 99th centile of the heart rate before each age in months."""


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
    row = next(row for before, row in HEART_BY_MONTH if days / MONTH < before)
    later = _between(row, z)
    share = min(days / MONTH, 1)
    return round(share * later + (1 - share) * _between(HEART_AT_BIRTH, z))


def _between(row: Sequence[int], z: float) -> float:
    """The value at z on straight lines through the centiles, the outer lines carried on."""
    place = max(0, min(sum(z > each for each in CENTILE_Z) - 1, len(row) - 2))
    low, high = CENTILE_Z[place], CENTILE_Z[place + 1]
    return row[place] + (row[place + 1] - row[place]) * (z - low) / (high - low)


def well_infants(number: int, seed: int = SEED) -> list[Data]:
    """So many entries, the visits in turn."""
    random = Random(seed)
    return [well_infant(place, VISITS[place % len(VISITS)], random) for place in range(number)]


def well_infant(place: int, visit: tuple[str, float, float], random: Random) -> Data:
    """One visit of one well infant."""
    days, asleep = random.uniform(*visit[1:]), random.random() < 0.5
    measured = datetime(2026, 6, 1, tzinfo=UTC) + timedelta(minutes=random.randrange(60 * 24 * 60))
    born = measured - timedelta(minutes=int(days * 24 * 60))
    infant: Data = {"id": f"W-{place}", "birth": born.isoformat(), "sex": random.choice(("female", "male"))}
    if random.random() < 0.8:
        infant["gestation"] = {"weeks": random.randrange(37, 42), "days": random.randrange(7)}
    return {
        "infant": infant,
        "event": {"id": f"W-{place}-1", "measured": measured.isoformat(), "status": "final"},
        "care": _care(random),
        "observations": [*_values(days, asleep, random), *_signs(asleep, random)],
    }


def _care(random: Random) -> Data:
    care = {"breathing_support": "none", "feeding_route": random.choice(("breast", "bottle"))}
    return {key: word for key, word in care.items() if random.random() < 0.7}


def _values(days: float, asleep: bool, random: Random) -> list[Data]:
    state: Data = {"state": random.choice(STATES[asleep])} if random.random() < 0.6 else {}
    counted: Data = {"counted_seconds": 60} if random.random() < 0.6 else {}
    route: Data = {"route": "axillary"} if random.random() < 0.8 else {}
    breaths, beats = breathing_rate(days, asleep, random.gauss(0, 1)), heart_rate(days, random.gauss(0, 1))
    degrees = Decimal(random.randrange(365, 376)) / 10
    return [
        {"code": "respiratory-rate", "value": breaths, "unit": "/min", **state, **counted},
        {"code": "heart-rate", "value": beats, "unit": "/min", **state, **counted},
        {"code": "body-temperature", "value": degrees, "unit": "Cel", **route},
    ]


def _signs(asleep: bool, random: Random) -> list[Data]:
    awake: Data = {} if asleep else {"responsiveness": "alert", "social-response": "usual"}
    usual = {**USUAL, **awake}
    return [{"code": code, "grade": grade} for code, grade in usual.items() if random.random() < 0.5]


@dataclass(frozen=True, slots=True)
class Tally:
    """How many infants had each highest level, and which rules raised above a note, superseded ones left out."""

    infants: int
    highest: Counter[str]
    rules: Counter[tuple[str, str, str]]
    visits: Counter[tuple[str, str]]

    def share(self, level: str) -> float:
        """Per cent of infants whose highest level this is."""
        return 100 * self.highest[level] / self.infants


def tally(adviser: Adviser, entries: Sequence[Data]) -> Tally:
    """Answer every entry and count."""
    made = Tally(len(entries), Counter(), Counter(), Counter())
    for place, entry in enumerate(entries):
        answer = adviser.answer(read_entry(entry))
        raised = decide(answer.rules.rules, answer.inference.verdicts, answer.view)
        _count([each for each in raised if not each.superseded_by], VISITS[place % len(VISITS)][0], made)
    return made


def _count(shown: list[Raised], visit: str, made: Tally) -> None:
    highest = max((each.level for each in shown), key=LEVELS.index, default="nothing")
    made.highest[highest] += 1
    made.visits[visit, highest] += 1
    made.rules.update((each.level, each.status, each.rule.id) for each in shown)


def table(made: Tally) -> list[str]:
    """The share of infants by highest level, beside the goal, and what raised it; lines of Markdown."""
    goals = {"contact": "none", "discuss": "at most 1 %", "recheck": "at most 5 %"}
    lines = [f"| highest level | of {made.infants:,} invented well infants | goal |", "| --- | --- | --- |"]
    for level in (*reversed(LEVELS), "nothing"):
        lines.append(f"| {level} | {made.share(level):.2f} % ({made.highest[level]}) | {goals.get(level, '')} |")
    return lines


def causes(made: Tally) -> list[str]:
    """Each level, status and rule that was raised, most often first within a level."""
    order = sorted(made.rules.items(), key=lambda item: (-LEVELS.index(item[0][0]), -item[1], item[0]))
    return [f"{level:<8} {status:<12} {rule:<50} {count:>6}" for (level, status, rule), count in order]


if __name__ == "__main__":
    import sys
    from pathlib import Path

    from cds.rules.load import load

    found = tally(Adviser(load(Path("rulesets/infant-vitals"))), well_infants(int(sys.argv[1])))
    print("\n".join(table(found) + causes(found)))
    for visit, _, _ in VISITS:
        print(visit, {level: found.visits[visit, level] for level in (*LEVELS, "nothing")})
