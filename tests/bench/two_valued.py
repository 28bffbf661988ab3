"""The rule set as two-valued expressions, for general rule engines: what is not charted is not so.

Takes rules; gives one expression for each, put together by a language (how an engine writes and, or, a comparison).
Ages in every unit, values in the unit of the limits, derived values, scores and repeats are facts given ready-made, so
an engine that is measured on them does less than either of our evaluators.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any, Protocol

from cds.entry.ages import DAY, Age
from cds.entry.calendar import count_months
from cds.entry.catalogue import ASLEEP
from cds.entry.model import Observation
from cds.judge.criteria import judge
from cds.judge.derive import derive
from cds.judge.view import View
from cds.rules.model import Band, Condition, Criterion, Filter, FindingIs, Gate, Group, Reach, Rule, RuleSet, Threshold
from cds.values import Rank

Data = dict[str, Any]
KINDS = {"either": ("chronological", "corrected")}
COMPARISON = {"at-or-above": ">=", "above": ">", "at-or-below": "<=", "below": "<"}
TICKS = {"temperature": 900}


class Language(Protocol):
    """How an engine writes an expression."""

    def all(self, parts: Sequence[Any]) -> Any: ...
    def any(self, parts: Sequence[Any]) -> Any: ...
    def none(self, parts: Sequence[Any]) -> Any: ...
    def at_least(self, n: int, parts: Sequence[Any]) -> Any: ...
    def within(self, path: str, low: int, high: int) -> Any: ...
    def compare(self, path: str, how: str, limit: float) -> Any: ...
    def one_of(self, path: str, words: Iterable[str]) -> Any: ...
    def absent(self, path: str) -> Any: ...
    def true(self, path: str) -> Any: ...


class Expressions:
    """The expressions of a rule set in one language."""

    def __init__(self, rules: RuleSet, language: Language) -> None:
        self.rules = rules
        self.say = language

    def of(self, rule: Rule) -> Any:
        return self.say.all([*self.gate(rule.gate), self.condition(rule.when)])

    def gate(self, gate: Gate) -> list[Any]:
        parts = [self.bands(gate.bands, gate.age)]
        if gate.scoped:
            early = int(self.rules.settings["scope_from"].split()[0])
            parts.append(self.say.none([self.say.within("age.postmenstrual.wk", 0, early)]))
        if gate.outside_care:
            parts.append(self.say.none([self.say.one_of("care.breathing_support", gate.outside_care - {"cooled"})]))
        if "cooled" in gate.outside_care:
            parts.append(self.say.absent("care.cooling"))
        return parts

    def bands(self, bands: Sequence[Band], kind: str) -> Any:
        return self.say.any([self.band(band, each) for each in KINDS.get(kind, (kind,)) for band in bands])

    def band(self, band: Band, kind: str) -> Any:
        unit = band.end.unit
        if band.start.amount == 0 or band.start.unit == unit:
            return self.say.within(f"age.{kind}.{unit}", band.start.amount, band.end.amount)
        start = self.say.compare(f"age.{kind}.{band.start.unit}", ">=", band.start.amount)
        return self.say.all([start, self.say.compare(f"age.{kind}.{unit}", "<", band.end.amount)])

    def condition(self, when: Condition) -> Any:
        if isinstance(when, Criterion):
            return self.criterion(when)
        if isinstance(when, FindingIs):
            return self.say.any([self.of(rule) for rule in self.rules.rules if rule.finding == when.finding])
        parts = [self.condition(part) for part in when.parts]
        return self.together(when, parts)

    def together(self, group: Group, parts: Sequence[Any]) -> Any:
        if group.how == "at-least":
            return self.say.at_least(group.n, parts)
        return {"all": self.say.all, "any": self.say.any, "none": self.say.none}[group.how](parts)

    def criterion(self, criterion: Criterion) -> Any:
        if criterion.kind == "blank":
            return self.say.any([])
        if criterion.kind == "band":
            return self.bands(criterion.bands, criterion.age)
        if criterion.kind == "care":
            return self.say.one_of(f"care.{criterion.subject}", criterion.grades)
        if criterion.kind == "observed":
            return self.observed(criterion)
        if criterion.before is not None:
            return self.say.true(f"again.{again(criterion)}")
        path = f"derived.{name(criterion.subject)}"
        return self.say.one_of(path, criterion.grades) if criterion.reach is None else self.reach(criterion.reach, path)

    def observed(self, criterion: Criterion) -> Any:
        if criterion.unanswered is not None:
            return self.say.true(f"again.{again(criterion)}")
        path = f"found.{name(criterion.subject)}"
        parts = [self.selected(wanted, path) for wanted in criterion.where]
        if criterion.reach is not None:
            parts.append(self.reach(criterion.reach, path))
        elif criterion.has is not None:
            parts.append(self.has(path, *criterion.has))
        else:
            parts.append(self.say.one_of(f"{path}.grade", criterion.grades))
        if criterion.repeated_within is not None:
            parts.append(self.say.true(f"again.{again(criterion)}"))
        return self.say.all(parts)

    def selected(self, wanted: Filter, path: str) -> Any:
        charted = self.say.one_of(f"{path}.{wanted.key}", wanted.is_)
        return charted if wanted.uncharted != "selected" else self.or_absent(charted, f"{path}.{wanted.key}")

    def has(self, path: str, key: str, words: frozenset[str]) -> Any:
        charted = self.say.one_of(f"{path}.{key}", words - {"uncharted"})
        if "uncharted" not in words:
            return charted
        return self.say.all([self.say.true(f"{path}.charted"), self.or_absent(charted, f"{path}.{key}")])

    def or_absent(self, charted: Any, path: str) -> Any:
        return self.say.any([charted, self.say.absent(path)])

    def reach(self, reach: Reach, path: str) -> Any:
        if reach.by is None:
            return self.reaches(self.rules.thresholds[reach.threshold or ""], path)
        return self.say.any([self.reach_by(reach.by, word, self.rules.thresholds[to], path) for word, to in reach.each])

    def reach_by(self, key: str, word: str, threshold: Threshold, path: str) -> Any:
        if key == "state":
            asleep = self.say.one_of(f"{path}.state", ASLEEP)
            known = asleep if word == "asleep" else self.say.none([asleep, self.say.absent(f"{path}.state")])
        else:
            known = self.say.one_of(f"{path}.{key}", [word])
        return self.say.all([known, self.reaches(threshold, path)])

    def reaches(self, threshold: Threshold, path: str) -> Any:
        how = COMPARISON[threshold.reached]
        value = path if path.startswith("derived.") else f"{path}.value"
        limits = [(each.band, each.limit.value) for each in threshold.bands if each.limit is not None]
        if len(threshold.bands) == 1:
            return self.say.compare(value, how, float(limits[0][1]))
        parts = [(self.band(band, threshold.age), self.say.compare(value, how, float(at))) for band, at in limits]
        return self.say.any([self.say.all(both) for both in parts])


def facts(view: View, rules: RuleSet) -> Data:
    """What the expressions ask about, for one entry with one reading of each code."""
    return {
        "age": {kind: _age(view.ages.of(kind)) for kind in ("chronological", "corrected", "postmenstrual")},
        "care": {key: value for key, value in view.entry.care.items() if isinstance(value, str)},
        "found": {name(each.code): _found(each) for each in view.entry.observations},
        "derived": {name(each): value for each in _derived(rules) if (value := _value(each, view)) is not None},
        "again": {again(each): judge(each, view).verdict.rank is Rank.MET for each in _repeated(rules)},
    }


def _age(age: Age | None) -> Data:
    if age is None:
        return {}
    # A corrected age below zero counts as in a band that begins at birth.
    seconds = max(age.elapsed.low, 0)
    months = count_months(age.origin.low, age.today.low)[0] if age.origin is not None and age.elapsed.low >= 0 else 0
    return {"min": seconds // 60, "h": seconds // 3600, "d": seconds // DAY, "wk": seconds // (7 * DAY), "mo": months}


def _found(observation: Observation) -> Data:
    found: Data = {"charted": True, **{key: _word(value) for key, value in observation.context.items()}}
    seconds = observation.context.get("counted_seconds", 60)
    found["count"] = "short" if isinstance(seconds, int) and seconds < 60 else "full"
    if observation.grades:
        found["grade"] = observation.grades[0]
    if observation.quantity is not None:
        found["value"] = observation.quantity.position / 2 / TICKS.get(observation.quantity.dimension, 100)
    return found


def _word(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value[0] if isinstance(value, tuple) else value)


def _derived(rules: RuleSet) -> list[str]:
    return sorted({each.subject for each in criteria(rules) if each.kind in ("derived", "score")})


def _value(subject: str, view: View) -> float | str | None:
    value = derive(subject, view)
    if value.verdict is not None:
        return None
    if value.words:
        return min(value.words)
    scale = TICKS["temperature"] if subject == "fever-highest" else 100
    return None if value.low is None else float(Decimal(value.low) / 2 / scale)


def _repeated(rules: RuleSet) -> list[Criterion]:
    return [each for each in criteria(rules) if each.repeated_within or each.before or each.unanswered]


@lru_cache(maxsize=8)
def _criteria(rules: tuple[Rule, ...]) -> tuple[Criterion, ...]:
    found: dict[str, Criterion] = {}
    for rule in rules:
        _gather(rule.when, found)
    return tuple(found.values())


def _gather(when: Condition, found: dict[str, Criterion]) -> None:
    if isinstance(when, Criterion):
        found.setdefault(when.key, when)
    elif isinstance(when, Group):
        for part in when.parts:
            _gather(part, found)


def criteria(rules: RuleSet) -> tuple[Criterion, ...]:
    """Every criterion of a rule set, once."""
    return _criteria(rules.rules)


def again(criterion: Criterion) -> str:
    """The name of the fact that a criterion is repeated, or met with what was asked of before."""
    return "r" + "".join(letter if letter.isalnum() else "_" for letter in criterion.key)


def name(code: str) -> str:
    """A code as a name that expressions may hold."""
    return code.replace("-", "_")


def met(expressions: Mapping[str, Any]) -> frozenset[str]:
    """The rules whose expression answered true."""
    return frozenset(rule for rule, answer in expressions.items() if answer)
