"""Where the choices of invented entries come from: a seed, or hypothesis."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random
from typing import Any, Protocol, TypeVar

from hypothesis import settings
from hypothesis import strategies as st

T = TypeVar("T")

EXAMPLES = settings(max_examples=max(300, settings().max_examples))
"""For properties of whole answers: more examples than the profile `ci` asks for, as many as `deep` does."""


class Chance(Protocol):
    """Where choices come from."""

    def whole(self, low: int, high: int) -> int:
        """A whole number, both ends included."""

    def among(self, options: Sequence[T]) -> T:
        """One of several."""

    def share(self, percent: int) -> bool:
        """Yes in so many of a hundred."""


class Seeded:
    """Choices from a seed: fast, the same for the same seed."""

    def __init__(self, seed: int | str) -> None:
        self._random = Random(seed)

    def whole(self, low: int, high: int) -> int:
        return self._random.randint(low, high)

    def among(self, options: Sequence[T]) -> T:
        return self._random.choice(options)

    def share(self, percent: int) -> bool:
        return self._random.random() * 100 < percent


class Drawn:
    """Choices drawn by hypothesis, which makes failing entries small: no rather than yes, the first of several."""

    def __init__(self, draw: Callable[[st.SearchStrategy[Any]], Any]) -> None:
        self._draw = draw

    def whole(self, low: int, high: int) -> int:
        return int(self._draw(st.integers(low, high)))

    def among(self, options: Sequence[T]) -> T:
        chosen: T = self._draw(st.sampled_from(options))
        return chosen

    def share(self, percent: int) -> bool:
        return bool(self._draw(st.integers(0, 99)) >= 100 - percent)


def any_chance(data: st.DataObject) -> Chance:
    """Choices drawn one by one, or all from one drawn seed: the first make small entries, the second full ones."""
    return Seeded(data.draw(st.integers(0, 2**32))) if data.draw(st.booleans()) else Drawn(data.draw)
