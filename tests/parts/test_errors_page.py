"""Each error code of a rule set has one line on its page, and no line speaks of a code that is never given."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WRONG = ROOT / "tests" / "wrong" / "rules"
# A megabyte of text and a frozen file that was changed: test_wrong_rules.py and test_seal.py.
SHOWN_ELSEWHERE = {"RS-101", "RS-117"}


def codes_given() -> set[str]:
    source = "".join(path.read_text("utf-8") for path in (ROOT / "cds").rglob("*.py"))
    return set(re.findall(r'"(RS-\d{3})"', source))


def codes_on_page() -> list[str]:
    page = (ROOT / "docs" / "errors.md").read_text("utf-8")
    return re.findall(r"^\| (RS-\d{3}) \| \S.* \| \S.* \|$", page, re.MULTILINE)


def test_the_page_has_one_line_for_each_code_that_is_given() -> None:
    assert codes_on_page() == sorted(codes_given())


def test_each_code_of_rule_files_has_a_wrong_file_that_earns_it() -> None:
    shown = {folder.name[:6].upper() for folder in WRONG.iterdir()} | SHOWN_ELSEWHERE
    assert {code for code in codes_given() if code < "RS-400"} <= shown
