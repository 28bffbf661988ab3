"""Draw the picture of an entry: one sign per panel, marks, limits with ticks on the outer side, reference lines.

Takes a picture, gives SVG. Every mark, line and limit carries an id, so that the drawing can be held against its table.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from cds.advice.lines import printable
from cds.pictures.canvas import Sheet, settings, spread
from cds.pictures.look import (
    BASE,
    DASHES,
    FOOT,
    GREY,
    HEAD,
    INK,
    LARGE,
    LEFT,
    LIMIT,
    LINE,
    MANY,
    MARK,
    OUTLINES,
    PANEL,
    PAPER,
    RIGHT,
    SMALL,
    SMALL_MARK,
    TALL,
    TEXT,
    TOP,
    WIDTH,
)
from cds.pictures.model import LimitLine, Mark, Panel, Picture, Reference

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D

_COLUMNS = 132
_BELOW, _LEAD = 15.0, 11.0
_ROOM = 0.14
_LABEL = 0.15
_TICKS_APART = 0.22
_PLOT = WIDTH - LEFT - RIGHT


def draw(picture: Picture, about: str) -> bytes:
    """The picture as SVG; `about` is what a screen reader says of it."""
    top = _wrapped(picture.about)
    caption = _wrapped(picture.caption)
    remarks = [_wrapped(panel.remarks) for panel in picture.panels]
    below = sum(map(_room, picture.panels, remarks))
    head = TOP + LINE + (len(top) + 1) * LINE
    with settings():
        sheet = Sheet(head + below + (len(caption) + 3) * LINE)
        sheet.write(picture.title, 0.14, LARGE, bold=True)
        _write(sheet, top, TOP + LINE)
        at = head
        for panel, words in zip(picture.panels, remarks, strict=True):
            at = _panel(sheet, panel, words, at)
        _legend(sheet, picture, at)
        _write(sheet, caption, at + 2 * LINE)
        return sheet.svg(picture.title, about)


def _wrapped(texts: Sequence[str]) -> list[str]:
    return [line for text in texts for line in textwrap.wrap(text, _COLUMNS, break_on_hyphens=False)]


def _write(sheet: Sheet, lines: Sequence[str], top: float) -> None:
    for number, line in enumerate(lines):
        sheet.write(line, top + number * LINE, SMALL)


def _panel(sheet: Sheet, panel: Panel, remarks: Sequence[str], at: float) -> float:
    """Draw one panel; gives the place where the next one begins."""
    unit = f", {panel.unit}" if panel.unit else ""
    sheet.write(f"{panel.title}{unit}", at, BASE, bold=True)
    axes = sheet.axes(at + HEAD, _height(panel), f"panel-{panel.code}")
    _scale(axes, panel)
    for reference in panel.references:
        _reference(axes, reference, panel)
    for number, limit in enumerate(panel.limits):
        _limit(axes, limit, panel, number)
    _marks(axes, panel)
    _ends(axes, panel)
    _write(sheet, remarks, at + HEAD + _height(panel) + FOOT)
    return at + _room(panel, remarks)


def _room(panel: Panel, remarks: Sequence[str]) -> float:
    return HEAD + _height(panel) + FOOT + (len(remarks) + 0.5) * LINE


def _height(panel: Panel) -> float:
    return TALL if panel.references else PANEL


def _scale(axes: Axes, panel: Panel) -> None:
    from matplotlib.ticker import MaxNLocator

    heights = list(_heights(panel)) or [0.0]
    low, high = min(heights), max(heights)
    room = (high - low) * _ROOM or abs(high) * _ROOM or 1.0
    axes.set_ylim(low - room, high + room)
    axes.set_xlim(float(0), float(panel.axis.span))
    axes.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
    axes.set_xticks([_x(panel, place) for place, _ in panel.axis.ticks], [text for _, text in panel.axis.ticks])
    axes.tick_params(labelsize=SMALL)
    lines = max((text.count("\n") for _, text in panel.axis.ticks), default=0) + 1
    _beside(axes, panel.axis.label, (1.0, 0.0), (0, -_BELOW - lines * _LEAD), ha="right")


def _beside(axes: Axes, words: str, at: tuple[float, float], away: tuple[float, float], **style: str) -> None:
    """Words so many points away from a place in the axes, both ends of which count from 0 to 1."""
    look: dict[str, Any] = {"size": SMALL, "color": TEXT, "parse_math": False, "annotation_clip": False, **style}
    said = "\n".join(map(printable, words.split("\n")))
    axes.annotate(said, at, away, "axes fraction", "offset points", **look)


def _heights(panel: Panel) -> Iterator[float]:
    yield from (float(mark.y) for mark in panel.marks)
    yield from (float(limit.y) for limit in panel.limits)
    yield from (float(y) for reference in panel.references for _, y in reference.points)


def _x(panel: Panel, place: Fraction) -> float:
    return float(place - panel.axis.low)


def _reference(axes: Axes, reference: Reference, panel: Panel) -> None:
    xs = [_x(panel, x) for x, _ in reference.points]
    (line,) = axes.plot(xs, [float(y) for _, y in reference.points], color=GREY, linewidth=1.0)
    dashes = DASHES[abs(reference.z)]
    if dashes:
        line.set_dashes(dashes)
    line.set_gid(f"reference-{panel.code}-{reference.z}")


def _limit(axes: Axes, limit: LimitLine, panel: Panel, number: int) -> None:
    from matplotlib.markers import MarkerStyle

    y, start, end = float(limit.y), _x(panel, limit.start), float(panel.axis.span)
    (line,) = axes.plot([start, end], [y, y], color=LIMIT, linewidth=1.2)
    line.set_gid(f"limit-{panel.code}-{number}")
    count = max(round((end - start) / end * _PLOT / _TICKS_APART), 1)
    places = [start + (end - start) * (each + 0.5) / count for each in range(count)]
    tick = MarkerStyle(2 if limit.outer == "above" else 3)
    axes.plot(places, [y] * count, linestyle="none", marker=tick, markersize=4, color=LIMIT, markeredgewidth=1.0)


def _marks(axes: Axes, panel: Panel) -> None:
    before: dict[str, Mark] = {}
    for around, mark in _last(panel, now=False):
        axes.annotate(around, (_x(panel, mark.x), float(mark.y)), (8, -3), "data", "offset points", size=SMALL)
    for number, mark in enumerate(panel.marks):
        former = before.get(mark.around)
        if mark.joined and former is not None:
            (line,) = axes.plot(*_between(panel, former, mark), color=INK, linewidth=1.0, zorder=3)
            line.set_gid(f"join-{panel.code}-{number}")
        _mark(axes, panel, mark, number)
        before[mark.around] = mark


def _last(panel: Panel, now: bool) -> list[tuple[str, Mark]]:
    """Where marks of unlike context stand in one panel, the last of each, which carries its name."""
    last = {mark.around: mark for mark in panel.marks}
    return [(around, mark) for around, mark in last.items() if mark.now is now] if len(last) > 1 else []


def _between(panel: Panel, former: Mark, mark: Mark) -> tuple[list[float], list[float]]:
    return [_x(panel, former.x), _x(panel, mark.x)], [float(former.y), float(mark.y)]


def _mark(axes: Axes, panel: Panel, mark: Mark, number: int) -> None:
    x, y = _x(panel, mark.x), float(mark.y)
    if mark.spread:
        axes.plot([x - float(mark.spread), x + float(mark.spread)], [y, y], color=INK, linewidth=1.0, zorder=3)
    if mark.bound:
        arrow = {"arrowstyle": "-", "color": INK, "linewidth": 1.0, "linestyle": (0, (1.0, 1.5))}
        away = (0, 14 if mark.bound == "above" else -14)
        axes.annotate("", (x, y), away, "data", "offset points", arrow)
    drawn = shape(axes, (x, y), mark, f"mark-{panel.code}-{number}")
    if len(panel.marks) > MANY:
        drawn.set_markersize(SMALL_MARK)
    if mark.now:
        behind = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
        style: dict[str, Any] = {"size": SMALL, "weight": "bold", "color": TEXT, "ha": "center", "bbox": behind}
        away = (0, 8) if _is_clear_above(panel, mark) else (0, -15)
        axes.annotate(mark.number, (x, y), away, "data", "offset points", zorder=3.5, **style)


def _is_clear_above(panel: Panel, mark: Mark) -> bool:
    """Whether the nearest limit or line above a mark is farther off than the nearest below it."""
    heights = [limit.y for limit in panel.limits]
    heights += [min(each.points, key=lambda point: abs(point[0] - mark.x))[1] for each in panel.references]
    above = min((y - mark.y for y in heights if y >= mark.y), default=None)
    below = min((mark.y - y for y in heights if y < mark.y), default=None)
    return above is None or (below is not None and above >= below)


def shape(axes: Axes, at: tuple[float, float], mark: Mark, gid: str) -> Line2D:
    """The shape of a mark: filled where settled, hollow where provisional; its outline tells amended and late."""
    (drawn,) = axes.plot(
        *([each] for each in at),
        marker=OUTLINES[mark.amended, mark.late],
        markersize=MARK,
        markerfacecolor=INK if mark.settled else PAPER,
        markeredgecolor=INK,
        markeredgewidth=MARK / 5,
        linestyle="none",
        clip_on=False,
        zorder=4,
    )
    drawn.set_gid(gid)
    return drawn


def _ends(axes: Axes, panel: Panel) -> None:
    """What stands at the right end of lines, each beside its line, none over another."""
    low, high = axes.get_ylim()
    height = _height(panel)
    labels = [(float(each.y), f"{each.words}\n{each.source}", TEXT) for each in panel.limits]
    labels += [(float(each.points[-1][1]), each.words, GREY) for each in panel.references]
    labels += [(float(mark.y), around, INK) for around, mark in _last(panel, now=True)]
    apart = (high - low) * _LABEL / height * (2.2 if panel.limits else 1.0)
    places = spread([y for y, _, _ in labels], apart, low, high)
    for (_, words, colour), place in zip(labels, places, strict=True):
        _beside(axes, words, (1.0, (place - low) / (high - low)), (7, 0), color=colour, va="center")


def _legend(sheet: Sheet, picture: Picture, at: float) -> None:
    """The shapes that the picture uses, each with its words."""
    marks = [mark for panel in picture.panels for mark in panel.marks]
    used = {mark.state: mark for mark in sorted(marks, key=lambda mark: (mark.late, mark.amended, not mark.settled))}
    if not used:
        return
    axes = sheet.axes(at, LINE, "legend")
    axes.set_axis_off()
    axes.set_xlim(0, _PLOT)
    axes.set_ylim(-1, 1)
    place = 0.0
    for state, mark in used.items():
        shape(axes, (place, 0), mark, f"legend-{state.replace(', ', '-')}")
        axes.text(place + 0.12, 0, state, size=SMALL, va="center", color=TEXT)
        place += 0.4 + 0.08 * len(state)
