"""Facts of the trade swept over ages, states and values, against what the rules raise above a note.

A fact here is common practice, no source: a range that nurses are taught. Where the rules raise something inside it,
a published limit that they follow must be narrower, and the test of the sign lists it with both sources.
The sweep asks the plain evaluator only; tests/agree holds both together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product

from cds.advice.status import decide
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.infer.plain import infer
from cds.judge.view import View
from tests.outside.bedside import Data

HOURS_AND_DAYS = ("1 h", "3 h", "12 h", "36 h", "3 d", "10 d", "20 d", "29 d", "45 d", "61 d")
MONTHS = tuple(f"{month} mo" for month in range(3, 24))
AGES = HOURS_AND_DAYS + MONTHS
ASLEEP, AWAKE, NOT_CHARTED = ("deep-sleep", "light-sleep"), ("drowsy", "quiet-alert"), (None,)
SETTLED = ASLEEP + AWAKE + NOT_CHARTED

State = str | None
Value = int | Decimal
Found = tuple[str, str, State, Value]


@dataclass(frozen=True)
class Narrower:
    """A published limit inside the fact: its rule and source, and by age the values of the fact that it raises."""

    rule: str
    published: str
    states: Iterable[State]
    ages: Mapping[str, tuple[Value, Value]]

    def covers(self, values: Iterable[Value]) -> Iterator[Found]:
        """Each (rule, age, state, value) that this limit raises among the values swept."""
        for value in values:
            for age, (low, high) in self.ages.items():
                if low <= value <= high:
                    yield from ((self.rule, age, state, value) for state in self.states)


def above_note(adviser: Adviser, data: Data) -> list[str]:
    """The rules that raise something above a note, superseded ones included."""
    rules, asked = adviser.rules, adviser.evaluators
    view = View(read_entry(data, None), rules)
    raised = decide(rules.rules, infer(asked.rules, view), view)
    return [made.rule.id for made in raised if made.level != "note"]


@dataclass(frozen=True)
class Grid:
    """What a fact is swept over."""

    ages: Sequence[str]
    states: Sequence[State]
    values: Sequence[Value]


def sweep(adviser: Adviser, chart: Callable[[str, State, Value], Data], grid: Grid) -> set[Found]:
    """Everything raised above a note over a grid."""
    cells = product(grid.ages, grid.states, grid.values)
    return {(rule, *cell) for cell in cells for rule in above_note(adviser, chart(*cell))}
