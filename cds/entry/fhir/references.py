"""Resources that an input holds, and which of them a reference names.

A reference names a resource by its full url, by type and id where no server contradicts it, or by an identifier. What
two resources could answer to names neither. Never matches by a bare id, a display or a part of a url.
Source: FHIR R4, Bundle, resolving references.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from cds.entry.fhir.elements import Node

_VERSION = re.compile(r"/_history/[A-Za-z0-9\-.]+$")
_RELATIVE = re.compile(r"[A-Za-z]+/[A-Za-z0-9\-.]{1,64}")


@dataclass(frozen=True, slots=True)
class Held:
    """One resource of the input: its node, its full url where sent, and the place of the one that contains it."""

    node: Node
    full_url: str | None = None
    container: str | None = None

    @property
    def name(self) -> str:
        """Type and id, as a relative reference names it; the end of its full url where it has no id."""
        own = self.node.text("id")
        if own:
            return f"{self.node.kind}/{own}"
        return "/".join((self.full_url or "").split("/")[-2:])

    @property
    def base(self) -> str | None:
        """The server of a full url, or None where it has none (a uuid, or no full url at all)."""
        url = self.full_url or ""
        return url.removesuffix(self.name) if url.startswith("http") and url.endswith(f"/{self.name}") else None

    def identifiers(self) -> frozenset[tuple[str, str]]:
        """System and value of each identifier that has both."""
        found = ((each.text("system"), each.text("value")) for each in self.node.parts("identifier"))
        return frozenset((system, value) for system, value in found if system and value)


def resolve(reference: Node, source: Held, among: Iterable[Held]) -> Held | None:
    """The one resource that a Reference names, or None where it names none of these or more than one."""
    found = [held for held in among if _names(reference, source, held)]
    return found[0] if len(found) == 1 else None


def name_reference(reference: Node) -> str:
    """What a Reference says it names: its text, or that it has an identifier only."""
    return reference.text("reference") or ("an identifier" if reference.has("identifier") else "no reference")


def _names(reference: Node, source: Held, held: Held) -> bool:
    text = _VERSION.sub("", reference.text("reference") or "")
    if not text:
        identifier = reference.part("identifier")
        return (identifier.text("system"), identifier.text("value")) in held.identifiers()
    if text.startswith("#"):
        return held.container == source.node.place and held.node.text("id") == text[1:]
    if held.container is not None:
        return False
    if not _RELATIVE.fullmatch(text):
        return held.full_url is not None and _VERSION.sub("", held.full_url) == text
    if source.base and held.base:
        return f"{source.base}{text}" == f"{held.base}{held.name}"
    return held.name == text


def type_named(name: str) -> str | None:
    """The type of resource that the text of a reference names, or None where it names none (a uuid, a fragment)."""
    found = _TYPED.search(_VERSION.sub("", name))
    return found[1] if found else None


_TYPED = re.compile(r"(?:^|/)([A-Z][A-Za-z]+)/[A-Za-z0-9\-.]{1,64}$")
