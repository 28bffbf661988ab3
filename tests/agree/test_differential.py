"""Plain and durable-rules tell the same, at every cut, on random and on boundary entries."""

from __future__ import annotations

from itertools import islice

import pytest

from cds.entry.read import read_entry
from cds.infer.agree import Evaluators
from cds.judge.derive import derive
from cds.judge.view import View
from cds.rules.model import RuleSet
from cds.values import Rank
from tests.agree.differ import Seen, compare_all, untrimmed
from tests.boundary import boundary
from tests.chance import Seeded
from tests.invented import Data, invent, tables_of

pytestmark = pytest.mark.durable_rules

SEED = 20261125
RANDOM, PARTS = 5_000, 8
"""Random entries, and the parts in which all entries are compared, so that workers share them."""


def random_entry(place: int, rules: RuleSet) -> Data:
    return invent(Seeded(f"{SEED}/{place}"), tables_of(rules))


@pytest.mark.parametrize("part", range(PARTS))
def test_random_entries(part: int, evaluators: Evaluators, rules: RuleSet) -> None:
    tables = tables_of(rules)
    places = range(part, RANDOM, PARTS)
    made = ((f"entry {SEED}/{place}", read_entry(invent(Seeded(f"{SEED}/{place}"), tables))) for place in places)
    seen = compare_all(evaluators, rules, made, Seen())
    assert seen.differences == []
    assert seen.verdicts == len(places) * len(rules.rules)


@pytest.mark.parametrize("part", range(PARTS))
def test_boundary_entries(part: int, evaluators: Evaluators, rules: RuleSet) -> None:
    made = islice(boundary(rules), part, None, PARTS)
    seen = compare_all(evaluators, rules, ((name, read_entry(entry)) for name, entry in made), Seen())
    assert seen.differences == []
    assert seen.entries > 500


def test_facts_left_out_of_a_batch_change_nothing(evaluators: Evaluators, rules: RuleSet) -> None:
    for place in range(250):
        entry = read_entry(random_entry(place, rules))
        assert list(untrimmed(evaluators, entry, rules)) == [], place


def test_random_entries_reach_the_rules(evaluators: Evaluators, rules: RuleSet) -> None:
    tables = tables_of(rules)
    made = ((str(place), read_entry(invent(Seeded(f"reach/{place}"), tables))) for place in range(400))
    seen = compare_all(evaluators, rules, made, Seen())
    assert len(seen.never(Rank.MET)) < 0.5 * len(rules.rules)
    assert len(seen.never(Rank.POSSIBLE)) < 0.5 * len(rules.rules)


def test_boundary_entries_name_every_limit_on_three_sides(rules: RuleSet) -> None:
    names = {name.split(", ", 3)[0:3].__str__() for name, _ in boundary(rules)}
    limits = [(each.id, band.band.id) for each in rules.thresholds.values() for band in each.bands if band.limit]
    wanted = {str([*limit, side]) for limit in limits for side in ("below", "at", "above")}
    reachable = {each for each in wanted if "'respiratory-rate-zero'" not in each or "'below'" not in each}
    assert wanted - names == wanted - reachable


def test_boundary_entries_come_to_the_totals_of_scores(rules: RuleSet) -> None:
    for name, entry in boundary(rules):
        threshold = rules.thresholds[name.split(",")[0]]
        if threshold.quantity in rules.scores and ", at," in name:
            total = derive(threshold.quantity, View(read_entry(entry), rules)).low
            limits = {each.limit.position for each in threshold.bands if each.limit}
            assert total in limits, name
