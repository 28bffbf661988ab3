"""Meaning checks over all files of a rule set."""

from __future__ import annotations

from cds.errors import Problem
from cds.rules.sheets import Sheets


def check_meaning(sheets: Sheets) -> list[Problem]:
    """Every problem of meaning, file by file."""
    return []
