"""Plain and durable-rules tell the same, at every cut, on random and on boundary entries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import pytest

from cds.adviser import Adviser
from cds.entry.model import Entry
from cds.entry.read import read_entry
from cds.judge.derive import derive
from cds.judge.view import View
from cds.rules.model import RuleSet
from cds.values import Rank
from tests.agree.differ import Pair, Remembering, Seen, compare_all, pair_of, untrimmed
from tests.boundary import boundary
from tests.chance import Seeded
from tests.invented import invent, tables_of

pytestmark = pytest.mark.durable_rules

SEED = 20261125
RANDOM, PARTS = 5_000, 8
"""Random entries, and the parts in which all entries are compared, so that workers share them."""


@pytest.fixture(scope="session")
def pair(adviser: Adviser) -> Pair:
    return pair_of(adviser)


def random_entries(rules: RuleSet, places: range, seed: int | str = SEED) -> Iterator[tuple[str, Entry]]:
    tables = tables_of(rules)
    for place in places:
        yield f"entry {seed}/{place}", read_entry(invent(Seeded(f"{seed}/{place}"), tables))


@pytest.mark.parametrize("part", range(PARTS))
def test_evaluators_agree_on_random_entries(part: int, pair: Pair) -> None:
    places = range(part, RANDOM, PARTS)
    seen = compare_all(pair, random_entries(pair.rules, places), Seen())
    assert seen.differences == []
    assert seen.verdicts == len(places) * len(pair.rules.rules)


@pytest.mark.parametrize("part", range(PARTS))
def test_evaluators_agree_on_every_boundary_entry(part: int, pair: Pair) -> None:
    made = islice(boundary(pair.rules), part, None, PARTS)
    asked_once = replace(pair, engine=Remembering(pair.engine))
    seen = compare_all(asked_once, ((name, read_entry(entry)) for name, entry in made), Seen())
    assert seen.differences == []
    assert seen.entries > 500


def test_facts_left_out_of_a_batch_change_nothing(pair: Pair) -> None:
    odd = {name: list(untrimmed(pair, entry)) for name, entry in random_entries(pair.rules, range(200))}
    assert {name: rules for name, rules in odd.items() if rules} == {}


def test_random_entries_reach_most_rules(pair: Pair) -> None:
    seen = compare_all(pair, random_entries(pair.rules, range(400), "reach"), Seen())
    for rank in (Rank.MET, Rank.POSSIBLE, Rank.UNKNOWN, Rank.NOT_MET):
        assert len(seen.never(rank)) < 0.5 * len(pair.rules.rules), rank


def test_boundary_entries_name_every_limit_on_three_sides(rules: RuleSet) -> None:
    limits = {(each.id, band.band.id) for each in rules.thresholds.values() for band in each.bands if band.limit}
    wanted = {(*limit, side) for limit in limits for side in ("below", "at", "above")}
    missed = wanted - {tuple(name.split(", ")[:3]) for name, _ in boundary(rules)}
    assert {limit[0] for limit in missed} <= {"respiratory-rate-zero"}, "only under zero nothing can be charted"
    assert {limit[2] for limit in missed} <= {"below"}


def test_boundary_entries_come_to_the_totals_of_scores(rules: RuleSet) -> None:
    totals: dict[str, set[int | None]] = {}
    for name, entry in boundary(rules):
        threshold, _, side = name.split(", ")[:3]
        score = rules.thresholds[threshold].quantity
        if score in rules.scores and side == "at":
            totals.setdefault(threshold, set()).add(derive(score, View(read_entry(entry), rules)).low)
    scored = [each for each in rules.thresholds.values() if each.quantity in rules.scores]
    assert totals == {each.id: {band.limit.position for band in each.bands if band.limit} for each in scored}
