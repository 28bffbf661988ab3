"""What is measured: the chain of ifs, two general rule engines, and each layer of ours, on each entry.

Takes a rule set; gives, for each entry, named callables that do their whole work on each call.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from cds.adviser import Adviser
from cds.entry.model import Entry
from cds.entry.read import read_entry, read_json
from cds.infer.plain import infer
from cds.judge.criteria import judge
from cds.judge.gates import gate
from cds.judge.view import View
from cds.rules.model import RuleSet
from cds.values import Rank
from tests.bench.chain import findings
from tests.bench.engines import ask_json_logic, ask_zen
from tests.bench.entries import entries
from tests.bench.measure import Call
from tests.bench.two_valued import criteria, facts

Data = dict[str, Any]
CHAIN = "chain of ifs"
ADVISER = "adviser, explained, as JSON text"
PLAIN = "plain evaluator"


LATER = ("growth", "plausible", "technique", "trends", "weight")
"""Files of rules on sizes, trends and technique, which the chain does not hold."""


def of_the_chain(rules: RuleSet) -> RuleSet:
    """The rules that the chain holds too: those read at one visit, without sizes."""
    left_out = tuple(f"rules/{name}.yaml:" for name in LATER)
    return replace(rules, rules=tuple(rule for rule in rules.rules if not rule.place.startswith(left_out)))


class Contestants:
    """Everything that is built once, and the callables for one entry."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.adviser = Adviser(rules)
        self.json_logic = ask_json_logic(rules)
        self.zen = ask_zen(rules)
        self.gates = tuple({id(rule.gate): rule.gate for rule in rules.rules}.values())
        self.criteria = criteria(rules)

    def each(self) -> Iterator[tuple[str, dict[str, Call]]]:
        """Each entry by name with what is timed on it."""
        for name, data in entries().items():
            yield name, self.calls(data)

    def calls(self, data: Data) -> dict[str, Call]:
        """The callables for one entry, given as parsed JSON."""
        text = json.dumps(data)
        entry = read_entry(read_json(text))
        ready = facts(View(entry, self.rules), self.rules)
        return {
            CHAIN: lambda: findings(data),
            "zen-engine": lambda: self.zen(ready),
            "json-logic": lambda: self.json_logic(ready),
            "reading the entry": lambda: read_entry(read_json(text)),
            "judge alone": lambda: self.judged(entry),
            PLAIN: lambda: infer(self.adviser.evaluators.rules, View(entry, self.rules)),
            "both evaluators": lambda: self.adviser.answer(entry),
            ADVISER: lambda: json.dumps(self.adviser.advise(entry), default=str),
        }

    def judged(self, entry: Entry) -> None:
        """Every gate and every criterion of the rule set on one entry, no rule put together."""
        view = View(entry, self.rules)
        for wanted in self.gates:
            gate(wanted, view)
        for criterion in self.criteria:
            judge(criterion, view)

    def unlike(self, data: Data) -> dict[str, frozenset[str]]:
        """Rules on which an engine differs from the plain evaluator, by engine."""
        view = View(read_entry(read_json(json.dumps(data))), self.rules)
        ready = facts(view, self.rules)
        verdicts = infer(self.adviser.evaluators.rules, view)
        ours = frozenset(rule for rule, verdict in verdicts.items() if verdict.rank is Rank.MET)
        return {"zen-engine": self.zen(ready) ^ ours, "json-logic": self.json_logic(ready) ^ ours}
