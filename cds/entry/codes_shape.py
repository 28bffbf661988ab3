"""Refuse a mapping file that is not of the shape of its schema, in the words of the person who writes it.

Takes parsed JSON. Gives nothing, or every fault with its place. Knows no meaning of what the file says.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import cast

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from cds.entry.faults import echo, name_kind, suggest
from cds.errors import Problem, Refused
from cds.shipped import shipped


def check_shape(name: str, data: object) -> None:
    """Refuse a document that is not of the schema `codes`, with every fault at its place (CM-103)."""
    schema = json.loads((shipped("schemas") / "codes.schema.json").read_text(encoding="utf-8"))
    errors = Draft202012Validator(schema).iter_errors(data)
    problems = [Problem(f"{name}:{_point(error)}", "CM-103", *said) for error in errors for said in _say(error)]
    if problems:
        raise Refused("codes", sorted(problems))


def _point(error: ValidationError) -> str:
    return "".join(f"/{step}" for step in error.absolute_path) or "/"


def _say(error: ValidationError) -> Iterator[tuple[str, str, str]]:
    rule, wanted, instance = str(error.validator), error.validator_value, cast("dict[str, object]", error.instance)
    if rule == "required":
        missing = (key for key in cast("list[str]", wanted) if key not in instance)
        yield from ((f"no `{key}`", f"`{key}`", f"add `{key}`") for key in missing)
    elif rule == "additionalProperties":
        known = sorted(cast("dict[str, dict[str, object]]", error.schema)["properties"])
        for key in (key for key in instance if key not in known):
            yield f"key {echo(key)}", f"keys {', '.join(known)}", suggest(key, known, "one of these keys")
    else:
        found = echo(error.instance) if isinstance(error.instance, str) else name_kind(instance)
        yield found, _EXPECTED.get(rule, "{}").format(_named(wanted)), "see schemas/codes.schema.json"


def _named(wanted: object) -> str:
    listed = wanted if isinstance(wanted, list) else [wanted]
    return " or ".join(_TYPES.get(str(each), str(each)) for each in listed)


_TYPES = {"object": "an object", "array": "a list", "string": "a text", "integer": "a whole number"}
_EXPECTED = {
    "enum": "one of: {}",
    "pattern": "a text of the form {}",
    "minItems": "a list with at least {} item",
    "minLength": "a text of at least {} character",
    "maxLength": "a text of at most {} characters",
    "minProperties": "an object with at least {} keys",
    "uniqueItems": "a list in which no item stands twice",
}
