"""The golden cases of the shipped rule set through the plain evaluator alone.

Rules and cases are read once in a process: mutation testing asks them again and again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from cds import cases
from cds.adviser import Adviser
from cds.cases import Case
from cds.rules.load import load
from cds.rules.model import RuleSet
from cds.rules.sheets import read_cases
from cds.shipped import shipped

FOLDER = shipped("rulesets") / "infant-vitals"


@cache
def rule_set() -> RuleSet:
    """The shipped rules."""
    return load(FOLDER)


@cache
def golden() -> Mapping[str, tuple[Case, ...]]:
    """The cases of each sheet, by its name."""
    return {sheet.name: tuple(cases.cases_of(sheet)) for sheet in read_cases(FOLDER)}


@cache
def _plain(settings: tuple[tuple[str, str], ...]) -> Adviser:
    rules = rule_set()
    adviser = Adviser(replace(rules, settings={**rules.settings, **dict(settings)}))
    adviser.evaluators.engine = None
    return adviser


def misses(case: Case) -> list[str]:
    """What the plain evaluator answers otherwise than a case expects."""
    outcome = cases.run_case(case, _plain(tuple(sorted(case.settings.items()))))
    return [f"{case.id} {miss.about}: expected {miss.expected}, got {miss.got}" for miss in outcome.misses]
