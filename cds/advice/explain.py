"""Why a rule says what it says: the tree of its criteria with values, limits and verdicts.

Takes a condition and the view it was judged in; gives plain data. Judges nothing anew: it reads what was judged.
A pruned tree keeps, under `any` and `at-least`, only the parts that are met or could be; a scale keeps every item.
"""

from __future__ import annotations

from typing import Any

from cds.entry.model import Entry, Observation
from cds.entry.units import UNITS, counted, shown, written
from cds.infer.plain import Findings, condition
from cds.judge.criteria import judge
from cds.judge.view import Judged, Reading, Value, View
from cds.rules.model import BandLimit, Condition, Criterion, FindingIs, Group, Unanswered
from cds.values import Rank, Verdict, ordered

Node = dict[str, Any]


def explain(when: Condition, view: View, findings: Findings, full: bool = False) -> Node:
    """The tree of a condition; `full` keeps parts that are not met too."""
    if isinstance(when, Criterion):
        return _labelled(when, _criterion(when, view))
    verdict = condition(when, view, findings)
    if isinstance(when, FindingIs):
        return _labelled(when, {"finding": when.finding, **verdict_of(verdict)})
    return _labelled(
        when, {"how": when.how, **_count(when), **verdict_of(verdict), **_parts(when, view, findings, full)}
    )


def verdict_of(verdict: Verdict) -> Node:
    """A verdict and its reasons as data."""
    if not verdict.reasons:
        return {"verdict": verdict.word}
    return {"verdict": verdict.word, "reasons": list(ordered(verdict.reasons))}


def _labelled(when: Condition, node: Node) -> Node:
    title = when.title if isinstance(when, Group) else None
    named = {"item": when.item, "title": title}
    return {**{key: text for key, text in named.items() if text}, **node}


def _count(when: Group) -> Node:
    return {"n": when.n} if when.how == "at-least" else {}


def _parts(when: Group, view: View, findings: Findings, full: bool) -> Node:
    kept = [part for part in when.parts if full or _kept(when, part, view, findings)]
    parts = [explain(part, view, findings, full) for part in kept]
    left_out = len(when.parts) - len(kept)
    return {"parts": parts, **({"left_out": left_out} if left_out else {})}


def _kept(when: Group, part: Condition, view: View, findings: Findings) -> bool:
    if when.how in ("all", "none") or part.item:
        return True
    return condition(part, view, findings).rank >= Rank.POSSIBLE


def _criterion(criterion: Criterion, view: View) -> Node:
    judged = judge(criterion, view)
    node: Node = {_KEYS[criterion.kind]: criterion.subject or criterion.why or [band.id for band in criterion.bands]}
    if criterion.grades:
        node["wanted"] = sorted(criterion.grades)
    if criterion.before:
        node["was"] = sorted(criterion.before.was)
    if criterion.unanswered:
        node["unanswered"] = _unanswered(criterion.unanswered, judged)
    if criterion.has:
        node["wanted"] = [f"{criterion.has[0]}: {word}" for word in sorted(criterion.has[1])]
    if criterion.kind == "care":
        node["charted"] = view.entry.care.get(criterion.subject, "not charted")
    node.update(verdict_of(judged.verdict))
    return {**node, **_readings(judged, node)}


def _unanswered(asked: Unanswered, judged: Judged) -> Node:
    """After how long a reading was due again, and the earlier entry with the last one."""
    entry = {} if judged.past is None else {"entry": entry_words(judged.past)}
    return {"after": lasting(asked.after), "within": lasting(asked.within), **entry}


_KEYS = {
    "observed": "observed",
    "derived": "derived",
    "score": "score",
    "care": "care",
    "band": "band",
    "blank": "not_representable",
}


def _readings(judged: Judged, asked: Node) -> Node:
    node: Node = {"readings": [reading_data(reading) for reading in judged.readings]} if judged.readings else {}
    if judged.past is None or "unanswered" in asked:
        return node
    if judged.then is None:
        return {**node, "repeats": entry_words(judged.past)}
    return {**node, "before": {"entry": entry_words(judged.past), **reading_data(judged.then)}}


