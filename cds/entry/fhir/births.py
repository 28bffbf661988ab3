"""Bring together what one or several Patients of one infant say, and tell a parent from an infant by age."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cds.entry.fhir.dates import read_when
from cds.entry.fhir.effective import read_effective
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.patient import read_birth, read_patient
from cds.entry.fhir.remarks import Note

OLDEST_DAYS = 3 * 365
"""Age in days from which a Patient beside another is taken for a parent: a year over the oldest infant judged."""

_DAY = 86_400
_CONFLICTS = {"birth": "birth-conflict", "sex": "sex-conflict", "order": "infant-conflict"}


def is_young(patient: Node, observations: Iterable[Node]) -> bool:
    """Whether a Patient may be an infant at the latest of some Observations; so too where no age can be told."""
    birth, _ = read_birth(patient)
    born = read_when(birth) if birth else None
    times = [when.moment.seconds.high for each in observations if (when := read_effective(each)[0])]
    if born is None or not times:
        return True
    return max(times) - born.moment.seconds.low < OLDEST_DAYS * _DAY


def read_patients(patients: Sequence[Node], codes: Codes) -> tuple[dict[str, object], list[Note]]:
    """The members of our `infant` on which all Patients agree, with remarks."""
    infant: dict[str, object] = {}
    notes: list[Note] = []
    read = [read_patient(patient, codes) for patient in patients]
    for name, reason in _CONFLICTS.items():
        values = [members[name] for members, _ in read if name in members]
        if values and all(value == values[0] for value in values):
            infant[name] = values[0]
        elif values:
            notes.append(Note(reason, patients[0].place, f"{len(patients)} Patients", name))
    return infant, [note for _, own in read for note in own] + notes
