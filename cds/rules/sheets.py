"""The files of one rule set, read and of the right form, each with its places.

Takes a folder (working copy) or a sealed file; gives sheets, or refuses with every fault of every file. Reads nothing
into what the files say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from cds.errors import Problem, Refused
from cds.rules.phrase import nearest
from cds.rules.read import Tree, read_file
from cds.rules.schema import at, validate

SINGLE = {"ruleset.yaml": "ruleset", "sources.yaml": "sources", "bands.yaml": "bands", "groups.yaml": "groups"}
FOLDERS = {"thresholds": "threshold", "scores": "score", "rules": "rules", "cases": "case"}
NEEDED = ("ruleset.yaml", "sources.yaml", "bands.yaml")


class Written(Protocol):
    """Where the parts of one file are written."""

    def place(self, pointer: str) -> str:
        """The place of a value, for messages."""
        ...

    def key_place(self, pointer: str) -> str:
        """The place of the key that a pointer ends in, for messages."""
        ...

    def line(self, pointer: str) -> int | str:
        """The line, or the place noted when the set was frozen."""
        ...


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file: the name of its schema, its name inside the rule set, its data and its places."""

    kind: str
    name: str
    data: Any
    written: Written

    def at(self, pointer: str) -> str:
        """First field of a message about a value."""
        return at(self.written.place(pointer), pointer)

    def at_key(self, pointer: str) -> str:
        """First field of a message about a key."""
        return at(self.written.key_place(pointer), pointer)

    def line(self, pointer: str) -> str:
        """`file:line` inside the rule set, for provenance."""
        line = self.written.line(pointer)
        return line if isinstance(line, str) else f"{self.name}:{line}"


@dataclass(frozen=True, slots=True)
class Sheets:
    """All files of a rule set. `cases` is empty unless they were asked for."""

    where: str
    ruleset: Sheet
    sources: Sheet
    bands: Sheet
    groups: Sheet | None
    thresholds: tuple[Sheet, ...]
    scores: tuple[Sheet, ...]
    rules: tuple[Sheet, ...]
    cases: tuple[Sheet, ...] = ()

    def each_rule(self) -> Iterator[tuple[Sheet, str, Mapping[str, Any]]]:
        """Each rule with its sheet and pointer, in the order of files and lists."""
        for sheet in self.rules:
            for number, rule in enumerate(sheet.data["rules"]):
                yield sheet, f"/rules/{number}", rule


def read_folder(folder: Path, *, with_cases: bool = False) -> Sheets:
    """Read a working copy.

    Raises:
        Refused: every fault of reading (RS-101 to RS-116) and of form (RS-201 to RS-209), file by file.
    """
    problems = list(_strays(folder))
    sheets: dict[str, list[Sheet]] = {kind: [] for kind in (*SINGLE.values(), *FOLDERS.values())}
    for kind, name in _listed(folder, with_cases):
        try:
            sheets[kind].append(read_sheet(folder, kind, name))
        except Refused as refused:
            problems.extend(refused.problems)
    if problems:
        raise Refused("rules", problems)
    return Sheets(
        where=folder.as_posix(),
        ruleset=sheets["ruleset"][0],
        sources=sheets["sources"][0],
        bands=sheets["bands"][0],
        groups=sheets["groups"][0] if sheets["groups"] else None,
        thresholds=tuple(sheets["threshold"]),
        scores=tuple(sheets["score"]),
        rules=tuple(sheets["rules"]),
        cases=tuple(sheets["case"]),
    )


def read_cases(folder: Path) -> tuple[Sheet, ...]:
    """The case files of a working copy. Raises as `read_folder`."""
    problems: list[Problem] = []
    sheets: list[Sheet] = []
    for kind, name in _listed(folder, with_cases=True):
        if kind == "case":
            try:
                sheets.append(read_sheet(folder, kind, name))
            except Refused as refused:
                problems.extend(refused.problems)
    if problems:
        raise Refused("rules", problems)
    return tuple(sheets)


def read_sheet(folder: Path, kind: str, name: str) -> Sheet:
    """One file, read and held against its schema. Raises as `read_folder`."""
    tree: Tree = read_file(folder / name, (folder / name).as_posix())
    problems = validate(tree.data, kind, tree)
    if problems:
        raise Refused("rules", problems)
    return Sheet(kind, name, tree.data, tree)


def _listed(folder: Path, with_cases: bool) -> Iterator[tuple[str, str]]:
    for name, kind in SINGLE.items():
        if (folder / name).is_file():
            yield kind, name
    for below, kind in FOLDERS.items():
        if kind != "case" or with_cases:
            paths = sorted(path for path in (folder / below).glob("[!.]*.yaml") if path.is_file())
            yield from ((kind, f"{below}/{path.name}") for path in paths)


def _strays(folder: Path) -> Iterator[Problem]:
    where = folder.as_posix()
    if not folder.is_dir():
        yield Problem(where, "RS-115", "no such folder", "a folder with ruleset.yaml", "correct the path")
        return
    for name in NEEDED:
        if not (folder / name).is_file():
            yield Problem(where, "RS-115", f"no file `{name}`", f"a file `{name}`", "add it")
    for path in sorted(folder.glob("[!.]*")):
        if path.is_dir() or path.suffix in (".yaml", ".yml"):
            yield from _stray(path, [*SINGLE, *FOLDERS])
    for below in FOLDERS:
        yield from _strays_in(folder / below)


def _strays_in(folder: Path) -> Iterator[Problem]:
    for path in sorted(folder.glob("[!.]*")):
        if path.suffix != ".yaml" or not path.is_file():
            words = f"only files that end in `.yaml` in {folder.name}/", "rename or remove it"
            yield Problem(path.as_posix(), "RS-116", f"`{path.name}`, which is not read", *words)


def _stray(path: Path, known: list[str]) -> Iterator[Problem]:
    if path.name not in known:
        near = nearest(path.name, known)
        next_step = f"rename it to `{near}`, or remove it" if near else "remove it"
        expected = "only the files and folders of a rule set"
        yield Problem(path.as_posix(), "RS-116", f"`{path.name}`, which is not read", expected, next_step)
