"""The shipped rule set, loaded once, with an adviser and both evaluators on it."""

from __future__ import annotations

from pathlib import Path

import pytest

from cds.adviser import Adviser
from cds.infer.agree import Evaluators
from cds.rules.load import load
from cds.rules.model import RuleSet

RULES = Path(__file__).parents[2] / "rulesets" / "infant-vitals"


@pytest.fixture(scope="session")
def rules() -> RuleSet:
    return load(RULES)


@pytest.fixture(scope="session")
def adviser(rules: RuleSet) -> Adviser:
    return Adviser(rules)


@pytest.fixture(scope="session")
def evaluators(adviser: Adviser) -> Evaluators:
    return adviser.evaluators
