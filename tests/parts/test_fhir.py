"""FHIR R4 of our own invention: codes, circumstances and values, and what is said about the rest."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.entry.fhir import STANDARD, join, to_entry
from cds.entry.json_text import read_json
from cds.errors import Refused
from tests.fhir_input import (
    FHIR,
    LOINC,
    SNOMED,
    UCUM,
    concept,
    entry_of,
    load,
    observation,
    of,
    patient,
    quantity,
    reasons,
    remarks,
    without,
)


def test_a_round_becomes_one_entry_with_its_earlier_one() -> None:
    entry = entry_of(load("ward-round.json"))
    assert entry["infant"] == {
        "id": "T-104",
        "birth": "2026-03-02T04:20:00+01:00",
        "sex": "female",
        "gestation": {"weeks": 39, "days": 2},
        "birth_weight": {"value": 3310, "unit": "g"},
        "order": 2,
    }
    assert entry["event"] == {"id": "Observation/hr-7", "measured": "2026-03-20T09:31:00+01:00"}
    assert entry["care"] == {"breathing_support": "none"}
    at = "2026-03-20T09:{}:00+01:00"
    assert entry["observations"] == [
        {"code": "heart-rate", "value": 148, "unit": "/min", "measured": at.format(30)},
        {
            "code": "respiratory-rate",
            "value": 46,
            "unit": "/min",
            "state": "quiet-alert",
            "counted_seconds": 60,
            "measured": at.format(28),
        },
        {"code": "body-temperature", "value": Decimal("98.4"), "unit": "[degF]", "route": "axillary"},
        {
            "code": "body-weight",
            "value": Decimal("3.62"),
            "unit": "kg",
            "clothing": "nude",
            "measured": at.format(20),
        },
        {"code": "nasal-flaring", "grade": "absent", "measured": at.format(30)},
        {
            "code": "retractions",
            "grade": "mild",
            "sites": ["subcostal", "intercostal"],
            "measured": at.format(30),
        },
        {"code": "grunting", "absent": "not-performed", "measured": at.format(30)},
    ]
    assert entry["earlier"] == [
        {
            "event": {"id": "Observation/wt-6", "measured": "2026-03-19T09:20:00+01:00"},
            "observations": [
                {"code": "body-weight", "value": 3595, "unit": "g", "measured": "2026-03-19T09:10:00+01:00"},
                {"code": "body-temperature", "value": Decimal("36.8"), "unit": "Cel", "route": "axillary"},
            ],
        }
    ]
    assert "remarks" not in entry


def test_lines_of_resources_join_into_the_same_as_their_bundle() -> None:
    lines = [read_json(line) for line in (FHIR / "observations.ndjson").read_text(encoding="utf-8").splitlines()]
    bundle = {"resourceType": "Bundle", "type": "collection", "entry": [{"resource": line} for line in lines]}
    assert to_entry(join(lines)) == to_entry(bundle)
    entry = entry_of(join(lines))
    assert [one["code"] for one in entry["observations"]] == ["respiratory-rate", "body-temperature"]
    assert [len(one["observations"]) for one in entry["earlier"]] == [1]


def test_bundles_within_a_joined_bundle_are_opened() -> None:
    inner = {"resourceType": "Bundle", "type": "searchset", "total": 9, "entry": [{"resource": observation(**of())}]}
    entry = entry_of(join([patient(), inner]))
    assert [one["code"] for one in entry["observations"]] == ["respiratory-rate"]
    assert remarks(entry) == [("bundle-cut", "/entry/1/resource", "1 entries", None)]


def test_the_most_specific_site_code_names_the_route_and_two_that_differ_name_none() -> None:
    entry = entry_of(load("temperature-routes.json"), STANDARD)
    assert [one.get("route") for one in entry["observations"]] == [
        "axillary",  # 8328-7 beside 8310-5 and the core code
        "rectal",  # 8332-9, wherever it stands
        "core",  # the core code alone
        None,  # axillary and rectal together
        None,  # forehead: a strip or a scanner
        "tympanic",  # by body site
        None,  # an axillary code with a rectal body site
        None,  # a body site in words only
        None,  # words that say rectal
    ]
    place = "/entry/{}/resource/{}"
    loinc, snomed = f"{LOINC}|", f"{SNOMED}|"
    temperature = "body-temperature"
    assert remarks(entry) == [
        ("conflicting-site", place.format(4, "code"), f"{loinc}8328-7, {loinc}8332-9", temperature),
        ("site-unmapped", place.format(5, "bodySite"), f"{snomed}52795006", temperature),
        ("conflicting-site", place.format(7, "code"), f"{loinc}8328-7, {snomed}34402009", temperature),
        ("site-unmapped", place.format(8, "bodySite"), "no system and code", temperature),
    ]


def test_only_system_and_code_decide_never_display_text_or_category() -> None:
    entry = entry_of(load("lying-text.json"))
    assert entry["observations"] == [
        {
            "code": "heart-rate",
            "unusable": "code-unmapped",
            "found": "http://codes.thornmere.example/extensions/mirrored",
        },
        {"code": "heart-rate", "value": 141, "unit": "/min"},
    ]
    assert reasons(entry) == ["not-ours", "conflicting-code", "must-understand"]


def test_saturation_by_limb_has_its_site_from_the_code_and_its_oxygen_from_flow_and_share() -> None:
    entry = entry_of(load("saturation-limbs.json"))
    right, foot = entry["observations"]
    assert without(right, "inspired_oxygen", "measured") == {
        "code": "oxygen-saturation",
        "value": 97,
        "unit": "%",
        "site": "right-hand",
        "oxygen": "room-air",
        "purpose": "newborn-screen",
    }
    assert (foot["site"], foot["oxygen"], foot["flow"]) == (
        "foot",
        "supplemental",
        {"value": Decimal("0.5"), "unit": "L/min"},
    )
    assert "oxygen" not in entry["earlier"][0]["observations"][0]
    assert reasons(entry) == ["oxygen-unclear", "context-alone"]


@pytest.mark.parametrize(
    ("flow", "share", "oxygen"),
    [
        (6, None, "supplemental"),
        (0, None, "room-air"),
        (None, 21, "room-air"),
        (None, Decimal("20.9"), "room-air"),
        (None, Decimal("21.1"), "supplemental"),
        (None, 30, "supplemental"),
        (0, 30, "supplemental"),
        (0, 21, "room-air"),
        (2, 30, "supplemental"),
        (2, 21, None),
        (None, Decimal("0.3"), None),
    ],
)
def test_flow_and_inspired_share_say_together_whether_oxygen_was_given(
    flow: object, share: object, oxygen: str
) -> None:
    parts = []
    if flow is not None:
        parts.append({"code": concept((LOINC, "3151-8")), "valueQuantity": quantity(flow, "L/min")})
    if share is not None:
        parts.append({"code": concept((LOINC, "3150-0")), "valueQuantity": quantity(share, "%")})
    entry = entry_of(observation("59408-5", valueQuantity=quantity(95, "%"), component=parts))
    assert entry["observations"][0].get("oxygen") == oxygen
    assert reasons(entry) == ([] if oxygen else ["oxygen-unclear"])


def test_a_pressure_is_read_alone_or_out_of_its_own_panel_and_out_of_no_other() -> None:
    entry = entry_of(load("panel-members.json"))
    assert [(one["code"], one.get("site")) for one in entry["observations"]] == [
        ("respiratory-rate", None),
        ("systolic-pressure", "leg"),
        ("mean-pressure", "leg"),
    ]
    assert remarks(entry) == [
        ("not-ours", "/entry/1/resource/code", f"{LOINC}|85353-1", None),
        ("not-ours", "/entry/3/resource/code", f"{LOINC}|76284-9", None),
        ("component-unread", "/entry/3/resource/component/0/code", f"{LOINC}|8480-6", None),
        ("component-unread", "/entry/4/resource/component/2/code", f"{LOINC}|8867-4", None),
        ("not-ours", "/entry/5/resource/code", f"{LOINC}|9274-2", None),
        ("missing-member", "/entry/1/resource/hasMember/1", "Observation/hr-p", None),
    ]
    alone = entry_of(observation("8480-6", valueQuantity=quantity(68, "mm[Hg]")))
    assert alone["observations"] == [{"code": "systolic-pressure", "value": 68, "unit": "mm[Hg]"}]


def test_signs_and_circumstances_come_through_the_mapping_file() -> None:
    entry = entry_of(load("signs.json"))
    assert [without(one, "state") for one in entry["observations"]] == [
        {"code": "breathing-pause", "value": 22, "unit": "s", "ended_by": "stimulation"},
        {"code": "wet-diapers", "value": 5, "unit": "count", "over_hours": {"value": 24, "unit": "h"}},
        {"code": "skin-colour", "grade": ["pale", "mottled"]},
        {"code": "cyanosis", "unusable": "code-unmapped", "found": "http://codes.thornmere.example/values|BLUE"},
        {"code": "grunting", "grade": "by-ear", "intermittent": True},
        {"code": "stridor-when-calm", "grade": "present"},
        {"code": "head-bobbing", "grade": "absent"},
        {
            "code": "fever-history",
            "grade": "present",
            "since": "2026-03-19T20:00:00+01:00",
            "highest": {"value": Decimal("38.4"), "unit": "Cel"},
        },
        {"code": "vomiting", "grade": "absent"},
        {"code": "respiratory-rate", "value": 46, "unit": "/min"},
    ]
    assert remarks(entry) == [
        ("code-unmapped", "/entry/4/resource", "http://codes.thornmere.example/values|BLUE", "cyanosis"),
        ("code-unmapped", "/entry/12/resource/code", "http://codes.thornmere.example/signs|NOTE", None),
    ]


def test_a_state_sent_alone_goes_to_the_readings_of_its_time_that_state_none() -> None:
    states = {one["code"]: one.get("state") for one in entry_of(load("signs.json"))["observations"]}
    assert states["grunting"] == "quiet-alert"
    assert states["respiratory-rate"] == "crying"
    assert states["breathing-pause"] is None


def test_a_state_of_the_same_date_without_a_time_goes_to_no_reading() -> None:
    state = observation(when="2026-03-20", code=concept(("http://codes.thornmere.example/signs", "STATE")))
    del state["valueQuantity"]
    state["valueCodeableConcept"] = concept(("http://codes.thornmere.example/values", "QA"))
    entry = entry_of(join([observation(when="2026-03-20"), state]))
    assert "state" not in entry["observations"][0]
    assert reasons(entry) == ["context-alone"]


def test_without_the_mapping_file_every_sign_is_listed_as_unmapped() -> None:
    entry = entry_of(load("signs.json"), STANDARD)
    assert entry["observations"] == []
    listed = {found for reason, _, found, _ in remarks(entry) if reason == "code-unmapped"}
    assert {f"http://codes.thornmere.example/signs|{code}" for code in ("PAUSE", "CYAN", "STATE", "NOTE")} <= listed


def test_absent_values_bounds_and_unknown_units_are_said_and_none_becomes_a_value() -> None:
    entry = entry_of(load("absent-and-bounds.json"))
    reason = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
    assert entry["observations"] == [
        {"code": "oxygen-saturation", "value": 70, "unit": "%", "comparator": "<"},
        {"code": "respiratory-rate", "absent": "not-performed"},
        {"code": "heart-rate", "absent": "unknown"},
        {"code": "body-temperature", "absent": "unknown"},
        {"code": "capillary-refill", "unusable": "code-unmapped", "found": f"{reason}|error", "site": "finger"},
        {"code": "body-weight", "unusable": "unit-unmapped", "found": "no system and code"},
        {"code": "body-length", "unusable": "unit-unmapped", "found": "http://units.example|cm", "position": "lying"},
        {"code": "head-circumference", "unusable": "code-unmapped", "found": "valueString"},
        {"code": "respiratory-rate", "unusable": "unit-unmapped", "found": "valueInteger"},
        {"code": "diastolic-pressure", "absent": "not-permitted"},
        {"code": "mean-pressure", "absent": "not-permitted"},
        {"code": "systolic-pressure", "absent": "not-permitted"},
    ]
    assert [(reason, code) for reason, _, _, code in remarks(entry)] == [
        ("code-unmapped", "heart-rate"),
        ("conflicting-value", "capillary-refill"),
        ("unit-unmapped", "body-weight"),
        ("unit-unmapped", "body-length"),
        ("code-unmapped", "head-circumference"),
        ("unit-unmapped", "respiratory-rate"),
    ]


@pytest.mark.parametrize(
    ("loinc", "value", "unit"),
    [
        ("29463-7", Decimal("7.5"), "[lb_av]"),
        ("3141-9", 3400, "g"),
        ("8310-5", Decimal("36.55556"), "Cel"),
        ("8302-2", Decimal("66.899999999999991"), "[in_i]"),
        ("9843-4", 35, "cm"),
        ("44971-0", 2, "s"),
    ],
)
def test_numbers_keep_their_text_and_units_their_code(loinc: str, value: object, unit: str) -> None:
    (read,) = entry_of(observation(loinc, valueQuantity=quantity(value, unit)))["observations"]
    assert (repr(read["value"]), read["unit"]) == (repr(value), unit)


@pytest.mark.parametrize("unit", ["[oz_av]", "C", "lb", "kg/m2", "%", "{breaths}/min"])
def test_a_unit_outside_the_list_of_its_observation_is_unmapped(unit: str) -> None:
    (read,) = entry_of(observation("29463-7", valueQuantity=quantity(7, unit)), STANDARD)["observations"]
    assert read == {"code": "body-weight", "unusable": "unit-unmapped", "found": f"{UCUM}|{unit}"}


@pytest.mark.parametrize(
    ("value", "found"),
    [
        (Decimal("1E-245"), "a number with too many digits or an absurd exponent"),
        (Decimal("-1E+245"), "a number with too many digits or an absurd exponent"),
        (10**30, "a number too large for this unit"),
        (-1, "a number less than zero"),
        (Decimal("NaN"), "a number that is not finite"),
    ],
)
def test_a_number_that_is_no_measured_value_is_refused(value: object, found: str) -> None:
    with pytest.raises(Refused) as refused:
        to_entry(observation("29463-7", valueQuantity=quantity(value, "g")))
    (problem,) = refused.value.problems
    assert (problem.code, problem.place, problem.found) == ("FH-114", "/valueQuantity/value", found)


def test_the_same_number_under_a_code_that_is_not_ours_refuses_nothing() -> None:
    entry = entry_of(observation("39156-5", valueQuantity=quantity(Decimal("1E-245"), "kg/m2")))
    assert reasons(entry) == ["not-ours"]
