"""FHIR R4: which version of a resource counts, what its status means, and what was measured together."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from cds.entry.fhir import STANDARD, Settings, join, to_entry
from cds.entry.read import read_entry
from cds.errors import Refused
from tests.fhir_input import TEN, entry_of, load, observation, patient, quantity, reasons, remarks


@pytest.mark.parametrize(("status", "used"), [("unknown", True), ("registered", True), ("entered-in-error", False)])
def test_only_two_statuses_keep_a_reading_from_being_the_latest(status: str, used: bool) -> None:
    later = observation("8867-4", when="2026-03-20T12:00:00+01:00", status=status)
    entry = entry_of(join([observation(), later]))
    assert entry["event"]["measured"] == ("2026-03-20T12:00:00+01:00" if used else TEN)
    assert {one["code"]: one.get("status") for one in entry["observations"]}["heart-rate"] == status


def test_an_amended_version_replaces_and_a_withheld_one_never_decides_what_is_latest() -> None:
    entry = entry_of(load("statuses.json"))
    assert entry["event"]["measured"] == "2026-03-20T12:05:00+01:00"
    assert [(one["code"], one["value"], one.get("status")) for one in entry["observations"]] == [
        ("respiratory-rate", 42, "amended"),
        ("body-weight", 3500, "preliminary"),
        ("heart-rate", 240, "entered-in-error"),
        ("body-temperature", Decimal("39.9"), "cancelled"),
    ]
    assert "earlier" not in entry
    assert "birth_weight" not in entry["infant"]
    assert reasons(entry) == ["replaced", "duplicate", "withheld"]
    assert entry["remarks"][0]["words"].endswith("(2 times)")


def test_the_version_updated_last_counts_whatever_the_order() -> None:
    old = observation(id="o", meta={"lastUpdated": "2026-03-20T10:00:00Z"})
    new = observation(id="o", meta={"lastUpdated": "2026-03-20T11:00:00Z"}, valueQuantity=quantity(52, "/min"))
    for order in ([old, new], [new, old]):
        assert [one["value"] for one in entry_of(join(order))["observations"]] == [52]


def test_readings_without_id_are_never_taken_for_versions_of_one() -> None:
    assert len(entry_of(join([observation(), observation()]))["observations"]) == 2


def test_a_deleted_resource_a_next_page_and_a_failed_request_are_said() -> None:
    entry = entry_of(load("cut-off.json"))
    assert remarks(entry) == [
        ("fetch-error", "/entry/1/resource", "timeout", None),
        ("bundle-cut", "/", "2 entries", None),
    ]
    assert "T-104 could not be read" not in json.dumps(entry, default=str)
    deleted = {"resourceType": "Bundle", "type": "transaction"}
    deleted["entry"] = [{"request": {"method": "DELETE", "url": "Observation/o"}}]  # type: ignore[assignment]
    assert remarks(entry_of(deleted)) == [("deleted", "/entry/0", "Observation/o", None)]


@pytest.mark.parametrize(("minute", "second", "together"), [(45, 0, True), (44, 59, False)])
def test_readings_within_a_quarter_of_an_hour_of_the_latest_are_one_entry(
    minute: int, second: int, together: bool
) -> None:
    first = observation("8867-4", when=f"2026-03-20T09:{minute}:{second:02}+01:00")
    entry = entry_of(join([first, observation()]))
    assert (len(entry["observations"]) == 2) is together
    assert ("earlier" in entry) is not together


def test_the_quarter_of_an_hour_is_a_setting() -> None:
    pair = join([observation("8867-4", when="2026-03-20T09:50:00+01:00"), observation()])
    assert "earlier" not in to_entry(pair)
    assert "earlier" in to_entry(pair, STANDARD, Settings(together_minutes=5))


def test_earlier_entries_are_grouped_likewise_and_come_oldest_first() -> None:
    times = ["10:00", "08:10", "08:00", "07:50", "06:00"]
    entry = entry_of(join([observation(when=f"2026-03-20T{time}:00+01:00") for time in times]))
    assert [one["event"]["measured"][11:16] for one in entry["earlier"]] == ["06:00", "07:50", "08:10"]
    assert [len(one["observations"]) for one in entry["earlier"]] == [1, 1, 2]


def test_a_date_goes_with_what_was_timed_on_that_day_in_the_zone_of_the_times() -> None:
    late = observation(when="2026-03-20T23:30:00-05:00")
    entry = entry_of(join([late, observation("29463-7", when="2026-03-20", valueQuantity=quantity(3, "kg"))]))
    assert [one.get("measured") for one in entry["observations"]] == [None, "2026-03-20"]
    other = entry_of(join([late, observation("29463-7", when="2026-03-21", valueQuantity=quantity(3, "kg"))]))
    assert len(other["observations"]) == 1


def test_a_period_stands_at_its_end_and_is_kept_whole() -> None:
    period = {"start": "2026-03-20T09:00:00+01:00", "end": TEN}
    entry = entry_of(join([observation(when=None, effectivePeriod=period), observation("8867-4")]))
    assert entry["event"]["measured"] == TEN
    assert [one.get("measured") for one in entry["observations"]] == [period, None]
    assert reasons(entry) == ["period-end"]
    begun = observation(when=None, effectivePeriod={"start": TEN})
    assert (entry_of(begun)["event"]["measured"], reasons(entry_of(begun))) == (TEN, ["open-period"])


def test_a_month_as_effective_time_is_the_period_that_it_is() -> None:
    entry = entry_of(observation(when="2026-02"))
    assert entry["event"]["measured"] == {"start": "2026-02-01", "end": "2026-02-28"}


def test_the_time_of_issue_is_never_the_time_of_measuring() -> None:
    entry = entry_of(observation(when=None, issued=TEN))
    assert entry["event"] == {"absent": "unknown"}
    assert reasons(entry) == ["no-effective-time"]


def test_a_reading_without_a_time_is_judged_with_the_entry_and_said() -> None:
    entry = entry_of(join([observation("8867-4"), observation(when=None)]))
    assert [one["code"] for one in entry["observations"]] == ["heart-rate", "respiratory-rate"]
    assert remarks(entry) == [("no-effective-time", "/entry/1/resource", "no effective time", "respiratory-rate")]


def test_withheld_readings_of_another_time_are_an_earlier_entry_of_their_own() -> None:
    old = observation("8867-4", when="2026-03-19T10:00:00+01:00", status="cancelled")
    entry = entry_of(join([observation(), old, observation(when="2026-03-18T10:00:00+01:00")]))
    assert [one["event"]["measured"][:10] for one in entry["earlier"]] == ["2026-03-18", "2026-03-19"]
    assert entry["earlier"][1]["observations"][0]["status"] == "cancelled"


def test_an_event_without_a_time_says_so_and_one_with_a_time_says_nothing_else() -> None:
    entry = entry_of(patient())
    assert entry["event"] == {"absent": "unknown"}
    assert read_entry(entry).event.measured is None
    for event in ({}, {"absent": "unknown", "measured": TEN}, {"absent": "forgotten"}):
        with pytest.raises(Refused):
            read_entry(entry | {"event": event})
