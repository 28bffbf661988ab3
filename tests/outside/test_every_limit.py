"""Every limit of the rule set stands beside what was published, in one of the files here."""

from __future__ import annotations

from collections import Counter
from importlib import import_module
from pathlib import Path

from cds.rules.model import RuleSet

FILES = sorted(path.stem for path in Path(__file__).parent.glob("test_*.py"))
TABLES = [
    getattr(import_module(f"tests.outside.{name}"), "PRINTED", {}) for name in FILES if name != Path(__file__).stem
]
CHECKED = Counter(threshold for table in TABLES for threshold in table)


def test_each_threshold_is_held_against_its_publication_once(rules: RuleSet) -> None:
    assert Counter(rules.thresholds.keys()) == CHECKED


def test_each_source_of_a_limit_is_a_listed_publication_with_a_year(rules: RuleSet) -> None:
    rows = [row for table in TABLES for printed in table.values() for row in printed.rows.values() if row]
    assert {source for _, source, _ in rows} <= rules.sources.keys()
    assert all(rules.sources[source].year > 1950 for _, source, _ in rows)
