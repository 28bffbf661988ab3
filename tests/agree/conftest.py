"""The shipped rule set, loaded once, with an adviser and both evaluators on it."""

from __future__ import annotations

from pathlib import Path

import pytest

from cds.adviser import Adviser
from cds.rules.load import load
from cds.rules.model import RuleSet
from tests.invented import Tables, tables_of

RULES = Path(__file__).parents[2] / "rulesets" / "infant-vitals"


@pytest.fixture(scope="session")
def rules() -> RuleSet:
    return load(RULES)


@pytest.fixture(scope="session")
def adviser(rules: RuleSet) -> Adviser:
    return Adviser(rules)


@pytest.fixture(scope="session")
def plain(rules: RuleSet) -> Adviser:
    """An adviser with the plain evaluator alone, for tests of what the rules mean."""
    alone = Adviser(rules)
    alone.evaluators.engine = None
    return alone


@pytest.fixture(scope="session")
def tables(rules: RuleSet) -> Tables:
    return tables_of(rules)
