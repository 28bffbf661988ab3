"""Collect what is wrong with an entry, each fault with its code, place, and what to do next.

Takes what was found. Gives problems. Never repeats a value of a patient: a code or key is repeated only where it looks
like one, everything else is described (kind, length), since a refusal may end in a log.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from cds.entry.model import Remark
from cds.errors import Problem

CODES: Mapping[str, str] = MappingProxyType(
    {
        "EN-001": "not JSON text",
        "EN-002": "not UTF-8",
        "EN-003": "a key twice in one object",
        "EN-004": "a number that JSON does not have",
        "EN-005": "too long a document",
        "EN-006": "too deeply nested",
        "EN-007": "a number with too many digits or too large an exponent",
        "EN-101": "another kind of JSON value",
        "EN-102": "a null",
        "EN-103": "a key that is not read",
        "EN-104": "a key that is missing",
        "EN-105": "a text that is empty, too long or holds control characters",
        "EN-106": "keys that exclude or need each other",
        "EN-107": "a number out of its range",
        "EN-108": "a list that is empty or names an item twice",
        "EN-201": "an observation code that is not known",
        "EN-202": "a word that is not one of a closed list",
        "EN-203": "a unit that is not accepted",
        "EN-204": "a key that this observation does not carry",
        "EN-205": "grades that exclude each other",
        "EN-301": "a value below zero",
        "EN-302": "a value too large for its unit",
        "EN-303": "pounds with ounces not in their form",
        "EN-304": "a range that ends before it begins",
        "EN-401": "not a date or date-time",
        "EN-402": "a date, time or offset that does not exist",
        "EN-403": "a time without its zone",
        "EN-404": "a period that ends before it begins",
    }
)
"""Every code of an entry's problems with its meaning; docs/errors-entry.md says the same."""

WHOLE = "/"
"""The place of a fault of the whole document."""

_CODE_LIKE = re.compile(r"[A-Za-z0-9%/_.{}\[\]-]{1,40}")
_KEY_LIKE = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,39}")


class Faults:
    """The problems found so far, in the order found."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def add(self, code: str, place: str, said: tuple[str, str, str]) -> None:
        """Note one problem; `said` is what was found, what was expected, what to do next."""
        self.problems.append(Problem(place, code, *said))

    def kind(self, place: str, data: object, expected: str) -> None:
        """Note a JSON value of another kind (EN-101), or a null (EN-102)."""
        if data is None:
            self.add("EN-102", place, ("null", expected, "leave the key out where nothing was charted"))
        else:
            self.add("EN-101", place, (name_kind(data), expected, f"send {expected}"))

    def word(self, place: str, data: str, words: Iterable[str]) -> None:
        """Note a word that is none of a closed list (EN-202)."""
        known = tuple(words)
        self.add(
            "EN-202", place, (echo(data), f"one of {', '.join(known)}", suggest(data, known, "one of these words"))
        )

    def missing(self, place: str, key: str, what: str) -> None:
        """Note a missing key (EN-104); `what` says what it holds."""
        self.add("EN-104", f"{place}/{key}", (f"no `{key}`", what, f"add `{key}`"))


@dataclass(frozen=True, slots=True)
class Intake:
    """What one document gathers: faults, remarks, and the offset in which its bare dates are meant."""

    faults: Faults
    remarks: list[Remark]
    date_offset: int = 0


def echo(text: str) -> str:
    """A code as found; a text that does not look like a code by its length only."""
    return f"`{text}`" if _CODE_LIKE.fullmatch(text) else f"a text of {len(text)} characters"


def name_key(key: str) -> str:
    """A key as found, or by its length where it does not look like a key."""
    return f"key `{key}`" if _KEY_LIKE.fullmatch(key) else f"a key of {len(key)} characters"


def point(place: str, key: str) -> str:
    """The JSON pointer of a key below a place; the place itself where the key does not look like one."""
    return f"{place}/{key}" if _KEY_LIKE.fullmatch(key) else place


def suggest(found: str, known: Iterable[str], otherwise: str) -> str:
    """What to do next: the nearest known word where one is near."""
    near = difflib.get_close_matches(found.lower(), list(known), n=1, cutoff=0.7)
    return f"write `{near[0]}`, if that is meant" if near else f"use {otherwise}"


def name_kind(data: object) -> str:
    """The kind of a JSON value in words."""
    for kind, name in _KINDS:
        if isinstance(data, kind):
            return name
    return "a binary number" if isinstance(data, float) else "something that JSON does not have"


_KINDS: tuple[tuple[type, str], ...] = (
    (bool, "true or false"),
    (int, "a number"),
    (Decimal, "a number"),
    (str, "a text"),
    (list, "a list"),
    (dict, "an object"),
    (type(None), "null"),
)
