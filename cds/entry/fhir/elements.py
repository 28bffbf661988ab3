"""Plain access to the elements of a FHIR resource whose types were checked before.

An element that is not there reads as nothing: an empty object, an empty row, None.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import cast

from cds.entry.fhir.meanings import Coding

Json = Mapping[str, object]
NO_ELEMENTS: Json = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Node:
    """An object of FHIR with the JSON pointer of its place."""

    data: Json
    place: str

    def part(self, name: str) -> Node:
        """The object under a name, empty where there is none."""
        found = self.data.get(name)
        return Node(cast(Json, found) if isinstance(found, Mapping) else NO_ELEMENTS, f"{self.place}/{name}")

    def parts(self, name: str) -> Iterator[Node]:
        """The objects of an element that repeats."""
        found = self.data.get(name)
        for number, each in enumerate(found if isinstance(found, list) else ()):
            if isinstance(each, Mapping):
                yield Node(cast(Json, each), f"{self.place}/{name}/{number}")

    def text(self, name: str) -> str | None:
        """The text under a name, or None."""
        found = self.data.get(name)
        return found if isinstance(found, str) else None

    def has(self, name: str) -> bool:
        """Whether there is an element of that name."""
        return name in self.data

    def codings(self, name: str) -> tuple[Coding, ...]:
        """System and code of every coding of a CodeableConcept that has both."""
        return tuple(pair for coding in self.part(name).parts("coding") if (pair := coding.coding()))

    def coding(self) -> Coding | None:
        """System and code of a Coding or a Quantity, or None where either is missing."""
        system, code = self.text("system"), self.text("code")
        return (system, code) if system and code else None

    def extensions(self) -> Iterator[tuple[str, Node]]:
        """Each extension with its url."""
        for extension in self.parts("extension"):
            yield extension.text("url") or "", extension

    @property
    def kind(self) -> str:
        """The type of the resource."""
        return self.text("resourceType") or ""
