"""FHIR resources for tests: those of tests/fhir, and small ones made here; what each became, in short."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

from cds.entry.codes import read_codes
from cds.entry.fhir import join, to_entry
from cds.entry.fhir.meanings import Codes
from cds.entry.json_text import read_json
from cds.entry.read import read_entry
from cds.shipped import shipped

FHIR = Path(__file__).parent / "fhir"
THORNMERE = read_codes(shipped("rulesets") / "codes" / "thornmere.json")
LOINC = "http://loinc.org"
SNOMED = "http://snomed.info/sct"
UCUM = "http://unitsofmeasure.org"
TEN = "2026-03-20T10:00:00+01:00"


def load(name: str) -> Any:
    text = (FHIR / name).read_text(encoding="utf-8")
    if name.endswith(".ndjson"):
        return join([read_json(line) for line in text.splitlines()])
    return read_json(text)


def entry_of(resource: object, codes: Codes = THORNMERE) -> dict[str, Any]:
    """The entry, once the reader of our own JSON has taken it too."""
    entry = to_entry(resource, codes)
    read_entry(copy.deepcopy(entry))
    return entry


def remarks(entry: dict[str, Any]) -> list[tuple[str, str, str, str | None]]:
    return [(one["reason"], one["place"], one["found"], one.get("code")) for one in entry.get("remarks", [])]


def reasons(entry: dict[str, Any]) -> list[str]:
    return [one["reason"] for one in entry.get("remarks", [])]


def without(observation: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in observation.items() if key not in keys}


def concept(*codings: tuple[str, str]) -> dict[str, Any]:
    return {"coding": [{"system": system, "code": code} for system, code in codings]}


def quantity(value: object, code: str) -> dict[str, Any]:
    return {"value": value, "system": UCUM, "code": code}


def observation(loinc: str = "9279-1", when: str | None = TEN, **more: Any) -> dict[str, Any]:
    timed = {"effectiveDateTime": when} if when else {}
    value = {} if any(key.startswith("value") for key in more) else {"valueQuantity": quantity(46, "/min")}
    own = {"resourceType": "Observation", "status": "final", "code": concept((LOINC, loinc)), **timed, **value}
    return own | more


def patient(**more: Any) -> dict[str, Any]:
    return {"resourceType": "Patient", "id": "T-104", "birthDate": "2026-03-02"} | more


def of(infant: str = "T-104", **more: Any) -> dict[str, Any]:
    return {"subject": {"reference": f"Patient/{infant}"}} | more
