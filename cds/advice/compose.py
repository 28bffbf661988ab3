"""Put one advice together: the whole answer to one entry, as plain data.

Takes what was inferred and raised; gives a dict of text, numbers, lists and dicts, in a fixed order of keys, that
`schemas/advice.schema.json` describes. Text and handover are made from it, so they cannot say anything else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cds.advice.expected import expected
from cds.advice.explain import explain, reading_data, value_words
from cds.advice.needs import Needed, needed, needs_of
from cds.advice.repeats import Earlier, blocks, repeats
from cds.advice.scale import items
from cds.advice.status import Raised, decide
from cds.advice.wording import due, first_reading, summary
from cds.entry.model import Entry, Moment
from cds.infer.agree import Inference
from cds.infer.plain import Findings
from cds.judge.gates import age_gate
from cds.judge.view import View
from cds.rules.model import LEVELS, Band, Caution, Rule, RuleSet, SourceAt
from cds.values import Rank, Verdict

SCHEMA = "infant-vitals-advice/1"
Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Answer:
    """What one call inferred, with the mode in which it is said."""

    view: View
    inference: Inference
    moment: Moment | None
    mode: str

    @property
    def rules(self) -> RuleSet:
        """The rules in force."""
        return self.view.rules


def compose(answer: Answer) -> Data:
    """The advice as data."""
    rules, verdicts, view = answer.rules.rules, answer.inference.verdicts, answer.view
    findings = findings_of(rules, verdicts)
    raised = decide(rules, verdicts, view)
    listed = [finding_data(made, view, findings) for made in raised]
    earlier = _earlier(rules, raised, view)
    untold = not_evaluated(rules, verdicts, raised, view)
    return {
        "schema": SCHEMA,
        **_who(answer),
        "expected": expected(view),
        "derived": _derived(view),
        "findings": listed + [closed_data(each, view) for each in earlier if each.status == "closed-by-repeat"],
        "still_open": [_open_data(each) for each in earlier if each.status == "still-open"],
        "not_evaluated": untold,
        "counts": _counts(rules, verdicts, raised),
        "quality": [_remark(remark) for remark in view.entry.remarks],
        "cautions": [_caution(each, view) for each in answer.rules.cautions],
    }


def findings_of(rules: Sequence[Rule], verdicts: Mapping[str, Verdict]) -> Findings:
    """The verdicts of the rules that give each finding code."""
    findings: dict[str, list[Verdict]] = {}
    for rule in rules:
        findings.setdefault(rule.finding, []).append(verdicts[rule.id])
    return findings


def _who(answer: Answer) -> Data:
    entry, rules, inference = answer.view.entry, answer.rules, answer.inference
    evaluators: Data = {"answered": list(inference.answered), "agree": _agreement(inference)}
    if inference.differences:
        evaluators["differ_on"] = list(inference.differences)
    if inference.failure:
        evaluators["why"] = inference.failure
    return {
        "event": _event(entry),
        "infant": _infant(entry),
        "moment": answer.moment.text if answer.moment else None,
        "rules": {"id": rules.id, "version": rules.version, "digest": rules.digest, "mode": answer.mode, "policies": []},
        "evaluators": evaluators,
        "age": answer.view.ages.data(),
    }


def _agreement(inference: Inference) -> bool | None:
    return not inference.differences if len(inference.answered) > 1 else None


def _event(entry: Entry) -> Data:
    event = entry.event
    times = {"measured": event.measured, "charted": event.charted}
    said = {key: moment.text for key, moment in times.items() if moment}
    return {**_given(id=event.id), **said, **_given(care_unit=event.care_unit), "status": event.status}


def _infant(entry: Entry) -> Data:
    infant = entry.infant
    gestation = infant.gestation
    days = {"from_days": gestation.low, "to_days": gestation.high} if gestation else None
    return _given(id=infant.id, sex=infant.sex, gestation=days, order=infant.order)


def _given(**fields: Any) -> Data:
    return {key: value for key, value in fields.items() if value is not None}


def finding_data(made: Raised, view: View, findings: Findings) -> Data:
    """One finding with its reasons and provenance."""
    rule = made.rule
    steps = _steps(rule, view)
    dues = [step["by"] for step in steps if "by" in step]
    reading = first_reading(rule, view)
    numbers = dict(reading.value.numbers) if reading and reading.value else {}
    return {
        **_head(rule),
        "level": made.level,
        "status": made.status,
        "red_flag": rule.red_flag,
        "summary": summary(made, view, findings),
        "next": steps,
        **_given(by=min(dues, default=None)),
        "because": explain(rule.when, view, findings),
        "numbers": numbers,
        "for": {"age": rule.gate.age, "bands": [band.words for band in rule.gate.bands if _may_be_in(band, rule, view)]},
        "sources": [_source(view.rules, source) for source in rule.sources],
        "set_by": {"layer": "base", "file": rule.place, "digest": view.rules.digest},
        "missing": list(needs_of(rule.when, view, findings)) if made.could_be else [],
        "supersedes": list(rule.supersedes),
        "superseded_by": list(made.superseded_by),
        "known_limits": rule.known_limits,
        **_scale(rule, view, findings),
        **_ties(made),
    }


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
        ties["other_entry"] = {**_event(made.other.entry), "how": "persistent" if made.persistent else "repeat"}
    if made.preterm:
        ties["preterm"] = "the reference range is of infants born at term; under 37 weeks postmenstrual age it is a note"
    return ties


def _steps(rule: Rule, view: View) -> list[Data]:
    return [
        {"step": each.step, "words": view.rules.step_words[each.step], **_given(within=each.within), **_by(each.within, view)}
        for each in rule.next
    ]


def _by(within: int | None, view: View) -> Data:
    return _given(by=due(view.entry.event.measured, within))


def _source(rules: RuleSet, at: SourceAt) -> Data:
    source = rules.sources[at.ref]
    said = f"{source.body}, {source.title}, {source.edition}, {source.year}"
    return {"ref": at.ref, "said": said, "at": at.at, **_given(figure_from=at.figure_from)}


def _earlier(rules: Sequence[Rule], raised: Sequence[Raised], view: View) -> list[Earlier]:
    if not view.entry.earlier:
        return []
    above = [made for made in raised if LEVELS.index(made.level) > 0 and blocks(made.rule.area)]
    within = int(view.rules.settings["close_within"].split()[0]) * 3600
    return repeats(rules, view, [made.rule.id for made in above], within)


def closed_data(earlier: Earlier, view: View) -> Data:
    """A finding of an earlier entry that this entry's settled repeat closed."""
    rule = earlier.rule
    reading = first_reading(rule, earlier.view)
    return {
        **_head(rule),
        "level": rule.level,
        "status": "closed-by-repeat",
        "red_flag": rule.red_flag,
        "summary": f"Closed by this settled repeat: {rule.title}."[:139],
        "next": [],
        "because": reading_data(reading) if reading else {},
        "numbers": {},
        "sources": [_source(view.rules, source) for source in rule.sources],
        "set_by": {"layer": "base", "file": rule.place, "digest": view.rules.digest},
        "missing": [],
        "supersedes": [],
        "superseded_by": [],
        "known_limits": rule.known_limits,
        "other_entry": {**_event(earlier.view.entry), "how": "repeat"},
    }


