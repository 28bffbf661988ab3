"""A mapping file as it stands: its rows with their places, its systems, and the faults found so far.

Takes the path of a JSON file. Gives rows whose shape the schema `codes` has checked; looks up systems and values in
them. Knows no meaning of an observation.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

from cds.entry.codes_shape import check_shape
from cds.entry.faults import echo, suggest
from cds.entry.fhir.known import LOINC, SNOMED, UCUM
from cds.entry.fhir.meanings import Answer, Coding
from cds.entry.json_text import read_json
from cds.errors import Problem, Refused

CODES: Mapping[str, str] = {
    "CM-101": "a file that cannot be read",
    "CM-102": "not strict JSON",
    "CM-103": "not the shape of a mapping file",
    "CM-201": "a system that the file does not name",
    "CM-202": "an observation code that is not known",
    "CM-203": "a word that is not one of a closed list",
    "CM-204": "a circumstance that the observation does not carry, or that cannot be mapped",
    "CM-205": "a row from which nothing could be read",
    "CM-206": "one code with two meanings",
    "CM-207": "a standard code with another meaning",
    "CM-208": "a LOINC code whose check digit is wrong",
    "CM-209": "a unit that is not accepted",
    "CM-210": "a value that is none of code, true or false, whole number",
}
"""Every code of a mapping file's problems with its meaning; docs/errors-fhir.md says the same."""

KNOWN_SYSTEMS: Mapping[str, str] = {"loinc": LOINC, "snomed": SNOMED, "ucum": UCUM}
MOST_BYTES = 2**22


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the file, with the JSON pointer of its place."""

    data: Mapping[str, object]
    place: str

    def text(self, name: str) -> str:
        """A member that the schema makes a text."""
        return str(self.data[name])

    def texts(self, name: str) -> list[str]:
        """A member that the schema makes a list of texts."""
        return [str(each) for each in cast("list[object]", self.data.get(name, []))]


@dataclass(frozen=True, slots=True)
class File:
    """A mapping file of the right shape, and what is wrong with it."""

    name: str
    data: Mapping[str, object]
    problems: list[Problem] = field(default_factory=list)

    @property
    def systems(self) -> dict[str, str]:
        """Short names with the systems that they stand for."""
        return {**KNOWN_SYSTEMS, **cast("dict[str, str]", self.data["systems"])}

    def rows(self, section: str) -> Iterator[Row]:
        """The rows of one section."""
        for number, row in enumerate(cast("list[Mapping[str, object]]", self.data.get(section, []))):
            yield Row(row, f"/{section}/{number}")

    def add(self, code: str, place: str, said: tuple[str, str, str]) -> None:
        """Note a fault: what was found, what was expected, what to do next."""
        self.problems.append(Problem(f"{self.name}:{place}", code, *said))

    def word(self, code: str, place: str, found: str, known: Collection[str]) -> bool:
        """Whether a word is one of a closed list; noted where it is not."""
        if found in known:
            return True
        expected = f"one of {', '.join(known)}" if len(known) <= 20 else "a code of the vocabulary"
        self.add(code, place, (echo(found), expected, suggest(found, known, "one of these words")))
        return False

    def coding(self, row: Row) -> Coding | None:
        """System and code of a row; None, noted, where its system is not named or its code cannot be."""
        short, code = row.text("system"), row.text("code")
        if not self.word("CM-201", f"{row.place}/system", short, self.systems):
            return None
        if self.systems[short] == LOINC and not is_loinc(code):
            said = (echo(code), "a LOINC code with its check digit", "compare the code with LOINC's own page")
            self.add("CM-208", f"{row.place}/code", said)
            return None
        return self.systems[short], code

    def answers(self, row: Row, words: Collection[str]) -> dict[Answer, str]:
        """What each value of a row means; each of the words that it may mean."""
        listed: dict[Answer, str] = {}
        for value in self._values(row):
            answer = self._answer(value)
            if answer is None or not self.word("CM-203", f"{value.place}/means", value.text("means"), words):
                continue
            if listed.setdefault(answer, value.text("means")) != value.text("means"):
                said = ("a value with two meanings", "each value once", "keep one of them")
                self.add("CM-206", value.place, said)
        return listed

    def _values(self, row: Row) -> Iterator[Row]:
        values, place = row.data.get("values", []), f"{row.place}/values"
        if isinstance(values, str):
            lists = cast("dict[str, list[object]]", self.data.get("value_lists", {}))
            if not self.word("CM-203", place, values, lists):
                return
            values, place = lists[values], f"/value_lists/{values}"
        for number, value in enumerate(cast("list[Mapping[str, object]]", values)):
            yield Row(value, f"{place}/{number}")

    def _answer(self, value: Row) -> Answer | None:
        kinds = sorted(value.data.keys() - {"means", "system"})
        if kinds == ["boolean"] and "system" not in value.data:
            return ("boolean", bool(value.data["boolean"]))
        if kinds == ["integer"] and "system" not in value.data:
            return ("integer", cast(int, value.data["integer"]))
        if kinds == ["code"]:
            return self.coding(value) if "system" in value.data else ("", value.text("code"))
        said = ("a value that says none or several", "one of code, boolean, integer", "make a value of each")
        self.add("CM-210", value.place, said)
        return None


def read_file(path: Path) -> File:
    """A mapping file of the right shape.

    Raises:
        Refused: it cannot be read, is not strict JSON, or has another shape (CM-101 to CM-103).
    """
    try:
        text = path.read_bytes()
    except OSError:
        problem = Problem(path.name, "CM-101", "a file that cannot be read", "a JSON file", "check name and access")
        raise Refused("codes", [problem]) from None
    try:
        data = read_json(text, "codes", MOST_BYTES)
    except Refused as refused:
        problems = (
            Problem(f"{path.name}:{each.place}", "CM-102", each.found, each.expected, each.next)
            for each in refused.problems
        )
        raise Refused("codes", problems) from None
    check_shape(path.name, data)
    return File(path.name, cast("Mapping[str, object]", data))


def is_loinc(code: str) -> bool:
    """Whether a code has LOINC's form and the check digit that its number asks for (Luhn, modulo 10)."""
    number, dash, check = code.partition("-")
    if not (dash and number.isdecimal() and check.isdecimal() and len(check) == 1):
        return False
    doubled = (int(digit) * (2 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(number)))
    return (sum(value - 9 if value > 9 else value for value in doubled) + int(check)) % 10 == 0
