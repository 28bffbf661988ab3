"""Whether a rule set names the growth tables that it uses, and whether those are the ones installed.

Takes ruleset.yaml and all sheets; gives RS-345 (missing tables, or others) and RS-346 (used and not named).
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.errors import Problem
from cds.rules.growth import TablesRefused, compare, refused_problem
from cds.rules.names import Names, whole
from cds.rules.phrase import quoted
from cds.rules.sheets import Sheets
from cds.rules.spot import Spot, unlisted

NEEDS_TABLES = frozenset({"{z}", "{space}"})
"""Units of derived values that are held against the tables."""


def check_growth(sheets: Sheets, names: Names) -> Iterator[Problem]:
    """Problems of the growth reference."""
    ruleset = Spot(sheets.ruleset, sheets.ruleset.data)
    if "growth" not in ruleset.data:
        yield from _unnamed(sheets)
        return
    growth = ruleset.down("growth")
    yield from unlisted(growth.down("source", "ref"), "source", names.sources)
    yield from _installed(growth.down("digest"))


def _installed(digest: Spot) -> Iterator[Problem]:
    try:
        compare(digest.data)
    except TablesRefused as refused:
        yield refused_problem(digest.sheet.at(digest.pointer), refused, digest.data)


def _unnamed(sheets: Sheets) -> Iterator[Problem]:
    for threshold in whole(sheets.thresholds):
        if threshold.data["unit"] in NEEDS_TABLES:
            found = f"the unit {quoted(threshold.data['unit'])}, and no `growth` in ruleset.yaml"
            expected = "`growth` in a rule set whose limits are held against the growth tables"
            next_step = "add `growth` with words, digest and source to ruleset.yaml"
            yield threshold.down("unit").says("RS-346", found, expected, next_step)
