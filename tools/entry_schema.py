"""Write schemas/entry.schema.json from the tables that the reader of entries uses."""

from __future__ import annotations

import json
from pathlib import Path

from cds.entry.shape import build_schema
from cds.shipped import shipped

TARGET: Path = shipped("schemas") / "entry.schema.json"


def write_schema() -> str:
    """The text of the schema file."""
    return json.dumps(build_schema(), indent=2, ensure_ascii=True) + "\n"


if __name__ == "__main__":
    TARGET.write_text(write_schema(), encoding="utf-8")
