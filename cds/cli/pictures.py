"""Write a picture and the same as a text table beside it.

Takes where the picture goes. Gives two files, and says on standard error where they are; says in one line what is
missing where pictures cannot be drawn.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from cds.cli.output import USAGE, write

if TYPE_CHECKING:
    from cds.pictures.sheets import Drawn

SUFFIX, TABLE = ".svg", ".txt"
FILE_HELP = "An SVG file; its text table is written beside it, with the same name and .txt."


def check_picture(file: Path, hint: str) -> None:
    """Refuse a name that is no SVG file; end the program where the extra that draws is not installed."""
    from cds.pictures.canvas import EXTRA, is_installed

    if file.suffix.lower() != SUFFIX:
        raise typer.BadParameter(f"{file}: no name that ends in {SUFFIX}", param_hint=hint)
    if not is_installed():
        write(f"Pictures need the extra `{EXTRA}`: pip install 'infant-vitals-cds[{EXTRA}]'\n", sys.stderr)
        raise typer.Exit(USAGE)


def write_picture(file: Path, drawn: Drawn, hint: str) -> None:
    """Write both files and say so."""
    table = file.with_suffix(TABLE)
    try:
        file.write_bytes(drawn.svg)
        table.write_text(drawn.table, encoding="utf-8", newline="\n")
    except OSError as error:
        words = f"{error.filename}: {(error.strerror or 'cannot be written').lower()}"
        raise typer.BadParameter(words, param_hint=hint) from None
    write(f"picture in {file}, the same as a table in {table}\n", sys.stderr)
