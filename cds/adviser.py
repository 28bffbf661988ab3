"""Entry, rules in force and moment to advice: the one way in, for every caller.

Holds the rules and both evaluators ready; keeps nothing of an entry. Same entry, same rules, same moment: same advice.
"""

from __future__ import annotations

from cds.advice.answer import Answer, Data
from cds.advice.compose import compose
from cds.entry.model import Entry, Moment
from cds.infer.agree import Evaluators
from cds.judge.view import View
from cds.rules.model import RuleSet


class Adviser:
    """Answers entries under one rule set.

    Args:
        rules: the rules in force.
        mode: trial, silent or live; said on every answer.
    """

    def __init__(self, rules: RuleSet, mode: str = "trial") -> None:
        self.rules = rules
        self.mode = mode
        self.evaluators = Evaluators(rules.rules)

    def advise(self, entry: Entry, moment: Moment | None = None) -> Data:
        """The advice to one entry as plain data (schemas/advice.schema.json)."""
        return compose(self.answer(entry, moment))

    def answer(self, entry: Entry, moment: Moment | None = None) -> Answer:
        """What was inferred, before it is put into words."""
        view = View(entry, self.rules)
        return Answer(view, self.evaluators.infer(view), moment, self.mode)
