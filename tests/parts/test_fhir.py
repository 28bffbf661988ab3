"""FHIR R4 of our own invention: what each resource becomes as an entry, and what is said about the rest."""

from __future__ import annotations

import copy
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.codes import read_codes
from cds.entry.fhir import STANDARD, Settings, is_fhir, join, to_entry
from cds.entry.fhir.remarks import REASONS
from cds.entry.fhir.shapes import SHAPES
from cds.entry.json_text import read_json
from cds.entry.read import read_entry
from cds.errors import Refused
from cds.shipped import shipped

FHIR = Path(__file__).parents[1] / "fhir"
THORNMERE = read_codes(shipped("rulesets") / "codes" / "thornmere.json")
LOINC = "http://loinc.org"
SNOMED = "http://snomed.info/sct"
UCUM = "http://unitsofmeasure.org"
TEN = "2026-03-20T10:00:00+01:00"


def load(name: str) -> Any:
    text = (FHIR / name).read_text(encoding="utf-8")
    if name.endswith(".ndjson"):
        return join([read_json(line) for line in text.splitlines()])
    return read_json(text)


def entry_of(resource: object, codes: object = THORNMERE) -> dict[str, Any]:
    entry = to_entry(resource, codes)  # type: ignore[arg-type]
    read_entry(copy.deepcopy(entry))
    return entry


def remarks(entry: dict[str, Any]) -> list[tuple[str, str, str, str | None]]:
    return [(one["reason"], one["place"], one["found"], one.get("code")) for one in entry.get("remarks", [])]


def reasons(entry: dict[str, Any]) -> list[str]:
    return [one["reason"] for one in entry.get("remarks", [])]


def without(observation: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in observation.items() if key not in keys}


def concept(*codings: tuple[str, str]) -> dict[str, Any]:
    return {"coding": [{"system": system, "code": code} for system, code in codings]}


def quantity(value: object, code: str) -> dict[str, Any]:
    return {"value": value, "system": UCUM, "code": code}


def observation(loinc: str = "9279-1", when: str | None = TEN, **more: Any) -> dict[str, Any]:
    timed = {"effectiveDateTime": when} if when else {}
    value = {} if any(key.startswith("value") for key in more) else {"valueQuantity": quantity(46, "/min")}
    own = {"resourceType": "Observation", "status": "final", "code": concept((LOINC, loinc)), **timed, **value}
    return own | more


def patient(**more: Any) -> dict[str, Any]:
    return {"resourceType": "Patient", "id": "T-104", "birthDate": "2026-03-02"} | more


def of(infant: str = "T-104", **more: Any) -> dict[str, Any]:
    return {"subject": {"reference": f"Patient/{infant}"}} | more


# --- a whole round -------------------------------------------------------------------------------------------------


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


# --- codes ---------------------------------------------------------------------------------------------------------


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


# --- values --------------------------------------------------------------------------------------------------------


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


# --- the infant ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "gestation"),
    [
        (36, "wk", {"weeks": 36}),
        (Decimal("36.0"), "wk", {"weeks": 36}),
        (236, "d", {"weeks": 33, "days": 5}),
        (Decimal("33.71"), "wk", {"weeks": 33, "days": 5}),
        (Decimal("33.5"), "wk", {"weeks": 33, "days": 3}),
        (Decimal("39.9"), "wk", {"weeks": 39, "days": 6}),
        (259, "d", {"weeks": 37, "days": 0}),
    ],
)
def test_gestation_in_weeks_days_or_decimal_weeks(value: object, unit: str, gestation: dict[str, int]) -> None:
    entry = entry_of(observation("76516-4", valueQuantity=quantity(value, unit)))
    assert entry["infant"] == {"gestation": gestation}
    assert reasons(entry) == (["gestation-rounded"] if value != int(value) else [])  # type: ignore[call-overload]


