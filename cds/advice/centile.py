"""Between which published centiles a charted value lies at this age, for the reader; no finding rests on it.

Takes an observation and the centile tables of the rule set. Gives words, or None where the age is not certain, the
value is a bound, or no table covers it.
"""

from __future__ import annotations

from itertools import pairwise

from cds.entry.model import Observation
from cds.judge.view import View
from cds.rules.model import CentileRow, Centiles


def centile(observation: Observation, view: View) -> str | None:
    """For example "between the 75th and 90th centile", "under the 1st centile", "at the 50th centile"."""
    table = view.rules.centiles.get(observation.code)
    if table is None or observation.quantity is None or observation.comparator or view.ages.chronological is None:
        return None
    rows = [row for row in table.rows if view.in_band(row.band, "chronological")]
    return _place(observation.quantity.position, rows[0], table) if rows else None


def _place(at: int, row: CentileRow, table: Centiles) -> str:
    named = list(zip(table.at, (limit.position for limit in row.limits), strict=True))
    exact = [centile for centile, position in named if position == at]
    if exact:
        return f"at the {ordinal(exact[0])} centile"
    if at < named[0][1]:
        return f"under the {ordinal(named[0][0])} centile"
    between = next((pair for pair in pairwise(named) if pair[0][1] < at < pair[1][1]), None)
    if between is None:
        return f"over the {ordinal(named[-1][0])} centile"
    return f"between the {ordinal(between[0][0])} and {ordinal(between[1][0])} centile"


def ordinal(number: int) -> str:
    """1st, 2nd, 3rd, 10th, 90th."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th") if number % 100 not in (11, 12, 13) else "th"
    return f"{number}{ending}"
