"""FHIR R4 in, our JSON entry out: `is_fhir`, `to_entry`, and `join` for resources that come one by one."""

from cds.entry.fhir.bundle import DEFAULTS, Settings, to_entry
from cds.entry.fhir.collect import is_fhir, join
from cds.entry.fhir.known import STANDARD

__all__ = ["DEFAULTS", "STANDARD", "Settings", "is_fhir", "join", "to_entry"]
