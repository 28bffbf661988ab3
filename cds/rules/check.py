"""Every check of meaning, over all files of a rule set at once.

Takes sheets that are of the right form; gives problems file by file, in the order in which they are written.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.errors import Problem
from cds.rules.check_bands import check_bands
from cds.rules.check_cases import check_cases
from cds.rules.check_conditions import check_part
from cds.rules.check_graph import check_graph
from cds.rules.check_growth import check_growth
from cds.rules.check_reach import check_reach, shown_thresholds
from cds.rules.check_rules import check_rule
from cds.rules.check_ruleset import check_ruleset
from cds.rules.check_say import check_words
from cds.rules.check_scores import check_score
from cds.rules.check_thresholds import check_threshold
from cds.rules.names import Names, names_of, rules_of, whole
from cds.rules.phrase import quoted, written_order
from cds.rules.sheets import Sheets
from cds.rules.spot import Spot
from cds.rules.walk import walk


def check_meaning(sheets: Sheets) -> list[Problem]:
    """Problems of names (RS-210 and on) and of meaning (RS-301 and on), each once.

    What rests on names (whether a slot is filled, a limit reached) is asked only where the names hold.
    """
    names = names_of(sheets)
    ruleset = Spot(sheets.ruleset, sheets.ruleset.data)
    problems = [
        *check_ruleset(ruleset, names),
        *check_growth(sheets, names),
        *check_bands(sheets.bands),
        *_groups(names),
        *(problem for spot in whole(sheets.thresholds) for problem in check_threshold(spot, names)),
        *(problem for spot in whole(sheets.scores) for problem in check_score(spot, names)),
        *_rules(sheets, names, frozenset(ruleset.data["steps"])),
        *check_graph(names),
        *check_cases(sheets.cases, names, list(ruleset.data["screens"])),
    ]
    if not problems:
        problems += check_reach(names, shown_thresholds(ruleset))
    return sorted(dict.fromkeys(problems), key=written_order)


def _groups(names: Names) -> Iterator[Problem]:
    for group in names.groups.values():
        yield from check_words(group.down("title"))
        for part in walk(group.down("when")):
            yield from check_part(part, names)


def _rules(sheets: Sheets, names: Names, steps: frozenset[str]) -> Iterator[Problem]:
    for rule in rules_of(sheets):
        first = names.rules[rule.data["rule"]]
        if first.sheet is not rule.sheet or first.pointer != rule.pointer:
            found = f"the rule {quoted(rule.data['rule'])} a second time; first at {first.sheet.line(first.pointer)}"
            yield rule.down("rule").says("RS-211", found, "each rule once", "name one of them otherwise")
        yield from check_rule(rule, names, steps)
