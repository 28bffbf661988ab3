"""From the bytes of a document to an entry: our JSON, or FHIR R4 where the document says `resourceType`.

Takes bytes, a code map and the moment of the call. Gives an entry, or refuses with every fault. Several FHIR resources,
in several files or one on each line, are joined into one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import typer

from cds.cli.given import read_bytes

if TYPE_CHECKING:
    from cds.entry.fhir.meanings import Codes
    from cds.entry.model import Entry, Moment


@dataclass(frozen=True, slots=True)
class Reader:
    """What entries are read with."""

    codes: Codes
    moment: Moment

    def files(self, names: Sequence[str]) -> Entry:
        """The entry of one file, or of several files of FHIR resources. Raises Refused."""
        from cds.entry.fhir import is_fhir, join
        from cds.entry.json_text import MOST_BYTES

        contents = [check_size(read_bytes(name, MOST_BYTES), MOST_BYTES) for name in names]
        documents = [document for content in contents for document in _documents(content)]
        if len(documents) == 1:
            return self.entry(documents[0])
        if not all(map(is_fhir, documents)):
            raise typer.BadParameter("only FHIR resources are joined; for an entry on each line use --lines")
        return self.entry(join(documents))

    def line(self, raw: bytes) -> Entry:
        """The entry of one line. Raises Refused."""
        from cds.entry.json_text import MOST_BYTES, read_json

        return self.entry(read_json(check_size(raw, MOST_BYTES)))

    def entry(self, data: object) -> Entry:
        """The entry of one parsed document. Raises Refused."""
        from cds.entry.fhir import is_fhir, to_entry
        from cds.entry.read import read_entry

        return read_entry(to_entry(data, self.codes) if is_fhir(data) else data, self.moment)


def check_size(raw: bytes, most: int) -> bytes:
    """The same bytes, of which no more than `most` and one are read. Raises Refused where they are more (EN-005)."""
    from cds.errors import Problem, Refused

    if len(raw) > most:
        said = (f"more than {most} bytes", f"at most {most} bytes", "send fewer earlier entries")
        raise Refused("entry", [Problem("/", "EN-005", *said)])
    return raw


def _documents(raw: bytes) -> list[object]:
    """The documents of a file: one, or a FHIR resource on each line."""
    from cds.entry.fhir import is_fhir
    from cds.entry.read import read_json
    from cds.errors import Refused

    try:
        return [read_json(raw)]
    except Refused as refused:
        lines = raw.splitlines()
        if not _is_json(lines[0] if lines else b"", is_fhir):
            raise refused from None
        return [_read_line(line, number) for number, line in enumerate(lines, 1) if line.strip()]


def _is_json(line: bytes, wanted: object) -> bool:
    from cds.entry.read import read_json
    from cds.errors import Refused

    assert callable(wanted)
    try:
        return bool(wanted(read_json(line)))
    except Refused:
        return False


def _read_line(line: bytes, number: int) -> object:
    from cds.entry.read import read_json
    from cds.errors import Refused

    try:
        return read_json(line)
    except Refused as refused:
        problems = [replace(problem, place=f"line {number}  {problem.place}") for problem in refused.problems]
        raise Refused(refused.subject, problems) from None
