"""Limits in the form in which publications print them: comparator, unit, ages, values.

`PRINTED` of a test file maps a threshold to what its publication prints. A row is (value, source, seen): seen is how
the figure was seen, in the words of the rule set (publisher, secondary, unconfirmed: from memory, common-practice,
derived: our arithmetic on the publication). None: the publication prints nothing for this age, or its limit is not
used there.
"""

from __future__ import annotations

from dataclasses import dataclass

from cds.rules.model import Band, BandLimit, Threshold

Row = tuple[str, str, str] | None

PUBLISHER, SECONDARY, MEMORY = "publisher", "secondary", "unconfirmed"
PRACTICE, DERIVED = "common-practice", "derived"
WHOLE_SPAN = "0 d to 24 mo"


@dataclass(frozen=True)
class Printed:
    """One limit as printed, by age."""

    reached: str
    unit: str
    rows: dict[str, Row]


def at_all_ages(reached: str, unit: str, row: Row) -> Printed:
    """One limit for birth to 24 months."""
    return Printed(reached, unit, {WHOLE_SPAN: row})


def held(threshold: Threshold) -> Printed:
    """What the rule set holds, in the same form."""
    return Printed(threshold.reached, threshold.unit, {_ages(each.band): _row(each) for each in threshold.bands})


def _ages(band: Band) -> str:
    return f"{band.start.amount} {band.start.unit} to {band.end.amount} {band.end.unit}"


def _row(limit: BandLimit) -> Row:
    if limit.limit is None or limit.source is None:
        return None
    return str(limit.limit.value), limit.source.ref, str(limit.source.figure_from)
