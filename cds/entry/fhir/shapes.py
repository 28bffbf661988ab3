"""The elements of FHIR R4 that we read, each with its type.

Holds no element that the reader does not use: what a charting system adds elsewhere is its own business.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cds.entry.catalogue import COMPARATORS, STATUSES

GENDERS = ("male", "female", "other", "unknown")
REQUIRED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "Observation": ("status", "code"),
        "Component": ("code",),
        "Bundle": ("type",),
        "Extension": ("url",),
        "Resource": ("resourceType",),
    }
)
"""Elements without which a type is refused."""

LISTED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"status": STATUSES, "gender": GENDERS, "comparator": COMPARATORS}
)
"""Elements of type code with the codes that each may have."""

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
