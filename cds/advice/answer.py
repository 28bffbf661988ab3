"""Who was asked about, when, under which rules, and who answered: the head of an advice.

Takes an answer, gives plain data. Names nobody: an infant is its identifier, sex, gestation and birth order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from cds.entry.model import Entry, Moment
from cds.infer.agree import Inference
from cds.judge.view import View
from cds.rules.model import RuleSet

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


def heading(answer: Answer) -> Data:
    """The keys of an advice that say whom and what it is about."""
    entry, rules, inference = answer.view.entry, answer.rules, answer.inference
    evaluators: Data = {"answered": list(inference.answered), "agree": _agreement(inference)}
    if inference.differences:
        evaluators["differ_on"] = list(inference.differences)
    if inference.failure:
        evaluators["why"] = inference.failure
    return {
        "event": event_data(entry),
        "infant": _infant(entry),
        "moment": answer.moment.text if answer.moment else None,
        "rules": {
            "id": rules.id,
            "version": rules.version,
            "digest": rules.digest,
            "mode": answer.mode,
            "policies": [],
        },
        "evaluators": evaluators,
        "age": answer.view.ages.data(),
    }


def _agreement(inference: Inference) -> bool | None:
    return not inference.differences if len(inference.answered) > 1 else None


def event_data(entry: Entry) -> Data:
    """When and where an entry was charted."""
    event = entry.event
    times = {"measured": event.measured, "charted": event.charted}
    said = {key: moment.text for key, moment in times.items() if moment}
    return {**given(id=event.id), **said, **given(care_unit=event.care_unit), "status": event.status}


def _infant(entry: Entry) -> Data:
    infant = entry.infant
    gestation = infant.gestation
    days = {"from_days": gestation.low, "to_days": gestation.high} if gestation else None
    return given(id=infant.id, sex=infant.sex, gestation=days, order=infant.order)


def given(**fields: Any) -> Data:
    """The fields that have a value."""
    return {key: value for key, value in fields.items() if value is not None}
