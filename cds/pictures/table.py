"""The same as a text table: what a picture shows, for those who do not see it and for those who want the numbers.

Takes a picture or the steps of a threshold. Gives text with a row for each mark, limit, reference line or band that is
drawn, and the words of the description in the SVG. Adds nothing that is not drawn, leaves nothing out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from cds.advice.lines import printable
from cds.pictures.model import Mark, Panel, Picture, Reference, Steps

Row = tuple[str, ...]
_HEAD: Row = ("time", "value as charted", "drawn at", "mark", "line from the one before")


def table(picture: Picture) -> str:
    """The picture of an entry as text."""
    lines = [picture.title, *picture.about]
    for panel in picture.panels:
        lines += ["", _title(panel), *_columns([_HEAD, *(_mark(mark, panel) for mark in panel.marks)])]
        lines += [f"  limit: {limit.words} ({limit.source})" for limit in panel.limits]
        lines += [f"  line {_reference(each, panel)}" for each in panel.references]
        lines += [f"  {remark}" for remark in panel.remarks]
    return _text([*lines, "", *picture.caption])


def describe(picture: Picture) -> str:
    """The description of the picture in the SVG."""
    said = [f"{_title(panel)}: {_summary(panel)}" for panel in picture.panels]
    return "\n".join([*picture.about, *said, *picture.caption, "The table beside this picture holds every value."])


def _title(panel: Panel) -> str:
    unit = f", {panel.unit}" if panel.unit else ""
    return f"{panel.title}{unit}; {panel.axis.label}"


def _mark(mark: Mark, panel: Panel) -> Row:
    now = ", this entry" if mark.now else ""
    drawn = f"{mark.number} {panel.unit}".rstrip()
    return f"{mark.when}{now}", mark.words, drawn, mark.state, "yes" if mark.joined else "no"


def _reference(line: Reference, panel: Panel) -> str:
    (_, first), (_, last) = line.points[0], line.points[-1]
    return f"{line.words}: from {_about(first)} to {_about(last)} {panel.unit}".rstrip()


def _about(number: Fraction) -> str:
    """A point of a curve, to be seen and not to decide."""
    return f"{float(number):.2f}"


def _summary(panel: Panel) -> str:
    count = len(panel.marks)
    if not count:
        return "no mark."
    last = panel.marks[-1]
    marks = f"{count} marks, the last" if count > 1 else "one mark,"
    limits = "; ".join(limit.words for limit in panel.limits)
    lines = f"; lines {', '.join(each.words for each in panel.references)}" if panel.references else ""
    return f"{marks} {last.words}, {last.state}, {last.when}{f'; limits: {limits}' if limits else ''}{lines}."


def steps_table(drawn: Steps) -> str:
    """The steps of a threshold as text."""
    head = ("age", "from, to before", "limit", "source", "a site may set")
    rows = [(step.words, step.ages, step.limit, step.source, step.site) for step in drawn.steps]
    return _text([drawn.title, *drawn.about, "", *_columns([head, *rows]), "", *drawn.caption])


def describe_steps(drawn: Steps) -> str:
    """The description of a threshold in the SVG."""
    bands = [f"{step.words}: {step.limit}." for step in drawn.steps]
    return "\n".join([*drawn.about, *bands, *drawn.caption])


def _columns(rows: Sequence[Row]) -> Iterator[str]:
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
        yield f"  {'  '.join(cells)}".rstrip()


def _text(lines: Sequence[str]) -> str:
    return "\n".join(map(printable, lines)) + "\n"
