"""Whether a saturation was taken in room air or with oxygen, from the flow and the inspired share sent with it.

Inspired air holds 21 % oxygen (20.9 % before rounding). Where flow, share and code do not agree, nothing is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import cast

from cds.entry.fhir.remarks import Note

AIR = (Decimal(20), Decimal(21))
SATURATION = "oxygen-saturation"


def add_oxygen(context: dict[str, object], place: str) -> list[Note]:
    """Put into a context whether oxygen was given, as flow, share and code say; a remark where they do not agree."""
    oxygen = name_oxygen(context)
    context.pop("oxygen", None)
    if oxygen is None:
        return [Note("oxygen-unclear", place, "flow, inspired_oxygen", SATURATION)]
    context["oxygen"] = oxygen
    return []


def name_oxygen(context: dict[str, object]) -> str | None:
    """`room-air`, `supplemental`, or None where nothing or nothing consistent is said."""
    words = set(_words(context))
    return words.pop() if len(words) == 1 else None


def _words(context: dict[str, object]) -> Iterator[str | None]:
    if oxygen := context.get("oxygen"):
        yield str(oxygen)
    flow, share = _number(context, "flow"), _number(context, "inspired_oxygen")
    if share is not None:
        yield None if share < AIR[0] else "supplemental" if share > AIR[1] else "room-air"
    if flow is not None and not (flow == 0 and share is not None):
        yield "supplemental" if flow > 0 else "room-air"


def _number(context: dict[str, object], key: str) -> Decimal | int | None:
    quantity = context.get(key)
    return cast("Decimal | int", quantity["value"]) if isinstance(quantity, dict) else None
