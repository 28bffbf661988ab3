"""What becomes of each rule that is met or could be: status, level and what it supersedes.

One plain function for both evaluators, after inference. Takes verdicts and a view; gives what is raised, most serious
first, and the earlier findings that a repeat closed or left open. Decides no number.

INVARIANT: a red flag that is met, or could be, is raised at its own level; never provisional, never held, never hidden.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from cds.advice.repeats import confirm
from cds.entry.model import Remark
from cds.infer.plain import Findings, evaluate, evaluate_calm
from cds.judge.gates import is_under
from cds.judge.view import View
from cds.rules.model import LEVELS, Level, Rule
from cds.values import Rank, Verdict

Status = Literal["raised", "provisional", "confirmed", "closed-by-repeat", "held"]
SUSPECT = frozenset({"measured-before-birth", "measured-in-future"})


@dataclass(frozen=True, slots=True)
class Raised:
    """One finding with its status and level, and the earlier entry that it is tied to.

    `held_by` are the rules, or the remark, that make its input suspect. `together`: a contact finding rests on what
    this one suspects, and neither waits for the other.
    """

    rule: Rule
    verdict: Verdict
    status: Status
    level: Level
    other: View | None = None
    persistent: bool = False
    preterm: bool = False
    held_by: tuple[str, ...] = ()
    together: bool = False
    superseded_by: tuple[str, ...] = ()

    @property
    def could_be(self) -> bool:
        """Whether it is raised only because missing context leaves it possible."""
        return self.verdict.rank is Rank.POSSIBLE


def decide(rules: Sequence[Rule], verdicts: Mapping[str, Verdict], view: View) -> tuple[Raised, ...]:
    """Every finding raised for this entry, superseded ones marked, most serious first."""
    findings = findings_of(rules, verdicts)
    raised = [made for rule in rules if (made := _raise(rule, verdicts[rule.id], view, findings))]
    return tuple(sorted(_supersede(_suspect(raised)), key=_rank))


def findings_of(rules: Sequence[Rule], verdicts: Mapping[str, Verdict]) -> Findings:
    """The verdicts of the rules that give each finding code."""
    findings: dict[str, list[Verdict]] = {}
    for rule in rules:
        findings.setdefault(rule.finding, []).append(verdicts[rule.id])
    return findings


def _raise(rule: Rule, verdict: Verdict, view: View, findings: Findings) -> Raised | None:
    if verdict.rank is Rank.POSSIBLE:
        made = _could_be(rule, verdict)
    elif verdict.rank is Rank.MET:
        made = _met(rule, verdict, view, findings)
    else:
        return None
    return None if made is None else _held(_scoped(made, view), view)


def _could_be(rule: Rule, verdict: Verdict) -> Raised | None:
    if rule.red_flag:
        return Raised(rule, verdict, "raised", rule.level)
    return Raised(rule, verdict, "provisional", "discuss") if rule.level in ("discuss", "contact") else None


def _met(rule: Rule, verdict: Verdict, view: View, findings: Findings) -> Raised:
    calm = _is_calm(rule, view, findings)
    made = Raised(rule, verdict, "raised" if calm else "provisional", rule.level)
    if rule.confirmed is None:
        return made
    repeat = confirm(rule, view, calm)
    if repeat is None:
        return made
    level = max(rule.level, rule.confirmed.level if calm else "discuss", key=LEVELS.index)
    status: Status = "confirmed" if calm else "provisional"
    return replace(made, status=status, level=level, other=repeat.view, persistent=repeat.persistent)


def _is_calm(rule: Rule, view: View, findings: Findings) -> bool:
    """Whether a rule that is met stands without unsettled or short readings.

    One that only the other evaluator found met has no reading that could be unsettled.
    """
    if rule.red_flag or rule.area == "quality" or evaluate_calm(rule, view, findings).rank is Rank.MET:
        return True
    return evaluate(rule, view, findings).rank is not Rank.MET


def _scoped(made: Raised, view: View) -> Raised:
    if made.rule.reference_range and is_under("term_from", view):
        return replace(made, level="note", preterm=True)
    return made


def _held(made: Raised, view: View) -> Raised:
    remarks = [each.reason for each in view.entry.remarks if each.reason in SUSPECT and _bears(each, made.rule)]
    return replace(made, status="held", held_by=tuple(dict.fromkeys(remarks))) if remarks and can_hold(made) else made


def can_hold(made: Raised) -> bool:
    """Whether a finding may wait: none of contact, none of a rule of contact, and no red flag."""
    return "contact" not in (made.level, made.rule.level) and not made.rule.red_flag


def _suspect(raised: list[Raised]) -> list[Raised]:
    """What reads a value that a finding of this entry suspects is held; nothing on the entry itself ever is."""
    holders = [made for made in raised if made.rule.holds and made.verdict.rank is Rank.MET]
    return [_beside(made, raised) if made in holders else _doubted(made, holders) for made in raised]


def _doubted(made: Raised, holders: Sequence[Raised]) -> Raised:
    by = tuple(each.rule.id for each in holders if not each.rule.reads.isdisjoint(made.rule.reads))
    if not by or made.rule.area == "quality" or not can_hold(made):
        return made
    return replace(made, status="held", held_by=made.held_by + by)


def _beside(made: Raised, raised: Sequence[Raised]) -> Raised:
    """A finding that suspects a value, with whether a contact finding rests on the same."""
    urgent = (each.rule for each in raised if not can_hold(each))
    return replace(made, together=any(not rule.reads.isdisjoint(made.rule.reads) for rule in urgent))


def _bears(remark: Remark, rule: Rule) -> bool:
    """Whether a wrong time is that of this entry, or of an observation that the rule reads."""
    return not remark.place.startswith("/earlier/") and (remark.code is None or remark.code in rule.codes)


def _supersede(raised: list[Raised]) -> list[Raised]:
    by_id = {made.rule.id: made for made in raised}
    over: dict[str, list[str]] = {}
    for made in raised:
        for other in made.rule.supersedes:
            if other in by_id and _outranks(made, by_id[other]):
                over.setdefault(other, []).append(made.rule.id)
    return [replace(made, superseded_by=tuple(over.get(made.rule.id, ()))) for made in raised]


def _outranks(made: Raised, other: Raised) -> bool:
    if made.status == "held" or (other.rule.red_flag and not made.rule.red_flag):
        return False
    gap = LEVELS.index(made.level) - LEVELS.index(other.level)
    return gap > 0 if _is_weaker(made, other) else gap >= 0


def _is_weaker(made: Raised, other: Raised) -> bool:
    """Whether one is provisional, or only could be, and the other is not."""
    provisional = made.status == "provisional" and other.status != "provisional"
    return provisional or (made.could_be and not other.could_be)


def _rank(made: Raised) -> tuple[bool, bool, int, bool, bool]:
    settled = made.status in ("raised", "confirmed")
    hidden = bool(made.superseded_by)
    return (hidden, made.status == "held", -LEVELS.index(made.level), not made.rule.red_flag, not settled)
