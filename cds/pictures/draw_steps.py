"""Draw a threshold over age: steps with ticks on the outer side, each band's words and limit below the axis.

Takes steps, gives SVG. A label stands under its band where there is room, else beside its neighbours with a line to it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from cds.pictures.bands import DAYS, UNIT_WORDS
from cds.pictures.canvas import Sheet, settings, spread
from cds.pictures.look import GREY, LARGE, LEFT, LIMIT, LINE, SMALL, TEXT, TOP, WIDTH
from cds.pictures.model import Piece, Step, Steps

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_COLUMNS = 132
_HEIGHT, _WIDE = 2.6, WIDTH - LEFT - 0.35
_UPRIGHT = 4
_AGES, _LEADER, _APART = 0.58, 0.3, 0.19
_LETTER = 0.064
_ROOM = 0.18
_TICKS_APART = 0.16
_TICKS_MOST = 6
_EVEN: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {
        "min": (1, 2, 5, 10, 20, 30, 60, 120),
        "h": (1, 2, 4, 6, 12, 24, 48, 96),
        "d": (1, 2, 5, 10, 20, 30, 60, 120, 360),
        "wk": (1, 2, 4, 8, 13, 26, 52),
        "mo": (1, 2, 3, 6, 12, 24),
    }
)
"""How far apart the ages on an axis may stand, in each unit."""


def draw_steps(drawn: Steps, about: str) -> bytes:
    """The threshold as SVG; `about` is what a screen reader says of it."""
    caption = [line for text in drawn.caption for line in textwrap.wrap(text, _COLUMNS, break_on_hyphens=False)]
    top = TOP + (len(drawn.about) + 3) * LINE
    below = _below(drawn)
    with settings():
        sheet = Sheet(top + _HEIGHT + below + (len(caption) + 1) * LINE)
        sheet.write(drawn.title, 0.14, LARGE, bold=True)
        for number, line in enumerate(drawn.about):
            sheet.write(line, TOP + (number + 1) * LINE, SMALL)
        axes = sheet.axes(top, _HEIGHT, "panel-threshold", _WIDE)
        _fill(axes, drawn)
        for number, line in enumerate(caption):
            sheet.write(line, top + _HEIGHT + below + number * LINE, SMALL)
        return sheet.svg(drawn.title, about)


def _fill(axes: Axes, drawn: Steps) -> None:
    from matplotlib.ticker import MaxNLocator

    axes.set_xlim(0, 1)
    low, high = _ends(drawn)
    axes.set_ylim(low, high)
    axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    axes.tick_params(labelsize=SMALL)
    axes.spines["bottom"].set_visible(False)
    axes.set_xticks([])
    axes.text(0, 1.04, drawn.label, transform=axes.transAxes, size=SMALL)
    for piece in drawn.pieces:
        _age(axes, piece)
    _say(axes, drawn.age, (1, -_inches(0.37)), ha="right")
    for number, step in enumerate(drawn.steps):
        _step(axes, step, number, drawn)
    if all(step.y is None for step in drawn.steps):
        axes.text(0.5, 0.5, "no limit at any age", transform=axes.transAxes, size=SMALL, ha="center")
    _labels(axes, drawn)


def _ends(drawn: Steps) -> tuple[float, float]:
    heights = [float(step.y) for step in drawn.steps if step.y is not None] or [0.0, 1.0]
    room = (max(heights) - min(heights)) * _ROOM or abs(heights[0]) * _ROOM or 1.0
    return min(heights) - room, max(heights) + room


def _inches(length: float) -> float:
    """A length as a part of the height of the axes."""
    return length / _HEIGHT


def _age(axes: Axes, piece: Piece) -> None:
    """The axis of one piece: a line, its ages, its unit."""
    left, right = float(piece.left), float(piece.right)
    axes.plot([left, right], [0, 0], transform=axes.transAxes, color=GREY, linewidth=0.8, clip_on=False)
    for place, words in _ages(piece):
        axes.plot([place, place], [0, -_inches(0.05)], transform=axes.transAxes, color=GREY, lw=0.8, clip_on=False)
        _say(axes, words, (place, -_inches(0.08)), ha="center")
    _say(axes, UNIT_WORDS[piece.unit], ((left + right) / 2, -_inches(0.22)), ha="center")


def _ages(piece: Piece) -> Iterator[tuple[float, str]]:
    unit = DAYS[piece.unit]
    most = max(int(float(piece.right - piece.left) * _TICKS_MOST * 2), 2)
    step = next((each for each in _EVEN[piece.unit] if (piece.end - piece.start) / unit <= most * each), 1000)
    first, last = -(-piece.start // (unit * step)), piece.end // (unit * step)
    for count in range(int(first), int(last) + 1):
        yield float(piece.place(count * step * unit)), str(count * step)


def _say(axes: Axes, words: str, at: tuple[float, float], **style: Any) -> None:
    look: dict[str, Any] = {"size": SMALL, "color": TEXT, "va": "top", "parse_math": False, **style}
    axes.text(*at, words, transform=axes.transAxes, **look)


def _step(axes: Axes, step: Step, number: int, drawn: Steps) -> None:
    from matplotlib.markers import MarkerStyle

    if step.y is None:
        return
    left, right, y = float(step.left), float(step.right), float(step.y)
    (line,) = axes.plot([left, right], [y, y], color=LIMIT, linewidth=1.6, solid_capstyle="butt")
    line.set_gid(f"step-{number}")
    count = max(round((right - left) * _WIDE / _TICKS_APART), 1)
    places = [left + (right - left) * (each + 0.5) / count for each in range(count)]
    tick = MarkerStyle(2 if drawn.outer == "above" else 3)
    axes.plot(places, [y] * count, linestyle="none", marker=tick, markersize=4, color=LIMIT, markeredgewidth=1.0)


def _lines(step: Step, width: int) -> list[str]:
    return [*textwrap.wrap(step.words, width), *textwrap.wrap(step.limit, width)]


def _is_upright(drawn: Steps) -> bool:
    return len(drawn.steps) <= _UPRIGHT


def _columns(drawn: Steps) -> int:
    return int(_WIDE / len(drawn.steps) / _LETTER) - 2


def _below(drawn: Steps) -> float:
    """Inches that ages and labels take below the axis."""
    ages = _AGES + _LEADER
    if _is_upright(drawn):
        return ages + (max(len(_lines(step, _columns(drawn))) for step in drawn.steps) + 1) * LINE
    return ages + max(len(f"{step.limit}, {step.words}") for step in drawn.steps) * _LETTER + LINE


def _labels(axes: Axes, drawn: Steps) -> None:
    """The words of each band, level where there are few, else turned, in the order of age."""
    middles = [float(step.left + step.right) / 2 for step in drawn.steps]
    few = _is_upright(drawn)
    apart = 1 / len(middles) if few else _APART / _WIDE
    edge = apart / 2 if few else 0.0
    places = spread(middles, apart, edge, 1 - edge)
    top = -_inches(_AGES)
    for number, (step, middle, place) in enumerate(zip(drawn.steps, middles, places, strict=True)):
        leader = [top, top - _inches(_LEADER) * 0.8]
        axes.plot([middle, place], leader, transform=axes.transAxes, color=GREY, lw=0.7, clip_on=False)
        words = "\n".join(_lines(step, _columns(drawn))) if few else f"{step.limit}, {step.words}"
        turn = {} if few else {"rotation": 90.0}
        _say(axes, words, (place, top - _inches(_LEADER)), ha="center", gid=f"band-{number}", **turn)
