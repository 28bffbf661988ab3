"""A repeat closes a rate finding only where all holds that has to hold."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.adviser import Adviser
from cds.entry.catalogue import CATALOGUE, UNSETTLED
from cds.entry.read import read_entry
from cds.rules.model import LEVELS, Rule
from tests.chance import EXAMPLES, Chance, any_chance
from tests.invented import Data, Maker, Tables, invent

MINUTES = (5, 30, 60, 119, 120, 121, 240)
BIRTH = datetime.fromisoformat("2026-03-02T04:20:00+01:00")
KEEPS_OPEN = {"breathing", "heart", "distress", "oxygen", "colour", "state"}


def test_a_settled_full_count_within_two_hours_closes(plain: Adviser) -> None:
    advice = advise(plain, repeated(64, 44, timedelta(minutes=119)))
    assert closed(advice) == ["fast-breathing-young-infant"]


def test_a_count_after_more_than_two_hours_closes_nothing(plain: Adviser) -> None:
    advice = advise(plain, repeated(64, 44, timedelta(minutes=121)))
    assert closed(advice) == []
    assert advice["still_open"] == []


@pytest.mark.parametrize("how", [{"state": "crying"}, {"state": "just-handled"}, {"counted_seconds": 30}])
def test_an_unsettled_or_short_count_closes_nothing(plain: Adviser, how: Data) -> None:
    entry = repeated(64, 44, timedelta(minutes=30))
    entry["observations"] = [{**entry["observations"][0], **how}]
    advice = advise(plain, entry)
    assert closed(advice) == []
    assert advice["still_open"] == []


@pytest.mark.parametrize(
    ("beside", "kept"),
    [
        ({"code": "grunting", "grade": "by-ear"}, "grunting"),
        ({"code": "oxygen-saturation", "value": 88, "unit": "%", "oxygen": "room-air"}, "saturation-under-90"),
        ({"code": "responsiveness", "grade": "pain"}, "responds-to-pain-or-not"),
        ({"code": "nurse-worry", "grade": "present"}, "worry-stated"),
    ],
)
def test_what_is_charted_beside_the_count_keeps_the_finding_open(plain: Adviser, beside: Data, kept: str) -> None:
    entry = repeated(64, 44, timedelta(minutes=30))
    entry["observations"] += [beside]
    advice = advise(plain, entry)
    assert closed(advice) == []
    assert [each["rule"] for each in advice["still_open"]] == ["fast-breathing-young-infant"]
    assert kept in advice["still_open"][0]["why"]


def repeated(before: int, now: int, after: timedelta, **more: Any) -> Data:
    """Two breathing counts, settled and full."""
    measured = BIRTH + timedelta(days=20)
    return {
        "infant": {"birth": BIRTH.isoformat()},
        "event": {"measured": measured.isoformat()},
        "care": {},
        "observations": [count("respiratory-rate", now)],
        "earlier": [
            {
                "event": {"id": "before", "measured": (measured - after).isoformat()},
                "observations": [count("respiratory-rate", before)],
            }
        ],
        **more,
    }


def count(code: str, value: int) -> Data:
    return {"code": code, "value": value, "unit": "/min", "counted_seconds": 60, "state": "quiet-alert"}


@EXAMPLES
@given(data=st.data())
def test_what_is_closed_was_answered_by_a_calm_count_with_nothing_beside_it(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    rules = {rule.id: rule for rule in plain.rules.rules}
    entry = _two_counts(any_chance(data), tables)
    advice = advise(plain, entry)
    made = [each for each in advice["findings"] if each["status"] not in ("closed-by-repeat", "withdrawn")]
    for rule in closed(advice):
        assert _is_rate(rules[rule])
        assert rule not in {each["rule"] for each in made}
        assert any(_is_calm(each, rules[rule]) for each in entry["observations"])
        above = [each["rule"] for each in made if each["area"] in KEEPS_OPEN and LEVELS.index(each["level"]) > 0]
        assert above == []
    assert not set(closed(advice)) & {each["rule"] for each in advice["still_open"]}


def _two_counts(chance: Chance, tables: Tables) -> Data:
    """A random entry with an earlier count of a rate, and a count of it now."""
    entry = invent(chance, tables)
    code = chance.among(("respiratory-rate", "heart-rate"))
    now = datetime.fromisoformat("2025-01-01T00:00:00+00:00")
    maker = Maker(chance, tables, now, chance.among(("quiet-alert", "crying", None)))
    measured = entry["event"]["measured"]
    if isinstance(measured, str) and "T" in measured:
        then = datetime.fromisoformat(measured) - timedelta(minutes=chance.among(MINUTES))
        before = count(code, chance.among((10, 50, 65, 75, 95, 190, 230)))
        entry["earlier"] = [{"event": {"id": "before", "measured": then.isoformat()}, "observations": [before]}]
    kept = [each for each in entry["observations"] if each["code"] != code and chance.share(30)]
    answer = maker.observation(code) if chance.share(30) else count(code, {"respiratory-rate": 42}.get(code, 135))
    entry["observations"] = [*kept, answer]
    return entry


def _is_rate(rule: Rule) -> bool:
    return any(CATALOGUE[code].rate for code in rule.codes)


def _is_calm(observation: Data, rule: Rule) -> bool:
    if observation["code"] not in rule.codes or "value" not in observation:
        return False
    return observation.get("state") not in UNSETTLED and observation.get("counted_seconds", 60) >= 60


def closed(advice: Data) -> list[str]:
    return [each["rule"] for each in advice["findings"] if each["status"] == "closed-by-repeat"]


def advise(adviser: Adviser, entry: Data) -> Data:
    return adviser.advise(read_entry(entry))