def _open_data(earlier: Earlier) -> Data:
    return {"rule": earlier.rule.id, "title": earlier.rule.title, "entry": _event(earlier.view.entry), "why": earlier.why}


def not_evaluated(
    rules: Sequence[Rule], verdicts: Mapping[str, Verdict], raised: Sequence[Raised], view: View
) -> Data:
    """Rules that cannot tell: needed, not charted at all, outside age or care."""
    findings = findings_of(rules, verdicts)
    shown = {made.rule.id for made in raised}
    untold = [rule for rule in rules if verdicts[rule.id].reasons and rule.id not in shown]
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
    return {"rule": each.rule.id, "title": each.rule.title, "level": each.rule.level, "reasons": reasons, "needs": list(each.needs)}


def _counts(rules: Sequence[Rule], verdicts: Mapping[str, Verdict], raised: Sequence[Raised]) -> Data:
    told = sum(1 for rule in rules if not verdicts[rule.id].reasons)
    by_status = {status: sum(1 for made in raised if made.status == status) for status in ("provisional", "held")}
    return {"rules": len(rules), "evaluated": told, "raised": len(raised), **by_status, "not_evaluated": len(rules) - told}


def _derived(view: View) -> list[Data]:
    return [
        {"name": name, "value": value_words(value)}
        for name, value in sorted(view.derived.items())
        if value.verdict is None and "not-cooled" not in value.words
    ]


def _caution(caution: Caution, view: View) -> Data:
    """A caution, and whether it fits what was charted."""
    return {"words": caution.words, "fits": not caution.about or not caution.about.isdisjoint(view.by_code)}


def _remark(remark: Any) -> Data:
    return {**_given(code=remark.code), "reason": remark.reason, "place": remark.place, "found": remark.found, "words": remark.words}
