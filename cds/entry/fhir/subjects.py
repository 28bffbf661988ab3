"""Whose readings these are: find the one infant of an input, and which Observations are about that infant.

Takes Patients and Observations. Gives the infant and each Observation that names them, or a refusal where two could be
meant. What names somebody else, or nobody that the input holds, is never joined to the infant.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from cds.entry.faults import WHOLE
from cds.entry.fhir.births import is_young
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.references import Held, name_reference, resolve, type_named
from cds.entry.fhir.remarks import Note, clip
from cds.errors import Problem, Refused

NOBODY = "no reference"


@dataclass(frozen=True, slots=True)
class About:
    """One Observation with whom it is about.

    `patient` is a Patient of the input. `name` is what the reference says. `is_other` where it names no patient at all,
    or its focus is somebody else. `is_ours` where its code is one that is read.
    """

    held: Held
    patient: Held | None
    name: str
    is_other: bool
    is_ours: bool


@dataclass(frozen=True, slots=True)
class Chosen:
    """The Patients of the one infant (none where none was sent), their name, what is about them, and remarks."""

    patients: tuple[Held, ...]
    name: str | None
    observations: tuple[Held, ...]
    notes: tuple[Note, ...]


def choose(patients: Sequence[Held], observations: Sequence[Held], codes: Codes) -> Chosen:
    """The one infant and what is about them.

    Raises:
        Refused: Observations of ours about two infants (FH-120).
    """
    abouts = [_about(held, patients, codes) for held in observations]
    name = _name_infant(abouts) if not patients else None
    infant = _infant(patients, abouts) if patients else None
    mine = [about for about in abouts if not about.is_other and about.patient is infant]
    if not patients:
        mine = [about for about in mine if about.name == name or not any(each.is_ours for each in abouts)]
    places = {about.held.node.place for about in mine}
    others = [about for about in abouts if about.held.node.place not in places]
    notes = [Note("other-subject", f"{each.held.node.place}/subject", clip(each.name)) for each in others]
    same = tuple(held for held in patients if infant is not None and _first_alike(held, patients) is infant)
    strangers = (held for held in patients if held not in same and held.container is None)
    notes += [Note("other-subject", held.node.place, clip(held.name)) for held in strangers]
    return Chosen(same, name, tuple(about.held for about in mine), tuple(notes))


def _about(held: Held, patients: Sequence[Held], codes: Codes) -> About:
    subject = held.node.part("subject")
    patient = resolve(subject, held, patients)
    alike = _first_alike(patient, patients) if patient else None
    strange = [each for each in held.node.parts("focus") if not _is_subject(each, held, patients)]
    name = name_reference(strange[0] if strange else subject)
    is_ours = any(meaning.role != "not-ours" for meaning in codes.meanings(held.node.codings("code")))
    is_other = bool(strange) or type_named(name) not in (None, "Patient")
    return About(held, alike, name, is_other, is_ours and not is_other)


def _is_subject(focus: Node, held: Held, patients: Sequence[Held]) -> bool:
    subject = held.node.part("subject")
    if focus.text("reference") and focus.text("reference") == subject.text("reference"):
        return True
    found = resolve(focus, held, patients)
    return found is not None and found is resolve(subject, held, patients)


def _first_alike(patient: Held, patients: Sequence[Held]) -> Held:
    # Contained Patients of two Observations are one infant only where they share an identifier.
    own = patient.identifiers()
    return next((other for other in patients if other is patient or own & other.identifiers()), patient)


def _name_infant(abouts: Iterable[About]) -> str:
    names = dict.fromkeys(about.name for about in abouts if about.is_ours)
    named = [name for name in names if name != NOBODY]
    if len(named) > 1:
        raise Refused("entry", [_refusal(named)])
    return named[0] if named else NOBODY


def _infant(patients: Sequence[Held], abouts: Sequence[About]) -> Held | None:
    ours = [about for about in abouts if about.is_ours and about.patient]
    people = list({id(about.patient): about.patient for about in ours if about.patient}.values())
    if not people:
        return _only(patients)
    if len(people) > 1:
        people = [held for held in people if is_young(held.node, [about.held.node for about in ours])] or people
    if len(people) > 1:
        raise Refused("entry", [_refusal([held.name for held in people])])
    return people[0]


def _only(patients: Sequence[Held]) -> Held | None:
    own = [held for held in patients if held.container is None]
    alone = own or [held for held in patients if _first_alike(held, patients) is held]
    return alone[0] if len(alone) == 1 else None


def _refusal(names: Iterable[str]) -> Problem:
    found = f"Observations about {' and '.join(clip(name or 'a Patient without id') for name in names)}"
    return Problem(WHOLE, "FH-120", found, "Observations about one infant", "send each infant in an input of its own")
