"""Paper and pen: a figure that is the same on every run, and its SVG with words for screen readers.

The only part that imports matplotlib, and only when something is drawn. Settings of a site's own are put aside while
drawing. Gives bytes with no date, no version and no name of a machine in them.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from cds.advice.lines import printable
from cds.pictures.look import BASE, LEFT, PAPER, RC, RIGHT, TEXT, WIDTH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

EXTRA = "pictures"
_NOTHING = {"Date": None, "Creator": None, "Format": None, "Type": None}
_OPENING = re.compile(r"<svg [^>]*>")
_METADATA = re.compile(r"\s*<metadata>.*?</metadata>", re.DOTALL)


def is_installed() -> bool:
    """Whether what draws is installed (the extra `pictures`)."""
    return find_spec("matplotlib") is not None


@contextmanager
def settings() -> Iterator[None]:
    """The look of these pictures and nothing else, until the picture is made."""
    import matplotlib as mpl

    with mpl.rc_context():
        mpl.rcdefaults()
        ours: Any = mpl.rcParams
        ours.update(RC)
        yield


class Sheet:
    """One figure, filled from the top; `place` counts inches from the top."""

    def __init__(self, height: float) -> None:
        from matplotlib.figure import Figure

        self.height = height
        self.figure: Figure = Figure(figsize=(WIDTH, height), facecolor=PAPER)

    def axes(self, top: float, height: float, name: str, width: float = WIDTH - LEFT - RIGHT) -> Axes:
        """Axes that many inches from the top, in the place of the panels."""
        box = (LEFT / WIDTH, 1 - (top + height) / self.height, width / WIDTH, height / self.height)
        axes = self.figure.add_axes(box, label=name)
        axes.set_gid(name)
        axes.set_facecolor(PAPER)
        return axes

    def write(self, text: str, top: float, size: float = BASE, bold: bool = False) -> None:
        """A line of text that many inches from the top, at the left edge."""
        weight = "bold" if bold else "normal"
        self.figure.text(
            0.2 / WIDTH,
            1 - top / self.height,
            printable(text),
            size=size,
            weight=weight,
            color=TEXT,
            va="top",
            parse_math=False,
        )

    def svg(self, title: str, about: str) -> bytes:
        """The figure as SVG, named and described for those who do not see it."""
        from matplotlib.backends.backend_svg import FigureCanvasSVG

        file = io.StringIO()
        canvas: Any = FigureCanvasSVG(self.figure)
        canvas.print_svg(file, metadata=_NOTHING)
        return _named(file.getvalue(), title, about).encode("utf-8")


def _named(drawn: str, title: str, about: str) -> str:
    body = _METADATA.sub("", drawn[drawn.index("<svg ") :], count=1)
    opening = _OPENING.match(body)
    assert opening is not None
    said = "\n".join(map(printable, about.splitlines()))
    words = f'<title id="title">{escape(printable(title))}</title>\n <desc id="desc">{escape(said)}</desc>'
    tag = opening[0].replace("<svg ", '<svg role="img" aria-labelledby="title desc" ', 1)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{tag}\n {words}{body[opening.end() :]}'


def spread(wanted: list[float], apart: float, low: float, high: float) -> list[float]:
    """Places near the wanted ones, in the same order, none nearer to the next than `apart` while there is room."""
    order = sorted(range(len(wanted)), key=wanted.__getitem__)
    places = [wanted[each] for each in order]
    for number in range(1, len(places)):
        places[number] = max(places[number], places[number - 1] + apart)
    limit = high
    for number in range(len(places) - 1, -1, -1):
        places[number] = min(places[number], limit)
        limit = places[number] - apart
    if places and places[0] < low:
        apart = min(apart, (high - low) / max(len(places) - 1, 1))
        places = [low + number * apart for number in range(len(places))]
    found = dict(zip(order, places, strict=True))
    return [found[each] for each in range(len(wanted))]
