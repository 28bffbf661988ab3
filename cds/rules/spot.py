"""A part of a rule file together with its place, so that a check can speak about it.

Takes a sheet and walks down it; gives problems with the place of the part. Also says the words for a name that nothing
lists, the same for each kind of name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from cds.errors import Problem
from cds.rules.phrase import one_of, quoted
from cds.rules.sheets import Sheet


@dataclass(frozen=True, slots=True)
class Spot:
    """Data somewhere in a sheet."""

    sheet: Sheet
    data: Any
    pointer: str = ""

    def down(self, *parts: str | int) -> Spot:
        """The part below, by keys and places in lists."""
        data, pointer = self.data, self.pointer
        for part in parts:
            data = data[part]
            pointer = f"{pointer}/{str(part).replace('~', '~0').replace('/', '~1')}"
        return Spot(self.sheet, data, pointer)

    def each(self, *parts: str) -> Iterator[Spot]:
        """Each member below: values of keys, or parts of a list; none where the last key is absent."""
        above = self.down(*parts[:-1])
        if parts and parts[-1] not in above.data:
            return
        here = above.down(*parts[-1:]) if parts else self
        names: Iterable[str | int] = here.data if isinstance(here.data, Mapping) else range(len(here.data))
        for name in names:
            yield here.down(name)

    @property
    def name(self) -> str:
        """The key (or number) that leads here."""
        return self.pointer.rpartition("/")[2].replace("~1", "/").replace("~0", "~")

    def says(self, code: str, found: str, expected: str, next_step: str) -> Problem:
        """A problem with the value here."""
        return Problem(self.sheet.at(self.pointer), code, found, expected, next_step)

    def says_of_key(self, code: str, found: str, expected: str, next_step: str) -> Problem:
        """A problem with the key that leads here."""
        return Problem(self.sheet.at_key(self.pointer), code, found, expected, next_step)


@dataclass(frozen=True, slots=True)
class _Kind:
    code: str
    found: str
    expected: str
    next: str


_SPELLING = "correct the spelling"
_KINDS: Mapping[str, _Kind] = MappingProxyType(
    {
        "band": _Kind("RS-213", "bands.yaml does not list", "a listed band", "add `{}` to a scheme of bands.yaml"),
        "source": _Kind(
            "RS-214", "sources.yaml does not list", "a listed source", "add `{}` with body, title, edition and year"
        ),
        "threshold": _Kind("RS-215", "no file defines", "a threshold of the rule set", "add thresholds/{}.yaml"),
        "score": _Kind("RS-216", "no file defines", "a score of the rule set", "add scores/{}.yaml"),
        "group": _Kind("RS-217", "groups.yaml does not list", "a listed group", "add `{}` to groups.yaml"),
        "rule": _Kind("RS-218", "no file defines", "a rule of the rule set", "add the rule `{}`"),
        "finding": _Kind("RS-219", "is not a finding code", "a finding code", "add the code to the vocabulary first"),
        "step": _Kind("RS-220", "is not a step code", "a step code", "choose a step of the vocabulary"),
        "observation": _Kind("RS-221", "is not an observation code", "an observation code", "choose another code"),
        "grade": _Kind("RS-222", "is not a grade of `{of}`", "a grade of `{of}`", "choose another grade"),
        "context": _Kind("RS-223", "is not charted with `{of}`", "a context key of `{of}`", "choose another key"),
        "word": _Kind("RS-224", "is not a word of `{of}`", "a word of `{of}`", "choose another word"),
        "derived": _Kind("RS-225", "is not a derived value", "a derived value", "choose another derived value"),
        "derived word": _Kind("RS-226", "is not a word of `{of}`", "a word of `{of}`", "choose another word"),
        "care": _Kind("RS-227", "is not a care key with words", "a care key with words", "choose another key"),
        "care word": _Kind("RS-228", "is not a word of `{of}`", "a word of `{of}`", "choose another word"),
        "slot": _Kind("RS-229", "is not a slot", "a slot of `say`", "write the words themselves"),
        "setting": _Kind("RS-230", "the software does not read", "a setting that is read", "remove it"),
        "quantity": _Kind(
            "RS-232",
            "has no value to limit",
            "an observation with a value, a derived value or a score",
            "choose another",
        ),
        "unit": _Kind("RS-233", "is not a unit of `{of}`", "a unit of `{of}`", "choose another unit"),
    }
)


def unlisted(spot: Spot, kind: str, known: Collection[str], of: str = "") -> Iterator[Problem]:
    """A problem where the text here is not one of the known names; the nearest is offered."""
    if spot.data not in known:
        yield spot.says(*_words(kind, spot.data, known, of))


def unlisted_key(spot: Spot, kind: str, known: Collection[str], of: str = "") -> Iterator[Problem]:
    """As `unlisted`, for the key that leads here."""
    if spot.name not in known:
        yield spot.says_of_key(*_words(kind, spot.name, known, of))


def _words(kind: str, name: object, known: Collection[str], of: str) -> tuple[str, str, str, str]:
    words = _KINDS[kind]
    expected = one_of(words.expected.format(of=of), name, sorted(known))
    next_step = f"{_SPELLING}, or {words.next.format(name)}"
    return words.code, f"{quoted(name)}, which {words.found.format(of=of)}", expected, next_step
