"""Read the fields of one JSON object, noting every fault.

Takes an object with its place. Gives text, words, whole numbers, quantities and moments, or None where a field is
missing or faulty. Never stops at the first fault, never fills in what was not sent.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType

from cds.entry.faults import WHOLE, Faults, Intake, echo, name_key, point, suggest
from cds.entry.model import Moment
from cds.entry.refusals import measure_at, say_time
from cds.entry.times import TimeRefused, join_moments, read_moment
from cds.values import Quantity

MOST_TEXT = 200
MOST_WORDS = 500
# Control characters, line breaks, half surrogates, and marks that turn the direction of text: none can be shown.
UNSHOWABLE = r"[\u0000-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
_UNSHOWABLE = re.compile(UNSHOWABLE)

_SLIPS: Mapping[str, str] = MappingProxyType(
    {"c": "Cel", "degc": "Cel", "f": "[degF]", "degf": "[degF]", "lb": "[lb_av]", "lbs": "[lb_av]", "oz": "[oz_av]"}
    | {"mmhg": "mm[Hg]", "bpm": "/min", "min": "/min", "1/min": "/min", "in": "[in_i]", "inch": "[in_i]", "sec": "s"}
)


@dataclass(frozen=True, slots=True)
class Shape:
    """The keys an object may have, and those it must have with what they hold."""

    keys: frozenset[str]
    required: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Fields:
    """One object, its place as a JSON pointer, and where faults go."""

    data: Mapping[str, object]
    place: str
    intake: Intake

    def text(self, key: str, most: int = MOST_TEXT) -> str | None:
        """A text of one to `most` characters that can be shown."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, str):
            self._note_kind(key, "a text")
            return None
        if 0 < len(value) <= most and ((value.isascii() and value.isprintable()) or not _UNSHOWABLE.search(value)):
            return value
        said = (f"a text of {len(value)} characters", f"1 to {most} characters, none a control character")
        self.intake.faults.add("EN-105", f"{self.place}/{key}", (*said, "send the text as it is shown in the chart"))
        return None

    def word(self, key: str, words: Collection[str]) -> str | None:
        """One of a closed list of words."""
        value = self.data.get(key)
        if value is None or read_word(value, f"{self.place}/{key}", words, self.intake.faults) is None:
            return None
        return str(value)

    def words(self, key: str, words: Collection[str]) -> tuple[str, ...]:
        """A list of different words of a closed list."""
        value = self.data.get(key)
        if value is None:
            return ()
        return read_words(value, f"{self.place}/{key}", words, self.intake.faults)

    def flag(self, key: str) -> bool | None:
        """True or false."""
        value = self.data.get(key)
        if value is None or isinstance(value, bool):
            return value
        self.intake.faults.kind(f"{self.place}/{key}", value, "true or false")
        return None

    def whole(self, key: str, low: int, high: int) -> int | None:
        """A whole number from `low` to `high`, written without decimals."""
        value = self.data.get(key)
        if value is None:
            return None
        expected = f"a whole number from {low} to {high}"
        if type(value) is not int:
            self._note_kind(key, expected)
            return None
        if low <= value <= high:
            return value
        found = f"a number below {low}" if value < low else f"a number above {high}"
        self.intake.faults.add("EN-107", f"{self.place}/{key}", (found, expected, f"correct `{key}`"))
        return None

    def moment(self, key: str, can_last: bool = False) -> Moment | None:
        """A date or date-time; where `can_last`, a period with start and end too."""
        value = self.data.get(key)
        if isinstance(value, str):
            return self._moment(key, value)
        if can_last and isinstance(value, dict):
            return self._period(key, value)
        if value is not None:
            expected = "a date, a date-time with zone, or a period" if can_last else "a date or a date-time with zone"
            self._note_kind(key, expected)
        return None

    def inside(self, key: str, shape: Shape) -> Fields | None:
        """The fields of an object below."""
        value = self.data.get(key)
        return None if value is None else open_object(value, f"{self.place}/{key}", shape, self.intake)

    def quantity(
        self, dimension: str, units: tuple[str, ...], keys: tuple[str, str] = ("value", "unit")
    ) -> Quantity | None:
        """The quantity in a value key and a unit key, in one of the units."""
        value, unit = self.data.get(keys[0]), self.data.get(keys[1])
        if value is None:
            return None
        if unit is None or not self._accepts(unit, units, f"{self.place}/{keys[1]}"):
            self._check_number(keys[0])
            return None
        return measure_at((value, unit), dimension, f"{self.place}/{keys[0]}", self.intake)

    def _note_kind(self, key: str, expected: str) -> None:
        value, place = self.data[key], f"{self.place}/{key}"
        if isinstance(value, Decimal):
            said = ("a number with decimals or an exponent", expected, f"send {expected}")
            self.intake.faults.add("EN-101", place, said)
        else:
            self.intake.faults.kind(place, value, expected)

    def _check_number(self, key: str) -> None:
        if type(self.data[key]) not in (int, Decimal, list):
            self._note_kind(key, "a number")

    def _accepts(self, unit: object, units: tuple[str, ...], place: str) -> bool:
        # A list of units is looked at together with its list of values.
        if unit in units if isinstance(unit, str) else isinstance(unit, list) and "[lb_av]" in units:
            return True
        expected = f"one of {', '.join(units)}" if len(units) > 1 else units[0]
        if not isinstance(unit, str):
            self.intake.faults.kind(place, unit, expected)
            return False
        near = _SLIPS.get(unit.lower())
        otherwise = "this unit, or correct the code" if len(units) == 1 else "one of these, or correct the code"
        advice = f"write `{near}`, if that is meant" if near in units else suggest(unit, units, otherwise)
        self.intake.faults.add("EN-203", place, (echo(unit), expected, advice))
        return False

    def _moment(self, key: str, text: str) -> Moment | None:
        try:
            return read_moment(text, self.intake.date_offset)
        except TimeRefused as refused:
            self.intake.faults.add(*say_time(refused, f"{self.place}/{key}"))
            return None

    def _period(self, key: str, data: dict[str, object]) -> Moment | None:
        period = open_object(data, f"{self.place}/{key}", PERIOD, self.intake)
        start, end = (period.moment("start"), period.moment("end")) if period else (None, None)
        if start is None or end is None:
            return None
        try:
            return join_moments(start, end)
        except TimeRefused as refused:
            self.intake.faults.add(*say_time(refused, f"{self.place}/{key}"))
            return None


