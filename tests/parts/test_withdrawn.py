"""What becomes of entries and readings that were amended or withdrawn."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from cds.advice.handover import handover
from cds.advice.header import is_open, tally
from cds.advice.model import Advice
from cds.advice.text import text
from cds.entry.model import Entry, Event
from cds.entry.read import read_entry, read_json
from cds.entry.times import read_moment
from cds.entry.versions import replaced, set_aside, withdrawn
from cds.judge.derive import derive
from cds.judge.view import View
from tests.bedside import Data, advise, adviser, count, entry
from tests.verdicts.golden import rule_set

WITHDRAWN = ("entered-in-error", "cancelled")
FEVER = {"code": "body-temperature", "value": 38.4, "unit": "Cel", "route": "axillary"}
WARM = {"code": "body-temperature", "value": 36.9, "unit": "Cel", "route": "axillary"}
NOW, THEN, BETWEEN = (f"2025-11-20T{at}:00+00:00" for at in ("10:30", "09:00", "10:00"))
STRATUM = "fever-8-to-21-days"


def told(*observations: Data, status: str = "final", earlier: tuple[Data, ...] = (), name: str = "T-9-2") -> Data:
    event = {"id": name, "measured": NOW, "status": status}
    return advise(entry(*observations, event=event, earlier=list(earlier)))


def past(*observations: Data, at: str = THEN, name: str | None = "T-9-1", **event: Any) -> Data:
    said = {"measured": at, **({"id": name} if name else {}), **event}
    return {"event": said, "observations": list(observations)}


def gone(advice: Data) -> dict[str, str]:
    return {each["rule"]: each["level"] for each in advice["findings"] if each["status"] == "withdrawn"}


def standing(advice: Data) -> dict[str, str]:
    return {each["rule"]: each["level"] for each in advice["findings"] if each["status"] != "withdrawn"}


def noticed(advice: Data, reason: str) -> list[Data]:
    return [each for each in advice["quality"] if each["reason"] == reason]


# Withdrawn


@pytest.mark.parametrize("status", WITHDRAWN)
def test_a_withdrawn_entry_lists_what_it_raised_at_the_level_it_had(status: str) -> None:
    advice, before = told(FEVER, count(64), status=status), told(FEVER, count(64))
    assert standing(advice) == {}
    assert gone(advice) == standing(before)
    assert gone(advice)[STRATUM] == "contact"
    assert Advice.model_validate(advice).findings[0].status == "withdrawn"


@pytest.mark.parametrize("status", WITHDRAWN)
def test_a_withdrawn_reading_takes_its_findings_and_no_others(status: str) -> None:
    advice = told({**FEVER, "status": status}, count(64))
    assert gone(advice)[STRATUM] == "contact"
    assert "fast-breathing-young-infant" in standing(advice)
    assert "fast-breathing-young-infant" not in gone(advice)


def test_a_valid_reading_beside_the_withdrawn_one_keeps_its_findings() -> None:
    advice = told({**FEVER, "status": "entered-in-error"}, {**FEVER, "value": 38.2})
    assert standing(advice)[STRATUM] == "contact"
    assert gone(advice) == {}


def test_a_valid_reading_that_raises_nothing_does_not_hide_what_is_withdrawn() -> None:
    advice = told({**FEVER, "status": "entered-in-error"}, WARM)
    assert STRATUM not in standing(advice)
    assert gone(advice)[STRATUM] == "contact"


def test_withdrawn_findings_stand_last_and_ask_for_no_step() -> None:
    advice = told({**FEVER, "status": "entered-in-error"}, count(64))
    states = [each["status"] == "withdrawn" for each in advice["findings"]]
    assert states == sorted(states)
    for each in advice["findings"]:
        if each["status"] == "withdrawn":
            assert (each["next"], each["missing"], each.get("by")) == ([], [], None)
            assert each["summary"].startswith("Withdrawn: ")
            assert len(each["summary"]) <= 139
            assert not is_open(each)
    assert tally(advice["findings"]) == "1 at recheck"


def test_the_entry_and_what_was_withdrawn_are_named() -> None:
    (found,) = [each for each in told({**FEVER, "status": "cancelled"})["findings"] if each["rule"] == STRATUM]
    assert found["withdrawn"] == {
        "entry": {"id": "T-9-2", "measured": NOW, "status": "final"},
        "what": ["temperature 38.4 °C, cancelled"],
    }
    (found,) = [each for each in told(FEVER, status="entered-in-error")["findings"] if each["rule"] == STRATUM]
    assert found["withdrawn"]["what"] == ["the whole entry, entered in error"]
    assert found["withdrawn"]["entry"]["status"] == "entered-in-error"


def test_nothing_withdrawn_is_listed_where_nothing_was_raised() -> None:
    assert gone(told({**WARM, "status": "entered-in-error"})) == {}
    assert gone(told(WARM, status="entered-in-error")) == {}


def test_a_finding_that_only_a_valid_and_a_withdrawn_sign_made_together_is_withdrawn() -> None:
    flaring, retractions = {"code": "nasal-flaring", "grade": "marked"}, {"code": "retractions", "grade": "moderate"}
    before, after = told(flaring, retractions), told(flaring, {**retractions, "status": "entered-in-error"})
    lost = standing(before).keys() - standing(after).keys()
    assert "respiratory-distress" in lost
    assert lost <= gone(after).keys()


def test_text_and_handover_say_what_was_withdrawn() -> None:
    advice = told(FEVER, status="entered-in-error")
    line = "withdrawn: 38.0 °C or more from 8 to 21 days, any route, at contact, red flag, entry T-9-2 of"
    for page in (text(advice, 200), handover(advice, 200)):
        assert line in page
        assert "the whole entry, entered in error" in page
    assert "nothing raised; " in text(advice, 200)
    assert " withdrawn" in next(each for each in text(advice, 200).splitlines() if each.startswith("answer"))
    assert "Published scales" not in text(advice, 200)
    assert "Also met" not in text(advice, 200)
    assert "Withdrawn" not in text(told(FEVER), 200)


# An earlier entry that was withdrawn


@pytest.mark.parametrize("status", WITHDRAWN)
def test_nothing_rests_on_an_earlier_entry_that_was_withdrawn(status: str) -> None:
    advice = told(count(64), earlier=(past(count(66), status=status),))
    (found,) = [each for each in advice["findings"] if each["rule"] == "fast-breathing-young-infant"]
    assert (found["status"], found["level"]) == ("raised", "recheck")
    (row,) = noticed(advice, "entered-in-error")
    assert row["words"] == f"earlier entry T-9-1 is {status.replace('-', ' ')}: set aside, nothing rests on it"
    assert row["place"] == "/earlier/0"
    assert gone(advice) == {}


def test_a_withdrawn_count_does_not_break_or_answer_a_run() -> None:
    between = past(count(40), at=BETWEEN, name="T-9-0", status="entered-in-error")
    advice = told(count(64), earlier=(past(count(66)), between))
    (found,) = [each for each in advice["findings"] if each["rule"] == "fast-breathing-young-infant"]
    assert found["status"] == "confirmed"
    assert found["other_entry"]["id"] == "T-9-1"


def test_an_entry_whose_only_earlier_one_was_withdrawn_is_the_first() -> None:
    first = View(read(past(count(66), status="cancelled")), rule_set())
    assert derive("first-entry", first).words == {"yes"}
    assert derive("first-entry", View(read(past(count(66))), rule_set())).words == {"no"}


# Amended


@pytest.mark.parametrize("status", ["amended", "corrected"])
def test_an_amended_entry_or_reading_is_judged_anew_and_says_so(status: str) -> None:
    advice = told(count(64), status=status)
    assert "fast-breathing-young-infant" in standing(advice)
    (row,) = noticed(advice, "amended")
    assert (row["place"], row["words"]) == ("/event/status", f"this entry is {status}: judged anew as it stands now")
    (row,) = noticed(told({**count(64), "status": status}), "amended")
    assert (row["place"], row["code"]) == ("/observations/0/status", "respiratory-rate")
    assert row["words"] == f"breathing rate is {status}: judged anew as it stands now"
    assert noticed(told(count(64)), "amended") == []


@pytest.mark.parametrize("order", [1, -1])
def test_the_amended_version_of_an_earlier_entry_stands_in_any_order(order: int) -> None:
    former, amended = past(count(66)), past(count(44), status="amended", at="2025-11-20T09:05:00+00:00")
    advice = told(count(64), earlier=tuple([former, amended][::order]))
    (found,) = [each for each in advice["findings"] if each["rule"] == "fast-breathing-young-infant"]
    assert found["status"] == "raised"
    (row,) = noticed(advice, "replaced")
    assert row["words"] == "earlier entry T-9-1 was sent again as it stands now: the former version is set aside"


def test_a_former_version_of_this_entry_is_set_aside() -> None:
    advice = told(count(64), status="amended", earlier=(past(count(66), name="T-9-2"),))
    (found,) = [each for each in advice["findings"] if each["rule"] == "fast-breathing-young-infant"]
    assert found["status"] == "raised"
    assert len(noticed(advice, "replaced")) == 1


def test_one_id_at_two_times_without_an_amended_one_is_two_entries() -> None:
    advice = told(count(64), earlier=(past(count(66), name="T-9-2"),))
    (found,) = [each for each in advice["findings"] if each["rule"] == "fast-breathing-young-infant"]
    assert found["status"] == "confirmed"
    assert noticed(advice, "replaced") == []


# Which version stands


def read(*earlier: Data) -> Entry:
    now = {"id": "T-9-2", "measured": NOW, "status": "final"}
    return read_entry(read_json(json.dumps(entry(count(64), event=now, earlier=list(earlier)))), None)


def versions(*events: Event, now: Event | None = None) -> Entry:
    return Entry(
        event=now or Event(id="N", measured=read_moment(NOW)), earlier=tuple(Entry(event=each) for each in events)
    )


def event(status: str = "final", at: str = THEN, name: str | None = "A", charted: str | None = None) -> Event:
    return Event(name, read_moment(at), read_moment(charted) if charted else None, None, status)


@pytest.mark.parametrize(
    ("events", "former"),
    [
        ((event(), event("amended")), [0]),
        ((event("amended"), event()), [1]),
        ((event("corrected"), event("entered-in-error")), [1]),
        ((event("entered-in-error"), event()), [1]),
        ((event("cancelled"), event(), event()), [1, 2]),
        ((event("amended", charted=BETWEEN), event("amended", charted=THEN)), [1]),
        ((event("amended", charted=THEN), event("amended", charted=BETWEEN)), [0]),
        ((event("amended"), event("amended")), [0]),
        ((event(), event()), [0]),
        ((event(), event(at=BETWEEN)), []),
        ((event(at=BETWEEN), event("amended")), [0]),
        ((event(name=None), event("amended", name=None)), []),
        ((event(), event("amended", name="B")), []),
    ],
)
def test_of_several_versions_one_stands(events: tuple[Event, ...], former: list[int]) -> None:
    assert replaced(versions(*events)) == former


@pytest.mark.parametrize(
    ("now", "former"),
    [
        (event("amended", NOW), [0]),
        (event("entered-in-error", NOW), [0]),
        (event("final", NOW), []),
        (event("final", THEN), [0]),
        (event("final", NOW, "B"), []),
    ],
)
def test_this_entry_stands_before_its_former_version(now: Event, former: list[int]) -> None:
    assert replaced(versions(event(), now=now)) == former


def test_an_amended_earlier_version_of_this_entry_is_set_aside_too() -> None:
    assert replaced(versions(event("amended"), now=event("final", NOW))) == [0]


def test_an_entry_of_another_infant_is_no_version() -> None:
    both = versions(event(), event("amended"))
    other = replace(both.earlier[1], infant=replace(both.earlier[1].infant, id="T-8"))
    assert replaced(replace(both, earlier=(both.earlier[0], other))) == []


def test_set_aside_is_withdrawn_or_replaced() -> None:
    sent = versions(event(), event("amended"), event("cancelled", name="B"), event(name="C"))
    assert withdrawn(sent) == [2]
    assert set_aside(sent) == {0, 2}
    assert set_aside(versions()) == frozenset()


def test_the_adviser_answers_a_withdrawn_entry_by_both_evaluators() -> None:
    sent = {"id": "T-9-2", "measured": NOW, "status": "entered-in-error"}
    answer = adviser().answer(read_entry(entry(count(64), event=sent), None))
    assert answer.inference.differences == ()
