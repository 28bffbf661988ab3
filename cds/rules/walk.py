"""Walk conditions as written: each part once, in the order of the file.

Takes a spot of a condition; gives its parts with whether they stand where only a negation or a count looks (`none`,
`at_least`). Groups are entered only by `walk_all`, and each group once, so that a cycle ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cds.rules.names import Names
from cds.rules.spot import Spot

TOGETHER = ("all", "any", "none")
FORMS = (*TOGETHER, "at_least", "group", "finding", "observed", "derived", "score", "care", "band", "not_representable")


@dataclass(frozen=True, slots=True)
class Part:
    """One condition: where it is, its form, and the `none` or `at_least` it stands in."""

    spot: Spot
    form: str
    inside: str | None = None


def form_of(spot: Spot) -> str:
    """The key that says what a condition is."""
    return next(form for form in FORMS if form in spot.data)


def parts_of(spot: Spot) -> list[Spot]:
    """The conditions directly below; none for a criterion."""
    form = form_of(spot)
    if form in TOGETHER:
        return list(spot.each(form))
    return list(spot.each("at_least", "of")) if form == "at_least" else []


def walk(spot: Spot, inside: str | None = None) -> Iterator[Part]:
    """A condition and all below it, groups not entered."""
    form = form_of(spot)
    yield Part(spot, form, inside)
    below = form if form in ("none", "at_least") else inside
    for part in parts_of(spot):
        yield from walk(part, below)


def walk_all(spot: Spot, names: Names) -> Iterator[Part]:
    """As `walk`, and through the groups that are named, each once."""
    entered: set[str] = set()
    waiting = [(spot, None)]
    while waiting:
        for part in walk(*waiting.pop(0)):
            yield part
            name = part.spot.data.get("group")
            if name in names.groups and name not in entered:
                entered.add(name)
                waiting.append((names.groups[name].down("when"), part.inside))  # type: ignore[arg-type]


def thresholds_in(part: Part) -> list[Spot]:
    """Where a criterion names thresholds."""
    if "reaches" not in part.spot.data:
        return []
    return reached_by(part.spot.down("reaches"))


def reached_by(reach: Spot) -> list[Spot]:
    """Where `reaches` names thresholds: itself, one for each word of a context key, or one in some bands."""
    if isinstance(reach.data, str):
        return [reach]
    if "threshold" in reach.data:
        return [reach.down("threshold")]
    return [reach.down(word) for word in reach.data if word != "by"]
