"""Resources that an input holds, and which of them a reference names.

A reference names a resource by its full url, by type and id where no server contradicts it, or by an identifier. What
two resources could answer to names neither. Never matches by a bare id, a display or a part of a url.
Source: FHIR R4, Bundle, resolving references.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
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


class Shelf:
    """Resources by what a reference could call them."""

    def __init__(self, resources: Iterable[Held]) -> None:
        self._by_key: dict[object, list[Held]] = {}
        for held in resources:
            for key in dict.fromkeys(_keys(held)):
                self._by_key.setdefault(key, []).append(held)

    def resolve(self, reference: Node, source: Held) -> Held | None:
        """The one resource that a Reference names, or None where it names none of these or more than one."""
        text = _text(reference)
        if text.startswith("#"):
            found = self._by_key.get(("#", source.node.place, text[1:]), [])
        elif not text:
            identifier = reference.part("identifier")
            found = self._by_key.get((identifier.text("system"), identifier.text("value")), [])
        else:
            found = [held for held in self._by_key.get(text, []) if _agree(text, source, held)]
        return found[0] if len(found) == 1 else None

    def alike(self, held: Held) -> Held:
        """The first resource that shares an identifier with this one, or this one."""
        return next((self._by_key[key][0] for key in sorted(held.identifiers())), held)


def _keys(held: Held) -> Iterator[object]:
    yield from held.identifiers()
    if held.container is not None:
        yield "#", held.container, held.node.text("id")
        return
    yield held.name
    if held.full_url:
        yield _VERSION.sub("", held.full_url)


def _text(reference: Node) -> str:
    return _VERSION.sub("", reference.text("reference") or "")


def _agree(text: str, source: Held, held: Held) -> bool:
    # A relative reference stays on its own server, where both are known.
    is_relative = _RELATIVE.fullmatch(text) is not None
    return not is_relative or source.base is None or held.base is None or source.base == held.base


def name_reference(reference: Node) -> str:
    """What a Reference says it names: its text, or that it has an identifier only."""
    return reference.text("reference") or ("an identifier" if reference.has("identifier") else "no reference")


def type_named(name: str) -> str | None:
    """The type of resource that the text of a reference names, or None where it names none (a uuid, a fragment)."""
    found = _TYPED.search(_VERSION.sub("", name))
    return found[1] if found else None


_TYPED = re.compile(r"(?:^|/)([A-Z][A-Za-z]+)/[A-Za-z0-9\-.]{1,64}$")
