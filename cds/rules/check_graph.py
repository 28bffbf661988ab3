"""Whether rules fit each other: no circles of findings, groups or supersession, nothing serious hidden.

Takes all rules and groups with their names; gives problems that no single part shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cds.errors import Problem
from cds.rules.model import LEVELS
from cds.rules.names import Names
from cds.rules.phrase import quoted
from cds.rules.spot import Spot
from cds.rules.walk import walk

Edges = Mapping[str, list[tuple[str, Spot]]]


def check_graph(names: Names) -> Iterator[Problem]:
    """Problems among rules and among groups (RS-315 to RS-317, RS-321 to RS-323)."""
    yield from _groups(names)
    yield from _findings(names)
    yield from _supersession(names)


def _groups(names: Names) -> Iterator[Problem]:
    edges: dict[str, list[tuple[str, Spot]]] = {}
    for name, group in names.groups.items():
        parts = list(walk(group.down("when")))
        edges[name] = [(part.spot.data["group"], part.spot.down("group")) for part in parts if part.form == "group"]
        for part in parts:
            if part.form == "finding":
                found = f"the finding {quoted(part.spot.data['finding'])} in a group"
                next_step = "name the finding in the rule itself"
                yield part.spot.says("RS-315", found, "criteria and groups", next_step)
    yield from _cycles(edges, "RS-317", "groups that rest on other groups only", "name the criteria of one of them")


def _findings(names: Names) -> Iterator[Problem]:
    edges: dict[str, list[tuple[str, Spot]]] = {}
    for rule in names.rules.values():
        for part in walk(rule.down("when")):
            if part.form != "finding":
                continue
            finding = part.spot.down("finding")
            edges.setdefault(rule.data["finding"], []).append((finding.data, finding))
            if part.inside:
                found = f"the finding {quoted(finding.data)} inside `{part.inside}`"
                next_step = "use the criteria of that finding, or a group of them"
                yield finding.says("RS-315", found, "a finding only inside `all` and `any`", next_step)
    yield from _cycles(edges, "RS-316", "findings that rest on other findings only", "use criteria in one of the rules")


def _supersession(names: Names) -> Iterator[Problem]:
    edges: dict[str, list[tuple[str, Spot]]] = {}
    for name, rule in names.rules.items():
        edges[name] = [(other.data, other) for other in rule.each("supersedes")]
        for other in rule.each("supersedes"):
            if other.data in names.rules:
                yield from _hidden(rule, other, names.rules[other.data])
                yield from _reversed(rule, other, names.rules[other.data], names)
    yield from _cycles(edges, "RS-322", "rules that supersede other rules only", "decide which of them stands")


def _hidden(rule: Spot, other: Spot, hidden: Spot) -> Iterator[Problem]:
    lower = LEVELS.index(rule.data["level"]) < LEVELS.index(hidden.data["level"])
    highest, level = _highest(hidden), rule.data["level"]
    if lower or _highest(rule) < highest or (highest == LEVELS.index("contact") and level != "contact"):
        found = f"`{other.data}` of level {quoted(LEVELS[highest])}, hidden by this rule of level {quoted(level)}"
        next_step = "raise the level of this rule, or let both stand"
        yield other.says("RS-323", found, "only rules of the same or a lower level", next_step)


def _reversed(rule: Spot, other: Spot, hidden: Spot, names: Names) -> Iterator[Problem]:
    """Where two rules each hold one value against one limit, the rule that stands has the limit farther out."""
    here, there = (_single_limit(each.data["when"], names) for each in (rule, hidden))
    if (
        here is None
        or there is None
        or any(here.data[key] != there.data[key] for key in ("quantity", "unit", "reached"))
    ):
        return
    sign = 1 if here.data["reached"] in ("at-or-above", "above") else -1
    for name, band in here.data["bands"].items():
        outer, inner = band.get("value"), there.data["bands"].get(name, {}).get("value")
        if outer is not None and inner is not None and sign * (outer - inner) < 0:
            found = f"`{other.data}`, whose limit {quoted(inner)} for `{name}` lies beyond {quoted(outer)} of this rule"
            yield other.says("RS-321", found, "only rules whose limit is reached first", "exchange the two rules")


def _single_limit(when: Mapping[str, Any], names: Names) -> Spot | None:
    reached = when.get("reaches")
    return names.thresholds.get(reached) if isinstance(reached, str) and "observed" in when else None


def _highest(rule: Spot) -> int:
    confirmed = rule.data.get("confirmed", {}).get("level", rule.data["level"])
    return max(LEVELS.index(rule.data["level"]), LEVELS.index(confirmed))


def _cycles(edges: Edges, code: str, expected: str, next_step: str) -> Iterator[Problem]:
    """One problem for each cycle, at the edge that closes it."""
    done: set[str] = set()
    for start in edges:
        path: list[str] = []
        yield from _visit(start, path, done, (edges, code, expected, next_step))


def _visit(node: str, path: list[str], done: set[str], about: tuple[Edges, str, str, str]) -> Iterator[Problem]:
    edges, code, expected, next_step = about
    if node in done:
        return
    path.append(node)
    for other, spot in edges.get(node, ()):
        if other in path:
            circle = " -> ".join(f"`{name}`" for name in [*path[path.index(other) :], other])
            yield spot.says(code, f"a circle: {circle}", expected, next_step)
        else:
            yield from _visit(other, path, done, about)
    path.pop()
    done.add(node)
