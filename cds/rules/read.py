"""Read a strict part of YAML 1.2 with the place of every value.

Takes text; gives plain data (keys with values, lists, text, whole and decimal numbers, true and false) and, for each
JSON pointer, the line and column where it is written. Refuses what lets a file mean something that its lines do not
show: directives, tags, anchors, aliases, merges, repeated keys, several documents, hidden characters.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.composer import Composer, MaxDepthExceededError
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.events import AliasEvent
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode

from cds.errors import Problem, Refused
from cds.rules.convert import Converter
from cds.rules.phrase import quoted, written_order
from cds.rules.text import LARGEST_FILE, decode, read_bytes, see

DEEPEST = 24
_BROKEN = "keys with a colon and a space, lists with a dash, brackets and quotes that close, indents that line up"


@dataclass(frozen=True, slots=True)
class Tree:
    """The data of one file with the places of its values."""

    file: str
    data: object
    root: Node

    def place(self, pointer: str) -> str:
        """`file:line:column` of the value at a JSON pointer."""
        return self._mark(_node(self.root, pointer)[1])

    def key_place(self, pointer: str) -> str:
        """`file:line:column` of the key that a JSON pointer ends in; of the value where it ends in a list."""
        key, value = _node(self.root, pointer)
        return self._mark(key or value)

    def line(self, pointer: str) -> int:
        """The line of the key (or list part) at a JSON pointer."""
        key, value = _node(self.root, pointer)
        return int((key or value).start_mark.line) + 1

    def _mark(self, node: Node) -> str:
        return f"{self.file}:{node.start_mark.line + 1}:{node.start_mark.column + 1}"


def read_file(path: Path, file: str) -> Tree:
    """Read one file; `file` is its name in messages. Raises as `read_text`, and for bytes that are not text."""
    return read_text(decode(read_bytes(path, file, LARGEST_FILE), file), file)


def read_text(text: str, file: str) -> Tree:
    """Read the text of one file.

    Raises:
        Refused: all problems of the file with their places (RS-103 to RS-114).
    """
    text = see(text, file)
    composer, root = _composed(text, file)
    converter = Converter(file)
    data = None if root is None else converter.value(root, "")
    problems = [*_directives(text, file), *composer.refused, *converter.problems]
    if root is None and not problems:
        problems.append(Problem(f"{file}:1:1", "RS-104", "nothing", "keys with values", "write the file or remove it"))
    if problems or root is None:
        raise Refused("rules", sorted(problems, key=written_order))
    return Tree(file, data, root)


class _Composer(Composer):
    """Nodes of one document. Notes anchors, aliases and tags, and goes on."""

    def __init__(self, loader: Any = None) -> None:
        super().__init__(loader)
        self.file = ""
        self.refused: list[Problem] = []

    def compose_node(self, parent: Any, index: Any) -> Any:
        event = self.parser.peek_event()
        if isinstance(event, AliasEvent):
            self.parser.get_event()
            self._note(event, "RS-106", f"the alias `*{event.anchor}`", "the content itself", "write it out here")
            return ScalarNode("", "alias", event.start_mark, event.end_mark, style="'")
        if event.anchor is not None:
            self._note(event, "RS-106", f"the anchor `&{event.anchor}`", "content without anchor", "remove the anchor")
            event.anchor = None
        if event.ctag is not None:
            tag = str(event.ctag).replace("tag:yaml.org,2002:", "!!")
            self._note(event, "RS-107", f"the tag `{tag}`", "content without tag", "remove the tag")
        return super().compose_node(parent, index)

    def _note(self, event: Any, code: str, *words: str) -> None:
        mark = event.start_mark
        self.refused.append(Problem(f"{self.file}:{mark.line + 1}:{mark.column + 1}", code, *words))


def _composed(text: str, file: str) -> tuple[_Composer, Node | None]:
    yaml = YAML(typ="safe", pure=True)
    yaml.max_depth = DEEPEST
    yaml.Composer = _Composer
    yaml.composer.file = file
    try:
        return yaml.composer, yaml.compose(text)
    except MaxDepthExceededError as error:
        found, expected = "content too deep", f"at most {DEEPEST} levels, one inside another"
        problem = Problem(
            _marked(error, file), "RS-105", found, expected, "make the condition flatter, or name a group"
        )
    except MarkedYAMLError as error:
        problem = _broken(error, text, file)
    raise Refused("rules", [*_directives(text, file), *yaml.composer.refused, problem])


def _broken(error: MarkedYAMLError, text: str, file: str) -> Problem:
    if "another document" in str(error.problem or ""):
        found, expected = "a second document", "one document in a file"
        return Problem(_marked(error, file), "RS-109", found, expected, "move it to a file of its own")
    mark = error.problem_mark or error.context_mark
    lines = text.splitlines() or [""]
    line = lines[min(mark.line, len(lines) - 1)] if mark else ""
    unread = bool(mark) and mark.line < len(lines) and line.strip()
    found = f"the line {quoted(line)}, which does not fit" if unread else "the end, before all is closed"
    return Problem(_marked(error, file), "RS-104", found, _BROKEN, "look at this line and the one above it")


def _marked(error: MarkedYAMLError, file: str) -> str:
    mark = error.problem_mark or error.context_mark
    return f"{file}:{mark.line + 1}:{mark.column + 1}" if mark else f"{file}:1:1"


def _directives(text: str, file: str) -> Iterator[Problem]:
    for number, line in enumerate(text.splitlines(), start=1):
        if line.startswith("%"):
            yield Problem(
                f"{file}:{number}:1", "RS-108", f"the directive `{line[:60]}`", "a file without directives", "remove it"
            )


def _node(root: Node, pointer: str) -> tuple[Node | None, Node]:
    key: Node | None = None
    node = root
    for part in pointer.split("/")[1:]:
        name = part.replace("~1", "/").replace("~0", "~")
        if isinstance(node, MappingNode):
            key, node = next(pair for pair in node.value if pair[0].value == name)
        else:
            key, node = None, node.value[int(name)]
    return key, node
