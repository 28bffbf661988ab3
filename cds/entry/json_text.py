"""Read JSON text strictly, numbers exact.

Takes bytes or text. Gives dict, list, str, bool, None, int and Decimal, or a refusal naming every fault found.
Never makes a float, never keeps one of two equal keys, never computes with a number before its digits are counted.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from cds.entry.faults import WHOLE, Faults, name_key, point
from cds.entry.units import MOST_CHARACTERS
from cds.errors import Refused

MOST_BYTES = 2**20
MOST_DEPTH = 40
_MOST_EXPONENT = 3


class Repeated(dict[str, object]):
    """An object that names keys more than once; `again` are those keys."""

    again: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Odd:
    """A number that is not kept: not one of JSON, or too long to compute with."""

    code: str
    found: str


@dataclass(frozen=True, slots=True)
class Node:
    """A value inside the document, with its place and depth."""

    data: object
    place: str
    depth: int


def read_json(text: bytes | str, subject: str = "entry", most_bytes: int = MOST_BYTES) -> object:
    """Parse one JSON document of at most `most_bytes` bytes, nested at most 40 deep.

    Raises:
        Refused: too long, not UTF-8, not JSON, too deep, a key twice, NaN or Infinity, an absurd number, half of a
            surrogate pair (EN-001 to EN-007, EN-105); `subject` is passed on.
    """
    faults = Faults()
    decoded = _decode(text, most_bytes, faults)
    data = _parse(decoded, faults) if decoded is not None else None
    if faults.problems:
        raise Refused(subject, faults.problems)
    return data


def _decode(text: bytes | str, most: int, faults: Faults) -> str | None:
    try:
        raw = text.encode() if isinstance(text, str) else text
        if len(raw) <= most:
            return text if isinstance(text, str) else raw.decode()
    except UnicodeError:
        faults.add("EN-002", WHOLE, ("bytes that are not UTF-8", "UTF-8 text", "encode the document as UTF-8"))
        return None
    said = (f"a document of {len(raw)} bytes", f"at most {most} bytes", "send fewer earlier entries")
    faults.add("EN-005", WHOLE, said)
    return None


def _parse(text: str, faults: Faults) -> object:
    reader = _Reader()
    try:
        data: object = json.loads(
            text,
            object_pairs_hook=reader.join,
            parse_float=reader.read_decimal,
            parse_int=reader.read_whole,
            parse_constant=reader.read_constant,
        )
    except json.JSONDecodeError as error:
        said = (_say_break(text, error.pos), "one JSON document (RFC 8259)", "correct the text at this place")
        faults.add("EN-001", f"line {error.lineno}, column {error.colno}", said)
        return None
    except RecursionError:
        _note_depth(WHOLE, faults)
        return None
    if reader.is_odd or "\\u" in text or text.count("{") + text.count("[") > MOST_DEPTH:
        _walk(data, faults)
    return data


def _say_break(text: str, position: int) -> str:
    if text.startswith("\ufeff"):
        return "a byte order mark"
    return "no JSON from here on" if text[position:].strip() else "an end before the document is whole"


class _Reader:
    """Build values, and remember whether any of them needs a closer look for its place."""

    def __init__(self) -> None:
        self.is_odd = False

    def join(self, pairs: list[tuple[str, object]]) -> dict[str, object]:
        joined = dict(pairs)
        if len(joined) == len(pairs):
            return joined
        self.is_odd = True
        repeated = Repeated(joined)
        repeated.again = tuple(key for key, times in Counter(key for key, _ in pairs).items() if times > 1)
        return repeated

    def read_decimal(self, text: str) -> Decimal | Odd:
        if len(text) > MOST_CHARACTERS or len(text.lower().partition("e")[2].lstrip("+-0")) > _MOST_EXPONENT:
            return self.mark("EN-007", f"a number of {len(text)} characters")
        return Decimal(text)

    def read_whole(self, text: str) -> int | Odd:
        if len(text) > MOST_CHARACTERS:
            return self.mark("EN-007", f"a number of {len(text)} characters")
        return int(text)

    def read_constant(self, text: str) -> Odd:
        return self.mark("EN-004", f"`{text}`")

    def mark(self, code: str, found: str) -> Odd:
        self.is_odd = True
        return Odd(code, found)


def _walk(data: object, faults: Faults) -> None:
    waiting = [Node(data, "", 0)]
    while waiting:
        node = waiting.pop()
        if node.depth >= MOST_DEPTH and isinstance(node.data, dict | list):
            _note_depth(node.place, faults)
            continue
        _check(node, faults)
        waiting.extend(reversed(_inside(node)))


def _inside(node: Node) -> list[Node]:
    if isinstance(node.data, dict):
        return [Node(value, point(node.place, key), node.depth + 1) for key, value in node.data.items()]
    if isinstance(node.data, list):
        return [Node(value, f"{node.place}/{number}", node.depth + 1) for number, value in enumerate(node.data)]
    return []


def _check(node: Node, faults: Faults) -> None:
    if isinstance(node.data, Odd):
        faults.add(node.data.code, node.place or WHOLE, (node.data.found, *_ODD[node.data.code]))
    elif isinstance(node.data, str):
        _check_text(node.data, node.place, faults)
    elif isinstance(node.data, dict):
        for key in node.data:
            _check_text(key, node.place, faults)
        for key in node.data.again if isinstance(node.data, Repeated) else ():
            said = (f"{name_key(key)} more than once", "each key once in an object", "keep one of them")
            faults.add("EN-003", point(node.place, key) or WHOLE, said)


def _check_text(text: str, place: str, faults: Faults) -> None:
    if any("\ud800" <= letter <= "\udfff" for letter in text):
        said = ("half of a surrogate pair", "whole characters", "escape characters beyond U+FFFF as a pair")
        faults.add("EN-105", place or WHOLE, said)


def _note_depth(place: str, faults: Faults) -> None:
    said = (f"more than {MOST_DEPTH} objects or lists inside one another", f"at most {MOST_DEPTH}", "send it flatter")
    faults.add("EN-006", place or WHOLE, said)


_ODD = {
    "EN-004": ("a JSON number", "leave the value out and send `absent` with a reason"),
    "EN-007": (f"at most {MOST_CHARACTERS} characters and three exponent digits", "send the number as charted"),
}
