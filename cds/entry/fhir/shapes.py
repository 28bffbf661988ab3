"""The elements of FHIR that we read, and the refusal of a resource that has them wrong.

Takes parsed JSON. Gives every fault of a resource at once.
Looks at no element that the reader does not use: what a charting system adds elsewhere is its own business.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from types import MappingProxyType

from cds.entry.catalogue import COMPARATORS, STATUSES
from cds.entry.fhir.dates import is_date, read_when
from cds.errors import Problem

GENDERS = ("male", "female", "other", "unknown")
NEXT = "correct the resource where it is made; nothing of this input was judged"

_ID = re.compile(r"[A-Za-z0-9\-.]{1,64}")
_REQUIRED = MappingProxyType(
    {
        "Observation": ("status", "code"),
        "Component": ("code",),
        "Bundle": ("type",),
        "Extension": ("url",),
        "Resource": ("resourceType",),
    }
)
_LISTED = {"status": STATUSES, "gender": GENDERS, "comparator": COMPARATORS}
_VALUE = MappingProxyType(
    {
        "valueQuantity": "Quantity",
        "valueCodeableConcept": "CodeableConcept",
        "valueBoolean": "boolean",
        "valueInteger": "integer",
        "valueDateTime": "dateTime",
    }
)
_EXTENDED = MappingProxyType({"extension": "Extension*", "modifierExtension": "Extension*"})
_RESOURCE = MappingProxyType({**_EXTENDED, "id": "id", "meta": "Meta", "implicitRules": "string"})

SHAPES: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "Bundle": {"id": "id", "type": "string", "total": "integer", "link": "Link*", "entry": "Entry*"},
        "Link": {"relation": "string"},
        "Entry": {"fullUrl": "string", "search": "Search", "request": "Request", "resource": "Resource"},
        "Search": {"mode": "string"},
        "Request": {"method": "string", "url": "string"},
        "Resource": {"resourceType": "string"},
        "Meta": {"lastUpdated": "dateTime"},
        "Patient": {
            **_RESOURCE,
            "identifier": "Identifier*",
            "gender": "code",
            "birthDate": "date",
            "_birthDate": "Element",
            "multipleBirthInteger": "integer",
        },
        "Observation": {
            **_RESOURCE,
            **_VALUE,
            "contained": "Resource*",
            "status": "code",
            "category": "CodeableConcept*",
            "code": "CodeableConcept",
            "subject": "Reference",
            "focus": "Reference*",
            "effectiveDateTime": "dateTime",
            "effectiveInstant": "dateTime",
            "effectivePeriod": "Period",
            "dataAbsentReason": "CodeableConcept",
            "bodySite": "CodeableConcept",
            "method": "CodeableConcept",
            "hasMember": "Reference*",
            "component": "Component*",
        },
        "Component": {**_EXTENDED, **_VALUE, "code": "CodeableConcept", "dataAbsentReason": "CodeableConcept"},
        "OperationOutcome": {"issue": "Issue*"},
        "Issue": {"severity": "string", "code": "string"},
        "Identifier": {"system": "string", "value": "string"},
        "Reference": {"reference": "string", "identifier": "Identifier"},
        "CodeableConcept": {"coding": "Coding*"},
        "Coding": {"system": "string", "code": "string"},
        "Quantity": {"value": "decimal", "comparator": "code", "system": "string", "code": "string"},
        "Period": {"start": "dateTime", "end": "dateTime"},
        "Element": {"extension": "Extension*"},
        "Extension": {**_VALUE, "url": "string", "valueCoding": "Coding", "valueCode": "string"},
    }
)
"""For each type the elements that are read, each with its type; a star marks an element that repeats."""


def faults(kind: str, value: object, place: str) -> Iterator[Problem]:
    """Every element of the wrong type, missing, or outside a closed list, in one value and all below it.

    Args:
        kind: a FHIR type named in this module; a star marks a list of it.
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
    for name in _REQUIRED.get(kind, ()):
        if name not in value:
            yield Problem(place, "FH-111", f"no `{name}`", f"`{name}`, which FHIR R4 requires here", NEXT)
    for name, below in SHAPES[kind].items():
        if name in value:
            yield from faults(below, value[name], f"{place}/{name}")


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
    listed = _LISTED[place.rpartition("/")[2]]
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