@pytest.mark.parametrize(
    ("code", "value", "reason"),
    [
        ("76516-4", quantity(360, "wk"), "infant-value"),
        ("76516-4", quantity(15, "wk"), "infant-value"),
        ("76516-4", quantity(39, "mo"), "unit-unmapped"),
        ("76516-4", quantity(37, "wk") | {"comparator": "<"}, "infant-value"),
        ("8339-4", quantity(7, "[oz_av]"), "unit-unmapped"),
        ("8339-4", quantity(1500, "g") | {"comparator": ">="}, "infant-value"),
    ],
)
def test_a_field_of_the_infant_that_cannot_be_told_stays_unknown(code: str, value: object, reason: str) -> None:
    entry = entry_of(observation(code, valueQuantity=value))
    assert entry["infant"] == {}
    assert reasons(entry) == [reason]


def test_equal_birth_weights_agree_in_any_unit_and_others_leave_it_unknown() -> None:
    grams = observation("8339-4", valueQuantity=quantity(2500, "g"))
    kilograms = observation("8339-4", valueQuantity=quantity(Decimal("2.5"), "kg"))
    assert entry_of(join([grams, kilograms]))["infant"]["birth_weight"] == {"value": 2500, "unit": "g"}
    other = observation("8339-4", valueQuantity=quantity(2510, "g"))
    entry = entry_of(join([grams, other]))
    assert entry["infant"] == {}
    assert remarks(entry) == [("infant-conflict", "/entry/0/resource", "2 values", "birth_weight")]


def test_of_two_gestations_that_agree_the_one_with_days_counts() -> None:
    weeks = observation("76516-4", valueQuantity=quantity(33, "wk"))
    days = observation("11884-4", valueQuantity=quantity(236, "d"))
    assert entry_of(join([weeks, days]))["infant"]["gestation"] == {"weeks": 33, "days": 5}
    assert reasons(entry_of(join([days, observation("11884-4", valueQuantity=quantity(34, "wk"))]))) == [
        "infant-conflict"
    ]


def test_a_birth_weight_is_never_a_body_weight() -> None:
    entry = entry_of(observation("8339-4", valueQuantity=quantity(2500, "g")))
    assert entry["observations"] == []


def test_a_birth_date_and_time_more_than_a_day_apart_leave_birth_unknown() -> None:
    entry = entry_of(load("birth-swapped.json"))
    assert entry["infant"] == {"id": "T-105", "sex": "female"}
    assert remarks(entry) == [("birth-conflict", "/birthDate", "birthDate, patient-birthTime", "birth")]


@pytest.mark.parametrize("date", ["2026-03-01", "2026-03-02", "2026-03-03"])
def test_a_birth_time_on_a_neighbouring_date_is_a_matter_of_zones(date: str) -> None:
    time = {"url": "http://hl7.org/fhir/StructureDefinition/patient-birthTime", "valueDateTime": "2026-03-02T23:30:00Z"}
    entry = entry_of(patient(birthDate=date, _birthDate={"extension": [time]}))
    assert entry["infant"]["birth"] == "2026-03-02T23:30:00Z"


def test_a_birth_date_without_a_day_leaves_birth_unknown() -> None:
    entry = entry_of(patient(birthDate="2026-03"))
    assert "birth" not in entry["infant"]
    assert reasons(entry) == ["birth-partial"]


def test_sex_comes_from_gender_or_from_an_extension_that_the_site_maps() -> None:
    url = "http://codes.thornmere.example/extensions/sex"
    female = {"extension": [{"url": url, "valueCode": "F"}]}
    assert "sex" not in entry_of(patient())["infant"]
    assert "sex" not in entry_of(patient(**female), STANDARD)["infant"]
    assert entry_of(patient(**female))["infant"]["sex"] == "female"
    assert entry_of(patient(gender="other"))["infant"]["sex"] == "unknown"
    conflict = entry_of(patient(gender="male", **female))
    assert (conflict["infant"]["sex"], reasons(conflict)) == ("unknown", ["sex-conflict"])
    unknown = entry_of(patient(extension=[{"url": url, "valueCode": "X"}]))
    assert reasons(unknown) == ["code-unmapped"]


