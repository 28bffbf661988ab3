"""Put one advice together: the whole answer to one entry, as plain data.

Takes what was inferred and raised; gives a dict of text, numbers, lists and dicts, in a fixed order of keys, that
`schemas/advice.schema.json` describes. Text and handover are made from it, so they cannot say anything else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cds.advice.answer import Answer, Data, heading
from cds.advice.expected import expected
from cds.advice.explain import value_words
from cds.advice.finding import closed_data, finding_data, open_data
from cds.advice.noticed import noticed
from cds.advice.repeats import Earlier, blocks, repeats
from cds.advice.status import Raised, decide, findings_of
from cds.advice.untold import counts, not_evaluated, untold_rules
from cds.advice.withdrawn import withdrawn_data
from cds.judge.view import View
from cds.rules.model import LEVELS, Caution, Rule
from cds.values import Verdict

SCHEMA = "infant-vitals-advice/1"


def compose(answer: Answer) -> Data:
    """The advice as data."""
    rules, verdicts, view = answer.rules.rules, answer.inference.verdicts, answer.view
    findings = findings_of(rules, verdicts)
    raised = decide(rules, verdicts, view)
    listed = [finding_data(made, view, findings) for made in raised]
    earlier = _earlier(rules, verdicts, raised, view)
    untold = untold_rules(rules, verdicts, raised)
    return {
        "schema": SCHEMA,
        **heading(answer),
        "expected": expected(view),
        "derived": _derived(view),
        "findings": [
            *listed,
            *(closed_data(each, view) for each in earlier if each.status == "closed-by-repeat"),
            *withdrawn_data(view, raised, verdicts),
        ],
        "still_open": [open_data(each) for each in earlier if each.status == "still-open"],
        "not_evaluated": not_evaluated(untold, verdicts, view, findings),
        "counts": counts(rules, verdicts, raised),
        "quality": noticed(view, raised),
        "cautions": [_caution(each, view) for each in answer.rules.cautions],
    }


def _earlier(
    rules: Sequence[Rule], verdicts: Mapping[str, Verdict], raised: Sequence[Raised], view: View
) -> list[Earlier]:
    if not view.entry.earlier:
        return []
    levels = {made.rule.id: made.level for made in raised}
    above = [
        rule.id
        for rule in rules
        if LEVELS.index(levels.get(rule.id, rule.level)) > 0 and blocks(rule, verdicts[rule.id].rank, rule.id in levels)
    ]
    within = int(view.rules.settings["close_within"].split()[0]) * 3600
    return repeats(rules, view, above, within)


def _derived(view: View) -> list[Data]:
    return [
        {"name": name, "value": value_words(value)}
        for name, value in sorted(view.derived.items())
        if value.verdict is None and _UNREMARKABLE.isdisjoint(value.words)
    ]


_UNREMARKABLE = frozenset({"not-cooled", "none", "usual", "this-infant"})


def _caution(caution: Caution, view: View) -> Data:
    """A caution, and whether it fits what was charted."""
    return {"words": caution.words, "fits": not caution.about or not caution.about.isdisjoint(view.by_code)}
