"""durable-rules gives what rules over named facts mean: on random rules, at each limit, from several threads."""

from __future__ import annotations

import json
import random
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.infer import limits
from cds.infer.durable import Engine, available
from cds.infer.limits import EngineRule
from tests.agree.closures import CRITERIA, closure, fact_sets, rule_sets

pytestmark = pytest.mark.durable_rules

CHAIN = (
    EngineRule("rate", (("fast",), ("slow",)), "finding:rate"),
    EngineRule("work", (("indrawing",),), "finding:work"),
    EngineRule("both", (("finding:rate", "finding:work"),), "finding:both"),
    EngineRule("worse", (("finding:both", "asleep"), ("limp",)), "finding:worse"),
)


@contextmanager
def ready(rules: Sequence[EngineRule]) -> Iterator[Engine]:
    with closing(Engine(rules)) as engine:
        yield engine
        assert engine.rebuilds == 0
        assert engine.fault == ""


def agree(rules: Sequence[EngineRule], batches: Sequence[frozenset[str]]) -> None:
    with ready(rules) as engine:
        for facts in batches:
            assert engine.fired(facts) == closure(rules, facts)


def test_library_is_here() -> None:
    assert available()


@pytest.mark.parametrize(
    ("facts", "fired"),
    [
        ("", ""),
        ("asleep", ""),
        ("fast", "rate"),
        ("fast slow", "rate"),
        ("fast indrawing", "rate work both"),
        ("slow indrawing asleep", "rate work both worse"),
        ("limp", "worse"),
        ("finding:rate indrawing", "work both"),
        ("finding:both asleep fast", "rate worse"),
    ],
)
def test_findings_are_chained(facts: str, fired: str) -> None:
    with ready(CHAIN) as engine:
        assert engine.fired(frozenset(facts.split())) == set(fired.split())


def test_no_rules_fire_nothing() -> None:
    agree((), [frozenset(), frozenset({"fast"})])


def test_nothing_is_kept_from_one_call_to_the_next() -> None:
    with ready(CHAIN) as engine:
        assert "both" in engine.fired(frozenset({"fast", "indrawing"}))
        assert engine.fired(frozenset({"fast"})) == {"rate"}
        assert engine.fired(frozenset({"asleep"})) == frozenset()
        assert engine.fired(frozenset()) == frozenset()


@pytest.mark.parametrize("most_conditions", [14, limits.MOST_CONDITIONS])
@given(rules=rule_sets(), batches=st.lists(fact_sets(), min_size=1, max_size=8))
def test_random_rules_give_the_closure(
    most_conditions: int, rules: list[EngineRule], batches: list[frozenset[str]]
) -> None:
    with patch.object(limits, "MOST_CONDITIONS", most_conditions):
        agree(rules, batches)


@given(rules=rule_sets(), facts=fact_sets(), shuffle=st.randoms(use_true_random=False))
def test_order_of_rules_changes_nothing(rules: list[EngineRule], facts: frozenset[str], shuffle: random.Random) -> None:
    other = list(rules)
    shuffle.shuffle(other)
    with ready(rules) as first, ready(other) as second:
        assert first.fired(facts) == second.fired(facts)


def test_longest_list_fires_only_when_whole() -> None:
    rules = [EngineRule("long", (CRITERIA[: limits.MOST_FACTS],), "finding:long")]
    whole = frozenset(rules[0].branches[0])
    agree(rules, [whole, *(whole - {fact} for fact in whole), whole])


def test_fullest_set_of_conditions_is_one_set_and_the_next_is_two() -> None:
    for more, sets in ((0, 1), (1, 2)):
        rules = [EngineRule(f"r{n}", ((f"c{n}",),), f"finding:{n}") for n in range(limits.MOST_CONDITIONS - 1 + more)]
        assert len(limits.split(rules)) == sets
        agree(rules, [frozenset({rule.branches[0][0] for rule in rules}), frozenset({"c0", "c398", "c399"})])


