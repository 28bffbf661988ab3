"""What rules over named facts mean, in a few lines; and random rules and facts to compare an engine with."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hypothesis import strategies as st

from cds.infer.limits import EngineRule

CRITERIA = tuple(f"criterion:{place}" for place in range(14))
FINDINGS = tuple(f"finding:{place}" for place in range(6))


def closure(rules: Sequence[EngineRule], facts: frozenset[str]) -> frozenset[str]:
    """The ids of the rules that fire, looked for until a round finds none."""
    known, fired = set(facts), set[str]()
    while found := [rule for rule in rules if rule.id not in fired and holds(rule, known)]:
        fired.update(rule.id for rule in found)
        known.update(rule.gives for rule in found)
    return frozenset(fired)


def holds(rule: EngineRule, known: set[str]) -> bool:
    return any(known.issuperset(facts) for facts in rule.branches)


@st.composite
def rule_sets(draw: st.DrawFn) -> list[EngineRule]:
    """Up to 25 rules; each uses criteria and only findings below its own, so there is no cycle."""
    given = draw(st.lists(st.integers(0, len(FINDINGS) - 1), min_size=1, max_size=25))
    return [EngineRule(f"rule-{n}", draw(branches(FINDINGS[:level])), FINDINGS[level]) for n, level in enumerate(given)]


def branches(findings: Sequence[str]) -> st.SearchStrategy[tuple[tuple[str, ...], ...]]:
    """One to three lists of one to twelve distinct facts; the second and third only over few facts, as `any` gives."""
    facts = st.lists(st.sampled_from([*CRITERIA, *findings]), min_size=1, max_size=12, unique=True).map(tuple)
    few = st.lists(st.sampled_from([*findings, *CRITERIA[:4]]), min_size=1, max_size=3, unique=True).map(tuple)
    return st.tuples(facts | few, st.lists(few, max_size=2)).map(lambda both: (both[0], *both[1]))


def fact_sets() -> st.SearchStrategy[frozenset[str]]:
    """Criteria that are true, now and then a finding from elsewhere or a name that no rule uses."""
    names: Any = st.sampled_from([*CRITERIA, *CRITERIA, *FINDINGS, "criterion:unused"])
    return st.frozensets(names, max_size=len(CRITERIA)) | st.just(frozenset(CRITERIA))
