"""Write answers and refusals: text for people, JSON for machines.

Takes text or data. Gives bytes on standard output or standard error, and the exit codes that `cds` promises. Never a
trace of the program, never a character that the terminal cannot show.
"""

from __future__ import annotations

import json
import os
import sys
from typing import TYPE_CHECKING, NoReturn, TextIO

import typer

if TYPE_CHECKING:
    from cds.errors import Refused

DONE, USAGE, ENTRY_REFUSED, RULES_REFUSED, DISAGREE = 0, 2, 3, 4, 5
WIDEST = 100
NARROWEST = 60
REFUSAL = "infant-vitals-refusal/1"
_PLAIN = str.maketrans({"┊": ":", "╎": "-", "│": "|", "║": "=", "°": "", "…": "...", "≥": ">=", "≤": "<="})


def width() -> int:
    """How wide text may be: the terminal's width within bounds, the widest where output goes elsewhere."""
    try:
        columns = os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        return WIDEST
    return min(max(columns, NARROWEST), WIDEST)


def write(text: str, stream: TextIO | None = None) -> None:
    """Write text, in plainer characters where the stream has no others."""
    stream = stream or sys.stdout
    encoding = stream.encoding or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = text.translate(_PLAIN).encode(encoding, "replace").decode(encoding)
    stream.write(text)
    stream.flush()


def write_json(data: object, indent: int | None = 2) -> None:
    """Write one JSON document with its line end, in UTF-8 whatever the terminal."""
    sys.stdout.flush()
    sys.stdout.buffer.write(f"{json.dumps(data, ensure_ascii=False, indent=indent)}\n".encode())
    sys.stdout.buffer.flush()


def refusal(refused: Refused) -> dict[str, object]:
    """A refusal as data: every problem in its five fields."""
    problems = [problem.data() for problem in refused.problems]
    return {"schema": REFUSAL, "refused": refused.subject, "problems": problems}


def refuse(refused: Refused, as_json: bool = False) -> NoReturn:
    """Say on standard error why input was refused, and end with the code for it."""
    if as_json:
        write(f"{json.dumps(refusal(refused), ensure_ascii=False, indent=2)}\n", sys.stderr)
    else:
        write(f"{refused.text()}\n", sys.stderr)
    raise typer.Exit(RULES_REFUSED if refused.subject == "rules" else ENTRY_REFUSED)
