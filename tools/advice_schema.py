"""Write schemas/advice.schema.json from the classes of cds/advice/model.py.

`python -m tools.advice_schema` writes it; a test compares the file with what this makes.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from cds.advice.model import Advice

PLACE = Path(__file__).parent.parent / "schemas" / "advice.schema.json"


def make() -> str:
    """The text of the schema. What may be left out is left out, never null; only `moment` and `agree` may be null."""
    schema = _without_nulls(Advice.model_json_schema(by_alias=True))
    return json.dumps({"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}, indent=2) + "\n"


def _without_nulls(node: Any) -> Any:
    if isinstance(node, list):
        return [_without_nulls(each) for each in node]
    if not isinstance(node, dict):
        return node
    plain = {key: _without_nulls(value) for key, value in node.items() if not _is_noise(key, value)}
    return _narrowed(plain, node) if "default" in node and node["default"] is None else plain


def _is_noise(key: str, value: Any) -> bool:
    """Titles made from names, and defaults of what may be left out; a property may be called `title` too."""
    return (key == "title" and isinstance(value, str)) or (key == "default" and value is None)


def _narrowed(plain: dict[str, Any], node: dict[str, Any]) -> dict[str, Any]:
    options = [each for each in plain.pop("anyOf", []) if each != {"type": "null"}]
    return {**plain, **options[0]} if len(options) == 1 else {**plain, "anyOf": options}


if __name__ == "__main__":
    PLACE.write_text(make(), encoding="utf-8")
