"""Does the chain raise what the rules raise? Invented entries with full context, and the codes that are compared.

Only findings of breathing rate, heart rate, temperature and saturation: the chain knows no doubt, so each entry charts
one settled reading of each, with route, site, state and oxygen. Nothing here is timed.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

from cds.adviser import Adviser
from cds.entry.read import read_entry, read_json
from cds.values import Rank
from tests.bench.chain import findings

Data = dict[str, Any]
COMPARED = frozenset(
    {
        *("fast-breathing", "very-fast-breathing", "slow-breathing", "breathing-rate-outside-reference", "apnoea"),
        *("transition-signs", "extreme-fast-heart-rate", "very-slow-heart-rate", "slow-heart-rate"),
        *("heart-rate-outside-reference", "very-low-saturation", "low-saturation", "saturation-limb-difference"),
        *("young-infant-fever", "fever", "high-fever-3-to-6-months", "mild-hypothermia", "moderate-hypothermia"),
        *("severe-hypothermia", "low-temperature", "newborn-hyperthermia"),
    }
)
_STATES = ("deep-sleep", "light-sleep", "drowsy", "quiet-alert")


def sample(count: int, seed: int) -> Iterator[Data]:
    """Entries of infants from birth to 24 months, younger ones more often."""
    chance = Random(seed)
    for _ in range(count):
        yield _entry(chance)


def _entry(chance: Random) -> Data:
    birth = datetime(2025, 1, 31, 9, 20, tzinfo=UTC)
    measured = birth + timedelta(minutes=int(60 * 24 * 720 * chance.random() ** 3) + chance.randint(15, 9_000))
    state = chance.choice(_STATES)
    counted = {"unit": "/min", "counted_seconds": 60, "state": state}
    place = {"site": chance.choice(("foot", "right-hand")), "oxygen": chance.choice(("room-air", "supplemental"))}
    warmth = {"value": round(chance.uniform(31.5, 40.5), 1), "route": chance.choice(("axillary", "rectal"))}
    return {
        "infant": {"birth": birth.isoformat(), "gestation": {"weeks": chance.randint(33, 41), "days": 3}},
        "event": {"measured": measured.isoformat()},
        "care": {"breathing_support": "none", "feeding_route": "breast"},
        "observations": [
            {"code": "respiratory-rate", "value": chance.randint(12, 90), **counted},
            {"code": "heart-rate", "value": chance.randint(50, 230), **counted, "site": "apical"},
            {"code": "body-temperature", "unit": "Cel", **warmth},
            {"code": "oxygen-saturation", "value": chance.randint(80, 100), "unit": "%", **place},
            {"code": "retractions", "grade": chance.choice(("absent", "absent", "mild", "severe"))},
        ],
    }


def differing(adviser: Adviser, entries: Iterator[Data]) -> list[str]:
    """Where the chain and the plain evaluator raise different codes: age, code, who raises it."""
    return [words for entry in entries for words in _differing(adviser, entry)]


def _differing(adviser: Adviser, entry: Data) -> Iterator[str]:
    verdicts = adviser.answer(read_entry(read_json(json.dumps(entry)))).inference.verdicts
    ours = {rule.finding for rule in adviser.rules.rules if verdicts[rule.id].rank is Rank.MET} & COMPARED
    chained = COMPARED.intersection(findings(entry))
    for code in sorted(ours ^ chained):
        yield f"{entry['event']['measured']}: {code} by {'plain' if code in ours else 'the chain'} alone, {entry}"
