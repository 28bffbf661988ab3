"""Refuse a FHIR resource whose elements have another JSON type, are missing, or lie outside a closed list.

Takes parsed JSON. Gives every fault of a value and of all below it; never repeats what it found, which may be a name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from types import MappingProxyType

from cds.entry.fhir.dates import is_date, read_period, read_when
from cds.entry.fhir.shapes import LISTED, REQUIRED, SHAPES
from cds.errors import Problem

CODES: Mapping[str, str] = MappingProxyType(
    {
        "FH-101": "a resource that is not read",
        "FH-102": "an OperationOutcome alone: a request failed, and there is nothing to read",
        "FH-103": "a Bundle of a type that is not read",
        "FH-110": "an element of another JSON type",
        "FH-111": "an element that FHIR requires and that is missing",
        "FH-112": "a code outside its closed list",
        "FH-113": "not a date or time of FHIR",
        "FH-114": "a number that is no measured value",
        "FH-115": "a period that ends before it begins",
        "FH-120": "readings of two infants",
    }
)
"""Every code of a FHIR input's problems with its meaning; docs/errors-fhir.md says the same."""

NEXT = "correct the resource where it is made; nothing of this input was judged"

_ID = re.compile(r"[A-Za-z0-9\-.]{1,64}")


def faults(kind: str, value: object, place: str) -> Iterator[Problem]:
    """Every element of the wrong type, missing, or outside a closed list, in one value and all below it.

    Args:
        kind: a FHIR type of `SHAPES` or a primitive; a star marks a list of it.
        place: the JSON pointer of the value.
    """
    if kind.endswith("*"):
        yield from _list_faults(kind[:-1], value, place)
    elif kind in SHAPES:
        yield from _object_faults(kind, value, place)
    else:
        yield from _PRIMITIVES[kind](value, place)


def _list_faults(kind: str, value: object, place: str) -> Iterator[Problem]:
    if not isinstance(value, list) or not value:
        yield _wrong(value, place, "a list with at least one element")
        return
    for number, each in enumerate(value):
        yield from faults(kind, each, f"{place}/{number}")


def _object_faults(kind: str, value: object, place: str) -> Iterator[Problem]:
    if not isinstance(value, Mapping):
        yield _wrong(value, place, f"an object ({kind})")
        return
    for name in REQUIRED.get(kind, ()):
        if name not in value:
            yield Problem(place, "FH-111", f"no `{name}`", f"`{name}`, which FHIR R4 requires here", NEXT)
    for name, below in SHAPES[kind].items():
        if name in value:
            yield from faults(below, value[name], f"{place}/{name}")
    if kind == "Period" and _ends_early(value):
        yield Problem(place, "FH-115", "an end before the start", "a start no later than the end", NEXT)


def _ends_early(period: Mapping[object, object]) -> bool:
    start, end = period.get("start"), period.get("end")
    if not isinstance(start, str) or not isinstance(end, str) or not read_when(start) or not read_when(end):
        return False
    return read_period(start, end) is None


def _wrong(value: object, place: str, expected: str) -> Problem:
    return Problem(place, "FH-110", _kind(value), expected, NEXT)


def _kind(value: object) -> str:
    # The value itself is never repeated: it may be a name or a note.
    if isinstance(value, bool):
        return "true or false"
    if value is None:
        return "null"
    for kind, words in ((str, "text"), (list, "list"), (Mapping, "object")):
        if isinstance(value, kind):
            return f"a {words}" if value else f"an empty {words}"
    return "a number"


def _plain(expected: str, holds: Callable[[object], bool]) -> Callable[[object, str], Iterator[Problem]]:
    def check(value: object, place: str) -> Iterator[Problem]:
        if not holds(value):
            yield _wrong(value, place, expected)

    return check


def _listed(value: object, place: str) -> Iterator[Problem]:
    listed = LISTED[place.rpartition("/")[2]]
    if value not in listed:
        yield Problem(place, "FH-112", f"{_kind(value)} that is not in the list", ", ".join(listed), NEXT)


def _dated(expected: str, holds: Callable[[str], object]) -> Callable[[object, str], Iterator[Problem]]:
    def check(value: object, place: str) -> Iterator[Problem]:
        if not isinstance(value, str) or not holds(value):
            yield Problem(place, "FH-113", _kind(value), expected, NEXT)

    return check


_PRIMITIVES: Mapping[str, Callable[[object, str], Iterator[Problem]]] = MappingProxyType(
    {
        "string": _plain("a text", lambda value: isinstance(value, str) and bool(value)),
        "id": _plain("1 to 64 of A-Z a-z 0-9 - .", lambda value: isinstance(value, str) and bool(_ID.fullmatch(value))),
        "boolean": _plain("true or false", lambda value: isinstance(value, bool)),
        "integer": _plain("a whole number", lambda value: type(value) is int),
        "decimal": _plain("a number", lambda value: type(value) in (int, Decimal)),
        "code": _listed,
        "date": _dated("a date that exists, from 1900 on", is_date),
        "dateTime": _dated("a date, or a time with zone, that exists, from 1900 on", read_when),
    }
)
