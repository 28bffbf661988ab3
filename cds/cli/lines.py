"""Answer a stream of entries, one JSON document on each line, with one JSON document on each line.

Takes lines and a way to answer one. A line that is refused gets an object that says why, and the rest goes on; an empty
line gets nothing. Holds one line at a time; a line beyond the accepted length is not kept.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from cds.cli.given import open_file
from cds.cli.output import refusal, write_json
from cds.cli.progress import Step, progress

Answer = Callable[[bytes], tuple[dict[str, Any], bool]]
_CHUNK = 1 << 16


@dataclass(frozen=True, slots=True)
class Tally:
    """How many lines were answered, how many were refused, on how many the evaluators differed."""

    answered: int
    refused: int
    differing: int


def answer_lines(name: str, answer: Answer, most: int) -> Tally:
    """Answer every line of a file, or of standard input for `-`; `most` bytes of a line are read.

    `answer` gives the document for a line, and whether the evaluators differ on it.
    """
    ends: Counter[str] = Counter()
    with ExitStack() as stack:
        stream, total = stack.enter_context(_opened(name))
        step = stack.enter_context(progress("entries", total))
        for number, line in enumerate(read_lines(stream, most, step), 1):
            if line.strip():
                ends[_answer_line(line, number, answer)] += 1
    return Tally(ends["answered"] + ends["differing"], ends["refused"], ends["differing"])


def _answer_line(line: bytes, number: int, answer: Answer) -> str:
    """Write the document for one line; say how it ended."""
    from cds.errors import Refused

    try:
        document, differs = answer(line)
    except Refused as problems:
        write_json({"line": number, **refusal(problems)}, None)
        return "refused"
    write_json(document, None)
    return "differing" if differs else "answered"


def read_lines(stream: IO[bytes], most: int, step: Step) -> Iterator[bytes]:
    """Each line without its end; of a longer one, `most` bytes and one more, so that the reader refuses it."""
    while line := stream.readline(most + 1):
        step(len(line))
        if len(line) > most and not line.endswith(b"\n"):
            _skip(stream, step)
        yield line.removesuffix(b"\n").removesuffix(b"\r")


def _skip(stream: IO[bytes], step: Step) -> None:
    while rest := stream.readline(_CHUNK):
        step(len(rest))
        if rest.endswith(b"\n"):
            return


@contextmanager
def _opened(name: str) -> Iterator[tuple[IO[bytes], int | None]]:
    if name == "-":
        yield sys.stdin.buffer, None
        return
    with open_file(name) as stream:
        yield stream, Path(name).stat().st_size
