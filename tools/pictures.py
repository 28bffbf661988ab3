"""Write docs/pictures: invented infants of Thornmere and some thresholds, each as SVG with its text table."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from cds.adviser import Adviser
from cds.entry.read import read_entry, read_json
from cds.pictures.sheets import Drawn, draw_answer, draw_threshold
from cds.rules.load import load

ROOT = Path(__file__).resolve().parents[1]
TARGET = ROOT / "docs" / "pictures"
RULES = ROOT / "rulesets" / "infant-vitals"
ENTRIES = {
    "rate": TARGET / "rate.json",
    "growth": TARGET / "growth.json",
    "two-weeks": ROOT / "rulesets" / "demo" / "t-206.json",
}
THRESHOLDS = ("respiratory-rate-fast", "heart-rate-low-awake", "weight-gain-slow")


def draw_all() -> Iterator[tuple[str, Drawn]]:
    """Each picture with its name."""
    rules = load(RULES)
    adviser = Adviser(rules)
    for name, file in ENTRIES.items():
        data = read_json(file.read_bytes())
        charted = read_entry(data).event.charted
        yield name, draw_answer(adviser.answer(read_entry(data, charted), charted))
    for name in THRESHOLDS:
        yield name, draw_threshold(rules.thresholds[name], rules)


def files() -> Iterator[tuple[str, bytes]]:
    """The name and bytes of each file."""
    for name, drawn in draw_all():
        yield f"{name}.svg", drawn.svg
        yield f"{name}.txt", drawn.table.encode()


if __name__ == "__main__":
    for name, content in files():
        (TARGET / name).write_bytes(content)
