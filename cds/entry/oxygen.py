"""Whether a saturation was taken in room air or with oxygen, as its word, flow and inspired share say together.

Takes the context of one saturation. Puts in what flow and share say where the word was left out; takes it out, and
remarks on it, where they do not agree. Inspired air holds 21 % oxygen (20.9 % before rounding).
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.entry.faults import Intake
from cds.entry.model import Remark
from cds.entry.units import limit
from cds.values import Quantity

SATURATION = "oxygen-saturation"
_AIR = (limit(20, "%").position, limit(21, "%").position)


def settle_oxygen(context: dict[str, object], place: str, intake: Intake) -> None:
    """Make the word of a context agree with its flow and share."""
    words = set(_words(context))
    stated = context.pop("oxygen", None)
    if len(words) == 1 and None not in words:
        context["oxygen"] = words.pop()
    elif words:
        found = f"flow or inspired oxygen beside {stated}" if stated else "flow and inspired oxygen"
        said = "flow, inspired oxygen and the word for it do not agree: oxygen counts as not charted"
        intake.remarks.append(Remark("oxygen-unclear", place, found, said, SATURATION))


def _words(context: dict[str, object]) -> Iterator[object]:
    if "oxygen" in context:
        yield context["oxygen"]
    flow, share = context.get("flow"), context.get("inspired_oxygen")
    if isinstance(share, Quantity):
        below, above = share.position < _AIR[0], share.position > _AIR[1]
        yield None if below else "supplemental" if above else "room-air"
    if isinstance(flow, Quantity) and not (flow.position == 0 and share is not None):
        yield "supplemental" if flow.position > 0 else "room-air"
