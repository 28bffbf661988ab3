"""Rules are refused past each limit of the engine, with five fields, and accepted at it."""

from __future__ import annotations

import pytest

from cds.errors import Refused
from cds.infer import limits
from cds.infer.durable import Engine
from cds.infer.limits import EngineRule, check, fnv1a, split


def rule(name: str, *branches: str, gives: str = "finding:x") -> EngineRule:
    return EngineRule(name, tuple(tuple(facts.split()) for facts in branches), gives, f"rules/{name}.yaml:1")


def codes(*rules: EngineRule) -> list[str]:
    return [problem.code for problem in check(rules)]


@pytest.mark.parametrize(
    ("text", "value"), [("", 0x811C9DC5), ("a", 0xE40C292C), ("foobar", 0xBF9CF968)], ids=["empty", "a", "foobar"]
)
def test_hash_is_the_published_one(text: str, value: int) -> None:
    """Test vectors of draft-eastlake-fnv."""
    assert fnv1a(text) == value


def test_property_names_of_ours_and_of_the_library_differ_in_hash() -> None:
    names = {limits.FACT, "sid", "id", "m", "$s", "$m", "$i", *(f"f{n}" for n in range(limits.MOST_FACTS))}
    assert len({fnv1a(name) for name in names}) == len(names)


@pytest.mark.parametrize("name", ["", "a" * 501, 'a"b', "a\\b", "a\nb", "\x7f", "caf\xe9"])
def test_name_that_the_library_cannot_hold_is_refused(name: str) -> None:
    assert set(codes(EngineRule("r", ((name,),), "f"))) == {"RS-401"}
    assert set(codes(EngineRule("r", (("c",),), name))) == {"RS-401"}
    assert set(codes(EngineRule(name, (("c",),), "f"))) == {"RS-401"}


def test_longest_name_is_accepted() -> None:
    assert codes(EngineRule("r", (("a" * 500,),), "it's [fine], {quite}")) == []


def test_list_of_twelve_is_accepted_and_of_thirteen_refused() -> None:
    names = [f"c{n}" for n in range(limits.MOST_FACTS + 1)]
    assert codes(rule("r", " ".join(names[:-1]))) == []
    (problem,) = check([rule("r", "c1 c2", " ".join(names))])
    assert problem.data() == {
        "code": "RS-402",
        "place": "rules/r.yaml:1",
        "found": "a list of 13 facts, 13 of them distinct",
        "expected": "1 to 12 distinct facts that hold together",
        "next": "name a part of the list as a group in groups.yaml and use the group",
    }


@pytest.mark.parametrize("wrong", [rule("r"), rule("r", ""), rule("r", "a b a")], ids=["none", "empty", "repeated"])
def test_lists_are_of_distinct_facts(wrong: EngineRule) -> None:
    assert codes(wrong) == ["RS-402"]


def test_rule_id_twice_is_refused_at_both_places() -> None:
    other = EngineRule("r", (("c",),), "finding:y", "rules/other.yaml:9")
    assert [problem.place for problem in check([rule("r", "a"), other])] == ["rules/other.yaml:9", "rules/r.yaml:1"]


@pytest.mark.parametrize(
    ("one", "other"),
    [("costarring", "liquid"), ("declinate", "macallums"), ("n-tbcnjiw", "-ktddkqbz")],
    ids=["known pair", "another", "only within the session"],
)
def test_two_facts_of_one_hash_are_refused(one: str, other: str) -> None:
    assert codes(rule("r", f"{one} c")) == []
    for rules in ([rule("r", f"{one} {other}")], [rule("r", one), rule("s", "c", gives=other)]):
        (problem,) = check(rules)
        assert problem.code == "RS-404"
        assert one in problem.found
        assert other in problem.found


@pytest.mark.parametrize("name", ["sid-cds", "sawcjpk"])
def test_fact_taken_for_the_state_of_the_session_is_refused(name: str) -> None:
    assert codes(rule("r", name)) == ["RS-404"]


def test_condition_of_200_lists_is_accepted_and_of_201_refused() -> None:
    rules = [rule(f"r{n}", f"shared c{n}") for n in range(limits.MOST_ON_CONDITION + 1)]
    assert check(rules[:-1]) == ()
    (problem,) = check(rules)
    assert (problem.code, problem.place, problem.found) == ("RS-405", "rules/r0.yaml:1", "`shared` in 201 lists")


def test_cycle_is_named_from_its_first_finding() -> None:
    ring = [rule("b", "f:a x", gives="f:b"), rule("c", "f:b", gives="f:c"), rule("a", "y", "f:c", gives="f:a")]
    (problem,) = check(ring)
    assert (problem.code, problem.place) == ("RS-406", "rules/a.yaml:1")
    assert problem.found == "findings that rest on each other: `f:a`, `f:b`, `f:c`"
    assert codes(*ring[:2]) == []


def test_finding_that_rests_on_itself_and_a_second_cycle_are_both_named() -> None:
    wrong = [rule("self", "f:s", gives="f:s"), rule("a", "f:b", gives="f:a"), rule("b", "f:a", gives="f:b")]
    assert codes(*wrong) == ["RS-406", "RS-406"]


def test_all_problems_come_at_once_and_refuse_the_engine() -> None:
    wrong = [rule("a", "x x"), rule("b", "f:b", gives="f:b"), rule("c", "costarring liquid")]
    assert codes(*wrong) == ["RS-402", "RS-404", "RS-406"]
    with pytest.raises(Refused) as refused:
        Engine(wrong)
    assert refused.value.problems == check(wrong)


def test_layers_put_a_finding_before_its_use_whatever_the_order() -> None:
    rules = [
        rule("top", "f:mid f:low", gives="f:top"),
        rule("mid", "f:low", gives="f:mid"),
        rule("low", "c", gives="f:low"),
    ]
    (branches,) = split(rules)
    assert [branch.rule for branch in branches] == ["low", "mid", "top"]


def test_finding_with_a_late_giver_waits_for_it() -> None:
    rules = [rule("use", "f:x", gives="f:use"), rule("early", "c", gives="f:x"), rule("late", "f:y", gives="f:x")]
    rules.append(rule("y", "d", gives="f:y"))
    (branches,) = split(rules)
    assert [branch.rule for branch in branches] == ["early", "y", "late", "use"]
