"""What one FHIR Observation turns into: readings, fields of the infant, asides, remarks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cds.entry.fhir.dates import When
from cds.entry.fhir.infant import Fact
from cds.entry.fhir.remarks import Note

WITHHELD = frozenset({"cancelled", "entered-in-error"})
"""Statuses under which a value does not stand."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One observation as our entry writes it, with its time and the id of the resource it came from."""

    members: dict[str, object]
    when: When | None
    source: str | None

    @property
    def code(self) -> str:
        """Its observation code."""
        return str(self.members["code"])

    @property
    def stands(self) -> bool:
        """Whether its status lets the value stand."""
        return self.members.get("status") not in WITHHELD


@dataclass(frozen=True, slots=True)
class Aside:
    """Care, or a circumstance sent as an Observation of its own: role, key and value, for its time."""

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
    notes: tuple[Note, ...] = ()


def sum_up(reads: Iterable[Read]) -> Read:
    """Several as one, in order."""
    several = tuple(reads)
    return Read(
        tuple(reading for read in several for reading in read.readings),
        tuple(fact for read in several for fact in read.facts),
        tuple(aside for read in several for aside in read.asides),
        tuple(note for read in several for note in read.notes),
    )
