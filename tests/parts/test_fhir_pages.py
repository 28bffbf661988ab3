"""The pages on FHIR input say what the code does: every error code, every remark, every standard code."""

from __future__ import annotations

import re
from pathlib import Path

from cds.entry.codes_file import CODES as MAPPING_CODES
from cds.entry.fhir.check import CODES as FHIR_CODES
from cds.entry.fhir.known import LOINC_CODES, SNOMED, STANDARD
from cds.entry.fhir.remarks import REASONS

ROOT = Path(__file__).parents[2]
ERRORS = (ROOT / "docs" / "errors-fhir.md").read_text(encoding="utf-8")
PAGE = (ROOT / "docs" / "fhir.md").read_text(encoding="utf-8")
SOURCES = "".join(
    path.read_text(encoding="utf-8") for path in [*ROOT.glob("cds/entry/fhir/*.py"), *ROOT.glob("cds/entry/codes*.py")]
)
NOT_READ = {"not-ours"}


def test_every_error_code_has_its_line_and_every_line_its_code() -> None:
    listed = dict(re.findall(r"^\| ((?:FH|CM)-\d{3}) \| (.+) \|$", ERRORS, flags=re.MULTILINE))
    assert listed == {**FHIR_CODES, **MAPPING_CODES}


def test_every_error_code_is_raised_somewhere_and_none_is_unlisted() -> None:
    raised = re.findall(r'[(,] "((?:FH|CM)-\d{3})"|add\("(CM-\d{3})"|word\("(CM-\d{3})"', SOURCES)
    assert {code for found in raised for code in found if code} == FHIR_CODES.keys() | MAPPING_CODES.keys()


def test_every_remark_has_its_line_and_every_line_its_remark() -> None:
    listed = dict(re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", PAGE.partition("## Remarks")[2], flags=re.MULTILINE))
    assert {reason: words for reason, words in listed.items() if reason in REASONS} == REASONS


def test_every_remark_is_made_somewhere() -> None:
    assert [reason for reason in REASONS if SOURCES.count(f'"{reason}"') < 2] == []


def test_every_code_that_is_read_is_on_the_page() -> None:
    read = [code for code in LOINC_CODES if STANDARD.observations["http://loinc.org", code].role not in NOT_READ]
    sites = [code for (system, code), _ in STANDARD.places if system == SNOMED]
    assert [code for code in read + sites if code not in PAGE] == []
