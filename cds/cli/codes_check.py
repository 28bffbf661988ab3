"""`cds codes check`: a mapping file, checked."""

from __future__ import annotations

from pathlib import Path

import typer

from cds.cli.given import open_codes
from cds.cli.output import refuse, write


def check(file: Path = typer.Argument(..., metavar="FILE", help="A mapping file (schemas/codes.schema.json).")) -> None:
    """Check a mapping file and count what it maps; every problem is named."""
    from cds.entry.fhir import STANDARD
    from cds.errors import Refused

    try:
        codes = open_codes(file)
    except Refused as refused:
        refuse(refused)
    own = {name: len(getattr(codes, name)) - len(getattr(STANDARD, name)) for name in _PARTS}
    counts = ", ".join(f"{count} {_PARTS[name]}" for name, count in own.items())
    write(f"{codes.id}: no problem found; beyond the standard codes it maps {counts}\n")


_PARTS = {
    "observations": "codes",
    "places": "body sites and methods",
    "units": "units",
    "on_patient": "extensions of patients",
    "on_observation": "extensions of observations",
}