def entry_words(entry: Entry) -> str:
    """An entry by its identifier, else by when it was measured."""
    measured = entry.event.measured.text if entry.event.measured else "an earlier entry"
    return entry.event.id or measured


def reading_data(reading: Reading) -> Node:
    """What one observation or derived value answered, with the limits it was held against."""
    node: Node = {"value": said(reading), **verdict_of(reading.verdict)}
    if reading.observation is not None and reading.observation.context:
        node["context"] = context_words(reading.observation)
    if not reading.calm:
        node["calm"] = False
    comparators = {limit.reached for limit in reading.limits}
    if len(comparators) == 1:
        node["comparator"] = comparators.pop()
    if reading.limits:
        node["limits"] = [_held_against(limit, reading) for limit in reading.limits]
    return node


def _held_against(limit: BandLimit, reading: Reading) -> Node:
    """A limit as data; with the cut-off in charted units where the z that is shown does not tell the side."""
    node = limit_data(limit, unit_of(reading))
    cuts = reading.value.cuts if reading.value is not None else None
    words = cuts.cut_off(limit.limit) if cuts is not None and limit.limit is not None else None
    return {**node, "cut_off": words} if words else node


def said(reading: Reading) -> str:
    """The value as charted, or a derived value in words."""
    if reading.observation is not None:
        return observed_words(reading.observation)
    return value_words(reading.value) if reading.value else "not charted"


def observed_words(observation: Observation) -> str:
    """One observation as charted: "< 60 /min", "mild", "not obtained (not-performed)"."""
    if observation.quantity is not None:
        bound = f"{observation.comparator} " if observation.comparator else ""
        return f"{bound}{written(observation.quantity)}"
    if observation.absent is not None:
        return f"not obtained ({observation.absent})"
    return ", ".join(observation.grades) or f"not readable ({observation.found or observation.unusable})"


def value_words(value: Value) -> str:
    """A derived value in words: its numbers, or its word, or what is missing."""
    if value.numbers:
        return ", ".join(f"{name} {number}" for name, number in value.numbers)
    if value.quantity is not None:
        return written(value.quantity)
    return " or ".join(sorted(value.words)) or "not charted"


def unit_of(reading: Reading) -> str | None:
    """The unit as charted of what was read."""
    if reading.observation is not None and reading.observation.quantity is not None:
        return reading.observation.quantity.unit
    return None


def limit_data(limit: BandLimit, unit: str | None) -> Node:
    """A limit with its band, source and author, in the charted unit where that is exact."""
    node: Node = {
        "threshold": limit.threshold,
        "band": limit.band.id,
        "words": limit.band.words,
        "limit": limit_words(limit, unit),
    }
    if limit.source is not None:
        node["source"] = {"ref": limit.source.ref, "at": limit.source.at, "figure_from": limit.source.figure_from}
    return {**node, "set_by": limit.set_by, "place": limit.place}


def limit_words(limit: BandLimit, unit: str | None = None) -> str:
    """A limit as a reader sees it, or that there is none."""
    if limit.limit is None:
        return f"no limit ({limit.no_limit})"
    same = unit is None or unit == limit.limit.unit or unit not in UNITS
    value = None if same else shown(limit.limit.position, unit or "")
    number, code = (limit.limit.value, limit.limit.unit) if value is None else (value, unit or "")
    return counted(number, code)


def lasting(seconds: int) -> str:
    """A time as short words: "30 min", "1 h", "24 h"."""
    return f"{seconds // 3600} h" if seconds % 3600 == 0 else f"{seconds // 60} min"


def context_words(observation: Observation) -> dict[str, str]:
    """The context of an observation as words by key."""
    return {key: _word(value) for key, value in observation.context.items()}


def _word(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    text = getattr(value, "text", None)
    return str(text if text is not None else value).lower() if isinstance(value, bool) else str(text or value)
