"""Words that messages to rule authors share.

Takes what was found and what was allowed; gives short phrases. Never speaks of Python or of JSON Schema.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from decimal import Decimal
from difflib import get_close_matches

from cds.errors import Problem

_LONGEST = 60
_PLACE = re.compile(r"(.*?):(\d+):(\d+)")


def quoted(value: object) -> str:
    """A value as written, in backticks, cut where it is long; lists and blocks by their kind."""
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, str):
        line = " ".join(value.split())
        return f"`{line}`" if len(line) <= _LONGEST else f"`{line[:_LONGEST].rstrip()} ...`"
    if isinstance(value, int | Decimal):
        return f"`{value}`"
    return kind(value)


def kind(value: object) -> str:
    """What sort of value this is, in the words of rule files."""
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, str):
        return "text"
    if isinstance(value, int | Decimal):
        return "a number"
    if value is None:
        return "nothing"
    return "a list" if isinstance(value, list) else "keys with values"


def nearest(word: object, known: Iterable[str]) -> str | None:
    """The known word that is most like this one, if any is."""
    if not isinstance(word, str):
        return None
    found = get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return found[0] if found else None


def one_of(what: str, word: object, known: Collection[str]) -> str:
    """What was expected: one of few words, or the nearest of many."""
    near = nearest(word, known)
    if near is not None:
        return f"{what}; nearest is `{near}`"
    if 0 < len(known) <= 10:
        return f"{what}: {either(known)}"
    return what


def either(words: Iterable[str]) -> str:
    """`a`, `b` or `c`."""
    return _joined(words, "or")


def both(words: Iterable[str]) -> str:
    """`a`, `b` and `c`."""
    return _joined(words, "and")


def written_order(problem: Problem) -> tuple[str, int, int, str]:
    """A sort key: file, line, column, code."""
    match = _PLACE.match(problem.place)
    if match is None:
        return problem.place, 0, 0, problem.code
    return match[1], int(match[2]), int(match[3]), problem.code


def _joined(words: Iterable[str], last: str) -> str:
    parts = [f"`{word}`" for word in words]
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} {last} {parts[-1]}"
