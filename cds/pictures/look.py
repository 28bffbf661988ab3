"""The look of every picture: ink, greys, dashes, shapes, sizes.

Holds no clinical figure. One hue; what must be told apart is told apart by shape, dash or words, so that nothing is
lost in grey. Contrast is computed as in WCAG 2.2, success criteria 1.4.3 and 1.4.11: 4.5:1 for text, 3:1 for marks.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

PAPER = "#ffffff"
TEXT = "#1c1c1c"
INK = "#1d3557"
"""Marks and the lines that join them."""

LIMIT = "#3c3c3c"
GREY = "#6f6f6f"
"""Reference lines, their labels, and the lines that lead from a band to its words."""

TEXTS = (TEXT, GREY)
DRAWN = (INK, LIMIT, GREY)

DASHES: Mapping[int, tuple[float, ...]] = MappingProxyType({0: (), 2: (6.0, 2.5), 3: (1.5, 2.5)})
"""Points on and off for the reference line of each z, whatever its sign; empty: a whole line."""

OUTLINES: Mapping[tuple[bool, bool], str] = MappingProxyType(
    {(False, False): "o", (True, False): "s", (False, True): "D", (True, True): "^"}
)
"""The outline of a mark by whether it was amended and whether it was charted late."""

MARK, SMALL_MARK, MANY = 6.0, 3.5, 60
"""Sizes of a mark in points, the smaller one in a panel with more marks than so many."""

SMALL, BASE, LARGE = 8.0, 9.0, 11.0
"""Sizes of text in points."""

WIDTH = 9.0
LEFT, RIGHT = 0.85, 2.05
TOP = 0.3
LINE = 0.17
PANEL, TALL, HEAD, FOOT = 1.75, 2.5, 0.3, 0.62
"""Inches: the whole width, margins, a line of text, a panel, one with lines of growth, its title, its ages or times."""

FONTS = ("DejaVu Sans", "Verdana", "sans-serif")
RC: Mapping[str, Any] = MappingProxyType(
    {
        "svg.fonttype": "none",
        "svg.hashsalt": "infant-vitals",
        "font.family": ["sans-serif"],
        "font.sans-serif": list(FONTS),
        "font.size": BASE,
        "axes.edgecolor": GREY,
        "axes.labelcolor": TEXT,
        "text.color": TEXT,
        "xtick.color": GREY,
        "ytick.color": GREY,
        "xtick.labelcolor": TEXT,
        "ytick.labelcolor": TEXT,
        "axes.linewidth": 0.8,
        "axes.unicode_minus": False,
        "axes.formatter.useoffset": False,
        "axes.formatter.limits": [-9, 9],
        "axes.spines.top": False,
        "axes.spines.right": False,
    }
)


def contrast(first: str, second: str) -> float:
    """The contrast of two colours, 1 to 21. Source: WCAG 2.2, relative luminance and contrast ratio."""
    bright, dark = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    red, green, blue = (_linear(int(colour[place : place + 2], 16) / 255) for place in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