def test_a_contained_patient_is_the_infant_of_its_observation() -> None:
    entry = entry_of(load("contained.json"))
    assert entry["infant"] == {"birth": "2026-03-02T04:20:00+01:00", "sex": "female"}
    assert len(entry["observations"]) == 1


# --- whose ---------------------------------------------------------------------------------------------------------


def test_readings_of_two_infants_are_refused_and_both_are_named() -> None:
    with pytest.raises(Refused) as refused:
        to_entry(load("twins.json"))
    (problem,) = refused.value.problems
    assert (problem.code, problem.found) == ("FH-120", "Observations about Patient/T-201 and Patient/T-202")


def test_a_twin_without_readings_is_set_aside() -> None:
    entry = entry_of(load("one-twin.json"))
    assert (entry["infant"]["id"], entry["infant"]["order"]) == ("T-202", 2)
    assert remarks(entry) == [("other-subject", "/entry/0/resource", "Patient/T-201", None)]


def test_what_names_a_parent_another_server_or_nobody_is_never_the_infants() -> None:
    entry = entry_of(load("parent-and-infant.json"))
    assert entry["infant"]["id"] == "T-301"
    assert [one["value"] for one in entry["observations"]] == [139]
    assert [found for _, _, found, _ in remarks(entry)] == [
        "Patient/T-300",
        "Patient/T-999",
        "no reference",
        "http://elsewhere.example/fhir/Patient/T-301",
        "Patient/T-300",
        "Patient/T-300",
    ]


def test_bare_readings_of_two_subjects_are_refused() -> None:
    with pytest.raises(Refused) as refused:
        to_entry(join([observation(**of("T-1")), observation(**of("T-2"))]))
    assert refused.value.problems[0].found == "Observations about Patient/T-1 and Patient/T-2"


def test_bare_readings_without_a_patient_have_no_age() -> None:
    entry = entry_of(join([observation(**of("T-1")), observation()]))
    assert entry["infant"] == {"id": "T-1"}
    assert len(entry["observations"]) == 1
    assert remarks(entry) == [("other-subject", "/entry/1/resource/subject", "no reference", None)]


@pytest.mark.parametrize(
    ("patient_url", "observation_url", "reference", "joined"),
    [
        (None, None, "Patient/T-104", True),
        (None, None, "Patient/T-104/_history/3", True),
        (None, None, "Patient/T-1044", False),
        (None, None, "Group/T-104", False),
        (None, None, "T-104", False),
        (None, None, "http://a.example/fhir/Patient/T-104", False),
        ("http://a.example/fhir/Patient/T-104", None, "http://a.example/fhir/Patient/T-104", True),
        ("http://a.example/fhir/Patient/T-104", None, "Patient/T-104", True),
        ("http://a.example/fhir/Patient/T-104", "http://a.example/fhir/Observation/o", "Patient/T-104", True),
        ("http://a.example/fhir/Patient/T-104", "http://b.example/fhir/Observation/o", "Patient/T-104", False),
        ("urn:uuid:11111111-2222-3333-4444-555555555555", None, "urn:uuid:11111111-2222-3333-4444-555555555555", True),
        ("urn:uuid:11111111-2222-3333-4444-555555555555", None, "urn:uuid:11111111-2222-3333-4444-555555555556", False),
        (None, None, "#T-104", False),
    ],
)
def test_a_reference_joins_only_what_it_names(
    patient_url: str | None, observation_url: str | None, reference: str, joined: bool
) -> None:
    reading = observation(id="o", subject={"reference": reference})
    pairs = [(patient_url, patient()), (observation_url, reading)]
    entries = [{"fullUrl": url, "resource": one} if url else {"resource": one} for url, one in pairs]
    entry = entry_of({"resourceType": "Bundle", "type": "collection", "entry": entries})
    assert len(entry["observations"]) == joined
    assert reasons(entry) == ([] if joined else ["other-subject"])


