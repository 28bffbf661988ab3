"""Run the fast tests on each change of `changes`: `python -m tests.verdicts.by_hand`, from the checkout.

Works in a copy in a temporary folder. Prints each change that no test notices, and the count; ends with 1 where there
is such a change.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.verdicts.changes import CHANGES, Change

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("cds", "rulesets", "schemas", "tests")


def main() -> int:
    """How many changes no test notices, as an exit code."""
    with TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in COPIED:
            shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", copy)
        unnoticed = [change for change in CHANGES if not is_noticed(change, copy)]
    for change in unnoticed:
        print(f"{change.file}: {change.old!r} to {change.new!r}")
    print(f"{len(CHANGES)} changes, {len(CHANGES) - len(unnoticed)} noticed")
    return min(len(unnoticed), 1)


def is_noticed(change: Change, copy: Path) -> bool:
    """Whether a test fails once the change is made; the copy is as before afterwards.

    Raises:
        RuntimeError: the tests did not run, so that the change says nothing.
    """
    file = copy / change.file
    text = file.read_text("utf-8")
    file.write_text(change.applied(text), "utf-8")
    try:
        ended = subprocess.run(_command(), cwd=copy, capture_output=True, check=False).returncode
    finally:
        file.write_text(text, "utf-8")
    if ended not in (0, 1):
        raise RuntimeError(f"{change.file}, {change.new!r}: pytest ended with {ended}")
    return ended == 1


def _command() -> list[str]:
    tool = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["mutmut"]
    tests = tool["pytest_add_cli_args_test_selection"]
    return [sys.executable, "-B", "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]


if __name__ == "__main__":
    sys.exit(main())
