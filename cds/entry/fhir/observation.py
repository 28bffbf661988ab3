"""One FHIR Observation as readings of ours: by its codes alone, with circumstances, value and time.

Takes a checked Observation that is about the infant. Gives readings, fields of the infant, care, and remarks on all
that was not understood. Never reads a display, a text, a category, an interpretation or a reference range.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from cds.entry.catalogue import CATALOGUE
from cds.entry.fhir.answers import said
from cds.entry.fhir.contexts import Saying, from_around, from_code, from_component, settle
from cds.entry.fhir.dates import When
from cds.entry.fhir.effective import read_effective
from cds.entry.fhir.elements import Node
from cds.entry.fhir.infant import Fact, read_fact
from cds.entry.fhir.meanings import Codes, Meaning
from cds.entry.fhir.oxygen import SATURATION, name_oxygen
from cds.entry.fhir.remarks import Note, name_codings
from cds.entry.fhir.unread import list_unread, must_understand
from cds.entry.fhir.values import read_value

WITHHELD = frozenset({"cancelled", "entered-in-error", "unknown"})
"""Statuses under which a value does not stand."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One observation as our entry writes it, with its time and the resource it came from."""

    members: dict[str, object]
    when: When | None
    source: str

    @property
    def stands(self) -> bool:
        """Whether its status lets the value stand."""
        return self.members.get("status", "final") not in WITHHELD


@dataclass(frozen=True, slots=True)
class Aside:
    """Care, or a circumstance sent as an Observation of its own: key and value, for the readings of its time."""

    role: str
    key: str
    value: object
    when: When | None
    place: str


@dataclass(frozen=True, slots=True)
class Read:
    """All that one or several Observations gave."""

    readings: tuple[Reading, ...] = ()
    facts: tuple[Fact, ...] = ()
    asides: tuple[Aside, ...] = ()
    notes: tuple[Note, ...] = field(default=())

    def plus(self, other: Read) -> Read:
        """Both together, this first."""
        return Read(
            self.readings + other.readings,
            self.facts + other.facts,
            self.asides + other.asides,
            self.notes + other.notes,
        )


def read_observation(node: Node, codes: Codes) -> Read:
    """Everything that one Observation about the infant says.

    Raises:
        Refused: a number that is no measured value (FH-114).
    """
    meanings = codes.meanings(node.codings("code"))
    names = {(meaning.role, meaning.name) for meaning in meanings}
    if len(names) > 1:
        found = name_codings(node.codings("code"))
        return Read(notes=(Note("conflicting-code", f"{node.place}/code", found), *list_unread(node, codes)))
    if not meanings or meanings[0].role == "not-ours":
        return Read(notes=tuple(list_unread(node, codes)))
    unknown = must_understand(node)
    if unknown and meanings[0].role not in ("observation", "panel"):
        return Read(notes=(Note("must-understand", node.place, unknown, meanings[0].name),))
    read = _READERS[meanings[0].role](node, meanings, codes)
    return _withhold(read, node, unknown) if unknown else read


def _read_one(node: Node, meanings: Sequence[Meaning], codes: Codes) -> Read:
    return _reading(node, node, meanings, codes)


def _read_panel(node: Node, meanings: Sequence[Meaning], codes: Codes) -> Read:
    parts = frozenset().union(*(meaning.parts for meaning in meanings))
    read = Read()
    for component in node.parts("component"):
        meant = codes.meanings(component.codings("code"))
        if len({meaning.name for meaning in meant}) == 1 and meant[0].role == "observation" and meant[0].name in parts:
            read = read.plus(_reading(node, component, meant, codes))
        elif not meant or meant[0].role != "context":
            read = read.plus(Read(notes=tuple(list_unread(component, codes))))
    if not read.readings and node.has("dataAbsentReason"):
        absent = (_reading(node, node, [Meaning("observation", name)], codes) for name in sorted(parts))
        return sum_up(absent)
    return read


def _reading(node: Node, holder: Node, meanings: Sequence[Meaning], codes: Codes) -> Read:
    kind = CATALOGUE[meanings[0].name]
    members, notes = read_value(holder, kind, meanings, codes)
    context, doubts = _context(node, holder, meanings, codes)
    when, time_notes = read_effective(node, kind.code)
    whole: dict[str, object] = {"code": kind.code, **members, **context}
    if (status := node.text("status")) and status != "final":
        whole["status"] = status
    reading = Reading(whole, when, source_of(node))
    unknown = must_understand(holder) if holder is not node else None
    read = Read((reading,), notes=(*notes, *doubts, *time_notes))
    return _withhold(read, holder, unknown) if unknown else read


def _context(
    node: Node, holder: Node, meanings: Sequence[Meaning], codes: Codes
) -> tuple[dict[str, object], list[Note]]:
    name = meanings[0].name
    told = [*from_code(meanings, holder), *from_around(node, name, codes)]
    for component in node.parts("component"):
        meant = codes.meanings(component.codings("code"))
        if len(meant) == 1 and meant[0].role == "context":
            told += from_component(component, meant[0], name, codes)
        elif holder is node:
            told += list_unread(component, codes)
    context, doubts = settle((each for each in told if isinstance(each, Saying)), name)
    notes = [each for each in told if isinstance(each, Note)] + doubts
    if name == SATURATION and context.keys() & {"oxygen", "flow", "inspired_oxygen"}:
        notes += add_oxygen(context, node.place)
    return context, notes


def add_oxygen(context: dict[str, object], place: str) -> list[Note]:
    """Put into a context whether oxygen was given, as flow and inspired share say; a remark where they do not."""
    oxygen = name_oxygen(context)
    context.pop("oxygen", None)
    if oxygen is None:
        return [Note("oxygen-unclear", place, "flow, inspired_oxygen", SATURATION)]
    context["oxygen"] = oxygen
    return []


def _withhold(read: Read, node: Node, unknown: str) -> Read:
    kept = ("code", "status")
    blocked = tuple(
        replace(
            reading,
            members={key: reading.members[key] for key in kept if key in reading.members}
            | {"unusable": "code-unmapped", "found": unknown},
        )
        for reading in read.readings
    )
    return replace(read, readings=blocked, notes=(*read.notes, Note("must-understand", node.place, unknown)))


def _read_fact(node: Node, meanings: Sequence[Meaning], codes: Codes) -> Read:
    name = meanings[0].name
    if node.text("status") in WITHHELD:
        return Read(notes=(Note("withheld", node.place, name_codings(node.codings("code")), name),))
    fact, notes = read_fact(node, name, codes)
    return Read(facts=(fact,) if fact else (), notes=tuple(notes))


def _read_aside(node: Node, meanings: Sequence[Meaning], codes: Codes) -> Read:
    raise NotImplementedError


_READERS = {
    "observation": _read_one,
    "panel": _read_panel,
    "infant": _read_fact,
    "care": _read_aside,
    "context": _read_aside,
}


def sum_up(reads: Iterable[Read]) -> Read:
    """Several as one, in order."""
    whole = Read()
    for read in reads:
        whole = whole.plus(read)
    return whole


def source_of(node: Node) -> str:
    return node.text("id") or ""
