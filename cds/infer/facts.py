"""From rules to what durable-rules is given: named facts, and conjunctions of them.

Each part of a rule's condition that holds no finding is one fact, judged here; so is its gate. A part that holds
findings is spread over branches. The engine does the conjunctions and the chaining, and never sees a number.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from cds.infer.durable import EngineRule
from cds.infer.plain import condition, findings_in
from cds.judge.gates import gate
from cds.judge.logic import NOT_MET
from cds.judge.view import View
from cds.rules.model import Condition, FindingIs, Gate, Group, Rule
from cds.values import Rank

Branches = tuple[tuple[str, ...], ...]
FINDING = "finding:"


@dataclass(frozen=True, slots=True)
class Program:
    """What the engine runs, and the gate or condition behind each fact name.

    `behind` gives, for each gate, the conditions of the rules that it opens; `bare` are the gates that open a branch of
    findings alone.
    """

    rules: tuple[EngineRule, ...]
    gates: tuple[tuple[str, Gate], ...]
    conditions: tuple[tuple[str, Condition], ...]
    behind: Mapping[str, frozenset[str]]
    bare: frozenset[str]

    def ranks(self, view: View) -> dict[str, Rank]:
        """The rank of each fact on one entry; what only closed gates lead to is not asked, and not met."""
        ranks = {name: gate(wanted, view).rank for name, wanted in self.gates}
        asked = frozenset().union(*[self.behind[name] for name, rank in ranks.items() if rank is not NOT_MET.rank])
        ranks.update(dict.fromkeys([name for name, _ in self.conditions], NOT_MET.rank))
        ranks.update((name, condition(when, view, {}).rank) for name, when in self.conditions if name in asked)
        return ranks

    def batch(self, ranks: Mapping[str, Rank], cut: Rank) -> frozenset[str]:
        """The facts that reach a cut, but gates of rules none of whose conditions reaches it."""
        holding = {name for name, _ in self.conditions if ranks[name] >= cut}
        opened = (name for name, _ in self.gates if ranks[name] >= cut and self._opens(name, holding))
        return frozenset(holding.union(opened))

    def _opens(self, gate_name: str, holding: set[str]) -> bool:
        return gate_name in self.bare or not self.behind[gate_name].isdisjoint(holding)


def program(rules: Sequence[Rule]) -> Program:
    """The engine's rules for these rules, equal gates and conditions sharing one fact."""
    names = _Names({}, {})
    made = tuple(_engine_rule(rule, names) for rule in rules)
    gates = tuple((name, wanted) for wanted, name in names.gates.items())
    conditions = tuple((name, when) for when, name in names.conditions.items())
    behind = _behind(made)
    bare = frozenset(name for name, branches in behind.items() if not all(branches))
    return Program(made, gates, conditions, {name: frozenset().union(*each) for name, each in behind.items()}, bare)


def _behind(rules: Sequence[EngineRule]) -> dict[str, list[frozenset[str]]]:
    found: dict[str, list[frozenset[str]]] = {}
    for rule in rules:
        for gate_name, *rest in rule.branches:
            own = frozenset(name for name in rest if not name.startswith(FINDING))
            found.setdefault(gate_name, []).append(own)
    return found


@dataclass(frozen=True, slots=True)
class _Names:
    gates: dict[Gate, str]
    conditions: dict[Condition, str]

    def gate(self, wanted: Gate) -> str:
        return self.gates.setdefault(wanted, f"g{len(self.gates)}")

    def condition(self, when: Condition) -> str:
        return self.conditions.setdefault(when, f"c{len(self.conditions)}")


def _engine_rule(rule: Rule, names: _Names) -> EngineRule:
    own = names.gate(rule.gate)
    branches = tuple(tuple(dict.fromkeys((own, *branch))) for branch in _branches(rule.when, names))
    return EngineRule(rule.id, branches, f"{FINDING}{rule.finding}")


def _branches(when: Condition, names: _Names) -> Branches:
    if isinstance(when, FindingIs):
        return ((f"{FINDING}{when.finding}",),)
    if isinstance(when, Group) and when.how == "all":
        ways = product(*(_branches(part, names) for part in when.parts))
        return tuple(tuple(name for part in way for name in part) for way in ways)
    if isinstance(when, Group) and when.how == "any" and findings_in(when):
        return tuple(branch for part in when.parts for branch in _branches(part, names))
    return ((names.condition(when),),)
