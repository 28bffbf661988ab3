"""Turn composed YAML nodes into plain data, noting every problem and going on.

A plain number becomes a whole number or a decimal, plain `true` and `false` become true and false, everything else is
text, dates too. A number is refused where text, binary number, text would not give it back.
"""

from __future__ import annotations

import re
from decimal import Decimal

from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from cds.errors import Problem
from cds.rules.phrase import quoted

MOST_DIGITS = 15
_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
_WORDS = {"true": True, "false": False}
_NOTHING = frozenset({"", "~", "null", "Null", "NULL"})
_BLOCK = frozenset({"|", ">"})


class Converter:
    """Converts the nodes of one file; `problems` grows as it goes."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def value(self, node: Node, pointer: str) -> object:
        """The data of a node at a JSON pointer."""
        if isinstance(node, MappingNode):
            return self._keys(node, pointer)
        if isinstance(node, SequenceNode):
            return [self.value(part, f"{pointer}/{at}") for at, part in enumerate(node.value)]
        assert isinstance(node, ScalarNode)
        return self._scalar(node, pointer)

    def _keys(self, node: MappingNode, pointer: str) -> dict[str, object]:
        data: dict[str, object] = {}
        for key, value in node.value:
            name = self._key(key, pointer)
            below = f"{pointer}/{name.replace('~', '~0').replace('/', '~1')}"
            if name in data:
                next_step = "keep one of the two"
                self._note(key, below, "RS-110", f"the key {quoted(name)} a second time", "each key once", next_step)
            data[name] = self.value(value, below)
        return data

    def _key(self, key: Node, pointer: str) -> str:
        if not isinstance(key, ScalarNode):
            self._note(
                key, pointer, "RS-111", "a list or keys where a key is due", "a word and a colon", "name the key"
            )
            return "?"
        if key.value == "<<" and not key.style:
            words = "the content itself", "write the keys out here"
            self._note(key, pointer, "RS-106", "the merge key `<<`", *words)
        elif not key.value.strip():
            self._note(key, pointer, "RS-111", "a key without a name", "a word and a colon", "name the key")
        return str(key.value)

    def _scalar(self, node: ScalarNode, pointer: str) -> object:
        text = str(node.value)
        if node.style in _BLOCK:
            return text.rstrip("\n")
        if node.style:
            return self._quoted(node, text, pointer)
        if text in _NOTHING:
            found = quoted(text) if text else "nothing"
            self._note(node, pointer, "RS-112", found, "a value", "write the value, or remove the key")
        if text in _WORDS:
            return _WORDS[text]
        return self._number(node, text, pointer) if _NUMBER.fullmatch(text) else text

    def _quoted(self, node: ScalarNode, text: str, pointer: str) -> str:
        if text != text.strip():
            words = "text that begins and ends with what can be seen", "remove the blanks at its ends"
            self._note(node, pointer, "RS-113", f"{quoted(text)} with blanks at its ends", *words)
        return text

    def _number(self, node: ScalarNode, text: str, pointer: str) -> int | Decimal:
        digits = text.lstrip("-").replace(".", "").lstrip("0")
        if len(digits) > MOST_DIGITS or (text.startswith("-") and not digits):
            expected = f"a number of at most {MOST_DIGITS} digits; zero without a sign"
            self._note(node, pointer, "RS-114", quoted(text), expected, "write fewer digits")
            return 0
        return Decimal(text) if "." in text else int(text)

    def _note(self, node: Node, pointer: str, code: str, *words: str) -> None:
        mark = node.start_mark
        place = f"{self.file}:{mark.line + 1}:{mark.column + 1}"
        self.problems.append(Problem(f"{place}  {pointer}" if pointer else place, code, *words))
