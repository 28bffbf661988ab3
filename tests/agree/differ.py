"""Hold the two evaluators against each other on one entry, at every cut.

Takes both evaluators and an entry. Gives the ranks, and in words every rule on which they differ: the plain evaluator,
the rules spelled out with no memory and no short way, and the engine asked for what is met, possible and unknown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Protocol

from cds.adviser import Adviser
from cds.entry.model import Entry
from cds.infer.agree import ALL, Evaluators, fire
from cds.infer.plain import condition, infer
from cds.judge.view import View
from cds.rules.model import RuleSet
from cds.values import Rank, Verdict
from tests.agree.spelled import spell_out


class Fires(Protocol):
    """What fires rules on facts."""

    def fired(self, facts: frozenset[str]) -> frozenset[str]:
        """The ids of the rules that fire."""


class Remembering:
    """An engine asked once for each batch of facts: entries beside one limit make few different batches."""

    def __init__(self, engine: Fires) -> None:
        self._fired = cache(engine.fired)

    def fired(self, facts: frozenset[str]) -> frozenset[str]:
        """What the engine fired on these facts."""
        return self._fired(facts)


@dataclass(frozen=True, slots=True)
class Pair:
    """The plain evaluator and an engine over the same rules."""

    rules: RuleSet
    evaluators: Evaluators
    engine: Fires


def pair_of(adviser: Adviser) -> Pair:
    """Both evaluators of an adviser."""
    assert adviser.evaluators.engine is not None
    return Pair(adviser.rules, adviser.evaluators, adviser.evaluators.engine)


@dataclass(slots=True)
class Seen:
    """What came up while entries were compared. `differences` name the entry and the rule, and what each told."""

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


def compare_all(pair: Pair, named: Iterable[tuple[str, Entry]], seen: Seen) -> Seen:
    """Compare on every entry."""
    for name, entry in named:
        view = View(entry, pair.rules)
        plain = infer(pair.evaluators.rules, view)
        spelled = spell_out(pair.evaluators.rules, entry, pair.rules)
        seen.entries += 1
        seen.ranks.update((rule, verdict.rank) for rule, verdict in spelled.items())
        seen.differences += [f"{name}: {words}" for words in _differ(pair, view, plain, spelled)]
    return seen


def _differ(pair: Pair, view: View, plain: Mapping[str, Verdict], spelled: Mapping[str, Verdict]) -> Iterator[str]:
    for rule in spelled.keys() | plain.keys():
        if plain.get(rule) != spelled.get(rule):
            yield f"{rule}: {plain.get(rule)} by plain, {spelled.get(rule)} spelled out"
    program = pair.evaluators.program
    fired = fire(pair.engine, program, program.ranks(view), ALL)  # type: ignore[arg-type]
    for rule, verdict in plain.items():
        if fired.get(rule, Rank.NOT_MET) is not verdict.rank:
            yield f"{rule}: {verdict.rank.name} by plain, {fired.get(rule, Rank.NOT_MET).name} by the engine"


def untrimmed(pair: Pair, entry: Entry) -> Iterator[str]:
    """Where the engine fires otherwise on all facts of a cut than on the trimmed batch."""
    program = pair.evaluators.program
    view = View(entry, pair.rules)
    facts = program.ranks(view)
    asked = {name: condition(when, view, {}).rank for name, when in program.conditions}
    for cut in ALL:
        every = frozenset(name for name, rank in {**facts, **asked}.items() if rank >= cut)
        odd = pair.engine.fired(every) ^ pair.engine.fired(program.batch(facts, cut))
        yield from (f"{rule} at {cut.name}" for rule in sorted(odd))
