"""Mapping files: what they add to the standard codes, and what is wrong with them, in five fields."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from cds.entry.codes import read_codes
from cds.entry.fhir import STANDARD, to_entry
from cds.entry.fhir.meanings import Meaning, Place
from cds.errors import Refused
from cds.shipped import shipped
from tests.fhir_input import UCUM, observation, quantity

SIGNS = "http://codes.thornmere.example/signs"
BASE: dict[str, Any] = {"codes": "ward", "title": "A ward", "systems": {"ward": SIGNS}}
NF = {"system": "ward", "code": "NF", "observation": "nasal-flaring"}
YES = [{"boolean": True, "means": "present"}]


@pytest.fixture
def write(tmp_path: Path) -> Any:
    def write(**sections: Any) -> Path:
        path = tmp_path / "ward.json"
        path.write_text(json.dumps(BASE | sections), encoding="utf-8")
        return path

    return write


def test_the_worked_example_has_no_fault_and_keeps_every_standard_code() -> None:
    codes = read_codes(shipped("rulesets") / "codes" / "thornmere.json")
    assert STANDARD.observations.items() <= codes.observations.items()
    assert codes.id == "thornmere"


def test_the_schema_is_a_schema() -> None:
    schema = json.loads((shipped("schemas") / "codes.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)


def test_each_section_adds_what_it_says(write: Any) -> None:
    path = write(
        value_lists={"yes": YES},
        observations=[NF | {"values": "yes"}, NF | {"code": "NF2", "grade": "marked"}],
        panels=[{"system": "ward", "code": "P", "title": "effort", "parts": ["nasal-flaring"]}],
        contexts=[{"system": "ward", "code": "S", "context": "counted_seconds"}],
        places=[{"system": "ward", "code": "L", "of": ["body-temperature"], "context": "route", "means": "oral"}],
        care=[{"system": "ward", "code": "C", "care": "warmth", "values": [{"integer": 1, "means": "incubator"}]}],
        infant=[{"system": "ward", "code": "G", "field": "gestation"}],
        units=[{"system": "ucum", "code": "[bpm]", "unit": "/min"}],
        patient_extensions=[{"url": "urn:x", "field": "sex", "values": [{"code": "F", "means": "female"}]}],
        observation_extensions=[
            {"url": "urn:y", "context": "state", "values": [{"system": "ward", "code": "Z", "means": "drowsy"}]}
        ],
    )
    codes = read_codes(path)
    present = {("boolean", True): "present"}
    assert codes.observations[SIGNS, "NF"] == Meaning("observation", "nasal-flaring", values=present)
    assert codes.observations[SIGNS, "NF2"].grade == "marked"
    assert codes.observations[SIGNS, "P"].parts == {"nasal-flaring"}
    assert codes.observations[SIGNS, "S"] == Meaning("context", "counted_seconds")
    assert codes.observations[SIGNS, "C"].values == {("integer", 1): "incubator"}
    assert codes.observations[SIGNS, "G"] == Meaning("infant", "gestation")
    assert codes.places[(SIGNS, "L"), "body-temperature"] == Place("route", "oral")
    assert codes.units == {(UCUM, "[bpm]"): "/min"}
    assert codes.on_patient["urn:x"].values == {("", "F"): "female"}
    assert codes.on_observation["urn:y"].values == {(SIGNS, "Z"): "drowsy"}


def test_a_row_written_twice_alike_is_one_row(write: Any) -> None:
    row = NF | {"values": YES}
    assert (SIGNS, "NF") in read_codes(write(observations=[row, row])).observations


def test_a_mapped_unit_is_read_as_the_unit_it_stands_for(write: Any) -> None:
    codes = read_codes(write(units=[{"system": "ucum", "code": "{breaths}/min", "unit": "/min"}]))
    resource = observation(valueQuantity=quantity(46, "{breaths}/min"))
    assert to_entry(resource, codes)["observations"] == [{"code": "respiratory-rate", "value": 46, "unit": "/min"}]
    (unread,) = to_entry(resource)["observations"]  # type: ignore[misc]
    assert unread["unusable"] == "unit-unmapped"


PLACE = {"system": "ward", "code": "L", "of": ["body-temperature"], "context": "route", "means": "oral"}
STATE = {"system": "ward", "code": "S", "context": "state", "values": [{"integer": 1, "means": "drowsy"}]}

WRONG: list[tuple[dict[str, Any], tuple[str, str, str, str, str]]] = [
    (
        {"observations": [NF | {"values": YES, "obs": 1}]},
        (
            "CM-103",
            "/observations/0",
            "key `obs`",
            "keys code, context, grade, observation, remarks, system, values",
            "use one of these keys",
        ),
    ),
    (
        {"observations": [{"system": "ward", "code": "NF"}]},
        ("CM-103", "/observations/0", "no `observation`", "`observation`", "add `observation`"),
    ),
    (
        {"observations": {}},
        ("CM-103", "/observations", "an object", "a list", "see schemas/codes.schema.json"),
    ),
    (
        {"observations": [NF | {"values": YES, "grade": "Marked Flaring"}]},
        (
            "CM-103",
            "/observations/0/grade",
            "a text of 14 characters",
            "a text of the form ^[a-z][a-z0-9-]{0,59}$",
            "see schemas/codes.schema.json",
        ),
    ),
    (
        {"observations": [NF | {"system": "wards", "values": YES}]},
        (
            "CM-201",
            "/observations/0/system",
            "`wards`",
            "one of loinc, snomed, ucum, ward",
            "write `ward`, if that is meant",
        ),
    ),
    (
        {"observations": [NF | {"observation": "nasal-flarring", "values": YES}]},
        (
            "CM-202",
            "/observations/0/observation",
            "`nasal-flarring`",
            "a code of the vocabulary",
            "write `nasal-flaring`, if that is meant",
        ),
    ),
    (
        {"panels": [{"system": "ward", "code": "P", "title": "effort", "parts": ["grunts"]}]},
        ("CM-202", "/panels/0/parts/0", "`grunts`", "a code of the vocabulary", "write `grunting`, if that is meant"),
    ),
    (
        {"places": [PLACE | {"of": ["temperature"]}]},
        (
            "CM-202",
            "/places/0/of/0",
            "`temperature`",
            "a code of the vocabulary",
            "write `body-temperature`, if that is meant",
        ),
    ),
    (
        {"observations": [NF | {"values": [{"integer": 3, "means": "severe"}]}]},
        (
            "CM-203",
            "/observations/0/values/0/means",
            "`severe`",
            "one of absent, minimal, marked, present",
            "use one of these words",
        ),
    ),
    (
        {"observations": [NF | {"grade": "severe"}]},
        (
            "CM-203",
            "/observations/0/grade",
            "`severe`",
            "one of absent, minimal, marked, present",
            "use one of these words",
        ),
    ),
    (
        {"value_lists": {"yes": YES}, "observations": [NF | {"values": "yess"}]},
        ("CM-203", "/observations/0/values", "`yess`", "one of yes", "write `yes`, if that is meant"),
    ),
    (
        {
            "observations": [
                {"system": "ward", "code": "T", "observation": "body-temperature", "context": {"route": "ear"}}
            ]
        },
        (
            "CM-203",
            "/observations/0/context/route",
            "`ear`",
            "one of axillary, rectal, tympanic, oral, temporal, skin, core",
            "use one of these words",
        ),
    ),
    (
        {"places": [PLACE | {"means": "armpit"}]},
        (
            "CM-203",
            "/places/0/means",
            "`armpit`",
            "one of axillary, rectal, tympanic, oral, temporal, skin, core",
            "use one of these words",
        ),
    ),
    (
        {"care": [{"system": "ward", "code": "C", "care": "cooling", "values": YES}]},
        (
            "CM-203",
            "/care/0/care",
            "`cooling`",
            "one of breathing_support, warmth, feeding_route",
            "use one of these words",
        ),
    ),
    (
        {"places": [PLACE | {"context": "site"}]},
        (
            "CM-204",
            "/places/0/context",
            "`site`, which body-temperature does not carry as a word",
            "one of route",
            "correct the key",
        ),
    ),
    (
        {"contexts": [STATE | {"context": "states"}]},
        ("CM-204", "/contexts/0/context", "`states`", "one of {keys}", "write `state`, if that is meant"),
    ),
    (
        {"observations": [NF]},
        (
            "CM-205",
            "/observations/0",
            "a sign without `values` and `grade`",
            "`values` or `grade` for a sign, neither for a value",
            "correct the row",
        ),
    ),
    (
        {"contexts": [{"system": "ward", "code": "S", "context": "rhythm"}]},
        (
            "CM-205",
            "/contexts/0",
            "`rhythm` without `values`",
            "`values` for the words regular, varies-with-breathing, fixed, irregular",
            "correct the row",
        ),
    ),
    (
        {"contexts": [STATE | {"context": "counted_seconds"}]},
        (
            "CM-205",
            "/contexts/0",
            "`counted_seconds` with `values`",
            "no `values`: it is a number or a time",
            "correct the row",
        ),
    ),
    (
        {"observations": [NF | {"values": YES}, NF | {"grade": "marked"}]},
        ("CM-206", "/observations/1", "a code with two meanings", "each code once", "keep one of the rows"),
    ),
    (
        {"observations": [NF | {"values": [*YES, {"boolean": True, "means": "absent"}]}]},
        ("CM-206", "/observations/0/values/1", "a value with two meanings", "each value once", "keep one of them"),
    ),
    (
        {"observations": [{"system": "loinc", "code": "8867-4", "observation": "respiratory-rate"}]},
        (
            "CM-207",
            "/observations/0",
            "a standard code with another meaning",
            "its standard meaning",
            "leave the row out",
        ),
    ),
    (
        {"observations": [{"system": "loinc", "code": "8289-1", "observation": "head-circumference"}]},
        (
            "CM-207",
            "/observations/0",
            "a standard code with another meaning",
            "its standard meaning",
            "leave the row out",
        ),
    ),
    (
        {"units": [{"system": "ucum", "code": "kg", "unit": "g"}]},
        ("CM-207", "/units/0", "a UCUM code for another unit", "the unit itself", "leave the row out"),
    ),
    (
        {"infant": [{"system": "loinc", "code": "18185-8", "field": "gestation"}]},
        (
            "CM-208",
            "/infant/0/code",
            "`18185-8`",
            "a LOINC code with its check digit",
            "compare the code with LOINC's own page",
        ),
    ),
    (
        {"units": [{"system": "ward", "code": "bpm", "unit": "bpm"}]},
        ("CM-209", "/units/0/unit", "`bpm`", "one of {units}", "use one of these words"),
    ),
    (
        {"observations": [NF | {"values": [{"boolean": True, "integer": 1, "means": "present"}]}]},
        (
            "CM-210",
            "/observations/0/values/0",
            "a value that says none or several",
            "one of code, boolean, integer",
            "make a value of each",
        ),
    ),
]


@pytest.mark.parametrize(("sections", "said"), WRONG, ids=[f"{said[0]}{said[1]}" for _, said in WRONG])
def test_a_fault_is_told_in_five_fields(write: Any, sections: dict[str, Any], said: tuple[str, ...]) -> None:
    with pytest.raises(Refused) as refused:
        read_codes(write(**copy.deepcopy(sections)))
    assert refused.value.subject == "codes"
    (problem,) = refused.value.problems
    code, place, found, expected, following = said
    assert (problem.code, problem.place, problem.found, problem.next) == (code, f"ward.json:{place}", found, following)
    assert problem.expected == expected or "{" in expected


def test_all_faults_are_told_at_once(write: Any) -> None:
    with pytest.raises(Refused) as refused:
        read_codes(write(observations=[NF, NF | {"system": "x"}], units=[{"system": "y", "code": "z", "unit": "w"}]))
    assert [problem.code for problem in refused.value.problems] == ["CM-205", "CM-201", "CM-205", "CM-201", "CM-209"]


def test_a_file_that_is_no_strict_json_is_refused_at_its_place(tmp_path: Path) -> None:
    path = tmp_path / "ward.json"
    with pytest.raises(Refused, match="CM-101"):
        read_codes(path)
    path.write_text('{"codes": "a", "codes": "b"}', encoding="utf-8")
    with pytest.raises(Refused) as refused:
        read_codes(path)
    (problem,) = refused.value.problems
    assert (problem.code, problem.place, problem.found) == ("CM-102", "ward.json:/codes", "key `codes` more than once")
