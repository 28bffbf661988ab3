"""Whether case tables can be run: ids once, rules that exist, every `$name` filled by some row.

Takes the sheets of cases/; what the cases show is another part's work.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from cds.entry.catalogue import CATALOGUE
from cds.errors import Problem
from cds.rules.check_ruleset import check_setting
from cds.rules.names import Names
from cds.rules.phrase import nearest, quoted
from cds.rules.sheets import Sheet
from cds.rules.spot import Spot, unlisted, unlisted_key
from cds.rules.vocabulary import FINDINGS

ROW_KEYS = ("id", "expect", "because", "raised", "levels", "status", "entry", "omit")
_PLACEHOLDER = re.compile(r"\$([a-z][a-z0-9_]*)")


def check_cases(sheets: tuple[Sheet, ...], names: Names, screens: list[str]) -> Iterator[Problem]:
    """Problems of all case files together."""
    seen: dict[str, Spot] = {}
    for table in (table for sheet in sheets for table in tables_of(sheet)):
        for setting in table.each("settings"):
            yield from check_setting(setting, setting, screens)
        yield from _never_filled(table)
        for row in table.each("rows"):
            yield from _id(row, table.data["cases"], seen)
            yield from _names(row, names)
            yield from _filling(row, table)


def tables_of(sheet: Sheet) -> list[Spot]:
    """The tables of a case file, one or several."""
    whole = Spot(sheet, sheet.data)
    return list(whole.each("tables")) if "tables" in sheet.data else [whole]


def placeholders(data: object) -> frozenset[str]:
    """Names of all `$name` that stand as values in data."""
    if isinstance(data, Mapping):
        return frozenset().union(*(placeholders(value) for value in data.values()))
    if isinstance(data, list):
        return frozenset().union(*(placeholders(value) for value in data))
    match = _PLACEHOLDER.fullmatch(data) if isinstance(data, str) else None
    return frozenset({match[1]}) if match else frozenset()


def _id(row: Spot, prefix: str, seen: dict[str, Spot]) -> Iterator[Problem]:
    name = row.data["id"]
    first = seen.setdefault(name, row)
    if first is not row:
        found = f"the case {quoted(name)} a second time; first at {first.sheet.line(first.pointer)}"
        yield row.down("id").says("RS-211", found, "each id once in all files", "give it the next free number")
    if not name.startswith(f"{prefix}-"):
        expected = f"`{prefix}-` and a number, as the table begins"
        yield row.down("id").says("RS-340", quoted(name), expected, "correct the id")


def _names(row: Spot, names: Names) -> Iterator[Problem]:
    for key in ("expect", "levels", "status"):
        for rule in row.each(key):
            yield from unlisted_key(rule, "rule", names.rules)
    for finding in row.each("raised"):
        yield from unlisted(finding, "finding", FINDINGS)
    for code in row.each("omit"):
        yield from unlisted(code, "observation", CATALOGUE)
    if "because" in row.data:
        yield from unlisted(row.down("because", "ref"), "source", names.sources)
    if not row.data["expect"] and "raised" not in row.data:
        expected = "a verdict for at least one rule, or `raised`"
        yield row.down("expect").says("RS-343", "a case that expects nothing", expected, "say what is expected")


def _never_filled(table: Spot) -> Iterator[Problem]:
    given = {key for row in table.data["rows"] for key in row}
    for name in sorted(placeholders(table.data["entry"]) - given):
        found, expected = f"`${name}`, which no row fills", "names that some row gives a value"
        yield table.down("entry").says("RS-341", found, expected, f"remove `${name}`, or give `{name}` in a row")


def _filling(row: Spot, table: Spot) -> Iterator[Problem]:
    wanted = placeholders(table.data["entry"])
    for key in row.data:
        if key not in ROW_KEYS and key not in wanted:
            near = nearest(key, [*ROW_KEYS, *wanted])
            next_step = f"write `{near}`, or remove it" if near else "remove it"
            expected = "keys of a row, and the names that the entry has as `$name`"
            yield row.down(key).says_of_key("RS-342", f"the key {quoted(key)}", expected, next_step)
