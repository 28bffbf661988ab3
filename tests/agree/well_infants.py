"""Invented well infants, one visit each, and how often the rules raise something for them.

Takes a number and a seed; gives entries as our JSON, and tables of the levels raised. Nothing in an entry is ill: rates
are drawn from published distributions of well infants, temperature from the published range, and every sign that is
charted is charted as usual. By hand: `python -m tests.agree.well_infants --infants 20000`.

Where each draw comes from:

- visits: American Academy of Pediatrics and Bright Futures, recommendations for preventive pediatric health care
  (periodicity schedule), newborn to 18 months; the newborn visit falls from 2 hours after birth to the end of day 3.
  Each visit has the same share of infants, half of them asleep.
- breathing rate: Rusconi F and others, Pediatrics 1994;94:350-355, equations by age and state with a normal z. They
  were made from 15 days on; before that age they are carried back to birth, which the paper does not vouch for.
- heart rate: Fleming S and others, Lancet 2011;377:1011-1018, web appendix; a normal z, straight lines between the
  centiles, carried on beyond the outer two, and over the first month from the centiles at birth to those of 0 to 3
  months (the median peaks at about 1 month). They pool awake and asleep, so they are high for an infant asleep.
- z: between two centiles, by default the 0.5th and the 99.5th. 618 children stand behind the equations of breathing;
  neither source says how the outer hundredth of infants is spread. `--tails` draws it by the normal curve all the same.
- temperature: 36.5 to 37.5 Cel by axilla, each tenth alike (World Health Organization 1997, thermal protection of the
  newborn).
"""

from __future__ import annotations

from argparse import ArgumentParser
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from random import Random
from statistics import NormalDist
from typing import Any

from cds.advice.status import Raised, decide
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.rules.load import load
from cds.rules.model import LEVELS

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

GOALS = {"contact": 0.0, "discuss": 1.0, "recheck": 5.0}
"""Most infants, in per cent, whose highest level may be this."""


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


def _between(row: Sequence[int], z: float) -> float:
    """The value at z on straight lines through the centiles, the outer lines carried on."""
    place = max(0, min(sum(z > each for each in CENTILE_Z) - 1, len(row) - 2))
    low, high = CENTILE_Z[place], CENTILE_Z[place + 1]
    return row[place] + (row[place + 1] - row[place]) * (z - low) / (high - low)


def well_infants(number: int, seed: int = SEED, centiles: tuple[float, float] = WITHIN) -> list[Data]:
    """So many entries, the visits in turn."""
    random = Random(seed)
    return [_well_infant(place, random, centiles) for place in range(number)]


def visit_of(place: int) -> Visit:
    """The visit of the infant in that place."""
    return VISITS[place % len(VISITS)]


def _well_infant(place: int, random: Random, centiles: tuple[float, float]) -> Data:
    days, asleep = random.uniform(*visit_of(place)[1:]), random.random() < 0.5
    z = [NormalDist().inv_cdf(random.uniform(*centiles) / 100) for _ in range(2)]
    measured = datetime(2026, 6, 1, tzinfo=UTC) + timedelta(minutes=random.randrange(60 * 24 * 60))
    born = measured - timedelta(minutes=int(days * 24 * 60))
    infant: Data = {"id": f"W-{place}", "birth": born.isoformat(), "sex": random.choice(("female", "male"))}
    if random.random() < 0.8:
        infant["gestation"] = {"weeks": random.randrange(37, 42), "days": random.randrange(7)}
    values = _values((breathing_rate(days, asleep, z[0]), heart_rate(days, z[1])), asleep, random)
    return {
        "infant": infant,
        "event": {"id": f"W-{place}-1", "measured": measured.isoformat(), "status": "final"},
        "care": _care(random),
        "observations": [*values, *_signs(asleep, random)],
    }


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


@dataclass(frozen=True, slots=True)
class Tally:
    """Infants by highest level, in all and by visit; and what each rule raised, superseded findings left out."""

    infants: int
    highest: Counter[str]
    visits: Counter[tuple[str, str]]
    rules: Counter[tuple[str, str, str]]

    def share(self, level: str) -> float:
        """Per cent of infants whose highest level this is."""
        return 100 * self.highest[level] / self.infants


def count_levels(adviser: Adviser, entries: Sequence[Data]) -> Tally:
    """Answer every entry and count."""
    made = Tally(len(entries), Counter(), Counter(), Counter())
    for place, entry in enumerate(entries):
        answer = adviser.answer(read_entry(entry))
        raised = decide(answer.rules.rules, answer.inference.verdicts, answer.view)
        _count([each for each in raised if not each.superseded_by], visit_of(place)[0], made)
    return made


def _count(shown: list[Raised], visit: str, made: Tally) -> None:
    highest = max((each.level for each in shown), key=LEVELS.index, default="nothing")
    made.highest[highest] += 1
    made.visits[visit, highest] += 1
    made.rules.update((each.level, each.status, each.rule.id) for each in shown)


def level_table(made: Tally) -> list[str]:
    """The share of infants by highest level beside the goal, as lines of Markdown."""
    lines = [f"| highest level | of {made.infants:,} invented well infants | goal |", "| --- | --- | --- |"]
    for level in (*reversed(LEVELS), "nothing"):
        goal = f"at most {GOALS[level]:g} %" if GOALS.get(level) else "none" if level in GOALS else ""
        lines.append(f"| {level} | {made.highest[level]:,} ({made.share(level):.2f} %) | {goal} |")
    return lines


def visit_table(made: Tally) -> list[str]:
    """Infants at each visit by highest level, as lines of Markdown."""
    levels = (*reversed(LEVELS), "nothing")
    lines = [f"| visit | {' | '.join(levels)} |", f"| --- |{' --- |' * len(levels)}"]
    return lines + [
        f"| {visit} | {' | '.join(str(made.visits[visit, level]) for level in levels)} |" for visit, _, _ in VISITS
    ]


def rule_table(made: Tally) -> list[str]:
    """How often each rule raised each level, most serious first, as lines of Markdown."""
    order = sorted(made.rules.items(), key=lambda item: (-LEVELS.index(item[0][0]), -item[1], item[0]))
    lines = ["| level | status | rule | infants |", "| --- | --- | --- | --- |"]
    return lines + [f"| {level} | {status} | {rule} | {count} |" for (level, status, rule), count in order]


def _main() -> None:
    parser = ArgumentParser(description="How often the rules raise something for invented well infants.")
    parser.add_argument("--infants", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--tails", action="store_true", help="draw the outermost hundredth too")
    parser.add_argument("--rules", type=Path, default=Path(__file__).parents[2] / "rulesets" / "infant-vitals")
    given = parser.parse_args()
    entries = well_infants(given.infants, given.seed, TAILS if given.tails else WITHIN)
    made = count_levels(Adviser(load(given.rules)), entries)
    print("\n".join([*level_table(made), "", *visit_table(made), "", *rule_table(made)]))


if __name__ == "__main__":
    _main()
