"""Open what a command was given: rules, code map, moment, files.

Takes the texts of options. Gives what the adviser reads, or a word on what is wrong with the option. The clock is read
here and nowhere else.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from cds.entry.fhir.meanings import Codes
    from cds.entry.model import Moment
    from cds.rules.model import RuleSet

RULES = "infant-vitals"
RULES_HELP = "A folder of rules or a frozen file; the rule set that ships by default."


def rules_path(given: Path | None) -> Path:
    """Where the rules are: as given, else the rule set that ships."""
    from cds.shipped import shipped

    if given is not None and not exists(given):
        raise typer.BadParameter(f"{given}: no such folder or file", param_hint="--rules")
    return given or shipped("rulesets") / RULES


def open_rules(given: Path | None) -> RuleSet:
    """The rules, checked. Raises Refused (subject `rules`)."""
    from cds.rules.load import load

    return load(rules_path(given))


def open_codes(given: Path | None) -> Codes:
    """The standard codes, with those of a mapping file where one is given. Raises Refused (subject `codes`)."""
    from cds.entry.codes import read_codes
    from cds.entry.fhir import STANDARD

    if given is not None and not (exists(given) and given.is_file()):
        raise typer.BadParameter(f"{given}: no such file", param_hint="--codes")
    return read_codes(given) if given else STANDARD


def open_moment(given: str | None) -> Moment:
    """The moment of the call: as given, else the clock's, to the second."""
    from cds.entry.times import TimeRefused, from_datetime, read_moment

    if given is None:
        return from_datetime(datetime.now().astimezone().replace(microsecond=0))
    try:
        moment = read_moment(given)
    except TimeRefused:
        raise _no_moment(given) from None
    if moment.seconds.low < moment.seconds.high:
        raise _no_moment(given)
    return moment


def _no_moment(given: str) -> typer.BadParameter:
    expected = "a date-time with its zone, like 2026-03-20T09:41:00+01:00"
    return typer.BadParameter(f"`{given}` is not {expected}", param_hint="--moment")


def read_bytes(name: str, most: int) -> bytes:
    """The bytes of a file, or of standard input for `-`; one byte more than `most` is read at the most."""
    if name == "-":
        return sys.stdin.buffer.read(most + 1)
    with reading(name), open_file(name) as file:
        return file.read(most + 1)


def open_file(name: str) -> IO[bytes]:
    """A file opened for reading."""
    path = Path(name)
    if exists(path) and path.is_dir():
        raise typer.BadParameter(f"{name}: a folder, no file", param_hint="FILE")
    with reading(name):
        return path.open("rb")


@contextmanager
def reading(name: str) -> Iterator[None]:
    """Say that a file cannot be read, and why, as wrong use."""
    try:
        yield
    except OSError as error:
        raise typer.BadParameter(f"{name}: {(error.strerror or 'cannot be read').lower()}", param_hint="FILE") from None


def exists(path: Path) -> bool:
    """Whether a folder or file is there; a name that the system does not take names none."""
    try:
        return path.exists()
    except OSError:
        return False


def check_rule(wanted: str | None, known: list[str], hint: str) -> None:
    """Refuse an id that no rule has, with the nearest that one has."""
    from cds.rules.phrase import nearest

    if wanted is not None and wanted not in known:
        near = nearest(wanted, known)
        raise typer.BadParameter(f"no rule `{wanted}`{f'; nearest is `{near}`' if near else ''}", param_hint=hint)
