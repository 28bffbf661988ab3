"""Lay text out in lines of a given width.

Takes phrases, a label for them, rows of a table. Gives lines, none longer than the width. Keeps every word; a character
that cannot be printed is shown as a question mark.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest

GAP = "  "
_LABEL = 8
_JOINT = "\0"
_UNIT = re.compile(r"(?<=\d) (?=(?:°C|°F|/min|%|s|h|d|min|g|kg|cm|mm|mmHg|lb|oz|in|weeks|months|L/min)(?:[^\w/]|$))")


@dataclass(frozen=True, slots=True)
class Page:
    """How wide the lines may be, in characters."""

    width: int = 100

    def wrap(self, text: str, first: str = "", rest: str | None = None) -> list[str]:
        """A text as lines; `first` stands before the first, `rest` before the others (as many blanks where None)."""
        follow = " " * len(first) if rest is None else rest
        return _wrap(text, self.width, first, follow)

    def label(self, label: str, text: str, indent: str = GAP) -> list[str]:
        """A text beside its label, the label in a column of its own."""
        return self.wrap(text, f"{indent}{label:<{_LABEL}}{GAP}")

    def labels(self, label: str, texts: Iterable[str]) -> list[str]:
        """Several texts, each on a new line, the label beside the first."""
        lines: list[str] = []
        for text in texts:
            lines += self.label("" if lines else label, text)
        return lines

    def table(self, rows: Sequence[Sequence[str]], shares: Sequence[int]) -> list[str]:
        """Rows of cells in columns; `shares` is how many parts of the width each column has."""
        widths = self._widths(rows, shares)
        return [line for row in rows for line in _row(row, widths)]

    def _widths(self, rows: Sequence[Sequence[str]], shares: Sequence[int]) -> list[int]:
        room = self.width - len(GAP) * len(shares)
        longest = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
        widths = [min(room * share // sum(shares), need) for share, need in zip(shares[:-1], longest, strict=False)]
        return [*widths, room - sum(widths)]


def _row(cells: Sequence[str], widths: Sequence[int]) -> list[str]:
    wrapped = [_wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    lines = zip_longest(*wrapped, fillvalue="")
    return [
        (GAP + GAP.join(f"{part:<{width}}" for part, width in zip(parts, widths, strict=True))).rstrip()
        for parts in lines
    ]


def _wrap(text: str, width: int, first: str = "", follow: str = "") -> list[str]:
    """A text as lines; a number and its unit are kept on one line."""
    joined = _UNIT.sub(_JOINT, printable(text))
    lines = textwrap.wrap(joined, width, initial_indent=first, subsequent_indent=follow, break_on_hyphens=False)
    return [line.replace(_JOINT, " ") for line in lines]


def printable(text: str) -> str:
    """The text with what cannot be seen shown as a question mark."""
    return "".join(letter if letter.isprintable() else " " if letter.isspace() else "?" for letter in text)


def cut(text: str, most: int) -> str:
    """The text, or as much of it as fits, with a mark that it goes on."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
