"""FHIR R4: signs, circumstances and care through the mapping file, at their edges."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from cds.entry.fhir import join
from tests.fhir_input import LOINC, SNOMED, concept, entry_of, observation, patient, quantity, reasons

SIGNS = "http://codes.thornmere.example/signs"
VALUES = "http://codes.thornmere.example/values"


def sign(code: str, *values: str, **more: Any) -> dict[str, Any]:
    own = observation(code=concept((SIGNS, code)))
    del own["valueQuantity"]
    if values:
        own["valueCodeableConcept"] = concept(*((VALUES, value) for value in values))
    return own | more


def part(code: str, **value: Any) -> dict[str, Any]:
    return {"code": concept((SIGNS, code)), **value}


def test_usual_beside_another_grade_and_two_grades_of_one_sign_are_unmapped() -> None:
    entry = entry_of(join([sign("COLOUR", "PINK", "PALE"), sign("RETR", "MILD", "SEV")]))
    assert [one["unusable"] for one in entry["observations"]] == ["code-unmapped", "code-unmapped"]


@pytest.mark.parametrize(
    ("value", "read"),
    [
        ({}, {"grade": "present"}),
        ({"valueBoolean": True}, {"grade": "present"}),
        ({"valueBoolean": False}, {"grade": "absent"}),
        ({"valueString": "none"}, {"unusable": "code-unmapped", "found": "valueString"}),
        ({"dataAbsentReason": {"text": "asleep"}}, {"absent": "unknown"}),
    ],
)
def test_a_code_that_states_its_grade_yields_to_a_value_beside_it(value: dict[str, Any], read: dict[str, str]) -> None:
    (stridor,) = entry_of(sign("STRIDOR-CALM", **value))["observations"]
    assert stridor == {"code": "stridor-when-calm", **read}


@pytest.mark.parametrize(
    ("component", "reason"),
    [
        (part("SECONDS", valueQuantity=quantity(60, "min")), "unit-unmapped"),
        (part("SECONDS", valueQuantity=quantity(Decimal("59.5"), "s")), "code-unmapped"),
        (part("SECONDS", valueQuantity=quantity(601, "s")), "code-unmapped"),
        (part("SECONDS", valueQuantity=quantity(60, "s") | {"comparator": "<"}), "code-unmapped"),
        (part("SECONDS"), "code-unmapped"),
        (part("STATE", valueCodeableConcept=concept((VALUES, "ASLEEP"))), "code-unmapped"),
        (part("WHERE", valueCodeableConcept=concept((VALUES, "SUBC"))), "code-unmapped"),
        (part("NOTE", valueString="calm"), "code-unmapped"),
    ],
)
def test_a_circumstance_that_cannot_be_read_is_left_out_and_said(component: dict[str, Any], reason: str) -> None:
    entry = entry_of(observation(component=[component]))
    assert entry["observations"] == [{"code": "respiratory-rate", "value": 46, "unit": "/min"}]
    assert reasons(entry) == [reason]


def test_wet_diapers_over_no_hours_state_no_hours() -> None:
    entry = entry_of(sign("WET", valueInteger=5, component=[part("HOURS", valueQuantity=quantity(0, "h"))]))
    assert entry["observations"] == [{"code": "wet-diapers", "value": 5, "unit": "count"}]


def test_two_states_of_one_reading_leave_the_state_uncharted() -> None:
    entry = entry_of(
        observation(component=[part("STATE", valueCodeableConcept=concept((VALUES, "QA"), (VALUES, "CR")))])
    )
    assert "state" not in entry["observations"][0]
    assert reasons(entry) == ["conflicting-context"]


def test_two_flows_of_one_time_leave_the_flow_uncharted() -> None:
    flows = [observation("3151-8", valueQuantity=quantity(flow, "L/min")) for flow in (1, 2)]
    entry = entry_of(join([observation("59408-5", valueQuantity=quantity(95, "%")), *flows]))
    assert entry["observations"] == [{"code": "oxygen-saturation", "value": 95, "unit": "%"}]
    assert reasons(entry) == ["conflicting-context"]


def test_care_belongs_to_the_entry_of_its_time_and_must_agree() -> None:
    later = sign("SUPPORT", "CPAP", effectiveDateTime="2026-03-20T10:40:00+01:00")
    apart = entry_of(join([observation(), later]))
    assert ("care" not in apart, reasons(apart)) == (True, ["context-alone"])
    two = entry_of(join([observation(), sign("SUPPORT", "CPAP"), sign("SUPPORT", "VENT")]))
    assert ("care" not in two, reasons(two)) == (True, ["care-conflict"])
    unknown = entry_of(join([observation(), sign("SUPPORT", "TENT")]))
    assert ("care" not in unknown, reasons(unknown)) == (True, ["code-unmapped"])


def test_withheld_and_absent_care_and_circumstances_say_nothing() -> None:
    withheld = entry_of(join([observation(), sign("SUPPORT", "VENT", status="entered-in-error")]))
    assert ("care" not in withheld, reasons(withheld)) == (True, ["withheld"])
    absent = entry_of(join([observation(), sign("SUPPORT", dataAbsentReason={"text": "not seen"})]))
    assert ("care" not in absent, reasons(absent)) == (True, [])


def test_what_carries_a_modifier_is_never_used() -> None:
    modified = {"modifierExtension": [{"url": "http://codes.thornmere.example/extensions/not"}]}
    care = entry_of(join([observation(), sign("SUPPORT", "VENT", **modified)]))
    assert ("care" not in care, reasons(care)) == (True, ["must-understand"])
    pressure = {"code": concept((LOINC, "8480-6")), "valueQuantity": quantity(68, "mm[Hg]"), **modified}
    panel = entry_of(observation("85354-9", valueString="see parts", component=[pressure]))
    assert [one["unusable"] for one in panel["observations"]] == ["code-unmapped"]
    assert reasons(panel) == ["must-understand", "component-unread"]
    assert entry_of(patient(**modified))["infant"] == {"id": "T-104"}
    assert entry_of(patient(implicitRules="http://codes.thornmere.example/rules"))["infant"] == {"id": "T-104"}


def test_a_circumstance_that_no_part_of_a_panel_carries_is_listed() -> None:
    entry = entry_of(
        sign("EFFORT", component=[part("HOURS", valueQuantity=quantity(24, "h")), part("FLARE", valueInteger=2)])
    )
    assert entry["observations"] == [{"code": "nasal-flaring", "grade": "marked"}]
    assert reasons(entry) == ["component-unread"]


def test_elements_of_other_versions_are_named_and_the_rest_is_read() -> None:
    old = {"coding": [{"system": "http://hl7.org/fhir/observation-category", "code": "vital-signs"}]}
    entry = entry_of(observation(category=[old], context={"reference": "Encounter/1"}, triggeredBy=[]))
    assert len(entry["observations"]) == 1
    assert [(one["reason"], one["found"]) for one in entry["remarks"]] == [
        ("other-fhir-version", "context"),
        ("other-fhir-version", "triggeredBy"),
        ("other-fhir-version", "http://hl7.org/fhir/observation-category"),
    ]


def test_components_of_what_is_not_ours_are_listed_with_their_missing_units() -> None:
    count = {"code": concept((SNOMED, "246432004")), "valueQuantity": {"value": 3, "unit": "#"}}
    mean = {"code": concept((LOINC, "96608-5")), "valueQuantity": quantity(68, "mm[Hg]")}
    entry = entry_of(observation("96607-7", valueString="mean", component=[mean, count]))
    assert [one["reason"] for one in entry["remarks"]] == ["not-ours", "not-ours", "code-unmapped", "unit-unmapped"]


def test_a_component_beside_a_field_of_the_infant_is_listed() -> None:
    entry = entry_of(
        observation("8339-4", valueQuantity=quantity(3310, "g"), component=[part("NOTE", valueBoolean=True)])
    )
    assert entry["infant"] == {"birth_weight": {"value": 3310, "unit": "g"}}
    assert reasons(entry) == ["code-unmapped"]


def test_an_extension_says_a_state_by_a_coding_and_an_unknown_one_says_nothing() -> None:
    url = "http://codes.thornmere.example/extensions/state"
    crying = {"url": url, "valueCoding": {"system": VALUES, "code": "CR"}}
    (read,) = entry_of(observation(extension=[{"url": "http://elsewhere.example/x", "valueBoolean": True}, crying]))[
        "observations"
    ]
    assert read["state"] == "crying"
    strange = entry_of(observation(extension=[{"url": url, "valueString": "calm"}]))
    assert ("state" not in strange["observations"][0], reasons(strange)) == (True, ["code-unmapped"])
