"""Take an input apart: the resources it holds, each once, with remarks on what is cut off, deleted or no data.

Takes parsed JSON: one resource, a Bundle, or a Bundle made by `join`. Gives Patients and Observations that have no
fault. Raises Refused with every fault of every resource at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from cds.entry.fhir.dates import read_when
from cds.entry.fhir.elements import Json, Node
from cds.entry.fhir.references import Held
from cds.entry.fhir.remarks import Note, clip
from cds.entry.fhir.shapes import NEXT, faults
from cds.errors import Problem, Refused

BUNDLE_TYPES = ("collection", "searchset", "transaction")
READ = ("Patient", "Observation")
_CHECKED = (*READ, "OperationOutcome")


@dataclass(frozen=True, slots=True)
class Collected:
    """What an input holds: Patients (contained ones too), Observations, and remarks."""

    patients: tuple[Held, ...]
    observations: tuple[Held, ...]
    notes: tuple[Note, ...]


def join(resources: Sequence[object]) -> dict[str, object]:
    """One Bundle of type collection from resources that came one by one; a Bundle among them gives its entries.

    Remarks on what a searchset among them says of itself (more pages, a total) are kept by keeping its links.
    """
    entries: list[object] = []
    links: list[object] = []
    for resource in resources:
        if isinstance(resource, Mapping) and resource.get("resourceType") == "Bundle":
            entries += _listed(resource, "entry")
            links += [{"relation": "next"}] if _is_cut(Node(cast(Json, resource), "")) else []
        else:
            entries.append({"resource": resource})
    joined: dict[str, object] = {"resourceType": "Bundle", "type": "collection"}
    return joined | ({"entry": entries} if entries else {}) | ({"link": links} if links else {})


def _listed(resource: Mapping[str, object], name: str) -> list[object]:
    found = resource.get(name)
    return list(found) if isinstance(found, list) else []


def collect(resource: object) -> Collected:
    """The resources of an input, checked, each in its newest version.

    Raises:
        Refused: not a resource that is read (FH-101, FH-102, FH-103), or a fault in one (FH-110 to FH-113).
    """
    whole = Node(cast(Json, resource), "")
    problems = list(_refuse_kind(resource)) or list(faults(whole.kind, resource, ""))
    held, notes = ([], []) if problems else _take(whole)
    problems += [each for one in held if one.node.kind in _CHECKED for each in _check(one.node)]
    if problems:
        raise Refused("entry", problems)
    ...


def _refuse_kind(resource: object) -> Iterator[Problem]:
    ...
