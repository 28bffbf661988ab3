"""Every advice: the same bytes for the same entry, valid by its schema, its counts adding up."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator

from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.rules.load import freeze, load
from cds.rules.model import RuleSet
from tests.agree.conftest import RULES
from tests.agree.well_infants import well_infants
from tests.boundary import boundary
from tests.chance import Seeded
from tests.invented import Data, invent, tables_of

SCHEMA = Path(__file__).parents[2] / "schemas" / "advice.schema.json"
VALID = Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8")))


def some_entries(rules: RuleSet, number: int) -> Iterator[Data]:
    tables = tables_of(rules)
    yield from (invent(Seeded(f"holds/{place}"), tables) for place in range(number))
    yield from (entry for _, entry in islice(boundary(rules), 0, None, 8_000 // number))
    yield from well_infants(number // 4)


def said(adviser: Adviser, entry: Data) -> str:
    return json.dumps(adviser.advise(read_entry(entry)))


def test_the_same_entry_gives_the_same_bytes_again_from_another_adviser_and_from_the_frozen_file(
    adviser: Adviser, rules: RuleSet, tmp_path: Path
) -> None:
    frozen = tmp_path / "frozen.json"
    assert freeze(RULES, frozen) == rules.digest
    others = Adviser(load(RULES)), Adviser(load(frozen))
    for entry in some_entries(rules, 60):
        first = said(adviser, entry)
        assert [said(each, entry) for each in (adviser, *others)] == [first] * 3


def test_every_advice_is_valid_by_its_schema(adviser: Adviser, rules: RuleSet) -> None:
    for entry in some_entries(rules, 100):
        advice = json.loads(said(adviser, entry))
        faults = [f"{fault.json_path}: {fault.message[:200]}" for fault in VALID.iter_errors(advice)]
        assert faults == [], entry


def test_counts_add_up(adviser: Adviser, rules: RuleSet) -> None:
    for entry in some_entries(rules, 200):
        advice = adviser.advise(read_entry(entry))
        assert_counts(advice, len(rules.rules))


def assert_counts(advice: dict[str, Any], rules: int) -> None:
    counts, untold = advice["counts"], advice["not_evaluated"]
    made = [each for each in advice["findings"] if each["status"] not in ("closed-by-repeat", "withdrawn")]
    shown, status = {each["rule"] for each in made}, Counter(each["status"] for each in made)
    assert counts["rules"] == rules == counts["evaluated"] + counts["not_evaluated"]
    assert counts["raised"] == len(made) == len(shown)
    assert (counts["provisional"], counts["held"]) == (status["provisional"], status["held"])
    needed = [each["rule"] for each in untold["needed"]]
    listed = needed + untold["not_charted"]["rules"] + list(untold["outside"]["rules"])
    assert len(listed) == len(set(listed) - shown)
    assert len(listed) == len(needed) + untold["not_charted"]["count"] + untold["outside"]["count"]
    could_be = [each["rule"] for each in made if each["missing"]]
    assert counts["not_evaluated"] == len(listed) + len(could_be)
