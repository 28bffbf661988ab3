"""The circumstances of a reading: what its codes, body site, method, extensions and components say, brought together.

Takes sayings of one key and value each. Gives the context of our entry; a key on which two of them differ is left out,
with a remark. Never decides which of two is right, except that a code naming a place wins over one for the core.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cds.entry.catalogue import CATALOGUE, LISTED, MEASURED_CONTEXT, YES_NO
from cds.entry.fhir.answers import name_value, said
from cds.entry.fhir.dates import read_when
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes, Meaning
from cds.entry.fhir.quantities import read_quantity
from cds.entry.fhir.remarks import Note, name_codings
from cds.entry.observations import MOST_COUNTED

_PLACES = ("site", "route")
_TOLD_BY_PLACE = ("site", "route", "sites", "method", "position")


@dataclass(frozen=True, slots=True)
class Saying:
    """One key with one value, where it stands and by which codes. A weak one counts only where nothing else speaks."""

    key: str
    value: object
    place: str
    found: str
    weak: bool = False


def from_code(meanings: Iterable[Meaning], node: Node) -> Iterator[Saying]:
    """What the codes of an observation say by themselves."""
    place, found = f"{node.place}/code", name_codings(node.codings("code"))
    for meaning in meanings:
        for key, value in meaning.context.items():
            yield Saying(key, value, place, found, meaning.weak)


def from_around(node: Node, name: str, codes: Codes) -> Iterator[Saying | Note]:
    """What body site, method and mapped extensions of an Observation say about one observation code."""
    for element in ("bodySite", "method"):
        codings = node.codings(element)
        known = codes.body_places(codings, name)
        place, found = f"{node.place}/{element}", name_codings(codings)
        yield from (Saying(each.key, each.value, place, found) for each in known)
        if node.has(element) and not known and CATALOGUE[name].contexts.keys() & set(_TOLD_BY_PLACE):
            yield Note("site-unmapped", place, found, name)
    for url, extension in node.extensions():
        if url in codes.on_observation and codes.on_observation[url].name in CATALOGUE[name].contexts:
            mapped = codes.on_observation[url]
            yield from _words(mapped.name, said(extension, mapped.values), extension, name)


def from_component(component: Node, meaning: Meaning, name: str, codes: Codes) -> Iterator[Saying | Note]:
    """What a component says about the observation code that it stands with."""
    key, found = meaning.name, name_codings(component.codings("code"))
    if key not in CATALOGUE[name].contexts:
        yield Note("code-unmapped", component.place, found, name)
    elif key in _NUMBERS:
        yield from _number(component, key, name, codes)
    elif key == "since":
        when = read_when(component.text("valueDateTime") or "")
        yield Saying(key, when.sent, component.place, found) if when else _unread(component, name)
    else:
        yield from _words(key, said(component, meaning.values), component, name)


_NUMBERS = {
    **{key: (dimension, (unit,)) for key, (dimension, unit) in MEASURED_CONTEXT.items()},
    "counted_seconds": ("seconds", ("s",)),
    "highest": ("temperature", ("Cel", "[degF]")),
}


def _number(component: Node, key: str, name: str, codes: Codes) -> Iterator[Saying | Note]:
    dimension, units = _NUMBERS[key]
    quantity = component.part("valueQuantity")
    members = read_quantity(quantity, dimension, units, codes)
    if "unusable" in members:
        yield Note("unit-unmapped", quantity.place, str(members["found"]), name)
    elif "comparator" in members or not _counts(key, members.get("value")):
        yield _unread(component, name)
    else:
        value = members["value"] if key == "counted_seconds" else members
        yield Saying(key, value, component.place, name_codings(component.codings("code")))


def _counts(key: str, value: object) -> bool:
    if key == "counted_seconds":
        return type(value) is int and 1 <= value <= MOST_COUNTED
    return value is not None and not (key == "over_hours" and value == 0)


def _words(key: str, words: tuple[str, ...], node: Node, name: str) -> Iterator[Saying | Note]:
    known = CATALOGUE[name].contexts[key] or ("true", "false")
    fitting = [word for word in words if word in known]
    if not fitting:
        yield _unread(node, name)
    for word in fitting:
        yield Saying(key, word == "true" if key in YES_NO else word, node.place, name_value(node))


def _unread(node: Node, name: str) -> Note:
    return Note("code-unmapped", node.place, name_value(node), name)


def settle(sayings: Iterable[Saying], name: str) -> tuple[dict[str, object], list[Note]]:
    """One value for each key, and a remark for each key on which the sayings differ."""
    of_key: dict[str, list[Saying]] = {}
    for saying in sayings:
        of_key.setdefault(saying.key, []).append(saying)
    context: dict[str, object] = {}
    notes: list[Note] = []
    for key, spoken in of_key.items():
        values = _distinct([each for each in spoken if not each.weak] or spoken)
        if key in LISTED:
            context[key] = values
        elif len(values) == 1:
            context[key] = values[0]
        else:
            notes.append(_conflict(key, spoken, name))
    return context, notes


def _distinct(spoken: list[Saying]) -> list[object]:
    values: list[object] = []
    for each in spoken:
        if each.value not in values:
            values.append(each.value)
    return values


def _conflict(key: str, spoken: list[Saying], name: str) -> Note:
    reason = "conflicting-site" if key in _PLACES else "conflicting-context"
    found = ", ".join(dict.fromkeys(each.found for each in spoken))
    return Note(reason, spoken[0].place, found, name)
