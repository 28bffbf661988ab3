"""The same thresholds as a hand-written chain of ifs, as the developer of a charting system would write them.

Takes one entry as parsed JSON; gives the finding codes it raises. Two-valued: what is not charted is not so. It keeps
no reasons, no sources, no limits, no statuses and no levels, and of several readings of one code it sees the last.
"""

from __future__ import annotations

from typing import Any

from tests.bench.chain.baby import read
from tests.bench.chain.circulation import circulation, heart
from tests.bench.chain.distress import breathing, distress
from tests.bench.chain.scales import scales
from tests.bench.chain.signs import colour, quality, state
from tests.bench.chain.warmth import oxygen, temperature

Data = dict[str, Any]


def findings(entry: Data) -> list[str]:
    """The finding codes of one entry."""
    baby = read(entry)
    found: list[str] = []
    if baby.months >= 24:
        return found
    breathing(baby, found)
    distress(baby, found)
    colour(baby, found)
    oxygen(baby, found)
    temperature(baby, found)
    circulation(baby, found)
    state(baby, found)
    heart(baby, found)
    scales(baby, found)
    quality(baby, found)
    return found
