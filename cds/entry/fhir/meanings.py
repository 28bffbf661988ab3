"""What a code of somebody's system means in our words.

Holds the types that the standard codes and a site's mapping file share, and looks codes up by system and code alone.
Never reads a display, a text or a category, never knows a hierarchy of codes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeVar

Coding = tuple[str, str]
"""System and code, as sent."""

Answer = Coding | tuple[Literal["boolean"], bool] | tuple[Literal["integer"], int]
"""What a value is looked up by: a coding, true or false, or a whole number."""

Role = Literal["observation", "infant", "care", "panel", "context", "not-ours"]

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one code of an Observation or of a component means.

    `name` is an observation code, an infant field, a care key or a context key, by `role`; a panel and what is not
    ours have a word for people. `context` is what the code itself says (a site, a route); where `weak`, any other
    code beside it that says the same kind of thing wins. `values` turn coded answers into our words, `grade` is the
    grade of a sign whose code alone states it, `parts` the observation codes a panel may hold as components.
    """

    role: Role
    name: str
    context: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[Answer, str] = field(default_factory=dict)
    grade: str | None = None
    parts: frozenset[str] = frozenset()
    weak: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """What a body site or a method says about one observation code: a context key and its value."""

    key: str
    value: str


@dataclass(frozen=True, slots=True)
class Answers:
    """An extension that a site maps: the infant field or context key it fills, and its values."""

    name: str
    values: Mapping[Answer, str]


@dataclass(frozen=True, slots=True)
class Codes:
    """Everything the FHIR reader knows about codes: the standard ones, and those of a mapping file.

    `places` are looked up by coding and observation code; `on_patient` and `on_observation` by the url of an extension;
    `units` give the unit of our vocabulary for a unit code that is not one of ours already.
    """

    observations: Mapping[Coding, Meaning]
    places: Mapping[tuple[Coding, str], Place]
    units: Mapping[Coding, str]
    on_patient: Mapping[str, Answers] = field(default_factory=dict)
    on_observation: Mapping[str, Answers] = field(default_factory=dict)
    id: str | None = None

    def meanings(self, codings: Iterable[Coding]) -> tuple[Meaning, ...]:
        """The meanings of those codings that have one, each once, in the order sent."""
        return _known(self.observations, codings)

    def body_places(self, codings: Iterable[Coding], code: str) -> tuple[Place, ...]:
        """What body sites or methods say about one observation code, each once."""
        return _known(self.places, ((coding, code) for coding in codings))


_K = TypeVar("_K")


def _known(table: Mapping[_K, _T], keys: Iterable[_K]) -> tuple[_T, ...]:
    found: list[_T] = []
    for key in keys:
        if key in table and table[key] not in found:
            found.append(table[key])
    return tuple(found)
