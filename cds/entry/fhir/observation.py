"""One FHIR Observation as readings of ours: by its codes alone, with circumstances, value and time.

Takes a checked Observation that is about the infant. Gives readings, fields of the infant, care, and remarks on all
that was not understood. Never reads a display, a text, a category, an interpretation or a reference range.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from cds.entry.catalogue import CATALOGUE
from cds.entry.fhir.answers import name_value
from cds.entry.fhir.asides import read_aside
from cds.entry.fhir.contexts import Saying, from_around, from_code, from_component, settle
from cds.entry.fhir.effective import read_effective
from cds.entry.fhir.elements import Node
from cds.entry.fhir.infant import read_fact
from cds.entry.fhir.meanings import Codes, Meaning
from cds.entry.fhir.oxygen import SATURATION, add_oxygen
from cds.entry.fhir.readings import WITHHELD, Read, Reading, sum_up
from cds.entry.fhir.remarks import Note, name_codings
from cds.entry.fhir.unread import list_foreign, list_inside, list_unread, must_understand
from cds.entry.fhir.values import read_value

Meant = Sequence[Meaning]


def read_observation(node: Node, codes: Codes) -> Read:
    """Everything that one Observation about the infant says.

    Raises:
        Refused: a number that is no measured value (FH-114).
    """
    read = _read(node, codes.meanings(node.codings("code")), codes)
    return replace(read, notes=(*read.notes, *list_foreign(node)))


def _read(node: Node, meant: Meant, codes: Codes) -> Read:
    if len({(meaning.role, meaning.name) for meaning in meant}) > 1:
        found = name_codings(node.codings("code"))
        return Read(notes=(Note("conflicting-code", f"{node.place}/code", found), *list_inside(node, codes)))
    role = meant[0].role if meant else "not-ours"
    if role == "observation":
        return _reading(node, node, meant, codes)
    if role == "panel":
        return _panel(node, meant[0], codes)
    if role == "not-ours":
        return Read(notes=tuple(list_unread(node, codes)))
    if unknown := must_understand(node):
        return Read(notes=(Note("must-understand", node.place, unknown, meant[0].name),))
    read = _fact(node, meant[0], codes) if role == "infant" else _aside(node, meant[0], codes)
    return replace(read, notes=(*read.notes, *_parts(node, codes)))


def _parts(node: Node, codes: Codes) -> Iterator[Note]:
    for component in node.parts("component"):
        yield from list_unread(component, codes, as_part=True)


def _fact(node: Node, meaning: Meaning, codes: Codes) -> Read:
    if node.text("status") in WITHHELD:
        return Read(notes=(Note("withheld", node.place, name_codings(node.codings("code")), meaning.name),))
    fact, notes = read_fact(node, meaning.name, codes)
    return Read(facts=(fact,) if fact else (), notes=tuple(notes))


def _aside(node: Node, meaning: Meaning, codes: Codes) -> Read:
    asides, notes = read_aside(node, meaning, codes)
    return Read(asides=tuple(asides), notes=tuple(notes))


def _panel(node: Node, panel: Meaning, codes: Codes) -> Read:
    if node.has("dataAbsentReason") and not node.has("component"):
        return sum_up(_reading(node, node, [Meaning("observation", name)], codes) for name in sorted(panel.parts))
    read = sum_up(_part(node, component, panel, codes) for component in node.parts("component"))
    values = [name for name in node.data if name.startswith("value")]
    stray = [Note("component-unread", node.place, name_value(node))] if values else []
    return replace(read, notes=(*read.notes, *stray))


def _part(node: Node, component: Node, panel: Meaning, codes: Codes) -> Read:
    meant = codes.meanings(component.codings("code"))
    names = {meaning.name for meaning in meant}
    if len(names) == 1 and names <= panel.parts:
        return _reading(node, component, meant, codes)
    carried = {key for name in panel.parts for key in CATALOGUE[name].contexts}
    if names and names <= carried and all(meaning.role == "context" for meaning in meant):
        return Read()
    return Read(notes=tuple(list_unread(component, codes, as_part=True)))


def _reading(node: Node, holder: Node, meant: Meant, codes: Codes) -> Read:
    kind = CATALOGUE[meant[0].name]
    members, notes = read_value(holder, kind, meant, codes)
    context, doubts = _context(node, holder, meant, codes)
    unknown = ", ".join(filter(None, (must_understand(node), must_understand(holder) if holder is not node else "")))
    if unknown:
        members, context = {"unusable": "code-unmapped", "found": unknown}, {}
        doubts.append(Note("must-understand", holder.place, unknown, kind.code))
    status = node.text("status")
    whole = {"code": kind.code, **members, **context} | ({"status": status} if status != "final" else {})
    when, open_notes = read_effective(node, kind.code)
    return Read((Reading(whole, when, node.text("id")),), notes=(*notes, *doubts, *open_notes))


def _context(node: Node, holder: Node, meant: Meant, codes: Codes) -> tuple[dict[str, object], list[Note]]:
    name = meant[0].name
    told = [*from_code(meant, holder), *from_around(node, name, codes), *_told(node, holder, name, codes)]
    context, doubts = settle((each for each in told if isinstance(each, Saying)), name)
    notes = [each for each in told if isinstance(each, Note)] + doubts
    if name == SATURATION and context.keys() & {"oxygen", "flow", "inspired_oxygen"}:
        notes += add_oxygen(context, node.place)
    return context, notes


def _told(node: Node, holder: Node, name: str, codes: Codes) -> Iterator[Saying | Note]:
    # In a panel, components that are no circumstance are readings, and are listed where they are read.
    is_panel = holder is not node
    for component in node.parts("component"):
        meant = codes.meanings(component.codings("code"))
        if len(meant) == 1 and meant[0].role == "context":
            if not is_panel or meant[0].name in CATALOGUE[name].contexts:
                yield from from_component(component, meant[0], name, codes)
        elif not is_panel:
            yield from list_unread(component, codes, as_part=True)
