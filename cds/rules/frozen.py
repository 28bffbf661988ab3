"""A frozen rule set: from sheets to one sealed file, and back to the same sheets.

The content under the digest is what the files say, in the units they were written in. Where each part was written is
kept beside the content, for provenance, and takes no part in the digest. Cases stay with the working copy.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cds.errors import Problem, Refused
from cds.rules.build import read_bands
from cds.rules.schema import at, validate
from cds.rules.sheets import Sheet, Sheets
from cds.rules.text import read_bytes
from cds.seal import NotSealed, Sealed, digest, open_sealed

Content = dict[str, Any]
LARGEST_SEALED = 20_000_000
_SINGLE = ("ruleset", "sources", "bands", "groups")


@dataclass(frozen=True, slots=True)
class Printed:
    """Places in a sealed file: it is one line, so a place is the file and the pointer."""

    file: str
    base: str
    lines: Mapping[str, str]

    def place(self, pointer: str) -> str:
        """The file with the pointer into its content."""
        return at(self.file, f"/content{self.base}{pointer}")

    def key_place(self, pointer: str) -> str:
        """As `place`."""
        return self.place(pointer)

    def line(self, pointer: str) -> str:
        """The place noted when the set was frozen."""
        return self.lines.get(f"{self.base}{pointer}", f"{self.file}{self.base}{pointer}")


def content_of(sheets: Sheets) -> Content:
    """What the digest of a rule set covers."""
    content: Content = {
        "ruleset": sheets.ruleset.data,
        "sources": sheets.sources.data,
        "bands": sheets.bands.data,
        "thresholds": {sheet.data["threshold"]: sheet.data for sheet in sheets.thresholds},
        "scores": {sheet.data["score"]: sheet.data for sheet in sheets.scores},
        "rules": [rule for _, _, rule in sheets.each_rule()],
    }
    if sheets.groups is not None:
        content["groups"] = sheets.groups.data
    return content


def sealed_of(sheets: Sheets) -> Sealed:
    """A rule set ready to be written as one file."""
    content = content_of(sheets)
    ruleset = sheets.ruleset.data
    return Sealed(ruleset["ruleset"], ruleset["version"], digest(content), content, dict(_places(sheets)))


def _places(sheets: Sheets) -> Iterator[tuple[str, str]]:
    for sheet in sheets.thresholds:
        base = f"/thresholds/{sheet.data['threshold']}"
        yield f"{base}/threshold", sheet.line("/threshold")
        for band in sheet.data["bands"]:
            yield f"{base}/bands/{band}", sheet.line(f"/bands/{band}")
    for sheet in sheets.scores:
        yield f"/scores/{sheet.data['score']}/score", sheet.line("/score")
    for number, (sheet, pointer, _) in enumerate(sheets.each_rule()):
        yield f"/rules/{number}", sheet.line(pointer)


def read_frozen(path: Path) -> tuple[Sheets, str]:
    """The sheets of a sealed file and its digest.

    Raises:
        Refused: too large (RS-101), not a sealed rule set or not what its digest stands for (RS-117), faults of form
            (RS-201 to RS-209).
    """
    raw = read_bytes(path, path.as_posix(), LARGEST_SEALED)
    try:
        sealed = open_sealed(raw)
    except NotSealed as error:
        next_step = "take the file as it was frozen"
        raise Refused("rules", [Problem(path.as_posix(), "RS-117", error.found, error.expected, next_step)]) from None
    _check_form(sealed, path.as_posix())
    return _sheets(sealed, path.as_posix()), sealed.digest


def _check_form(sealed: Sealed, file: str) -> None:
    problems: list[Problem] = []
    missing = {*_SINGLE[:3], "thresholds", "scores", "rules"} - set(sealed.content)
    if missing:
        found = f"no `{min(missing)}`"
        raise Refused("rules", [Problem(file, "RS-117", found, "all parts of a rule set", "freeze it again")])
    for kind, base, data in _parts(sealed.content):
        problems += validate(data, kind, Printed(file, base, {}))
    if problems:
        raise Refused("rules", problems)


def _parts(content: Mapping[str, Any]) -> Iterator[tuple[str, str, Any]]:
    for kind in _SINGLE:
        if kind in content:
            yield kind, f"/{kind}", content[kind]
    for kind, plural in (("threshold", "thresholds"), ("score", "scores")):
        for name, data in content[plural].items():
            yield kind, f"/{plural}/{name}", data
    yield "rules", "", {"rules": content["rules"]}


def _sheets(sealed: Sealed, file: str) -> Sheets:
    parts: dict[str, list[Sheet]] = {}
    for kind, base, data in _parts(_in_age_order(sealed.content)):
        parts.setdefault(kind, []).append(Sheet(kind, file, data, Printed(file, base, sealed.places)))
    return Sheets(
        where=file,
        ruleset=parts["ruleset"][0],
        sources=parts["sources"][0],
        bands=parts["bands"][0],
        groups=parts["groups"][0] if "groups" in parts else None,
        thresholds=tuple(parts.get("threshold", ())),
        scores=tuple(parts.get("score", ())),
        rules=tuple(parts["rules"]),
    )


def _in_age_order(content: Mapping[str, Any]) -> Content:
    """The same content with bands in the order of age, which sorted keys do not keep."""
    order = {name: place for place, name in enumerate(read_bands(content["bands"]))}

    def sort(bands: Mapping[str, Any]) -> dict[str, Any]:
        return {name: bands[name] for name in sorted(bands, key=lambda name: order.get(name, len(order)))}

    schemes = {name: {**scheme, "bands": sort(scheme["bands"])} for name, scheme in content["bands"]["schemes"].items()}
    thresholds = {name: {**data, "bands": sort(data["bands"])} for name, data in content["thresholds"].items()}
    return {**content, "bands": {"schemes": schemes}, "thresholds": thresholds}
