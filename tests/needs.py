"""What some tests need that a machine may lack: one marker each, with the reason for a skip."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from cds.infer.durable import available
from cds.pictures.canvas import is_installed

EXAMPLES = "CDS_FHIR_EXAMPLES"
MUST_RUN = "CDS_MUST_RUN"


def find_examples() -> Path | None:
    """The folder of HL7's published examples, or None where the variable names no such folder."""
    folder = Path(os.environ.get(EXAMPLES, ""))
    return folder.resolve() if (folder / "expected.json").is_file() else None


def lacks_examples() -> str | None:
    """Why the published examples cannot be read, or None."""
    return None if find_examples() else f"{EXAMPLES} names no folder with expected.json"


def lacks_engine() -> str | None:
    """Why durable-rules cannot run, or None."""
    return None if available() else "durable-rules is not installed (Python 3.13 and later)"


def lacks_pen() -> str | None:
    """Why pictures cannot be drawn, or None."""
    return None if is_installed() else "matplotlib is not installed (extra `pictures`)"


NEEDS: dict[str, Callable[[], str | None]] = {
    "fhir_examples": lacks_examples,
    "durable_rules": lacks_engine,
    "pictures": lacks_pen,
}


def must_run() -> frozenset[str]:
    """The markers whose tests may not be skipped, from a comma list in CDS_MUST_RUN.

    Raises:
        ValueError: a name that is no marker of ours.
    """
    names = frozenset(name.strip() for name in os.environ.get(MUST_RUN, "").split(",") if name.strip())
    if unknown := names - NEEDS.keys():
        raise ValueError(f"{MUST_RUN} names {', '.join(sorted(unknown))}; known: {', '.join(sorted(NEEDS))}")
    return names
