"""Take an input apart: the Patients and Observations it holds, with remarks on all else.

Takes parsed JSON: one resource or a Bundle, a Bundle within a Bundle too. Gives resources that have no fault.
Refuses with every fault of every resource at once; never reads half of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

from cds.entry.faults import WHOLE, name_kind
from cds.entry.fhir.check import faults
from cds.entry.fhir.elements import NO_ELEMENTS, Json, Node
from cds.entry.fhir.references import Held
from cds.entry.fhir.remarks import Note, clip
from cds.errors import Problem, Refused

BUNDLE_TYPES = ("collection", "searchset", "transaction")
READ = ("Patient", "Observation")
_WORST = ("fatal", "error")


@dataclass(frozen=True, slots=True)
class Collected:
    """Resources as they stand in an input, contained Patients too, and remarks on what holds no data."""

    held: tuple[Held, ...]
    notes: tuple[Note, ...]

    def of(self, kind: str) -> tuple[Held, ...]:
        """The resources of one type."""
        return tuple(held for held in self.held if held.node.kind == kind)


def is_fhir(data: object) -> bool:
    """Whether parsed JSON is meant as a FHIR resource."""
    return isinstance(data, Mapping) and "resourceType" in data


def join(resources: Sequence[object]) -> dict[str, object]:
    """One Bundle of type collection from resources that came one by one (lines, prefetch); Bundles among them too."""
    entries = [{"resource": resource} for resource in resources]
    return {"resourceType": "Bundle", "type": "collection"} | ({"entry": entries} if entries else {})


def collect(resource: object) -> Collected:
    """What an input holds.

    Raises:
        Refused: not a resource that is read (FH-101 to FH-103), or faults in what is read (FH-110 to FH-113).
    """
    whole = Node(cast(Json, resource) if isinstance(resource, Mapping) else NO_ELEMENTS, "")
    problems = list(_refuse_whole(whole, resource)) or list(_check(whole))
    if problems:
        raise Refused("entry", (replace(each, place=each.place or WHOLE) for each in problems))
    found = list(_open(whole, None))
    held = tuple(each for each in found if isinstance(each, Held))
    return Collected(held, tuple(each for each in found if isinstance(each, Note)))


def _refuse_whole(whole: Node, resource: object) -> Iterator[Problem]:
    expected = "a Bundle, a Patient or an Observation"
    if whole.kind == "OperationOutcome":
        yield Problem("", "FH-102", "an OperationOutcome alone", expected, "repair the request that it answers")
    elif whole.kind not in (*READ, "Bundle"):
        found = f"a resource of type `{clip(whole.kind)}`" if whole.kind else f"{name_kind(resource)}, no resource"
        yield Problem("", "FH-101", found, expected, "send the infant's Patient and Observations")


def _check(node: Node) -> Iterator[Problem]:
    if node.kind in (*READ, "Bundle", "OperationOutcome"):
        own = list(faults(node.kind, node.data, node.place))
        yield from own
        yield from () if own else _check_below(node)


def _check_below(node: Node) -> Iterator[Problem]:
    if node.kind == "Bundle" and node.text("type") not in BUNDLE_TYPES:
        found = f"type `{clip(node.text('type') or '')}`"
        yield Problem(f"{node.place}/type", "FH-103", found, ", ".join(BUNDLE_TYPES), "send one of these")
    for entry in node.parts("entry"):
        yield from _check(entry.part("resource"))
    for contained in node.parts("contained"):
        yield from _check(contained) if contained.kind == "Patient" else ()


def _open(node: Node, full_url: str | None) -> Iterator[Held | Note]:
    if node.kind == "Bundle":
        yield from _open_bundle(node)
    elif node.kind in READ:
        yield Held(node, full_url)
        for contained in node.parts("contained"):
            if contained.kind == "Patient":
                yield Held(contained, None, container=node.place)
    elif node.kind == "OperationOutcome":
        yield _outcome(node)
    else:
        yield Note("not-ours", node.place, clip(node.kind) or "an entry without resource")


def _open_bundle(bundle: Node) -> Iterator[Held | Note]:
    entries = list(bundle.parts("entry"))
    for entry in entries:
        request = entry.part("request")
        if request.text("method") == "DELETE":
            yield Note("deleted", entry.place, clip(request.text("url") or "no url"))
        else:
            yield from _open(entry.part("resource"), entry.text("fullUrl"))
    if is_cut(bundle):
        yield Note("bundle-cut", bundle.place or WHOLE, f"{len(entries)} entries")


def is_cut(bundle: Node) -> bool:
    """Whether a Bundle has a next page, or says that more resources match than it holds."""
    matches = [entry for entry in bundle.parts("entry") if entry.part("search").text("mode") in (None, "match")]
    total = bundle.data.get("total")
    has_next = any(link.text("relation") == "next" for link in bundle.parts("link"))
    return has_next or (isinstance(total, int) and total > len(matches))


def _outcome(node: Node) -> Note:
    issues = list(node.parts("issue"))
    reason = "fetch-error" if any(issue.text("severity") in _WORST for issue in issues) else "fetch-warning"
    codes = ", ".join(dict.fromkeys(issue.text("code") or "no code" for issue in issues))
    return Note(reason, node.place, clip(codes) or "no issue")
