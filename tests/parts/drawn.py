"""What the tests of pictures share: invented histories, what is told of them, and an SVG taken apart."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

from cds.advice.answer import Answer
from cds.adviser import Adviser
from cds.entry.read import read_entry, read_json
from cds.pictures.entry import picture
from cds.pictures.model import Panel, Picture
from cds.pictures.sheets import Drawn, draw_answer
from cds.rules.model import RuleSet
from tests.bedside import Data, adviser, entry

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"


def at(when: str, *observations: Data, **event: Any) -> Data:
    """An earlier entry of 19 or 20 November, at an hour like "20T06:00"."""
    measured = f"2025-11-{when}:00+00:00"
    return {"event": {"measured": measured, "status": "final", **event}, "observations": list(observations)}


def value(code: str, number: Any, unit: Any, **context: Any) -> Data:
    """A charted value."""
    return {"code": code, "value": number, "unit": unit, **context}


def answer(data: Data, rules: RuleSet | None = None) -> Answer:
    """What is inferred from an entry."""
    found = read_entry(read_json(json.dumps(data)))
    return (Adviser(rules) if rules else adviser()).answer(found, found.event.measured)


def told(data: Data, rules: RuleSet | None = None) -> Picture:
    """What its picture holds."""
    return picture(answer(data, rules))


def panel(data: Data, code: str, rules: RuleSet | None = None) -> Panel:
    """One panel of its picture."""
    return next(each for each in told(data, rules).panels if each.code == code)


def draw(data: Data, rules: RuleSet | None = None) -> Drawn:
    """Its SVG and table."""
    return draw_answer(answer(data, rules))


def rates(*earlier: Data, now: Data | None = None) -> Data:
    """A breathing count of 44 at half past ten on the 20th, after others."""
    return entry(now or value("respiratory-rate", 44, "/min", state="quiet-alert"), earlier=list(earlier))


def rate(number: int, **context: Any) -> Data:
    """A settled breathing count."""
    return value("respiratory-rate", number, "/min", **{"state": "quiet-alert", "counted_seconds": 60, **context})


@dataclass(frozen=True, slots=True)
class Parts:
    """An SVG taken apart."""

    root: ElementTree.Element

    def ids(self, begin: str) -> list[str]:
        """The ids that begin so, in the order drawn."""
        return [each for node in self.root.iter() if (each := node.get("id", "")).startswith(begin)]

    def group(self, name: str) -> ElementTree.Element:
        """One group."""
        return next(node for node in self.root.iter(f"{SVG}g") if node.get("id") == name)

    def places(self, begin: str) -> list[tuple[float, float]]:
        """Where the marks of these ids stand, in points."""
        uses = [next(self.group(each).iter(f"{SVG}use")) for each in self.ids(begin)]
        return [(float(use.get("x", "")), float(use.get("y", ""))) for use in uses]

    def shape(self, name: str) -> tuple[str, str]:
        """The outline of a mark as its path, and its fill."""
        group = self.group(name)
        outline = next(group.iter(f"{SVG}path")) if list(group.iter(f"{SVG}path")) else self._defined(group)
        return outline.get("d", ""), style(next(group.iter(f"{SVG}use")))["fill"]

    def _defined(self, group: ElementTree.Element) -> ElementTree.Element:
        wanted = next(group.iter(f"{SVG}use")).get(LINK, "").lstrip("#")
        return next(node for node in self.root.iter(f"{SVG}path") if node.get("id") == wanted)

    def texts(self) -> list[str]:
        """Every text."""
        return ["".join(node.itertext()) for node in self.root.iter(f"{SVG}text")]


def style(node: ElementTree.Element) -> dict[str, str]:
    """The style of a node by property."""
    pairs = (part.partition(":") for part in node.get("style", "").split(";"))
    return {name.strip(): said.strip() for name, _, said in pairs if said}


def parts(svg: bytes) -> Parts:
    """An SVG taken apart."""
    return Parts(ElementTree.fromstring(svg))


def colours(svg: bytes) -> set[str]:
    """Every colour that is named."""
    return set(re.findall(r"#[0-9a-f]{3,6}\b", re.sub(r'href="#[^"]*"|url\(#[^)]*\)', "", svg.decode())))


def on_line(heights: list[float], values: list[Fraction]) -> bool:
    """Whether heights on paper follow values evenly, higher values higher up."""
    low, high = values.index(min(values)), values.index(max(values))
    each = (heights[high] - heights[low]) / float(values[high] - values[low])
    there = [heights[low] + each * float(number - values[low]) for number in values]
    return each < 0 and all(abs(a - b) < 0.01 for a, b in zip(heights, there, strict=True))
