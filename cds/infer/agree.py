"""Both evaluators on one entry, compared.

Takes rules and a view; gives a verdict for each rule, which evaluators answered, and where they differ. A difference is
never averaged away: the greater rank stands, so whatever either raises is raised.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cds.infer import durable
from cds.infer.facts import Program, program
from cds.infer.plain import in_order, infer
from cds.judge.view import View
from cds.rules.model import Rule
from cds.values import Rank, Verdict

RAISING = (Rank.POSSIBLE, Rank.MET)
"""What is asked of the engine on every call: all that can raise a finding."""
ALL = (Rank.UNKNOWN, *RAISING)
"""What the differential tests ask: not met and cannot tell apart, too."""


@dataclass(frozen=True, slots=True)
class Inference:
    """Verdict of each rule, as inferred in turn; evaluators that answered; on which rules they differ; why not."""

    verdicts: Mapping[str, Verdict]
    answered: tuple[str, ...]
    differences: tuple[str, ...] = ()
    failure: str | None = None


class Evaluators:
    """The plain evaluator and, where it can be had, durable-rules over the same rules. Not for several threads."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        self.rules = in_order(rules)
        self.program = program(self.rules)
        self.engine = durable.Engine(self.program.rules) if durable.available() else None

    def infer(self, view: View) -> Inference:
        """Verdicts of both evaluators, compared on every call."""
        verdicts = infer(self.rules, view)
        if self.engine is None:
            return Inference(verdicts, ("plain",), failure="durable-rules is not installed")
        try:
            ranks = fire(self.engine, self.program, self.program.ranks(view), RAISING)
        except durable.EngineFailed as failed:
            return Inference(verdicts, ("plain",), failure=str(failed))
        return compare(verdicts, ranks, RAISING)


def fire(engine: durable.Engine, program: Program, facts: Mapping[str, Rank], cuts: Sequence[Rank]) -> dict[str, Rank]:
    """The rank of each rule that the engine fires, from one batch of facts for each cut, lowest first."""
    ranks: dict[str, Rank] = {}
    before: frozenset[str] | None = None
    fired: frozenset[str] = frozenset()
    for cut in cuts:
        batch = program.batch(facts, cut)
        if batch != before:
            fired, before = engine.fired(batch), batch
        ranks.update(dict.fromkeys(fired, cut))
    return ranks


def compare(plain: Mapping[str, Verdict], ranks: Mapping[str, Rank], cuts: Sequence[Rank]) -> Inference:
    """One inference from both, with the rules on which they differ at any of the cuts."""
    floor = cuts[0]
    differences = tuple(rule for rule, verdict in plain.items() if _differ(verdict.rank, ranks.get(rule), floor))
    verdicts = dict(plain)
    for rule in differences:
        greater = max(plain[rule].rank, ranks.get(rule, Rank.NOT_MET))
        verdicts[rule] = replace(plain[rule], rank=greater)
    return Inference(verdicts, ("plain", "durable"), differences)


def _differ(plain: Rank, engine: Rank | None, floor: Rank) -> bool:
    return (plain if plain >= floor else None) != engine
