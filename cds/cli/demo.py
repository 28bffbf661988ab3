"""`cds demo`: a morning at Thornmere, an invented hospital: the newborn ward, then the clinic."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from shutil import which
from typing import TYPE_CHECKING

from cds.cli.given import open_rules
from cds.cli.output import refuse, width, write

if TYPE_CHECKING:
    from cds.adviser import Adviser

MORNING = "morning.json"


def demo() -> None:
    """Answer eight invented infants of one morning, one after the other, and name the commands to try next."""
    from cds.adviser import Adviser
    from cds.errors import Refused
    from cds.shipped import shipped

    folder = shipped("rulesets") / "demo"
    try:
        for said in _tell(folder, Adviser(open_rules(None)), width()):
            write(said)
    except Refused as refused:
        refuse(refused)


def _tell(folder: Path, adviser: Adviser, columns: int) -> Iterator[str]:
    from cds.entry.read import read_json

    morning = read_json((folder / MORNING).read_bytes())
    assert isinstance(morning, dict)
    yield f"{morning['title']}\n"
    for scene in morning["scenes"]:
        yield _scene(scene["scene"], columns)
        yield answer(folder / scene["entry"], adviser, columns)
    yield _next(folder, [scene["entry"] for scene in morning["scenes"]])


def answer(file: Path, adviser: Adviser, columns: int) -> str:
    """The text answer to one entry of the demo, as asked when it was charted."""
    from cds.advice.text import text
    from cds.entry.read import read_entry, read_json

    data = read_json(file.read_bytes())
    charted = read_entry(data).event.charted
    return text(adviser.advise(read_entry(data, charted), charted), columns)


def _scene(scene: str, columns: int) -> str:
    from cds.advice.lines import Page

    rule = "~" * columns
    return "\n".join(["", rule, *Page(columns).wrap(scene), rule, "", ""])


def _next(folder: Path, entries: list[str]) -> str:
    provisional, serious = (_named(folder / entries[place]) for place in (1, 3))
    cds = _typed()
    commands = {
        f"{cds} advise {serious} --as handover": "the same answer for the next shift",
        f"{cds} advise {serious} --explain grunting": "all that one rule asked, and what was answered",
        f"{cds} advise {provisional} --as json": "what a charting system gets",
        f"{cds} rules list": "every rule with its level and ages",
        f"{cds} rules show grunting": "one rule in plain words",
        f"{cds} --help": "the rest",
    }
    lines = [f"  {command}\n      {about}" for command, about in commands.items()]
    return "\n".join(["", "Next, for example", *lines]) + "\n"


def _typed() -> str:
    """The command as it can be typed from here: its bare name where the shell finds it, else its path."""
    return "cds" if which("cds") else _named(Path(sys.argv[0]))


def _named(file: Path) -> str:
    """The path as typed from here: short inside the folder that we stand in."""
    here = Path.cwd()
    return (file.relative_to(here) if file.is_relative_to(here) else file).as_posix()