def test_an_identifier_joins_where_system_and_value_are_those_of_the_patient() -> None:
    number = {"system": "http://thornmere.example/numbers", "value": "104"}
    baby = patient(identifier=[number])
    same, other = {"identifier": number}, {"identifier": number | {"value": "105"}}
    assert len(entry_of(join([baby, observation(subject=same)]))["observations"]) == 1
    assert len(entry_of(join([baby, observation(subject=other)]))["observations"]) == 0


def test_contained_patients_of_two_readings_are_one_infant_only_by_an_identifier() -> None:
    number = {"system": "http://thornmere.example/numbers", "value": "104"}
    named = [
        observation(contained=[patient(id="p", identifier=[number])], subject={"reference": "#p"}) for _ in range(2)
    ]
    assert len(entry_of(join(named))["observations"]) == 2
    nameless = [observation(contained=[patient(id="p")], subject={"reference": "#p"}) for _ in range(2)]
    with pytest.raises(Refused):
        to_entry(join(nameless))


# --- versions and status -------------------------------------------------------------------------------------------


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


# --- times ---------------------------------------------------------------------------------------------------------


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


# --- refusals ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("resource", "code", "place"),
    [
        ({"resourceType": "Encounter", "id": "e"}, "FH-101", "/"),
        ({"resourceType": 7}, "FH-101", "/"),
        ([], "FH-101", "/"),
        ({"resourceType": "OperationOutcome", "issue": []}, "FH-102", "/"),
        ({"resourceType": "Bundle", "type": "document"}, "FH-103", "/type"),
        (join([{"resourceType": "Bundle", "type": "history"}]), "FH-103", "/entry/0/resource/type"),
        ({"resourceType": "Bundle"}, "FH-111", "/"),
        ({"resourceType": "Bundle", "type": "collection", "entry": [{"resource": {}}]}, "FH-111", "/entry/0/resource"),
        (observation(code=None), "FH-110", "/code"),
        (observation(code={"coding": {}}), "FH-110", "/code/coding"),
        (observation(component=[]), "FH-110", "/component"),
        (observation(component=[7]), "FH-110", "/component/0"),
        (observation(id="T 104"), "FH-110", "/id"),
        (observation(valueQuantity=quantity("46", "/min")), "FH-110", "/valueQuantity/value"),
        (observation(valueQuantity=quantity(46.0, "/min")), "FH-110", "/valueQuantity/value"),
        (observation(valueQuantity=quantity(True, "/min")), "FH-110", "/valueQuantity/value"),
        (observation(subject="Patient/T-104"), "FH-110", "/subject"),
        (without(observation(), "status"), "FH-111", "/"),
        (observation(status="finished"), "FH-112", "/status"),
        (observation(valueQuantity=quantity(46, "/min") | {"comparator": "~"}), "FH-112", "/valueQuantity/comparator"),
        (patient(gender="girl"), "FH-112", "/gender"),
        (patient(birthDate="2026-02-30"), "FH-113", "/birthDate"),
        (patient(birthDate="2026-03-02T04:20:00+01:00"), "FH-113", "/birthDate"),
        (observation(when="2026-03-20T10:00:00"), "FH-113", "/effectiveDateTime"),
        (observation(when="2026-03-20T24:00:00Z"), "FH-113", "/effectiveDateTime"),
        (observation(when=None, effectivePeriod={"start": TEN, "end": "2026-03-19"}), "FH-115", "/effectivePeriod"),
        (observation(contained=[patient(gender=[])]), "FH-112", "/contained/0/gender"),
    ],
)
def test_what_is_malformed_is_refused_at_its_place(resource: object, code: str, place: str) -> None:
    with pytest.raises(Refused) as refused:
        to_entry(resource)
    assert [(one.code, one.place) for one in refused.value.problems] == [(code, place)]
    assert refused.value.subject == "entry"


