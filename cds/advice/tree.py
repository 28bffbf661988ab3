"""Everything a rule asked of an entry and what was answered, met or not.

Takes what was inferred, and a rule or none (then every raised rule). Gives the full tree as data, and as lines: the
verdict first, then the question with its value and limit. Judges nothing anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cds.advice.answer import Answer
from cds.advice.explain import explain, verdict_of
from cds.advice.lines import Page
from cds.advice.reasons import leaf, name
from cds.advice.status import decide, findings_of
from cds.advice.terms import say_reasons, say_word
from cds.judge.gates import gate
from cds.rules.model import Rule

Data = dict[str, Any]
_HOW = {"all": "all of", "any": "any of", "none": "none of", "at-least": "at least {n} of"}
_VERDICTS = {"met": "met", "not-met": "not met", "cannot-tell": "cannot tell"}


def explained(answer: Answer, wanted: str | None) -> list[Data]:
    """The full reasons of one rule by its id, or of every raised rule in the order of the answer.

    Raises:
        KeyError: no rule of that id.
    """
    if wanted is not None:
        return [_explained({rule.id: rule for rule in answer.rules.rules}[wanted], answer)]
    raised = decide(answer.rules.rules, answer.inference.verdicts, answer.view)
    return [_explained(made.rule, answer) for made in raised]


def _explained(rule: Rule, answer: Answer) -> Data:
    verdicts = answer.inference.verdicts
    findings = findings_of(answer.rules.rules, verdicts)
    return {
        "rule": rule.id,
        "revision": rule.revision,
        "title": rule.title,
        **verdict_of(verdicts[rule.id]),
        "applies": _applies(rule, answer),
        "because": explain(rule.when, answer.view, findings, full=True),
    }


def _applies(rule: Rule, answer: Answer) -> Data:
    return {
        "age": rule.gate.age,
        "bands": [band.words for band in rule.gate.bands],
        "outside_care": sorted(rule.gate.outside_care),
        **verdict_of(gate(rule.gate, answer.view)),
    }


def tree(each: Mapping[str, Any], page: Page) -> Iterator[str]:
    """The full reasons of one rule as lines."""
    yield from page.wrap(f"{each['rule']}, revision {each['revision']}: {each['title']}")
    yield from _line(each, "the rule as a whole", 0, page)
    yield from _line(each["applies"], f"applies to {applies(each['applies'])}", 1, page)
    yield from _node(each["because"], 1, page)


def applies(told: Mapping[str, Any]) -> str:
    """Whom a rule applies to: ages, which age, and the care under which it is not judged."""
    care = f"; not when {' or '.join(say_word(word) for word in told['outside_care'])}" if told["outside_care"] else ""
    kind = "chronological or corrected" if told["age"] == "either" else told["age"]
    return f"{', '.join(told['bands'])}, by {kind} age{care}"


def _node(node: Mapping[str, Any], depth: int, page: Page) -> Iterator[str]:
    if "parts" not in node:
        for said in leaf(node):
            yield from _line(node, f"{said}{_asked(node)}", depth, page)
        return
    yield from _line(node, _group(node), depth, page)
    for part in node["parts"]:
        yield from _node(part, depth + 1, page)


def _asked(node: Mapping[str, Any]) -> str:
    """What a criterion without a limit asks for, where a reading stands for its answer."""
    wanted = " or ".join(map(say_word, node.get("wanted", ())))
    return f"; asked for {wanted}" if wanted and node.get("readings") else ""


def _group(node: Mapping[str, Any]) -> str:
    how = _HOW[node["how"]].format(n=node.get("n"))
    return f"{name(node)}: {how}" if node.get("item") or node.get("title") else how


def _line(node: Mapping[str, Any], said: str, depth: int, page: Page) -> Iterator[str]:
    doubt = f" [{say_reasons(node['reasons'])}]" if node.get("reasons") and "parts" in node else ""
    indent = f"  {_VERDICTS[node['verdict']]:<13}{'  ' * depth}"
    yield from page.wrap(f"{said}{doubt}", indent, " " * (len(indent) + 2))
