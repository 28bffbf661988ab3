"""Hold a rule set to what durable-rules 2.0.28 is known to bear.

Takes rules as lists of named facts. Gives a problem for each limit passed, and the rules cut into sets that run in
order, findings passed on. Never imports the library, never judges a fact.

The bounds keep well inside the edges read in the library's source: 511 conditions and 4,096 rules a set, 255 rules on
one condition, 16 facts in a list. A fact meets two of the 64 conditions it may meet: its own name and the last rule's.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter

from cds.errors import Problem

SESSION = "cds"
FACT = "c"
MOST_FACTS = 12
MOST_ON_CONDITION = 200
MOST_CONDITIONS = 400
MOST_BRANCHES = 1_000

_NAME = re.compile(r"[ !#-\[\]-~]{1,500}")
_STATE = f"sid-{SESSION}"
_FNV_BASIS, _FNV_PRIME = 0x811C9DC5, 0x01000193


@dataclass(frozen=True, slots=True)
class EngineRule:
    """A rule over named facts: it fires where every fact of any branch is true, and then gives one fact.

    `branches` are lists of names; `gives` is the name of the finding; `place` is where the rule is written.
    """

    id: str
    branches: tuple[tuple[str, ...], ...]
    gives: str
    place: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Branch:
    """One list of one rule, as the library runs it; `name` is unique in a rule set."""

    name: str
    rule: str
    facts: tuple[str, ...]
    gives: str


def fnv1a(text: str) -> int:
    """The 32-bit FNV-1a hash by which the library tells names apart.

    Source: Fowler, Noll, Vo: the FNV non-cryptographic hash algorithm, IETF draft-eastlake-fnv.
    """
    value = _FNV_BASIS
    for byte in text.encode():
        value = ((value ^ byte) * _FNV_PRIME) & 0xFFFFFFFF
    return value


def check(rules: Sequence[EngineRule]) -> tuple[Problem, ...]:
    """Every limit that these rules pass, RS-401 to RS-406, in the order of code and place; empty when all hold."""
    found = [*_names(rules), *_lists(rules), *_repeated(rules), *_alike(rules)]
    cycles = list(_cycles(rules))
    found += cycles or _crowded(rules)
    return tuple(sorted(dict.fromkeys(found), key=lambda problem: (problem.code, problem.place, problem.found)))


def split(rules: Sequence[EngineRule]) -> tuple[tuple[Branch, ...], ...]:
    """The branches by layer of the finding graph, then by order of the rules, cut into sets within the limits.

    A branch never comes before a branch that gives one of its facts. Raises CycleError where findings form a cycle.
    """
    sets: list[list[Branch]] = []
    names: set[str] = set()
    for branch in _layered(rules):
        if not sets or not _fits(names | set(branch.facts), len(sets[-1])):
            sets.append([])
            names.clear()
        sets[-1].append(branch)
        names.update(branch.facts)
    return tuple(map(tuple, sets))


def _layered(rules: Sequence[EngineRule]) -> list[Branch]:
    """The branches, those that use no finding first, then those that use only findings of the ones before."""
    levels = _levels(rules)
    return sorted(_branches(rules), key=lambda branch: max((levels.get(fact, 0) for fact in branch.facts), default=0))


def _fits(names: set[str], branches: int) -> bool:
    """Whether one more branch leaves room for the last rule, which has one condition of its own."""
    return len(names) < MOST_CONDITIONS and branches < MOST_BRANCHES


def _branches(rules: Iterable[EngineRule]) -> Iterator[Branch]:
    for rule in rules:
        for place, facts in enumerate(rule.branches):
            yield Branch(f"{rule.id}#{place}", rule.id, facts, rule.gives)


def _needs(rules: Sequence[EngineRule]) -> dict[str, list[str]]:
    """For each finding the findings that its rules use."""
    given = {rule.gives: set[str]() for rule in rules}
    for rule in rules:
        given[rule.gives].update(fact for facts in rule.branches for fact in facts if fact in given)
    return {finding: sorted(used) for finding, used in given.items()}


def _levels(rules: Sequence[EngineRule]) -> dict[str, int]:
    needs = _needs(rules)
    levels: dict[str, int] = {}
    for finding in TopologicalSorter(needs).static_order():
        levels[finding] = 1 + max((levels[used] for used in needs[finding]), default=0)
    return levels


def _names(rules: Sequence[EngineRule]) -> Iterator[Problem]:
    for rule in rules:
        for name in dict.fromkeys((rule.id, rule.gives, *(fact for facts in rule.branches for fact in facts))):
            if not _NAME.fullmatch(name):
                expected = 'printable ASCII without " and \\, 1 to 500 characters'
                yield Problem(_place(rule), "RS-401", f"name {name!a}", expected, "rename it")


def _lists(rules: Sequence[EngineRule]) -> Iterator[Problem]:
    for rule in rules:
        if not rule.branches:
            yield Problem(_place(rule), "RS-402", "no list of facts", "one list or more", "add what the rule asks")
        for facts in rule.branches:
            if not 1 <= len(set(facts)) == len(facts) <= MOST_FACTS:
                yield Problem(
                    _place(rule),
                    "RS-402",
                    f"a list of {len(facts)} facts, {len(set(facts))} of them distinct",
                    f"1 to {MOST_FACTS} distinct facts that hold together",
                    "name a part of the list as a group in groups.yaml and use the group",
                )


def _repeated(rules: Sequence[EngineRule]) -> Iterator[Problem]:
    times = Counter(rule.id for rule in rules)
    for rule in rules:
        if times[rule.id] > 1:
            found = f"rule id `{rule.id}`, {times[rule.id]} times"
            yield Problem(_place(rule), "RS-403", found, "each rule id once", "rename all but one")


def _alike(rules: Sequence[EngineRule]) -> Iterator[Problem]:
    """Facts that the library would take for one another, or for the state that it keeps of the session."""
    places = _places(rules)
    for prefix in ("", f"{SESSION}!"):
        first = {fnv1a(prefix + _STATE): _STATE}
        for name, place in places.items():
            other = first.setdefault(fnv1a(prefix + name), name)
            if other != name or name == _STATE:
                found = f"`{name}`, whose 32-bit FNV-1a hash is that of `{other}`"
                yield Problem(place, "RS-404", found, "a hash of its own", "rename one of the two")


def _places(rules: Sequence[EngineRule]) -> dict[str, str]:
    """Each fact with the place of the first rule that names it."""
    places: dict[str, str] = {}
    for rule in rules:
        for fact in (*(fact for facts in rule.branches for fact in facts), rule.gives):
            places.setdefault(fact, _place(rule))
    return places


def _crowded(rules: Sequence[EngineRule]) -> Iterator[Problem]:
    places = _places(rules)
    for branches in split(rules):
        for fact, times in Counter(fact for branch in branches for fact in branch.facts).items():
            if times > MOST_ON_CONDITION:
                found = f"`{fact}` in {times} lists"
                expected = f"at most {MOST_ON_CONDITION} lists with one condition"
                yield Problem(places[fact], "RS-405", found, expected, "combine the lists through a group")


def _cycles(rules: Sequence[EngineRule]) -> Iterator[Problem]:
    needs: Mapping[str, list[str]] = _needs(rules)
    places = {rule.gives: _place(rule) for rule in reversed(rules)}
    while (loop := _loop(needs)) is not None:
        found = "findings that rest on each other: " + ", ".join(f"`{finding}`" for finding in loop)
        cure = "take one of them out of a condition"
        yield Problem(places[loop[0]], "RS-406", found, "findings without a cycle", cure)
        needs = {name: [used for used in uses if used not in loop] for name, uses in needs.items() if name not in loop}


def _loop(needs: Mapping[str, list[str]]) -> list[str] | None:
    """One cycle, begun at its first name in order; None where there is none."""
    try:
        TopologicalSorter(needs).prepare()
    except CycleError as error:
        loop = error.args[1][1:]
        start = loop.index(min(loop))
        return [*loop[start:], *loop[:start]]
    return None


def _place(rule: EngineRule) -> str:
    return rule.place or rule.id