def test_every_fault_of_every_resource_is_told_at_once() -> None:
    with pytest.raises(Refused) as refused:
        to_entry(join([patient(birthDate="soon", gender=3), observation(status=None, component={})]))
    assert [one.place for one in refused.value.problems] == [
        "/entry/0/resource/gender",
        "/entry/0/resource/birthDate",
        "/entry/1/resource/status",
        "/entry/1/resource/component",
    ]
    with pytest.raises(Refused) as numbers:
        to_entry(join([observation(valueQuantity=quantity(-1, "/min")) for _ in range(2)]))
    assert len(numbers.value.problems) == 2


def test_a_refusal_never_repeats_what_may_be_personal() -> None:
    secret = "Wrenna Thistlewood"
    for resource in (
        patient(gender=secret),
        observation(id=secret),
        observation(when=secret),
        patient(birthDate=secret),
    ):
        with pytest.raises(Refused) as refused:
            to_entry(resource)
        assert secret not in str(refused.value)


def test_names_notes_and_displays_never_reach_the_entry() -> None:
    secret = "Wrenna Thistlewood"
    baby = patient(name=[{"text": secret}], contact=[{"name": {"text": secret}}], text={"div": secret})
    told = observation(
        code={"coding": [{"system": LOINC, "code": "9279-1", "display": secret}], "text": secret},
        subject={"reference": "Patient/T-104", "display": secret},
        note=[{"text": secret}],
        performer=[{"display": secret}],
        valueString=secret,
        bodySite={"text": secret},
    )
    assert secret not in json.dumps(entry_of(join([baby, told])), default=str)


def test_whether_something_is_fhir_is_told_by_its_resource_type() -> None:
    assert is_fhir({"resourceType": "Encounter"})
    assert not is_fhir({"infant": {}, "observations": []})
    assert not is_fhir([])


# --- anything ------------------------------------------------------------------------------------------------------

PIECES = st.sampled_from(
    [None, True, 0, -1, 7, Decimal("1E-300"), "", "final", "T-104", TEN, "2026-03", [], [{}], {}, {"coding": [{}]}]
)
ELEMENTS = sorted({name for shape in SHAPES.values() for name in shape})


@st.composite
def damaged(draw: st.DrawFn) -> Any:
    """A file of ours in which some elements are taken away, replaced or added."""
    data = copy.deepcopy(load(draw(st.sampled_from(sorted(path.name for path in FHIR.iterdir())))))
    for _ in range(draw(st.integers(1, 4))):
        node = data
        while True:
            inner = [
                value
                for value in (node.values() if isinstance(node, dict) else node)
                if value and isinstance(value, dict | list)
            ]
            if not inner or (draw(st.booleans()) and node is not data):
                break
            node = draw(st.sampled_from(inner))
        if isinstance(node, list):
            node[draw(st.integers(0, len(node) - 1))] = draw(PIECES)
        elif draw(st.booleans()) and node:
            node.pop(draw(st.sampled_from(sorted(node))))
        else:
            node[draw(st.sampled_from(ELEMENTS))] = draw(PIECES)
    return data


@given(damaged())
def test_whatever_comes_is_refused_or_becomes_an_entry_that_the_reader_takes(data: Any) -> None:
    try:
        entry = to_entry(data, THORNMERE)
    except Refused as refused:
        assert all(one.code.startswith("FH-") and one.place.startswith("/") for one in refused.problems)
        return
    read_entry(entry)
    assert {one["reason"] for one in entry.get("remarks", [])} <= REASONS.keys()


@given(damaged())
def test_the_same_input_gives_the_same_entry_and_is_left_as_it_was(data: Any) -> None:
    before = copy.deepcopy(data)
    answers = []
    for _ in range(2):
        try:
            answers.append(to_entry(data, THORNMERE))
        except Refused as refused:
            answers.append(refused.problems)
    assert answers[0] == answers[1]
    assert data == before
