"""From the bytes of a rule file to text that can be seen.

Takes bytes; gives text, or the places of bytes and characters that a reader of the file could not see: tabs, control
characters, marks of direction, blanks of no width. Never repairs anything.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from cds.errors import Problem, Refused

LARGEST_FILE = 1_000_000
_UNUSUAL = re.compile(r"[^\x20-\x7e\n]")
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp", "Zs"})
_MOST_SHOWN = 20


def read_bytes(path: Path, file: str, most: int) -> bytes:
    """The bytes of a file, of which no more are read than may be.

    Raises:
        Refused: a file larger than `most` bytes (RS-101), or one that cannot be read (RS-115).
    """
    try:
        with path.open("rb") as opened:
            raw = opened.read(most + 1)
    except OSError as error:
        found = f"a file that cannot be read: {(error.strerror or 'no reason given').lower()}"
        raise Refused("rules", [Problem(file, "RS-115", found, "a file to read", "check name and access")]) from None
    if len(raw) > most:
        found, expected = f"a file of more than {most} bytes", f"at most {most} bytes"
        raise Refused("rules", [Problem(file, "RS-101", found, expected, "split the file")])
    return raw


def decode(raw: bytes, file: str) -> str:
    """The text of a file, UTF-8 without a byte order mark.

    Raises:
        Refused: not UTF-8 (RS-102), or characters that cannot be seen (RS-103).
    """
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refused("rules", [_odd_byte(raw, error.start, file)]) from None
    return see(text, file)


def see(text: str, file: str) -> str:
    """The same text, every character of it one that can be seen.

    Raises:
        Refused: characters that cannot be seen (RS-103), the first twenty with their places.
    """
    text = text.replace("\r\n", "\n")
    problems = [_unseen(text, at, file) for at in _hidden(text)]
    if problems:
        raise Refused("rules", problems[:_MOST_SHOWN])
    return text


def _hidden(text: str) -> Iterator[int]:
    for match in _UNUSUAL.finditer(text):
        if unicodedata.category(match[0]) in _UNSEEN:
            yield match.start()


def _odd_byte(raw: bytes, at: int, file: str) -> Problem:
    before = raw[:at].decode("utf-8")
    place = f"{file}:{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"
    found = f"the byte {raw[at]:#04x}, which is not UTF-8"
    return Problem(place, "RS-102", found, "text in UTF-8", "save the file as UTF-8")


def _unseen(text: str, at: int, file: str) -> Problem:
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    name = "a tab" if text[at] == "\t" else f"the character U+{ord(text[at]):04X}, which cannot be seen"
    expected = "letters, digits, signs, spaces and line ends"
    return Problem(f"{file}:{line}:{column}", "RS-103", found=name, expected=expected, next="type spaces in its place")
