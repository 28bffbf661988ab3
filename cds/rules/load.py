"""The way in to a rule set: load it, check it, freeze it.

Takes a folder (working copy) or a frozen file. Gives a checked RuleSet, or refuses with every problem found; what
`load` gives back has passed every check of form and meaning.
"""

from __future__ import annotations

from pathlib import Path

from cds.errors import Problem, Refused
from cds.rules.build import build
from cds.rules.check import check_meaning
from cds.rules.frozen import content_of, read_frozen, sealed_of
from cds.rules.model import RuleSet
from cds.rules.sheets import Sheets, read_folder
from cds.seal import digest, seal


def load(path: Path) -> RuleSet:
    """A rule set from its folder or its frozen file; both give the same set and digest.

    Raises:
        Refused: with subject `rules` and every problem (RS-1xx reading, RS-2xx form and names, RS-3xx meaning).
    """
    sheets, sealed = _read(path)
    _refuse(check_meaning(sheets))
    return build(sheets, sealed or digest(content_of(sheets)))


def check(path: Path) -> tuple[Problem, ...]:
    """Every problem of a working copy, its cases among them, or of a frozen file; none where it may be loaded."""
    try:
        return tuple(check_meaning(read_frozen(path)[0] if path.is_file() else read_folder(path, with_cases=True)))
    except Refused as refused:
        return refused.problems


def freeze(folder: Path, out: Path) -> str:
    """Write a working copy as one sealed file, unsigned; gives the digest.

    Raises:
        Refused: as `load`; nothing is written then.
        FileExistsError: `out` exists. What was frozen is never written over.
    """
    sheets = read_folder(folder)
    _refuse(check_meaning(sheets))
    sealed = sealed_of(sheets)
    with out.open("xb") as file:
        file.write(seal(sealed))
    return sealed.digest


def _read(path: Path) -> tuple[Sheets, str | None]:
    return read_frozen(path) if path.is_file() else (read_folder(path), None)


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise Refused("rules", problems)
