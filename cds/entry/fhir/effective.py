"""When an Observation holds: its effective time as our entry writes it.

Takes a checked Observation. Gives the time or None, with remarks. Never takes the time of issue for it.
"""

from __future__ import annotations

from cds.entry.fhir.dates import When, read_period, read_when
from cds.entry.fhir.elements import Node
from cds.entry.fhir.remarks import Note


def read_effective(node: Node, name: str | None = None) -> tuple[When | None, list[Note]]:
    """The effective time of an Observation; `name` is the code that a remark is about."""
    text = node.text("effectiveDateTime") or node.text("effectiveInstant")
    if text:
        return read_when(text), []
    period = node.part("effectivePeriod")
    start, end = period.text("start"), period.text("end")
    if start and end:
        held = [] if start == end else [Note("period-end", period.place, "effectivePeriod", name)]
        return read_period(start, end), held
    one = start or end
    if one:
        return read_when(one), [Note("open-period", period.place, "start" if start else "end", name)]
    found = ", ".join(sorted(each for each in node.data if each.startswith("effective"))) or "no effective time"
    return None, [Note("no-effective-time", node.place, found, name)]
