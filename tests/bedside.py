"""What the tests of text, handover and commands share: the rules, invented infants, answers to them."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from cds import cases
from cds.advice.compose import compose
from cds.adviser import Adviser
from cds.entry.read import read_entry, read_json
from cds.entry.times import read_moment
from cds.rules.load import load
from cds.shipped import shipped

RULES = shipped("rulesets") / "infant-vitals"
STARTER = shipped("rulesets") / "starter"
DEMO = shipped("rulesets") / "demo"
ASKED = "2025-11-20T10:35:00+00:00"
Data = dict[str, Any]


@cache
def adviser() -> Adviser:
    """The adviser over the rule set that ships."""
    return Adviser(load(RULES))


def advise(entry: Data, asked: str | None = ASKED) -> Data:
    """The advice to an entry, as asked at a moment."""
    moment = read_moment(asked) if asked else None
    return adviser().advise(read_entry(read_json(json.dumps(entry)), moment), moment)


def demo(name: str) -> Data:
    """The advice to one infant of the demo, as asked when it was charted."""
    entry = json.loads((DEMO / f"{name}.json").read_text(encoding="utf-8"))
    return advise(entry, entry.get("event", {}).get("charted"))


@cache
def sampled(step: int) -> tuple[Data, ...]:
    """The advice to every so many golden cases."""
    return tuple(compose(cases.run_case(case, adviser()).answer) for case in cases.read(RULES)[::step])


def count(value: int, state: str | None = "quiet-alert", seconds: int = 60) -> Data:
    """A breathing count."""
    stated = {"state": state} if state else {}
    return {"code": "respiratory-rate", "value": value, "unit": "/min", "counted_seconds": seconds, **stated}


def entry(*observations: Data, **parts: Any) -> Data:
    """An entry of a term infant of 16 days, measured at half past ten."""
    event = {"id": "T-9-2", "measured": "2025-11-20T10:30:00+00:00", "care_unit": "newborn-ward", "status": "final"}
    infant = {"id": "T-9", "birth": "2025-11-03T11:40:00+00:00", "sex": "male", "gestation": {"weeks": 40, "days": 0}}
    return {"infant": infant, "event": event, "observations": list(observations), **parts}


def after(earlier: Data, *observations: Data) -> Data:
    """An entry with the same infant's entry of ninety minutes before."""
    event = {"id": "T-9-1", "measured": "2025-11-20T09:00:00+00:00", "status": "final"}
    return entry(*observations, earlier=[{"event": event, "observations": [earlier]}])
