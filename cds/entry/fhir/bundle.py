"""From FHIR R4 to our JSON entry: one infant, the latest readings, the earlier ones, and remarks on all else.

Takes parsed JSON: a Bundle, or a single Observation or Patient. Gives an entry for `cds.entry.read.read_entry`, so that
both formats have one meaning. Never drops what it does not understand: it is remarked on, by code and place.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from cds.entry.fhir.asides import attach, settle_care
from cds.entry.fhir.births import read_patients
from cds.entry.fhir.collect import collect
from cds.entry.fhir.grouping import Clock, Group, group
from cds.entry.fhir.infant import settle_facts
from cds.entry.fhir.known import STANDARD
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.observation import read_observation
from cds.entry.fhir.readings import Aside, Read, Reading, sum_up
from cds.entry.fhir.references import Held, Shelf, name_reference, type_named
from cds.entry.fhir.remarks import Note, clip, fold
from cds.entry.fhir.subjects import Chosen, choose
from cds.entry.fhir.versions import keep_newest
from cds.entry.times import find_offset
from cds.errors import Problem, Refused

Members = dict[str, object]


@dataclass(frozen=True, slots=True)
class Settings:
    """What a site sets for its FHIR input: minutes within which readings make one entry."""

    together_minutes: int = 15


DEFAULTS = Settings()


def to_entry(resource: object, codes: Codes = STANDARD, settings: Settings = DEFAULTS) -> Members:
    """A FHIR resource as our JSON entry.

    Args:
        resource: parsed JSON, numbers int or Decimal.
        codes: the standard codes, or these with a site's own (`cds.entry.codes.read_codes`).

    Raises:
        Refused: subject `entry`, with every fault (codes FH-101 to FH-120).
    """
    collected = collect(resource)
    patients, patient_notes = keep_newest(collected.of("Patient"))
    observations, versions = keep_newest(collected.of("Observation"))
    chosen = choose(patients, observations, codes)
    members, infant_notes = read_patients([held.node for held in chosen.patients], codes)
    read = _read(chosen.observations, codes)
    facts, fact_notes = settle_facts(read.facts)
    infant = _order({**_name(chosen), **members, **facts})
    entry, notes = _assemble(infant, read, settings)
    missing = _missing_members(chosen.observations, observations)
    told = (*collected.notes, *patient_notes, *versions, *chosen.notes, *infant_notes, *read.notes, *fact_notes)
    remarks = fold((*told, *notes, *missing))
    return entry | ({"remarks": remarks} if remarks else {})


def _read(observations: Iterable[Held], codes: Codes) -> Read:
    reads: list[Read] = []
    problems: list[Problem] = []
    for held in observations:
        try:
            reads.append(read_observation(held.node, codes))
        except Refused as refused:
            problems += refused.problems
    if problems:
        raise Refused("entry", problems)
    return sum_up(reads)


def _assemble(infant: Members, read: Read, settings: Settings) -> tuple[Members, list[Note]]:
    readings, notes = attach(read.readings, read.asides)
    clock = Clock(60 * settings.together_minutes, _offset(infant, readings))
    groups = group(readings, clock)
    parts: list[Members] = []
    places: set[str] = set()
    for each in groups:
        care = [aside for aside in read.asides if aside.role == "care" and clock.together(aside.when, each.when)]
        part, doubts = _part(each, care)
        places |= {aside.place for aside in care}
        parts.append(part)
        notes += doubts
    alone = (aside for aside in read.asides if aside.role == "care" and aside.place not in places)
    notes += [Note("context-alone", aside.place, aside.key, aside.key) for aside in alone]
    entry: Members = {"infant": infant, **parts[0]}
    return entry | ({"earlier": parts[:0:-1]} if len(parts) > 1 else {}), notes


def _part(each: Group, care: Sequence[Aside]) -> tuple[Members, list[Note]]:
    stated, notes = settle_care(care)
    part: Members = {"event": _event(each), "observations": [_observation(one, each) for one in each.readings]}
    return part | ({"care": stated} if stated else {}), notes


def _event(each: Group) -> Members:
    source = next((reading.source for reading in each.readings if reading.source), None)
    event: Members = {"id": f"Observation/{source}"} if source else {}
    return event | ({"measured": each.when.sent} if each.when else {"absent": "unknown"})


def _observation(reading: Reading, each: Group) -> Members:
    if reading.when is None or each.when is None or reading.when.sent == each.when.sent:
        return reading.members
    return reading.members | {"measured": reading.when.sent}


def _name(chosen: Chosen) -> Members:
    own = [held.node.text("id") for held in chosen.patients if held.container is None]
    if own and own[0]:
        return {"id": own[0]}
    named = chosen.name if chosen.name and type_named(chosen.name) == "Patient" else None
    return {"id": named.rpartition("/")[2]} if named else {}


_INFANT = ("id", "birth", "sex", "gestation", "birth_weight", "order")


def _order(members: Members) -> Members:
    return {name: members[name] for name in _INFANT if name in members}


def _offset(infant: Members, readings: Iterable[Reading]) -> int:
    texts: list[object] = [infant.get("birth")]
    for reading in readings:
        if reading.when is not None:
            texts += [reading.when.sent] if isinstance(reading.when.sent, str) else reading.when.sent.values()
    return next((found for text in texts if (found := find_offset(text)) is not None), 0)


def _missing_members(panels: Iterable[Held], held: Iterable[Held]) -> Iterator[Note]:
    shelf = Shelf(held)
    for panel in panels:
        for member in panel.node.parts("hasMember"):
            if shelf.resolve(member, panel) is None:
                yield Note("missing-member", member.place, clip(name_reference(member)))
