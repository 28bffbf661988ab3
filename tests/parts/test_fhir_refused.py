"""FHIR R4 that is malformed or damaged: refused at its place, or read without a crash."""

from __future__ import annotations

import copy
import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.fhir import is_fhir, join, to_entry
from cds.entry.fhir.remarks import REASONS
from cds.entry.fhir.shapes import SHAPES
from cds.entry.read import read_entry
from cds.errors import Problem, Refused
from tests.fhir_input import (
    FHIR,
    LOINC,
    TEN,
    THORNMERE,
    entry_of,
    load,
    observation,
    patient,
    quantity,
    reasons,
    without,
)


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


PIECES = st.sampled_from(
    [None, True, 0, -1, 7, Decimal("1E-300"), "", "final", "T-104", TEN, "2026-03", [], [{}], {}, {"coding": [{}]}]
).map(copy.deepcopy)
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


def attempt(data: object) -> dict[str, Any] | tuple[Problem, ...]:
    try:
        return to_entry(data, THORNMERE)
    except Refused as refused:
        return refused.problems


@given(damaged())
def test_whatever_comes_is_refused_or_becomes_an_entry_that_the_reader_takes(data: Any) -> None:
    answer = attempt(data)
    if isinstance(answer, tuple):
        assert all(one.code.startswith("FH-") and one.place.startswith("/") for one in answer)
    else:
        read_entry(copy.deepcopy(answer))
        assert set(reasons(answer)) <= REASONS.keys()


@given(damaged())
def test_the_same_input_gives_the_same_answer_and_is_left_as_it_was(data: Any) -> None:
    before = copy.deepcopy(data)
    assert attempt(data) == attempt(data)
    assert data == before