PERIOD = Shape(frozenset({"start", "end"}), {"start": "when the period begins", "end": "when the period ends"})


def open_object(data: object, place: str, shape: Shape, intake: Intake) -> Fields | None:
    """The fields of an object, its keys checked; None where it is none."""
    if not isinstance(data, dict):
        intake.faults.kind(place or WHOLE, data, "an object")
        return None
    if not data.keys() <= shape.keys:
        note_unknown(data, shape.keys, Fields(data, place, intake))
    note_nulls(data, place, intake.faults)
    for key in shape.required:
        if key not in data:
            intake.faults.missing(place, key, shape.required[key])
    return Fields(data, place, intake)


def note_nulls(data: Mapping[str, object], place: str, faults: Faults) -> None:
    """Note each key of an object whose value is null."""
    if None in data.values():
        for key in (key for key, value in data.items() if value is None):
            faults.kind(point(place, key) or WHOLE, None, "a value")


def note_unknown(keys: Collection[str], known: Collection[str], at: Fields) -> None:
    """Note each key that is not read, with the nearest one that is."""
    for key in (key for key in keys if key not in known):
        said = (
            name_key(key),
            f"keys {', '.join(sorted(known))}",
            suggest(key, sorted(known), "one of these, or leave it out"),
        )
        at.intake.faults.add("EN-103", point(at.place, key) or WHOLE, said)


def read_word(value: object, place: str, words: Collection[str], faults: Faults) -> str | None:
    """One of a closed list of words, or None with the fault noted."""
    if not isinstance(value, str):
        faults.kind(place, value, f"one of {', '.join(words)}")
        return None
    if value in words:
        return value
    faults.word(place, value, words)
    return None


def read_words(value: object, place: str, words: Collection[str], faults: Faults) -> tuple[str, ...]:
    """A list of different words of a closed list; what is faulty is left out and noted."""
    if not isinstance(value, list):
        faults.kind(place, value, "a list of words")
        return ()
    listed = [read_word(item, f"{place}/{number}", words, faults) for number, item in enumerate(value)]
    found = tuple(word for word in listed if word is not None)
    if not value or len(set(found)) < len(found):
        fault = "an empty list" if not value else "a word twice"
        faults.add("EN-108", place, (fault, "a list of one or more different words", "name each word once"))
    return found
