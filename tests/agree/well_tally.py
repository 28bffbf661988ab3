"""How often the rules raise something for invented well infants.

Takes an adviser and entries; gives counts of the levels raised, and tables. By hand: `python -m tests.agree.well_tally
--infants 20000`.
"""

from __future__ import annotations

from argparse import ArgumentParser
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cds.advice.status import Raised, decide
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.rules.load import load
from cds.rules.model import LEVELS
from tests.agree.well_infants import SEED, TAILS, VISITS, WITHIN, visit_of, well_infants

Data = dict[str, Any]

GOALS = {"contact": 0.0, "discuss": 1.0, "recheck": 5.0}
"""Most visits, in per cent, whose highest level may be this."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Visits by highest level, in all and by kind of visit; and what each rule raised, superseded findings left out."""

    entries: int
    highest: Counter[str]
    visits: Counter[tuple[str, str]]
    rules: Counter[tuple[str, str, str]]

    def share(self, level: str) -> float:
        """Per cent of visits whose highest level this is."""
        return 100 * self.highest[level] / self.entries


def count_levels(adviser: Adviser, entries: Sequence[Data]) -> Tally:
    """Answer every entry and count."""
    made = Tally(len(entries), Counter(), Counter(), Counter())
    for place, entry in enumerate(entries):
        answer = adviser.answer(read_entry(entry))
        raised = decide(answer.rules.rules, answer.inference.verdicts, answer.view)
        _count([each for each in raised if not each.superseded_by], visit_of(place)[0], made)
    return made


def _count(shown: list[Raised], visit: str, made: Tally) -> None:
    highest = max((each.level for each in shown), key=LEVELS.index, default="nothing")
    made.highest[highest] += 1
    made.visits[visit, highest] += 1
    made.rules.update((each.level, each.status, each.rule.id) for each in shown)


def level_table(made: Tally) -> list[str]:
    """The share of visits by highest level beside the goal, as lines of Markdown."""
    lines = [f"| highest level | of {made.entries:,} visits of invented well infants | goal |", "| --- | --- | --- |"]
    for level in (*reversed(LEVELS), "nothing"):
        goal = f"at most {GOALS[level]:g} %" if GOALS.get(level) else "none" if level in GOALS else ""
        lines.append(f"| {level} | {made.highest[level]:,} ({made.share(level):.2f} %) | {goal} |")
    return lines


def visit_table(made: Tally) -> list[str]:
    """How many of each visit by highest level, as lines of Markdown."""
    levels = (*reversed(LEVELS), "nothing")
    lines = [f"| visit | {' | '.join(levels)} |", f"| --- |{' --- |' * len(levels)}"]
    return lines + [
        f"| {visit} | {' | '.join(str(made.visits[visit, level]) for level in levels)} |" for visit, _, _ in VISITS
    ]


def rule_table(made: Tally) -> list[str]:
    """How often each rule raised each level, most serious first, as lines of Markdown."""
    order = sorted(made.rules.items(), key=lambda item: (-LEVELS.index(item[0][0]), -item[1], item[0]))
    lines = ["| level | status | rule | visits |", "| --- | --- | --- | --- |"]
    return lines + [f"| {level} | {status} | {rule} | {count} |" for (level, status, rule), count in order]


def _main() -> None:
    parser = ArgumentParser(description="How often the rules raise something for invented well infants.")
    parser.add_argument("--infants", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--tails", action="store_true", help="draw the outermost hundredth too")
    parser.add_argument("--rules", type=Path, default=Path(__file__).parents[2] / "rulesets" / "infant-vitals")
    given = parser.parse_args()
    entries = well_infants(given.infants, given.seed, TAILS if given.tails else WITHIN)
    made = count_levels(Adviser(load(given.rules)), entries)
    print("\n".join([*level_table(made), "", *visit_table(made), "", *rule_table(made)]))


if __name__ == "__main__":
    _main()
