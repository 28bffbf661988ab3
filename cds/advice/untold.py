"""What was not judged: needed, not charted, outside age or care; and the counts of a whole answer.

Takes rules, their verdicts and what was raised; gives plain data. Silence is never an answer: every rule is in a count.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cds.advice.answer import Data
from cds.advice.needs import Needed, needed
from cds.advice.status import Raised
from cds.infer.plain import Findings
from cds.judge.view import View
from cds.rules.model import LEVELS, Rule
from cds.values import Rank, Verdict

Verdicts = Mapping[str, Verdict]


def not_evaluated(untold: Sequence[Rule], verdicts: Verdicts, view: View, findings: Findings) -> Data:
    """Rules that cannot tell: needed, not charted at all, outside age or care."""
    outside = [rule.id for rule in untold if verdicts[rule.id].rank is Rank.NOT_MET]
    asked = [rule for rule in untold if verdicts[rule.id].rank is not Rank.NOT_MET]
    wanted = [each for rule in asked if (each := needed(rule, verdicts[rule.id], view, findings))]
    named = {each.rule.id for each in wanted}
    rest = [rule.id for rule in asked if rule.id not in named]
    return {
        "needed": [_needed_data(each) for each in sorted(wanted, key=lambda each: -LEVELS.index(each.rule.level))],
        "not_charted": {"count": len(rest), "rules": rest},
        "outside": {"count": len(outside), "rules": {rule: sorted(verdicts[rule].reasons)[0] for rule in outside}},
    }


def _needed_data(each: Needed) -> Data:
    reasons = sorted(each.verdict.reasons)
    return {
        "rule": each.rule.id,
        "title": each.rule.title,
        "level": each.rule.level,
        "reasons": reasons,
        "needs": list(each.needs),
    }


def untold_rules(rules: Sequence[Rule], verdicts: Verdicts, raised: Sequence[Raised]) -> list[Rule]:
    """The rules that cannot tell and raise nothing."""
    shown = {made.rule.id for made in raised}
    return [rule for rule in rules if verdicts[rule.id].reasons and rule.id not in shown]


def counts(rules: Sequence[Rule], verdicts: Verdicts, raised: Sequence[Raised]) -> Data:
    """How many rules there are, were evaluated, raised, and could not be."""
    told = sum(1 for rule in rules if not verdicts[rule.id].reasons)
    by_status = {status: sum(1 for made in raised if made.status == status) for status in ("provisional", "held")}
    return {
        "rules": len(rules),
        "evaluated": told,
        "raised": len(raised),
        **by_status,
        "not_evaluated": len(rules) - told,
    }
