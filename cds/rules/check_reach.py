"""Whether every limit is within reach: some rule reads the threshold, and at an age of each value.

Takes a rule set whose names hold; what is shown as expected and what derived values read counts as reached.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.errors import Problem
from cds.rules.amounts import reach
from cds.rules.derived import DERIVED
from cds.rules.model import Band
from cds.rules.names import Names
from cds.rules.phrase import quoted
from cds.rules.spot import Spot
from cds.rules.walk import reached_by, thresholds_in, walk_all


def check_reach(names: Names, shown: list[Spot]) -> Iterator[Problem]:
    """Problems RS-308 and RS-314; `shown` are the thresholds that ruleset.yaml lists as expected."""
    users: dict[str, list[Spot]] = {name: [] for name in names.thresholds}
    read = {spot.data for spot in shown}
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
