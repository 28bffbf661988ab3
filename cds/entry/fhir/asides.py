"""Care, and circumstances that a system sends as Observations of their own.

A circumstance (a state, a flow of oxygen) belongs to the readings of exactly its time that can carry it and do not.
Care belongs to the entry of its time. Nothing is carried from one time to another.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cds.entry.catalogue import CATALOGUE
from cds.entry.fhir.answers import name_value, said
from cds.entry.fhir.contexts import Saying, from_component, settle
from cds.entry.fhir.dates import When
from cds.entry.fhir.effective import read_effective
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes, Meaning
from cds.entry.fhir.oxygen import SATURATION, add_oxygen
from cds.entry.fhir.readings import WITHHELD, Aside, Reading
from cds.entry.fhir.remarks import Note, name_codings


def read_aside(node: Node, meaning: Meaning, codes: Codes) -> tuple[list[Aside], list[Note]]:
    """What one Observation says about care or circumstances."""
    if node.text("status") in WITHHELD:
        return [], [Note("withheld", node.place, name_codings(node.codings("code")), meaning.name)]
    if node.has("dataAbsentReason"):
        return [], []
    when, notes = read_effective(node)
    if meaning.role == "context":
        told = _told(node, meaning, codes)
        notes += [each for each in told if isinstance(each, Note)]
        values = [each.value for each in told if isinstance(each, Saying)]
    else:
        values = list(said(node, meaning.values))
        notes += [] if values else [Note("code-unmapped", node.place, name_value(node), meaning.name)]
    return [Aside(meaning.role, meaning.name, value, when, node.place) for value in values], notes


def _told(node: Node, meaning: Meaning, codes: Codes) -> list[Saying | Note]:
    # Codes differ in the words that a key takes: the first that can carry what is said tells what it is.
    carrying = (name for name, kind in CATALOGUE.items() if meaning.name in kind.contexts)
    told = [list(from_component(node, meaning, name, codes)) for name in carrying]
    return next((each for each in told if any(isinstance(one, Saying) for one in each)), told[0])


def attach(readings: Iterable[Reading], asides: Iterable[Aside]) -> tuple[list[Reading], list[Note]]:
    """Readings with the circumstances of their time; remarks on circumstances that belong to none."""
    circumstances = [aside for aside in asides if aside.role == "context"]
    attached, notes, placed = [], [], set[str]()
    for reading in readings:
        mine = [aside for aside in circumstances if _belongs(aside, reading)]
        placed |= {aside.place for aside in mine}
        reading, doubts = _join(reading, mine)
        attached.append(reading)
        notes += doubts
    alone = (aside for aside in circumstances if aside.place not in placed)
    return attached, notes + [Note("context-alone", aside.place, aside.key, aside.key) for aside in alone]


def _belongs(aside: Aside, reading: Reading) -> bool:
    contexts = CATALOGUE[reading.code].contexts
    if aside.key not in contexts or not _same(aside.when, reading.when):
        return False
    words = contexts[aside.key]
    return words is None or aside.value in words


def _same(one: When | None, other: When | None) -> bool:
    if one is None or other is None or not one.has_clock or not other.has_clock:
        return False
    return one.moment.seconds == other.moment.seconds


def _join(reading: Reading, asides: Iterable[Aside]) -> tuple[Reading, list[Note]]:
    # What a reading says about itself wins over what stands beside it.
    sayings = [Saying(each.key, each.value, each.place, each.key) for each in asides if each.key not in reading.members]
    context, notes = settle(sayings, reading.code)
    whole = {key: value for key, value in reading.members.items() if key in CATALOGUE[reading.code].contexts} | context
    rest = {key: value for key, value in reading.members.items() if key not in whole}
    if reading.code == SATURATION and context.keys() & {"flow", "inspired_oxygen"}:
        notes += add_oxygen(whole, sayings[0].place)
    return replace(reading, members=rest | whole), notes


def settle_care(asides: Iterable[Aside]) -> tuple[dict[str, object], list[Note]]:
    """The care of one entry: each key on which all of its time agree, a remark where they do not."""
    by_key: dict[str, list[Aside]] = {}
    for aside in (each for each in asides if each.role == "care"):
        by_key.setdefault(aside.key, []).append(aside)
    care = {
        key: stated[0].value for key, stated in by_key.items() if all(one.value == stated[0].value for one in stated)
    }
    notes = [Note("care-conflict", by_key[key][0].place, key, key) for key in by_key if key not in care]
    return care, notes
