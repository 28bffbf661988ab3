"""Both evaluators on one entry, compared.

Takes rules and a view; gives a verdict for each rule, which evaluators answered, and where they differ. A difference is
never averaged away: the greater rank stands, so whatever either raises is raised.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cds.infer import durable
from cds.infer.facts import program
from cds.infer.plain import infer
from cds.judge.view import View
from cds.rules.model import Rule
from cds.values import Rank, Verdict

_CUTS = (Rank.UNKNOWN, Rank.POSSIBLE, Rank.MET)


@dataclass(frozen=True, slots=True)
class Inference:
    """Verdict of each rule; evaluators that answered; rules on which they differ; why one did not answer."""

    verdicts: Mapping[str, Verdict]
    answered: tuple[str, ...]
    differences: tuple[str, ...] = ()
    failure: str | None = None


class Evaluators:
    """The plain evaluator and, where it can be had, durable-rules over the same rules. Not for several threads."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        self.rules = tuple(rules)
        self.program = program(self.rules)
        self.engine = durable.Engine(self.program.rules) if durable.available() else None

    def infer(self, view: View) -> Inference:
        """Verdicts of both evaluators, compared on every call."""
        verdicts = infer(self.rules, view)
        if self.engine is None:
            return Inference(verdicts, ("plain",), failure="durable-rules is not installed")
        try:
            ranks = fire(self.engine, self.program.ranks(view))
        except durable.EngineFailed as failed:
            return Inference(verdicts, ("plain",), failure=str(failed))
        return compare(verdicts, ranks)


def fire(engine: durable.Engine, facts: Mapping[str, Rank]) -> dict[str, Rank]:
    """The rank of each rule that the engine fires, from one batch for each cut: what is met, possible, unknown."""
    ranks: dict[str, Rank] = {}
    for cut in _CUTS:
        batch = frozenset(name for name, rank in facts.items() if rank >= cut)
        ranks.update(dict.fromkeys(engine.fired(batch), cut))
    return ranks


def compare(plain: Mapping[str, Verdict], ranks: Mapping[str, Rank]) -> Inference:
    """One inference from both, with the rules on which they differ."""
    differences = tuple(rule for rule, verdict in plain.items() if ranks.get(rule, Rank.NOT_MET) != verdict.rank)
    verdicts = dict(plain)
    for rule in differences:
        greater = max(plain[rule].rank, ranks.get(rule, Rank.NOT_MET))
        verdicts[rule] = replace(plain[rule], rank=greater)
    return Inference(verdicts, ("plain", "durable"), differences)
