"""What becomes of findings whose input was entered in error or cancelled: listed as withdrawn, never silently gone.

Takes the view and what is raised now. The entry is judged once more as if nothing in it had been withdrawn, by the
plain evaluator; what it raises then and not now is withdrawn, at the level that it had. Where a valid reading beside
the withdrawn one raises the same rule, nothing is withdrawn. Earlier entries are not advised again: one that was
withdrawn is only set aside (`noticed`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from cds.advice.answer import Data, event_data
from cds.advice.explain import observed_words
from cds.advice.finding import finding_data
from cds.advice.status import Raised, decide, findings_of
from cds.advice.terms import say_code
from cds.advice.wording import MOST
from cds.entry.model import Entry, Observation
from cds.infer.plain import infer
from cds.judge.view import WITHHELD, View
from cds.rules.model import Rule


def withdrawn_data(view: View, raised: Sequence[Raised], order: Iterable[str]) -> list[Data]:
    """The withdrawn findings of an entry as data, most serious first; none where nothing in it is withdrawn.

    `order` are the ids of the rules as they were inferred, findings before the rules that ask for them.
    """
    if not is_withdrawn(view.entry):
        return []
    before = View(restored(view.entry), view.rules)
    by_id = {rule.id: rule for rule in view.rules.rules}
    verdicts = infer([by_id[each] for each in order], before)
    findings = findings_of(view.rules.rules, verdicts)
    now = {made.rule.id for made in raised}
    gone = [made for made in decide(view.rules.rules, verdicts, before) if made.rule.id not in now]
    return [_data(finding_data(made, before, findings), made.rule, view.entry) for made in gone]


def is_withdrawn(entry: Entry) -> bool:
    """Whether the entry, or something charted in it, was entered in error or cancelled."""
    return entry.event.status in WITHHELD or any(each.status in WITHHELD for each in entry.observations)


def restored(entry: Entry) -> Entry:
    """The entry as if nothing in it had been withdrawn."""
    return replace(
        entry,
        event=replace(entry.event, status=_standing(entry.event.status)),
        observations=tuple(replace(each, status=_standing(each.status)) for each in entry.observations),
    )


def _standing(status: str) -> str:
    return "final" if status in WITHHELD else status


def _data(found: Data, rule: Rule, entry: Entry) -> Data:
    """A finding as it was, said as withdrawn: no step follows from it, and it speaks for no other."""
    kept = {key: said for key, said in found.items() if key != "by"}
    return {
        **kept,
        "status": "withdrawn",
        "summary": f"Withdrawn: {found['summary']}"[:MOST],
        "next": [],
        "missing": [],
        "withdrawn": {"entry": event_data(entry), "what": what(rule, entry)},
    }


def what(rule: Rule, entry: Entry) -> list[str]:
    """What was withdrawn of all that a rule reads, as charted with its status; else the entry as a whole."""
    event = entry.event.status
    if event in WITHHELD:
        return [f"the whole entry, {_said(event)}"]
    own = [each for each in entry.observations if each.status in WITHHELD]
    read = [each for each in own if each.code in rule.codes] or own
    return [f"{_charted(each)}, {_said(each.status)}" for each in read]


def _charted(observation: Observation) -> str:
    return f"{say_code(observation.code)} {observed_words(observation)}"


def _said(status: str) -> str:
    return status.replace("-", " ")
