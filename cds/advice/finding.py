"""One finding as data: what it says, why, by which limit, from whom, what to do and by when.

Takes a raised finding, or one of an earlier entry, and the view; gives plain data in a fixed order of keys.
"""

from __future__ import annotations

from dataclasses import replace

from cds.advice.answer import Data, event_data, given
from cds.advice.centile import centile
from cds.advice.doubts import doubts
from cds.advice.explain import explain
from cds.advice.needs import settles
from cds.advice.repeats import Earlier
from cds.advice.scale import items
from cds.advice.status import Raised
from cds.advice.wording import MOST, due, first_reading, summary
from cds.entry.model import Observation
from cds.infer.plain import Findings
from cds.judge.gates import age_gate
from cds.judge.view import Reading, View
from cds.rules.model import Band, NextStep, Rule, RuleSet, SourceAt
from cds.values import Rank


def finding_data(made: Raised, view: View, findings: Findings) -> Data:
    """One finding with its reasons and provenance."""
    rule = made.rule
    steps = _steps(made, view)
    dues = [step["by"] for step in steps if "by" in step]
    reading = first_reading(rule, view)
    numbers = numbers_of(reading, view)
    return {
        **_head(rule),
        "level": made.level,
        "status": made.status,
        "red_flag": rule.red_flag,
        "summary": summary(made, view, findings),
        "next": steps,
        **given(by=min(dues, default=None)),
        "because": explain(rule.when, view, findings),
        "numbers": numbers,
        "for": {
            "age": rule.gate.age,
            "bands": [band.words for band in rule.gate.bands if _may_be_in(band, rule, view)],
        },
        "sources": [_source(view.rules, source) for source in rule.sources],
        "set_by": {"layer": "base", "file": rule.place, "digest": view.rules.digest},
        "missing": (list(settles(rule, view, findings)) or doubts(made, view, findings)) if made.could_be else [],
        "supersedes": list(rule.supersedes),
        "superseded_by": list(made.superseded_by),
        "known_limits": rule.known_limits,
        **_scale(rule, view, findings),
        **_ties(made),
    }


def numbers_of(reading: Reading | None, view: View) -> dict[str, str]:
    """The numbers behind the first thing that tells: of a derived value, or the centile of a charted one."""
    if reading is None:
        return {}
    if reading.value is not None:
        return dict(reading.value.numbers)
    place = centile(reading.observation, view) if reading.observation else None
    return {"centile": f"{place}, {_centile_source(reading.observation, view)}"} if place else {}


def _centile_source(observation: Observation | None, view: View) -> str:
    assert observation is not None
    return view.rules.centiles[observation.code].source.ref


def _may_be_in(band: Band, rule: Rule, view: View) -> bool:
    return age_gate((band,), rule.gate.age, view).rank is not Rank.NOT_MET


def _scale(rule: Rule, view: View, findings: Findings) -> Data:
    if rule.scale is None:
        return {}
    listed = items(rule.when, view, findings)
    return {"scale": {"name": rule.scale.name, "column": rule.scale.column, "items": listed}}


def _head(rule: Rule) -> Data:
    return {"rule": rule.id, "revision": rule.revision, "finding": rule.finding, "title": rule.title, "area": rule.area}


def _ties(made: Raised) -> Data:
    ties: Data = {}
    if made.other is not None:
        ties["other_entry"] = {**event_data(made.other.entry), "how": "persistent" if made.persistent else "repeat"}
    if made.held_by:
        ties["held"] = {"reason": "suspected-entry-error", "by": list(made.held_by)}
    if made.preterm:
        ties["preterm"] = (
            "the reference range is of infants born at term; under 37 weeks postmenstrual age it is a note"
        )
    return ties


def _next(made: Raised) -> tuple[NextStep, ...]:
    """The steps of a rule; where a second count confirmed it, those of its level then come first."""
    second = made.rule.confirmed
    if second is None or made.other is None or made.level == "note":
        return made.rule.next
    tell = made.level == "discuss"
    first = [replace(each, step=_TOLD.get(each.step, each.step)) if tell else each for each in second.next]
    return (*first, *(each for each in made.rule.next if each.step not in {step.step for step in first}))


_TOLD = {"contact-clinician": "tell-clinician"}


def _steps(made: Raised, view: View) -> list[Data]:
    return [
        {
            "step": each.step,
            "words": view.rules.step_words[each.step],
            **given(within=each.within),
            **_by(each.within, view),
        }
        for each in _next(made)
    ]


def _by(within: int | None, view: View) -> Data:
    return given(by=due(view.entry.event.measured, within))


def _source(rules: RuleSet, at: SourceAt) -> Data:
    source = rules.sources[at.ref]
    said = f"{source.body}, {source.title}, {source.edition}, {source.year}"
    return {"ref": at.ref, "said": said, "at": at.at, **given(figure_from=at.figure_from)}


def closed_data(earlier: Earlier, view: View) -> Data:
    """A finding of an earlier entry that this entry's settled repeat closed."""
    rule = earlier.rule
    return {
        **_head(rule),
        "level": rule.level,
        "status": "closed-by-repeat",
        "red_flag": rule.red_flag,
        "summary": f"Closed by this settled repeat: {rule.title}."[:MOST],
        "next": [],
        "because": explain(rule.when, earlier.view, {}),
        "numbers": {},
        "sources": [_source(view.rules, source) for source in rule.sources],
        "set_by": {"layer": "base", "file": rule.place, "digest": view.rules.digest},
        "missing": [],
        "supersedes": [],
        "superseded_by": [],
        "known_limits": rule.known_limits,
        "other_entry": {**event_data(earlier.view.entry), "how": "repeat"},
    }


def open_data(earlier: Earlier) -> Data:
    """A finding of an earlier entry that a repeat did not close, and what keeps it open."""
    return {
        "rule": earlier.rule.id,
        "title": earlier.rule.title,
        "entry": event_data(earlier.view.entry),
        "why": earlier.why,
    }