def test_findings_pass_from_set_to_set() -> None:
    chain = [EngineRule("r0", (("c0", "start"),), "f0")]
    chain += [EngineRule(f"r{n}", ((f"f{n - 1}", f"c{n}"),), f"f{n}") for n in range(1, 500)]
    assert len(limits.split(chain)) == 3
    everything = frozenset({"start", *(f"c{n}" for n in range(500))})
    agree(chain, [everything, everything - {"c300"}, everything - {"start"}])


def test_most_crowded_condition_fires_each_of_its_rules() -> None:
    lists = limits.MOST_ON_CONDITION
    rules = [EngineRule(f"r{n}", (("shared", f"c{n}"),), f"finding:{n}") for n in range(lists)]
    agree(rules, [frozenset({"shared", "c0", "c199"}), frozenset({"shared", *(f"c{n}" for n in range(lists))})])


def test_most_branches_fire_in_one_set_and_past_it_in_two() -> None:
    names = [f"c{n}" for n in range(46)]
    pairs = [(one, other) for one in names for other in names if one < other][: limits.MOST_BRANCHES + 1]
    for more, sets in ((0, 1), (1, 2)):
        rules = [EngineRule(f"r{n}", (pair,), f"finding:{n}") for n, pair in enumerate(pairs[: len(pairs) - 1 + more])]
        assert len(limits.split(rules)) == sets
        agree(rules, [frozenset(names[:5]), frozenset(names)])


def test_every_printable_name_is_told_apart() -> None:
    signs = [chr(code) for code in range(0x20, 0x7F) if chr(code) not in '"\\']
    rules = [EngineRule(f"r{n}", ((f"is {sign} there",),), f"finding {sign}") for n, sign in enumerate(signs)]
    agree(rules, [frozenset(rule.branches[0]) for rule in rules])


def test_what_the_library_is_given_stays_inside_its_edges(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[str] = []
    create = engine_module().create_ruleset
    monkeypatch.setattr(engine_module(), "create_ruleset", lambda name, text: given.append(text) or create(name, text))
    choose = random.Random(7)
    names = [f"c{n}" for n in range(700)]
    rules = [EngineRule(f"r{n}", (tuple(choose.sample(names, 5)),), f"f{n}") for n in range(600)]
    with ready(rules):
        assert len(given) == len(limits.split(rules)) > 1
    for text in given:
        stays_inside(json.loads(text))


def stays_inside(rules: dict[str, Any]) -> None:
    frames = [frame for rule in rules.values() for frame in rule["all"]]
    conditions = {json.dumps(condition) for frame in frames for condition in frame.values()}
    assert len(conditions) <= limits.MOST_CONDITIONS
    assert {key for frame in frames for key in frame} <= {"m", *(f"f{n}" for n in range(limits.MOST_FACTS))}
    assert len([condition for condition in conditions if "$ex" in condition]) == 1, "a fact meets this and its own"
    assert max(rules, key=lambda rule: rules[rule].get("pri", 0)) == "last"


def test_each_thread_with_its_own_engine() -> None:
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda seed: agree(CHAIN, batches(seed)), range(4)))


def test_threads_share_one_engine() -> None:
    with ready(CHAIN) as engine, ThreadPoolExecutor(4) as pool:

        def ask(seed: int) -> list[bool]:
            return [engine.fired(facts) == closure(CHAIN, facts) for facts in batches(seed)]

        assert all(right for answers in pool.map(ask, range(8)) for right in answers)


def test_no_timer_is_started() -> None:
    before = set(threading.enumerate())
    with ready(CHAIN) as engine:
        engine.fired(frozenset({"fast"}))
        assert set(threading.enumerate()) == before


def test_facts_are_never_taken_out_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library reads past its own memory when it retracts facts over which a rule has fired."""
    taken: list[object] = []
    for name in ("retract_fact", "retract_facts"):
        monkeypatch.setattr(engine_module(), name, lambda *given: taken.append(given) or (0, 1))
    agree(CHAIN, batches(1))
    assert taken == []


def batches(seed: int) -> list[frozenset[str]]:
    choose = random.Random(seed)
    names = ["fast", "slow", "indrawing", "asleep", "limp"]
    return [frozenset(choose.sample(names, choose.randint(0, 5))) for _ in range(60)]


def engine_module() -> Any:
    import durable_rules_engine

    return durable_rules_engine
