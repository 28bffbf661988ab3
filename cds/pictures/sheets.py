"""A picture ready to be written: its SVG and its table, from an answer or from a threshold."""

from __future__ import annotations

from dataclasses import dataclass

from cds.advice.answer import Answer
from cds.pictures.bands import steps
from cds.pictures.draw import draw
from cds.pictures.draw_steps import draw_steps
from cds.pictures.entry import picture
from cds.pictures.table import describe, describe_steps, steps_table, table
from cds.rules.model import RuleSet, Threshold


@dataclass(frozen=True, slots=True)
class Drawn:
    """The bytes of an SVG, and the same as text."""

    svg: bytes
    table: str


def draw_answer(answer: Answer) -> Drawn:
    """The entry that was answered, with its earlier ones."""
    told = picture(answer)
    return Drawn(draw(told, describe(told)), table(told))


def draw_threshold(threshold: Threshold, rules: RuleSet) -> Drawn:
    """A threshold over age."""
    told = steps(threshold, rules)
    return Drawn(draw_steps(told, describe_steps(told)), steps_table(told))
