"""One object for equal conditions and equal gates, so that each is judged once for each entry.

Takes the rules of a set as built; gives the same rules, sharing. Changes no meaning.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from cds.rules.derived import DERIVED, READS
from cds.rules.model import Condition, Criterion, FindingIs, Gate, Group, Rule


@dataclass(frozen=True, slots=True)
class _Shared:
    conditions: dict[Condition, Condition] = field(default_factory=dict)
    gates: dict[Gate, Gate] = field(default_factory=dict)

    def condition(self, when: Condition) -> Condition:
        if isinstance(when, Group):
            parts = tuple(self.condition(part) for part in when.parts)
            codes = codes_of(when) if observes_only(when) else frozenset()
            when = replace(when, parts=parts, chained=any(map(is_chained, parts)), codes=codes)
        return self.conditions.setdefault(when, when)


def share(rules: Iterable[Rule]) -> tuple[Rule, ...]:
    """The rules with equal parts as one object, chained groups marked, and the codes each rule and group reads."""
    shared = _Shared()
    return tuple(_shared(rule, shared) for rule in rules)


def _shared(rule: Rule, shared: _Shared) -> Rule:
    gate = shared.gates.setdefault(rule.gate, rule.gate)
    codes = codes_of(rule.when)
    reads = codes | reads_of(rule.when)
    return replace(rule, gate=gate, when=shared.condition(rule.when), codes=codes, reads=reads)


def is_chained(when: Condition) -> bool:
    """Whether a condition asks for a finding anywhere inside."""
    if isinstance(when, Group):
        return when.chained or any(map(is_chained, when.parts))
    return isinstance(when, FindingIs)


def observes_only(when: Condition) -> bool:
    """Whether a condition reads observations of this entry and nothing else."""
    if isinstance(when, Group):
        return all(map(observes_only, when.parts))
    return isinstance(when, Criterion) and when.kind == "observed" and when.unanswered is None


def codes_of(when: Condition) -> frozenset[str]:
    """The observation codes that a condition reads; one that asks what was not charted again waits for none."""
    if isinstance(when, Criterion):
        if when.kind == "observed":
            return frozenset() if when.unanswered else frozenset({when.subject})
        return DERIVED[when.subject].codes if when.kind == "derived" else frozenset()
    return frozenset().union(*map(codes_of, when.parts)) if isinstance(when, Group) else frozenset()


def reads_of(when: Condition) -> frozenset[str]:
    """What the derived values of a condition read besides: codes that may be charted, the birth weight."""
    if isinstance(when, Criterion):
        return READS.get(when.subject, frozenset()) if when.kind == "derived" else frozenset()
    return frozenset().union(*map(reads_of, when.parts)) if isinstance(when, Group) else frozenset()
