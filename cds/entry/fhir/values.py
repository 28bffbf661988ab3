"""The value of an Observation or a component as our entry writes it: a quantity, a grade, absent, or unusable.

Takes the node that carries the value and what its code means. Gives the members of our observation and remarks.
Never reads text, never turns a missing value into one.
"""

from __future__ import annotations

from collections.abc import Sequence

from cds.entry.catalogue import ABSENT_REASONS, Kind
from cds.entry.fhir.answers import name_value, said
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Answer, Codes, Meaning
from cds.entry.fhir.quantities import Members, check_number, read_quantity
from cds.entry.fhir.remarks import Note, name_codings
from cds.entry.observations import ALONE

ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"


def read_value(node: Node, kind: Kind, meanings: Sequence[Meaning], codes: Codes) -> tuple[Members, list[Note]]:
    """The members that say what was charted, with the remarks on what could not be read.

    Raises:
        Refused: a number that is no measured value (FH-114).
    """
    members = _grade(node, kind, meanings) if kind.is_sign else _number(node, kind, codes)
    if not node.has("dataAbsentReason"):
        members = members or {"absent": "unknown"}
        return members, _unread(members, node, kind)
    if members:
        found = name_codings(node.codings("dataAbsentReason"))
        unusable: Members = {"unusable": "code-unmapped", "found": found}
        return unusable, [Note("conflicting-value", node.place, found, kind.code)]
    return _absent(node, kind)


def _number(node: Node, kind: Kind, codes: Codes) -> Members:
    quantity = node.part("valueQuantity")
    if node.has("valueQuantity"):
        return read_quantity(quantity, kind.dimension or "", kind.units, codes)
    if node.has("valueInteger"):
        # A count needs no unit; any other whole number lacks one.
        if "count" not in kind.units:
            return {"unusable": "unit-unmapped", "found": "valueInteger"}
        place = f"{node.place}/valueInteger"
        return {"value": check_number(node.data["valueInteger"], "count", "count", place), "unit": "count"}
    return _other(node)


def _grade(node: Node, kind: Kind, meanings: Sequence[Meaning]) -> Members:
    values: dict[Answer, str] = {}
    for meaning in meanings:
        values.update(meaning.values)
    words = said(node, values) or _grade_of_code(node, kind, meanings)
    if len(words) == 1 or (words and kind.many and ALONE not in words):
        return {"grade": list(words) if kind.many else words[0]}
    return {"unusable": "code-unmapped", "found": name_value(node)} if words else _other(node)


def _grade_of_code(node: Node, kind: Kind, meanings: Sequence[Meaning]) -> tuple[str, ...]:
    grades = tuple(dict.fromkeys(meaning.grade for meaning in meanings if meaning.grade))
    truth = node.data.get("valueBoolean")
    if truth is False and grades:
        return ("absent",) if "absent" in kind.grades else ()
    has_value = truth is None and (any(name.startswith("value") for name in node.data) or node.has("dataAbsentReason"))
    return () if has_value else grades


def _other(node: Node) -> Members:
    stands = any(name.startswith("value") for name in node.data)
    return {"unusable": "code-unmapped", "found": name_value(node)} if stands else {}


def _absent(node: Node, kind: Kind) -> tuple[Members, list[Note]]:
    codings = node.codings("dataAbsentReason")
    for system, code in codings:
        if system == ABSENT and code in ABSENT_REASONS:
            return {"absent": code}, []
    note = Note("code-unmapped", f"{node.place}/dataAbsentReason", name_codings(codings), kind.code)
    return {"absent": "unknown"}, [note]


def _unread(members: Members, node: Node, kind: Kind) -> list[Note]:
    if "unusable" not in members:
        return []
    return [Note(str(members["unusable"]), node.place, str(members["found"]), kind.code)]
