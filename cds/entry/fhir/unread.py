"""What stands in an Observation and is not read: listed, never dropped.

Takes a node that carries a code. Gives remarks with codes, units and names of elements; never a text.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.remarks import Note, clip, name_codings

_OTHER_VERSIONS = frozenset(
    {
        *("context", "comment", "related"),
        *("bodyStructure", "triggeredBy", "instantiatesCanonical", "instantiatesReference", "organizer"),
    }
)
_OLD_CATEGORY = "http://hl7.org/fhir/observation-category"


def list_unread(node: Node, codes: Codes, as_part: bool = False) -> Iterator[Note]:
    """Remarks on an Observation or a component that gives no reading, and on all below it."""
    codings = node.codings("code")
    roles = {meaning.role for meaning in codes.meanings(codings)}
    reason = "not-ours" if "not-ours" in roles else "component-unread" if as_part and roles else "code-unmapped"
    yield Note(reason, f"{node.place}/code", name_codings(codings))
    yield from list_inside(node, codes)


def list_inside(node: Node, codes: Codes) -> Iterator[Note]:
    """Remarks on a quantity that names no unit, and on every component."""
    quantity = node.part("valueQuantity")
    if node.has("valueQuantity") and quantity.coding() is None:
        yield Note("unit-unmapped", quantity.place, name_codings([]))
    for component in node.parts("component"):
        yield from list_unread(component, codes, as_part=True)


def list_foreign(node: Node) -> Iterator[Note]:
    """Remarks on elements of an Observation that only another version of FHIR has."""
    for name in sorted(_OTHER_VERSIONS & node.data.keys()):
        yield Note("other-fhir-version", f"{node.place}/{name}", name)
    for category in node.parts("category"):
        if any(coding.text("system") == _OLD_CATEGORY for coding in category.parts("coding")):
            yield Note("other-fhir-version", category.place, _OLD_CATEGORY)


def must_understand(node: Node) -> str:
    """The urls of modifier extensions and implicit rules, which may change what a resource means; empty for none."""
    urls = [extension.text("url") or "" for extension in node.parts("modifierExtension")]
    rules = node.text("implicitRules")
    return clip(", ".join(urls + ([rules] if rules else [])))
