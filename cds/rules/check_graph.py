"""Whether rules fit each other: no cycles, nothing serious hidden, every limit within reach of some rule.

Takes all rules, groups and thresholds with their names; gives problems that no single part shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cds.errors import Problem
from cds.rules.amounts import reach
from cds.rules.model import LEVELS, Band
from cds.rules.names import Names
from cds.rules.phrase import quoted
from cds.rules.spot import Spot
from cds.rules.vocabulary import DERIVED
from cds.rules.walk import reached_by, thresholds_in, walk, walk_all

Edges = Mapping[str, list[tuple[str, Spot]]]


def check_graph(names: Names, shown: list[Spot]) -> Iterator[Problem]:
    """Problems among rules; `shown` are the thresholds that ruleset.yaml lists as expected."""
    yield from _groups(names)
    yield from _findings(names)
    yield from _supersession(names)
    yield from _reachable(names, {spot.data for spot in shown})


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
    yield from _cycles(edges, "RS-317", "group", "name the criteria of one of them")


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
    yield from _cycles(edges, "RS-316", "finding", "use criteria in one of the rules")


def _supersession(names: Names) -> Iterator[Problem]:
    edges: dict[str, list[tuple[str, Spot]]] = {}
    for name, rule in names.rules.items():
        edges[name] = [(other.data, other) for other in rule.each("supersedes")]
        for other in rule.each("supersedes"):
            if other.data in names.rules:
                yield from _hidden(rule, other, names.rules[other.data])
    yield from _cycles(edges, "RS-322", "rule", "decide which of them stands")


def _hidden(rule: Spot, other: Spot, hidden: Spot) -> Iterator[Problem]:
    lower = LEVELS.index(rule.data["level"]) < LEVELS.index(hidden.data["level"])
    highest, level = _highest(hidden), rule.data["level"]
    if lower or _highest(rule) < highest or (highest == LEVELS.index("contact") and level != "contact"):
        found = f"`{other.data}` of level {quoted(LEVELS[highest])}, hidden by this rule of level {quoted(level)}"
        next_step = "raise the level of this rule, or let both stand"
        yield other.says("RS-323", found, "only rules of the same or a lower level", next_step)


def _highest(rule: Spot) -> int:
    confirmed = rule.data.get("confirmed", {}).get("level", rule.data["level"])
    return max(LEVELS.index(rule.data["level"]), LEVELS.index(confirmed))


def _cycles(edges: Edges, code: str, what: str, next_step: str) -> Iterator[Problem]:
    """One problem for each cycle, at the edge that closes it."""
    done: set[str] = set()
    for start in edges:
        path: list[str] = []
        yield from _visit(start, path, done, (edges, code, what, next_step))


def _visit(node: str, path: list[str], done: set[str], about: tuple[Edges, str, str, str]) -> Iterator[Problem]:
    edges, code, what, next_step = about
    if node in done:
        return
    path.append(node)
    for other, spot in edges.get(node, ()):
        if other in path:
            circle = " -> ".join(f"`{name}`" for name in [*path[path.index(other) :], other])
            yield spot.says(code, f"a circle: {circle}", f"each {what} resting on others only", next_step)
        else:
            yield from _visit(other, path, done, about)
    path.pop()
    done.add(node)


def _reachable(names: Names, shown: set[str]) -> Iterator[Problem]:
    users: dict[str, list[Spot]] = {name: [] for name in names.thresholds}
    read = set(shown)
    for rule in names.rules.values():
        for part in walk_all(rule.down("when"), names):
            read.update(
                DERIVED[part.spot.data["derived"]].thresholds if part.spot.data.get("derived") in DERIVED else ()
            )
            for each in thresholds_in(part):
                users.setdefault(each.data, []).append(rule)
    for name, threshold in names.thresholds.items():
        if name in read:
            continue
        if not users[name]:
            found, next_step = f"{quoted(name)}, which no rule reads", "use it in a rule, or remove the file"
            yield threshold.down("threshold").says("RS-314", found, "a threshold that some rule reads", next_step)
        else:
            yield from _out_of_reach(threshold, users[name], names)


def _out_of_reach(threshold: Spot, users: list[Spot], names: Names) -> Iterator[Problem]:
    gates = [rule.data["for"] for rule in users]
    if any(gate.get("age", "chronological") != threshold.data["age"] for gate in gates):
        return
    ages = [names.bands[band] for gate in gates for band in gate["bands"] if band in names.bands]
    for band in threshold.each("bands"):
        if "value" in band.data and band.name in names.bands and not _any_meets(names.bands[band.name], ages):
            rules = ", ".join(dict.fromkeys(rule.data["rule"] for rule in users))
            found = f"a value for `{band.name}`, an age that no rule with this threshold applies to ({rules})"
            next_step = "write `no_limit` with the reason, or widen `for` of a rule"
            yield band.says("RS-308", found, "values only for ages that a rule applies to", next_step)


def _any_meets(band: Band, ages: list[Band]) -> bool:
    return any(reach(band.start)[0] < reach(age.end)[1] and reach(age.start)[0] < reach(band.end)[1] for age in ages)


def shown_thresholds(ruleset: Spot) -> list[Spot]:
    """Thresholds that ruleset.yaml lists as expected."""
    sides = [side for code in ruleset.each("expected") for name in code.data for side in code.each(name)]
    return [threshold for side in sides for threshold in reached_by(side)]
