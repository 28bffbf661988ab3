"""Read a mapping file: what the codes of a site's charting system mean in the words of an entry.

Takes a JSON file of the schema `codes`. Gives Codes, the standard ones with those of the file, or a refusal that names
every fault. Never gives a standard code another meaning, never maps by a display or a text.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from cds.entry.catalogue import CARE, CATALOGUE, SEXES, YES_NO, Kind
from cds.entry.codes_file import File, Row, read_file
from cds.entry.fhir.known import STANDARD, UCUM
from cds.entry.fhir.meanings import Answers, Codes, Coding, Meaning, Place
from cds.entry.units import UNITS
from cds.errors import Refused

__all__ = ["Codes", "read_codes"]

UNITS_READ = (*UNITS, "d")
MAPPED_CARE = tuple(key for key, words in CARE.items() if words is not None)
_Key = TypeVar("_Key")
_Value = TypeVar("_Value")
Made = tuple[_Key, _Value, Row]


def read_codes(path: Path) -> Codes:
    """The standard codes with those of a mapping file.

    Raises:
        Refused: subject `codes`, with every fault (CM-101 to CM-210).
    """
    file = read_file(path)
    codes = Codes(
        observations=_joined(STANDARD.observations, _meanings(file), file),
        places=_joined(STANDARD.places, _places(file), file),
        units=_joined(STANDARD.units, _units(file), file),
        on_patient=_joined({}, _on_patient(file), file),
        on_observation=_joined({}, _on_observation(file), file),
        id=str(file.data["codes"]),
    )
    if file.problems:
        raise Refused("codes", file.problems)
    return codes


def _joined(standard: Mapping[_Key, _Value], made: Iterable[Made[_Key, _Value]], file: File) -> Mapping[_Key, _Value]:
    own: dict[_Key, _Value] = {}
    for key, value, row in made:
        if standard.get(key, value) != value:
            said = ("a standard code with another meaning", "its standard meaning", "leave the row out")
            file.add("CM-207", row.place, said)
        elif own.setdefault(key, value) != value:
            file.add("CM-206", row.place, ("a code with two meanings", "each code once", "keep one of the rows"))
    return MappingProxyType({**standard, **own})


def _meanings(file: File) -> Iterator[Made[Coding, Meaning]]:
    makers = {"observations": _observation, "panels": _panel, "contexts": _context, "care": _care, "infant": _field}
    for section, make in makers.items():
        for row in file.rows(section):
            coding, meaning = file.coding(row), make(row, file)
            if coding and meaning:
                yield coding, meaning, row


def _observation(row: Row, file: File) -> Meaning | None:
    name = row.text("observation")
    if not file.word("CM-202", f"{row.place}/observation", name, CATALOGUE):
        return None
    kind = CATALOGUE[name]
    context = _said_by_code(row, kind, file)
    values, grade = file.answers(row, kind.grades), row.data.get("grade")
    if grade is not None and not file.word("CM-203", f"{row.place}/grade", str(grade), kind.grades):
        return None
    if kind.is_sign != bool(row.data.keys() & {"values", "grade"}):
        found = "a sign without `values` and `grade`" if kind.is_sign else "a measured value with `values` or `grade`"
        file.add("CM-205", row.place, (found, "`values` or `grade` for a sign, neither for a value", "correct the row"))
    return Meaning("observation", name, context, values, None if grade is None else str(grade))


def _said_by_code(row: Row, kind: Kind, file: File) -> dict[str, str]:
    said = row.data.get("context")
    context = {str(key): str(word) for key, word in said.items()} if isinstance(said, Mapping) else {}
    for key, word in context.items():
        place = f"{row.place}/context/{key}"
        if _carries([kind.code], key, place, file):
            file.word("CM-203", place, word, kind.contexts[key] or ())
    return context


def _carries(names: Iterable[str], key: str, place: str, file: File) -> bool:
    # A number, a time or true and false cannot stand in a code.
    for name in names:
        worded = [each for each, words in CATALOGUE[name].contexts.items() if words]
        if key not in worded:
            said = (f"`{key}`, which {name} does not carry as a word", f"one of {', '.join(worded)}", "correct the key")
            file.add("CM-204", place, said)
            return False
    return True


def _panel(row: Row, file: File) -> Meaning | None:
    parts = row.texts("parts")
    known = [file.word("CM-202", f"{row.place}/parts/{number}", each, CATALOGUE) for number, each in enumerate(parts)]
    return Meaning("panel", row.text("title"), parts=frozenset(parts)) if all(known) else None


def _context(row: Row, file: File) -> Meaning | None:
    key = row.text("context")
    words = _words_of(key)
    if not file.word("CM-204", f"{row.place}/context", key, _all_keys()):
        return None
    if bool(words) != ("values" in row.data):
        expected = f"`values` for the words {', '.join(words)}" if words else "no `values`: it is a number or a time"
        file.add(
            "CM-205", row.place, (f"`{key}` {'without' if words else 'with'} `values`", expected, "correct the row")
        )
        return None
    return Meaning("context", key, values=file.answers(row, words))


def _all_keys() -> list[str]:
    return sorted({key for kind in CATALOGUE.values() for key in kind.contexts})


def _words_of(key: str) -> Collection[str]:
    if key in YES_NO:
        return ("true", "false")
    listed = (kind.contexts.get(key) or () for kind in CATALOGUE.values())
    return list(dict.fromkeys(word for words in listed for word in words))


def _care(row: Row, file: File) -> Meaning | None:
    key = row.text("care")
    if not file.word("CM-203", f"{row.place}/care", key, MAPPED_CARE):
        return None
    return Meaning("care", key, values=file.answers(row, CARE[key] or ()))


def _field(row: Row, _file: File) -> Meaning:
    return Meaning("infant", row.text("field"))


def _places(file: File) -> Iterator[Made[tuple[Coding, str], Place]]:
    for row in file.rows("places"):
        coding, key, word, names = file.coding(row), row.text("context"), row.text("means"), row.texts("of")
        known = [file.word("CM-202", f"{row.place}/of/{number}", each, CATALOGUE) for number, each in enumerate(names)]
        if not all(known) or not _carries(names, key, f"{row.place}/context", file):
            continue
        for name in names:
            if file.word("CM-203", f"{row.place}/means", word, CATALOGUE[name].contexts[key] or ()) and coding:
                yield (coding, name), Place(key, word), row


def _units(file: File) -> Iterator[Made[Coding, str]]:
    for row in file.rows("units"):
        coding = file.coding(row)
        if not file.word("CM-209", f"{row.place}/unit", row.text("unit"), UNITS_READ) or coding is None:
            continue
        if coding[0] == UCUM and coding[1] in UNITS_READ and coding[1] != row.text("unit"):
            said = ("a UCUM code for another unit", "the unit itself", "leave the row out")
            file.add("CM-207", row.place, said)
        yield coding, row.text("unit"), row


def _on_patient(file: File) -> Iterator[Made[str, Answers]]:
    for row in file.rows("patient_extensions"):
        yield row.text("url"), Answers(row.text("field"), file.answers(row, SEXES)), row


def _on_observation(file: File) -> Iterator[Made[str, Answers]]:
    for row in file.rows("observation_extensions"):
        key = row.text("context")
        if file.word("CM-204", f"{row.place}/context", key, [each for each in _all_keys() if _words_of(each)]):
            yield row.text("url"), Answers(key, file.answers(row, _words_of(key))), row
