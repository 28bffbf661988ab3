"""`cds rules new`: a small valid rule set to begin with, or one threshold or rule file."""

from __future__ import annotations

from pathlib import Path

import typer


def new(
    folder: Path = typer.Argument(..., metavar="FOLDER", help="The rule set to begin, or to add a file to."),
) -> None:
    """Begin a rule set."""
