"""Hold the two evaluators against each other on one entry, at every cut.

Takes both evaluators, which hold the rules, and an entry. Gives the ranks, and in words every rule on which they
differ: plain walked in full, plain with quiet rules spared, and the engine asked for what is met, possible and unknown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from cds.entry.model import Entry
from cds.infer.agree import ALL, Evaluators, fire
from cds.infer.plain import infer
from cds.judge.view import View
from cds.rules.model import RuleSet
from cds.values import Rank, Verdict


@dataclass(slots=True)
class Seen:
    """What came up while entries were compared. `differences` names the entry and the rule, and says what was told."""

    entries: int = 0
    ranks: Counter[tuple[str, Rank]] = field(default_factory=Counter)
    differences: list[str] = field(default_factory=list)

    @property
    def verdicts(self) -> int:
        """Verdicts compared."""
        return sum(self.ranks.values())

    def never(self, rank: Rank) -> list[str]:
        """Rules that never had this rank."""
        return sorted({rule for rule, _ in self.ranks} - {rule for rule, seen in self.ranks if seen is rank})


def compare_all(evaluators: Evaluators, rules: RuleSet, named: Iterable[tuple[str, Entry]], seen: Seen) -> Seen:
    """Compare on every entry."""
    for name, entry in named:
        view = View(entry, rules)
        quiet = infer(evaluators.rules, view, evaluators.quiet)
        # Without the memory of the first walk: what was spared is asked for the first time.
        whole = infer(evaluators.rules, View(entry, rules))
        seen.entries += 1
        seen.ranks.update((rule, verdict.rank) for rule, verdict in whole.items())
        seen.differences += [f"{name}: {words}" for words in _differ(evaluators, view, quiet, whole)]
    return seen


def _differ(
    evaluators: Evaluators, view: View, quiet: Mapping[str, Verdict], whole: Mapping[str, Verdict]
) -> Iterator[str]:
    for rule in whole.keys() | quiet.keys():
        if quiet.get(rule) != whole.get(rule):
            yield f"{rule}: {quiet.get(rule)} with quiet rules spared, {whole.get(rule)} in full"
    if evaluators.engine is None:
        return
    fired = fire(evaluators.engine, evaluators.program, evaluators.program.ranks(view), ALL)
    for rule, verdict in whole.items():
        if fired.get(rule, Rank.NOT_MET) is not verdict.rank:
            yield f"{rule}: {verdict.rank.name} by plain, {fired.get(rule, Rank.NOT_MET).name} by the engine"


def untrimmed(evaluators: Evaluators, entry: Entry, rules: RuleSet) -> Iterator[str]:
    """Where the engine fires otherwise on all facts of a cut than on the trimmed batch."""
    assert evaluators.engine is not None
    facts = evaluators.program.ranks(View(entry, rules))
    for cut in ALL:
        every = frozenset(name for name, rank in facts.items() if rank >= cut)
        trimmed = evaluators.program.batch(facts, cut)
        odd = evaluators.engine.fired(every) ^ evaluators.engine.fired(trimmed)
        yield from (f"{rule} at {cut.name}" for rule in sorted(odd))
