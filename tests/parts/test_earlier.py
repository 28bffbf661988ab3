"""Bad input about sizes and earlier entries: each by a stated rule (docs/entry.md), never a silent one."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.errors import Refused
from cds.judge.view import View
from cds.rules.load import load

RULES = load(Path(__file__).parents[2] / "rulesets" / "infant-vitals")
MEASURED = "2026-03-20T09:30:00+01:00"


def entry_of(**more: Any) -> dict[str, Any]:
    return {"infant": {"id": "T-104"}, "observations": [], **more}


def remarks_of(data: dict[str, Any]) -> list[tuple[str, str, str | None]]:
    return [(remark.reason, remark.place, remark.code) for remark in read_entry(data).remarks]


def found_in(data: dict[str, Any]) -> set[str]:
    advice = Adviser(RULES).advise(read_entry(data))
    return {each["finding"] for each in advice["findings"] if not each["superseded_by"]}


NEWBORN = {"infant": {"birth": "2026-03-17T08:00:00+01:00"}, "event": {"measured": MEASURED}}


@pytest.mark.parametrize(
    ("observation", "finding"),
    [
        ({"code": "body-weight", "value": 0, "unit": "g"}, "implausible-value"),
        ({"code": "body-weight", "value": Decimal("3.31"), "unit": "g"}, "possible-unit-slip"),
        ({"code": "body-length", "value": 510, "unit": "cm"}, "possible-unit-slip"),
        ({"code": "body-length", "value": Decimal("5.1"), "unit": "cm"}, "possible-decimal-slip"),
        ({"code": "head-circumference", "value": 0, "unit": "cm"}, "implausible-value"),
    ],
)
def test_a_size_that_cannot_be_is_read_and_suspected(observation: dict[str, Any], finding: str) -> None:
    assert finding in found_in(entry_of(observations=[observation]) | NEWBORN)


@pytest.mark.parametrize(
    ("value", "unit", "code"),
    [
        (-3310, "g", "EN-301"),
        ([6], ["[lb_av]", "[oz_av]"], "EN-303"),
        ([6, 16], ["[lb_av]", "[oz_av]"], "EN-303"),
        ([Decimal("6.5"), 9], ["[lb_av]", "[oz_av]"], "EN-303"),
        ([6, -1], ["[lb_av]", "[oz_av]"], "EN-303"),
    ],
)
def test_a_weight_below_zero_or_pounds_not_in_their_form_are_refused(value: Any, unit: Any, code: str) -> None:
    with pytest.raises(Refused) as refused:
        read_entry(entry_of(observations=[{"code": "body-weight", "value": value, "unit": unit}]))
    assert [problem.code for problem in refused.value.problems] == [code]


def test_a_birth_weight_in_kilograms_where_grams_are_meant_is_suspected() -> None:
    infant = NEWBORN["infant"] | {"birth_weight": {"value": Decimal("3.3"), "unit": "g"}}
    assert "possible-unit-slip" in found_in(entry_of() | NEWBORN | {"infant": infant})


WEIGHT = {"code": "body-weight", "value": 3310, "unit": "g"}
DAY_BEFORE = {"event": {"id": "T-104-6", "measured": "2026-03-19T09:10:00+01:00"}, "observations": [WEIGHT]}


def looked_at(data: dict[str, object]) -> list[str | None]:
    """The earlier entries that rules look at, latest first."""
    view = View(read_entry(data), RULES)
    return [past.entry.event.id for past in view.past(1000 * 86_400)]


def test_an_earlier_entry_of_another_infant_is_kept_remarked_and_not_looked_at() -> None:
    other = DAY_BEFORE | {"infant": {"id": "T-105"}}
    data = entry_of(infant={"id": "T-104"}, event={"measured": MEASURED}, earlier=[other])
    assert remarks_of(data) == [("earlier-of-other-infant", "/earlier/0/infant/id", None)]
    assert (len(read_entry(data).earlier), looked_at(data)) == (1, [])
    for own in ({"infant": {"id": "T-104"}}, {}):
        data = entry_of(infant={"id": "T-104"}, event={"measured": MEASURED}, earlier=[DAY_BEFORE | own])
        assert (remarks_of(data), looked_at(data)) == ([], ["T-104-6"])
    unnamed = entry_of(infant={}, event={"measured": MEASURED}, earlier=[other])
    assert (remarks_of(unnamed), looked_at(unnamed)) == ([], ["T-104-6"])


def test_the_same_earlier_entry_sent_twice_is_looked_at_once() -> None:
    again = json.loads(json.dumps(DAY_BEFORE))
    data = entry_of(event={"measured": MEASURED}, earlier=[DAY_BEFORE, again, DAY_BEFORE])
    assert remarks_of(data) == [("earlier-duplicated", f"/earlier/{place}", None) for place in (1, 2)]
    assert looked_at(data) == ["T-104-6"]


def test_an_earlier_entry_from_before_birth_is_remarked_and_not_looked_at() -> None:
    data = entry_of(infant={"birth": "2026-03-20T02:00:00+01:00"}, event={"measured": MEASURED}, earlier=[DAY_BEFORE])
    assert remarks_of(data) == [("measured-before-birth", "/earlier/0/event/measured", None)]
    assert (len(read_entry(data).earlier), looked_at(data)) == (1, [])


def test_hundreds_of_earlier_entries_in_any_order_are_looked_at_from_the_latest() -> None:
    times = [datetime(2026, 3, 1, tzinfo=UTC) + timedelta(minutes=7 * place) for place in range(600)]
    parts = [{"event": {"id": str(at), "measured": at.isoformat()}, "observations": [WEIGHT]} for at in times]
    data = entry_of(event={"measured": MEASURED}, earlier=parts[::2] + parts[1::2][::-1])
    assert looked_at(data) == [str(at) for at in reversed(times)]
