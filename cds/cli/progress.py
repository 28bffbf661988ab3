"""A bar on standard error while something long runs, where that is a terminal.

Takes a word for what is counted and how many there are. Gives a step to call. Draws nothing where output is kept.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Step = Callable[[int], None]


@contextmanager
def progress(word: str, total: int | None) -> Iterator[Step]:
    """The bar; the step takes how much was done since the last."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(word, total=total)
        yield lambda size: bar.advance(task, size)
