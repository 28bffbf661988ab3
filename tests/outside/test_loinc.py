"""LOINC codes of the FHIR reader, beside what their publishers print.

Check digit: LOINC Users' Guide, appendix on check digits (Luhn, modulo 10). Codes and units of vital signs: HL7 FHIR
R4 (4.0.1), Vital Signs Profile, table of required codes; mean pressure is not in that table, and LOINC itself prints
mm[Hg] for 8478-0.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cds.entry.codes_file import is_loinc
from cds.entry.fhir import to_entry
from cds.entry.fhir.known import LOINC_CODES
from tests.fhir_input import observation, quantity

ROOT = Path(__file__).parents[2]
WRITTEN = re.compile(r"(?<![\w.-])\d{3,6}-\d(?![\w.-])")
PLACES = ("cds/entry/fhir/*.py", "rulesets/codes/*.json", "docs/fhir.md", "tests/fhir/*", "tests/parts/test_fhir*.py")

VITAL_SIGNS = [
    ("9279-1", "respiratory-rate", ["/min"]),
    ("8867-4", "heart-rate", ["/min"]),
    ("2708-6", "oxygen-saturation", ["%"]),
    ("8310-5", "body-temperature", ["Cel", "[degF]"]),
    ("8302-2", "body-length", ["cm", "[in_i]"]),
    ("9843-4", "head-circumference", ["cm", "[in_i]"]),
    ("29463-7", "body-weight", ["g", "kg", "[lb_av]"]),
    ("8480-6", "systolic-pressure", ["mm[Hg]"]),
    ("8462-4", "diastolic-pressure", ["mm[Hg]"]),
    ("8478-0", "mean-pressure", ["mm[Hg]"]),
]


def check_digit(number: str) -> int:
    """As the guide writes it: the digits at odd places from the right, as one number, twice; plus the others."""
    odd, even = number[::-1][::2], number[::-1][1::2]
    doubled = str(2 * int(odd[::-1]))
    total = sum(map(int, doubled)) + sum(map(int, even))
    return -total % 10


def written() -> list[str]:
    files = (path for pattern in PLACES for path in ROOT.glob(pattern))
    return sorted({code for path in files for code in WRITTEN.findall(path.read_text(encoding="utf-8"))})


def test_the_search_finds_every_code_that_the_reader_knows() -> None:
    assert set(LOINC_CODES) <= set(written())


@pytest.mark.parametrize("code", written())
def test_every_loinc_code_in_the_sources_has_its_check_digit(code: str) -> None:
    number, digit = code.split("-")
    assert check_digit(number) == int(digit)
    assert is_loinc(code)


@pytest.mark.parametrize("code", ["9279-2", "8876-4", "9297-1", "8867", "8867-44", "A867-4", "8867-4 ", "-4", ""])
def test_a_slip_in_a_code_is_told_by_its_check_digit(code: str) -> None:
    assert not is_loinc(code)


@pytest.mark.parametrize(("code", "name", "units"), VITAL_SIGNS)
def test_vital_signs_are_read_in_each_unit_of_their_profile(code: str, name: str, units: list[str]) -> None:
    for unit in units:
        (read,) = to_entry(observation(code, valueQuantity=quantity(40, unit)))["observations"]  # type: ignore[misc]
        assert read == {"code": name, "value": 40, "unit": unit}
