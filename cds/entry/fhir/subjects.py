"""Whose readings these are: find the one infant of an input, and which Observations are about that infant.

Takes Patients and Observations. Gives the infant and each Observation that names them, or a refusal where two could be
meant. What names somebody else, or nobody that the input holds, is never joined to the infant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cds.entry.faults import WHOLE
from cds.entry.fhir.births import is_young
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.references import Held, Shelf, name_reference, type_named
from cds.entry.fhir.remarks import Note, clip
from cds.errors import Problem, Refused

NOBODY = "no reference"
MOST_NAMED = 3


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
    shelf = Shelf(patients)
    abouts = [_about(held, shelf, codes) for held in observations]
    if not patients:
        name = _name_infant(abouts)
        return _chosen((), name, abouts, [about for about in abouts if not about.is_other and about.name == name])
    infant = _infant(patients, abouts, shelf)
    same = tuple(held for held in patients if infant is not None and shelf.alike(held) is infant)
    mine = [about for about in abouts if infant is not None and not about.is_other and about.patient is infant]
    chosen = _chosen(same, None, abouts, mine)
    known = {held.node.place for held in same}
    strangers = (held for held in patients if held.container is None and held.node.place not in known)
    notes = (Note("other-subject", held.node.place, clip(held.name)) for held in strangers)
    return replace(chosen, notes=(*chosen.notes, *notes))


def _chosen(patients: tuple[Held, ...], name: str | None, abouts: Sequence[About], mine: Sequence[About]) -> Chosen:
    places = {about.held.node.place for about in mine}
    others = (about for about in abouts if about.held.node.place not in places)
    notes = tuple(Note("other-subject", f"{each.held.node.place}/subject", clip(each.name)) for each in others)
    return Chosen(patients, name, tuple(about.held for about in mine), notes)


def _about(held: Held, shelf: Shelf, codes: Codes) -> About:
    subject = held.node.part("subject")
    patient = shelf.resolve(subject, held)
    strange = [each for each in held.node.parts("focus") if not _is_subject(each, held, shelf)]
    name = name_reference(strange[0] if strange else subject)
    is_ours = any(meaning.role != "not-ours" for meaning in codes.meanings(held.node.codings("code")))
    is_other = bool(strange) or type_named(name) not in (None, "Patient")
    return About(held, shelf.alike(patient) if patient else None, name, is_other, is_ours and not is_other)


def _is_subject(focus: Node, held: Held, shelf: Shelf) -> bool:
    subject = held.node.part("subject")
    if focus.text("reference") and focus.text("reference") == subject.text("reference"):
        return True
    found = shelf.resolve(focus, held)
    return found is not None and found is shelf.resolve(subject, held)


def _name_infant(abouts: Sequence[About]) -> str:
    # Where nothing is ours, who it is about decides nothing.
    relevant = [about for about in abouts if about.is_ours] or [about for about in abouts if not about.is_other]
    named = [name for name in dict.fromkeys(about.name for about in relevant) if name != NOBODY]
    if len(named) > 1 and relevant[0].is_ours:
        raise Refused("entry", [_refusal(named)])
    return named[0] if named else NOBODY


def _infant(patients: Sequence[Held], abouts: Sequence[About], shelf: Shelf) -> Held | None:
    ours = [about for about in abouts if about.is_ours and about.patient]
    people = list({about.patient.node.place: about.patient for about in ours if about.patient}.values())
    if not people:
        return _only(patients, shelf)
    if len(people) > 1:
        people = [held for held in people if is_young(held.node, [about.held.node for about in ours])] or people
    if len(people) > 1:
        raise Refused("entry", [_refusal([held.name for held in people])])
    return people[0]


def _only(patients: Sequence[Held], shelf: Shelf) -> Held | None:
    own = [held for held in patients if held.container is None]
    alone = own or [held for held in patients if shelf.alike(held) is held]
    return alone[0] if len(alone) == 1 else None


def _refusal(names: Sequence[str]) -> Problem:
    said = [clip(name or "a Patient without id") for name in names[:MOST_NAMED]]
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    found = f"Observations about {' and '.join(said)}{more}"
    return Problem(WHOLE, "FH-120", found, "Observations about one infant", "send each infant in an input of its own")
