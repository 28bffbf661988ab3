"""What a picture holds before it is drawn: panels of marks, limits and reference lines, each with its words.

Takes nothing, gives frozen types. Positions are exact fractions in the unit of the axis; whoever draws may round them
to a point on paper, nobody decides by them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Side = Literal["above", "below"]


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis: what it says, from where to where, and the places that carry a text."""

    label: str
    low: Fraction
    high: Fraction
    ticks: tuple[tuple[Fraction, str], ...] = ()

    @property
    def span(self) -> Fraction:
        """From the lower end to the higher."""
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Mark:
    """One charted value.

    `x` is when, with `spread` to either side where the time is a span; `y` the value in the unit of the axis, `number`
    the same in digits; `words` as charted, `when` its time in words. `settled` is False for what waits for a settled,
    full repeat. `around` is the context that keeps it apart from others (a route, a limb). `bound` says on which side
    of the mark the value lies where only a bound was charted. `order` counts the entries, `joined` says that a line
    leads to it from the mark before of the same context. `now` marks the entry that is answered.
    """

    x: Fraction
    y: Fraction
    number: str
    words: str
    when: str
    order: int
    settled: bool = True
    amended: bool = False
    late: bool = False
    spread: Fraction = Fraction(0)
    around: str = ""
    bound: Side | None = None
    joined: bool = False
    now: bool = False

    @property
    def state(self) -> str:
        """What the shape of the mark tells, in words."""
        kind = "settled" if self.settled else "provisional"
        return ", ".join([kind, *(["amended"] if self.amended else []), *(["late"] if self.late else [])])


@dataclass(frozen=True, slots=True)
class LimitLine:
    """A limit in force: its height, from where on it is drawn, on which side it is reached, its words and source."""

    y: Fraction
    start: Fraction
    outer: Side
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A line of the growth reference: its z, and its points from youngest to oldest."""

    z: int
    points: tuple[tuple[Fraction, Fraction], ...]

    @property
    def words(self) -> str:
        """Its label: "z -2"."""
        return f"z {self.z:+d}" if self.z else "z 0"


@dataclass(frozen=True, slots=True)
class Panel:
    """One sign: its marks in order of time, its limits, its reference lines, and what could not be drawn."""

    code: str
    title: str
    unit: str
    axis: Axis
    marks: tuple[Mark, ...]
    limits: tuple[LimitLine, ...] = ()
    references: tuple[Reference, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole picture: its title, the lines under it, its panels from top to bottom, its caption."""

    title: str
    about: tuple[str, ...]
    panels: tuple[Panel, ...]
    caption: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of an age axis that is linear in one unit: its ends in days, and where it stands from 0 to 1."""

    unit: str
    start: Fraction
    end: Fraction
    left: Fraction
    right: Fraction

    def place(self, days: Fraction) -> Fraction:
        """Where an age stands, from 0 to 1 over the whole axis."""
        return self.left + (self.right - self.left) * (days - self.start) / (self.end - self.start)


@dataclass(frozen=True, slots=True)
class Step:
    """One band of a threshold: from and to as places from 0 to 1, its limit (None: no limit), its words."""

    left: Fraction
    right: Fraction
    y: Fraction | None
    limit: str
    words: str
    ages: str
    source: str
    site: str


@dataclass(frozen=True, slots=True)
class Steps:
    """A threshold over age: its bands as steps, on an axis of one or more pieces."""

    title: str
    about: tuple[str, ...]
    label: str
    age: str
    outer: Side
    pieces: tuple[Piece, ...]
    steps: tuple[Step, ...]
    caption: tuple[str, ...]
