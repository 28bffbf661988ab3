"""What an adviser raises for an entry, by rule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cds.advice.status import Raised, decide
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.judge.view import View
from cds.rules.model import LEVELS, Rule
from cds.values import Verdict

Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Told:
    """Findings by rule, the verdict of every rule, and the view."""

    findings: Mapping[str, Raised]
    verdicts: Mapping[str, Verdict]
    view: View

    @property
    def highest(self) -> int:
        """The place of the highest level among findings that are not held; -1 where there is none."""
        return max((level(made) for made in self.findings.values() if made.status != "held"), default=-1)

    @property
    def is_in_doubt(self) -> bool:
        """Whether the entry raises a finding on its own quality above a note, or a remark."""
        doubts = (made for made in self.findings.values() if made.rule.area == "quality" and level(made) > 0)
        return bool(self.view.entry.remarks) or any(doubts)

    def red_flags(self) -> frozenset[str]:
        """The rules of the red flags that are raised."""
        return frozenset(rule for rule, made in self.findings.items() if made.rule.red_flag)


def tell(adviser: Adviser, data: Data) -> Told:
    """What is raised for an entry as our JSON."""
    answer = adviser.answer(read_entry(data))
    raised = decide(answer.rules.rules, answer.inference.verdicts, answer.view)
    return Told({made.rule.id: made for made in raised}, answer.inference.verdicts, answer.view)


def level(made: Raised) -> int:
    """The place of a finding's level among the levels."""
    return LEVELS.index(made.level)


def is_serious(rule: Rule) -> bool:
    """Whether charted danger of the rule may not be lost: a red flag, or a level of discuss or contact."""
    return rule.red_flag or LEVELS.index(rule.level) >= LEVELS.index("discuss")
