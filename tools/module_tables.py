"""Write docs/modules.md: every module of the package with the first line of its docstring."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TARGET = ROOT / "docs" / "modules.md"
PACKAGES = (
    "cds",
    "cds/entry",
    "cds/entry/fhir",
    "cds/rules",
    "cds/judge",
    "cds/infer",
    "cds/advice",
    "cds/pictures",
    "cds/cli",
)
HEAD = """# Modules

Every module with what it does; the rest of each docstring says what it takes, gives and never does.
Made from the docstrings by `python -m tools.module_tables`.
"""


def first_line(module: Path) -> str:
    """The first line of a module's docstring; empty where it has none."""
    return (ast.get_docstring(ast.parse(module.read_text(encoding="utf-8"))) or "").partition("\n")[0]


def table(package: str) -> Iterator[str]:
    """The lines of one package: its own docstring, then a row for each module."""
    folder = ROOT / package
    yield from ("", f"## {package}", "", first_line(folder / "__init__.py"), "", "| module | does |", "| --- | --- |")
    for module in sorted(folder.glob("*.py")):
        if module.name != "__init__.py":
            yield f"| {module.stem} | {first_line(module)} |"


def write_tables() -> str:
    """The text of the page."""
    return "\n".join([HEAD.rstrip("\n"), *(line for package in PACKAGES for line in table(package))]) + "\n"


if __name__ == "__main__":
    TARGET.write_text(write_tables(), encoding="utf-8")
