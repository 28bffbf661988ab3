"""Locks name every package by version and hash, agree with one another, and hold no address."""

from __future__ import annotations

import importlib
import re
import tomllib
from itertools import chain
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LOCKS = sorted((ROOT / "requirements").glob("*.txt"))
PINNED = re.compile(r"^([a-z0-9-]+)(?:\[[a-z]+\])?==(\S+)", re.MULTILINE)
FIRST_WORD = re.compile(r"^[A-Za-z0-9._-]+")


def read_pins(lock: Path) -> set[tuple[str, str]]:
    return set(PINNED.findall(lock.read_text()))


def list_wanted(requirements: list[str]) -> set[str]:
    found = (FIRST_WORD.match(requirement) for requirement in requirements)
    return {match[0].lower().replace(".", "-") for match in found if match} - {"infant-vitals-cds"}


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_each_package_has_a_hash_and_no_line_an_address(lock: Path) -> None:
    text = lock.read_text()
    blocks = re.split(r"\n(?=[a-z])", text)
    assert "://" not in text
    assert not re.search(r"^\s*--?(?!hash=sha256:)\w", text, re.MULTILINE)
    assert len(blocks) == len(PINNED.findall(text)) + 1, "the head, then one block a package"
    assert all(re.search(r"--hash=sha256:[0-9a-f]{64}\b", block) for block in blocks[1:])


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_each_lock_names_versions_of_the_lock_of_all(lock: Path) -> None:
    assert read_pins(lock) <= read_pins(ROOT / "requirements" / "all.txt")


def test_locks_hold_what_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    extras = project["optional-dependencies"]
    wanted = {"core": project["dependencies"], "test": extras["test"], "all": [*chain(*extras.values())]}
    for name, requirements in wanted.items():
        pinned = {package for package, _ in read_pins(ROOT / "requirements" / f"{name}.txt")}
        assert list_wanted(requirements) <= pinned


@pytest.mark.durable_rules
def test_engine_of_the_core_lock_can_be_imported() -> None:
    assert importlib.import_module("durable.engine").Host
