"""FHIR R4: who the infant is, which readings are theirs, which version counts, and what was measured together."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.entry.fhir import STANDARD, join, to_entry
from cds.errors import Refused
from tests.fhir_input import (
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
    ]
    assert entry["remarks"][0]["words"].endswith("(3 times)")


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


def test_an_order_of_birth_beyond_belief_is_left_out() -> None:
    assert entry_of(patient(multipleBirthInteger=2))["infant"]["order"] == 2
    entry = entry_of(patient(multipleBirthInteger=40))
    assert ("order" not in entry["infant"], reasons(entry)) == (True, ["infant-value"])


def test_contained_patients_of_one_infant_that_disagree_leave_the_birth_unknown() -> None:
    number = {"system": "http://thornmere.example/numbers", "value": "104"}
    days = ("2026-03-02", "2026-03-12")
    babies = [patient(id="p", identifier=[number], birthDate=day) for day in days]
    entry = entry_of(join([observation(contained=[baby], subject={"reference": "#p"}) for baby in babies]))
    assert ("birth" not in entry["infant"], reasons(entry)) == (True, ["birth-conflict"])


def test_of_two_patients_of_unknown_age_with_readings_neither_is_chosen() -> None:
    unborn = [without(patient(id=name), "birthDate") for name in ("T-1", "T-2")]
    with pytest.raises(Refused):
        to_entry(join([*unborn, observation(**of("T-1")), observation(**of("T-2"))]))


def test_a_focus_on_the_infant_themself_is_the_infants() -> None:
    entry = entry_of(join([patient(), observation(**of(focus=[{"reference": "Patient/T-104"}]))]))
    assert len(entry["observations"]) == 1


def test_a_gestation_not_obtained_and_a_withheld_one_are_no_gestation() -> None:
    absent = observation("76516-4", valueQuantity=quantity(30, "wk"), dataAbsentReason={"text": "unknown"})
    assert entry_of(absent)["infant"] == {}
    withheld = observation("76516-4", valueQuantity=quantity(30, "wk"), status="cancelled")
    assert (entry_of(withheld)["infant"], reasons(entry_of(withheld))) == ({}, ["withheld"])


def test_a_reading_of_somebody_unknown_beside_two_patients_is_nobodys() -> None:
    entry = entry_of(join([patient(id="T-1"), patient(id="T-2"), observation(**of("T-9"))]))
    assert (entry["infant"], entry["observations"]) == ({}, [])
    assert [found for _, _, found, _ in remarks(entry)] == ["Patient/T-9", "Patient/T-1", "Patient/T-2"]


def test_a_reading_that_two_patients_answer_to_is_nobodys() -> None:
    patients = [{"fullUrl": f"http://{host}.example/fhir/Patient/T-104", "resource": patient()} for host in "ab"]
    bundle = {"resourceType": "Bundle", "type": "collection", "entry": [*patients, {"resource": observation(**of())}]}
    assert entry_of(bundle)["observations"] == []


def test_of_many_infants_three_are_named() -> None:
    with pytest.raises(Refused) as refused:
        to_entry(join([observation(**of(f"T-{number}")) for number in range(1, 6)]))
    assert (
        refused.value.problems[0].found == "Observations about Patient/T-1 and Patient/T-2 and Patient/T-3 and 2 more"
    )
