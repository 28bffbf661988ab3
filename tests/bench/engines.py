"""Two general rule engines on the same thresholds: json-logic (interpreted Python) and zen-engine (compiled Rust).

Takes a rule set; gives a callable from ready-made facts to the rules that are met.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import zen
from json_logic import jsonLogic

from cds.rules.model import RuleSet
from tests.bench.two_valued import Data, Expressions, name

Asked = Callable[[Data], frozenset[str]]


class JsonLogic:
    """Expressions as JsonLogic trees."""

    def all(self, parts: Sequence[Any]) -> Any:
        return {"and": list(parts)} if len(parts) > 1 else parts[0]

    def any(self, parts: Sequence[Any]) -> Any:
        if not parts:
            return False
        return {"or": list(parts)} if len(parts) > 1 else parts[0]

    def none(self, parts: Sequence[Any]) -> Any:
        return {"!": [self.any(parts)]}

    def at_least(self, n: int, parts: Sequence[Any]) -> Any:
        return {">=": [{"+": [{"if": [part, 1, 0]} for part in parts]}, n]}

    def within(self, path: str, low: int, high: int) -> Any:
        return {"and": [self.compare(path, ">=", low), self.compare(path, "<", high)]}

    def compare(self, path: str, how: str, limit: float) -> Any:
        return {"and": [{"!=": [{"var": path}, None]}, {how: [{"var": path}, limit]}]}

    def one_of(self, path: str, words: Iterable[str]) -> Any:
        return {"in": [{"var": path}, sorted(words)]}

    def absent(self, path: str) -> Any:
        return {"==": [{"var": path}, None]}

    def true(self, path: str) -> Any:
        return {"var": path}


class Zen:
    """Expressions in the ZEN expression language."""

    def all(self, parts: Sequence[Any]) -> Any:
        return f"({' and '.join(parts)})"

    def any(self, parts: Sequence[Any]) -> Any:
        return f"({' or '.join(parts)})" if parts else "false"

    def none(self, parts: Sequence[Any]) -> Any:
        return f"(not {self.any(parts)})"

    def at_least(self, n: int, parts: Sequence[Any]) -> Any:
        return f"({' + '.join(f'({part} ? 1 : 0)' for part in parts)} >= {n})"

    def within(self, path: str, low: int, high: int) -> Any:
        return f"({path} != null and {path} >= {low} and {path} < {high})"

    def compare(self, path: str, how: str, limit: float) -> Any:
        return f"({path} != null and {path} {how} {limit:g})"

    def one_of(self, path: str, words: Iterable[str]) -> Any:
        listed = ", ".join(f"'{word}'" for word in sorted(words))
        return f"({path} != null and {path} in [{listed}])"

    def absent(self, path: str) -> Any:
        return f"({path} == null)"

    def true(self, path: str) -> Any:
        return f"({path} == true)"


def ask_json_logic(rules: RuleSet) -> Asked:
    """Each rule asked by the interpreter of JsonLogic."""
    expressions = Expressions(rules, JsonLogic())
    trees = [(rule.id, expressions.of(rule)) for rule in rules.rules]
    return lambda facts: frozenset([rule for rule, tree in trees if jsonLogic(tree, facts)])


def ask_zen(rules: RuleSet) -> Asked:
    """All rules asked at once, as one decision of zen-engine."""
    expressions = Expressions(rules, Zen())
    asked = [{"id": name(rule.id), "key": name(rule.id), "value": expressions.of(rule)} for rule in rules.rules]
    decision = zen.ZenEngine().create_decision(json.dumps(_graph(asked)))
    ids = {name(rule.id): rule.id for rule in rules.rules}
    return lambda facts: frozenset([ids[key] for key, met in decision.evaluate(facts)["result"].items() if met])


def _graph(asked: list[Data]) -> Data:
    place, content = {"x": 0, "y": 0}, {"expressions": asked}
    return {
        "nodes": [
            {"id": "in", "type": "inputNode", "name": "facts", "position": place},
            {"id": "ask", "type": "expressionNode", "name": "rules", "position": place, "content": content},
            {"id": "out", "type": "outputNode", "name": "met", "position": place},
        ],
        "edges": [
            {"id": "first", "sourceId": "in", "targetId": "ask", "type": "edge"},
            {"id": "second", "sourceId": "ask", "targetId": "out", "type": "edge"},
        ],
    }
