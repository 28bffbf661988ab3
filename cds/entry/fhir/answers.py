"""What a coded value could be looked up by: its codings, true or false, a whole number.

Takes a node with a FHIR value. Never reads text that was written for people.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Answer, Coding
from cds.entry.fhir.remarks import name_codings


def answers(node: Node) -> tuple[Answer, ...]:
    """Every answer that the value of an Observation, a component or an extension gives."""
    return tuple(_answers(node))


def _answers(node: Node) -> Iterator[Answer]:
    yield from node.codings("valueCodeableConcept")
    if coding := node.part("valueCoding").coding():
        yield coding
    if code := node.text("valueCode"):
        yield ("", code)
    truth, number = node.data.get("valueBoolean"), node.data.get("valueInteger")
    if isinstance(truth, bool):
        yield ("boolean", truth)
    if type(number) is int:
        yield ("integer", number)


def said(node: Node, values: Mapping[Answer, str]) -> tuple[str, ...]:
    """Our words for the answers that are mapped, each once."""
    return tuple(dict.fromkeys(values[answer] for answer in answers(node) if answer in values))


def name_value(node: Node) -> str:
    """What stands as a value, by codes or by the name of its element; never its text."""
    codings: list[Coding] = [*node.codings("valueCodeableConcept")]
    if coding := node.part("valueCoding").coding() or node.part("valueQuantity").coding():
        codings.append(coding)
    kinds = [name for name in node.data if name.startswith("value")]
    return name_codings(codings, none=", ".join(sorted(kinds)) or "no value")
