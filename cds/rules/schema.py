"""Hold the data of one rule file against its JSON Schema, and say each fault in the words of rule authors.

Takes a tree with places and the name of a schema; gives problems RS-201 to RS-209. Never changes data, never stops at
the first fault.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any, Protocol

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from referencing import Registry, Resource

from cds.errors import Problem
from cds.rules.phrase import both, either, kind, nearest, quoted, written_order
from cds.shipped import shipped

NAMES = ("ruleset", "sources", "bands", "groups", "threshold", "score", "rules", "rule", "case")
_CONDITION = "/$defs/condition"
_KINDS = {"string": "text", "number": "a number", "integer": "a whole number", "object": "keys with values"}
_OTHER_KINDS = {"array": "a list", "boolean": "true or false"}


class Places(Protocol):
    """Where the values of one file are written."""

    def place(self, pointer: str) -> str:
        """The place of a value."""
        ...

    def key_place(self, pointer: str) -> str:
        """The place of the key that a pointer ends in."""
        ...


def validate(data: object, schema: str, places: Places) -> list[Problem]:
    """All faults of form in the data of one file, each once, in the order of the file's keys and lists."""
    faults = [_fault(error) for error in _validator(schema).iter_errors(data)]
    unclear = {fault.pointer for fault in faults if fault.keyword == "oneOf"}
    problems: dict[Problem, None] = {}
    for fault in faults:
        if not (fault.keyword in ("additionalProperties", "required") and fault.pointer in unclear):
            problems.update(dict.fromkeys(_SAY[fault.keyword](fault, places)))
    return sorted(problems, key=written_order)


@cache
def _validator(schema: str) -> Draft202012Validator:
    whole = {name: _inlined(content, name) for name, content in _schemas().items()}
    named = ((name, Resource.from_contents(content)) for name, content in whole.items())
    registry: Registry[Any] = Registry().with_resources(named)
    return Draft202012Validator(whole[f"{schema}.schema.json"], registry=registry)


@cache
def _schemas() -> dict[str, Any]:
    names = [f"{name}.schema.json" for name in NAMES]
    return {name: json.loads((shipped("schemas") / name).read_text("utf-8"), parse_float=Decimal) for name in names}


def _inlined(part: Any, name: str) -> Any:
    """A schema with what it refers to put in place, since looking references up takes most of the time of validating.

    Conditions hold conditions, so that one reference stays.
    """
    if isinstance(part, list):
        return [_inlined(each, name) for each in part]
    if not isinstance(part, dict):
        return part
    rest = {key: _inlined(value, name) for key, value in part.items() if key != "$ref"}
    if "$ref" not in part:
        return rest
    file, _, pointer = part["$ref"].partition("#")
    if pointer == _CONDITION:
        return {"$ref": f"rule.schema.json#{_CONDITION}"}
    target = _schemas()[file or name]
    for key in pointer.split("/")[1:]:
        target = target[key]
    there = _inlined({key: value for key, value in target.items() if key != "$defs"}, file or name)
    return {"allOf": [there], **rest} if rest else there


@dataclass(frozen=True, slots=True)
class _Fault:
    """What one keyword of a schema refuses: the keyword, what it asks, and the part it refuses."""

    keyword: str
    asked: Any
    instance: Any
    schema: Any
    pointer: str
    is_name: bool


def _fault(error: ValidationError) -> _Fault:
    is_name = "propertyNames" in error.absolute_schema_path
    pointer = _pointer(error.absolute_path)
    return _Fault(str(error.validator), error.validator_value, error.instance, error.schema, pointer, is_name)


def _pointer(path: Iterable[str | int]) -> str:
    return "".join(f"/{str(part).replace('~', '~0').replace('/', '~1')}" for part in path)


def at(places: str, pointer: str) -> str:
    """A place with its pointer, as the first field of a message."""
    return f"{places}  {pointer}" if pointer else places


Said = Iterator[Problem]


def _missing(fault: _Fault, places: Places) -> Said:
    known = fault.schema.get("properties", {})
    # A misspelt key is a fault of its own only where no other keys may stand.
    closed = fault.schema.get("additionalProperties") is False
    meant = {nearest(name, known) for name in fault.instance if closed and name not in known}
    for name in fault.asked:
        if name not in fault.instance and name not in meant:
            found = f"no `{name}` here"
            yield Problem(
                at(places.place(fault.pointer), fault.pointer), "RS-201", found, f"the key `{name}`", f"add `{name}`"
            )


def _needs(fault: _Fault, places: Places) -> Said:
    for name, needed in fault.asked.items():
        if name in fault.instance and any(each not in fault.instance for each in needed):
            where = f"{fault.pointer}/{name}"
            found, expected = f"`{name}` without {both(needed)}", f"`{name}` only beside {both(needed)}"
            yield Problem(at(places.key_place(where), where), "RS-202", found, expected, f"remove `{name}`")


def _unknown(fault: _Fault, places: Places) -> Said:
    known = fault.schema.get("properties", {})
    for name in fault.instance:
        if name not in known:
            near = nearest(name, known)
            next_step = f"write `{near}`, or remove it" if near else "remove it"
            where = at(places.key_place(f"{fault.pointer}{_pointer([name])}"), f"{fault.pointer}{_pointer([name])}")
            yield Problem(where, "RS-202", f"the key {quoted(name)}", f"only {both(known)}", next_step)


def _wrong_kind(fault: _Fault, places: Places) -> Said:
    wanted = fault.asked
    words = " or ".join((_KINDS | _OTHER_KINDS)[name] for name in ([wanted] if isinstance(wanted, str) else wanted))
    found = kind(fault.instance)
    shown = quoted(fault.instance)
    found = found if shown == found else f"{found}, {shown}"
    next_step = "put it in quotes" if "text" in words and not isinstance(fault.instance, list | dict) else "correct it"
    yield Problem(at(places.place(fault.pointer), fault.pointer), "RS-203", found, words, next_step)


def _not_listed(fault: _Fault, places: Places) -> Said:
    known = fault.asked
    near = nearest(fault.instance, known)
    next_step = f"write `{near}`, if that is meant" if near else "choose one of these"
    yield Problem(
        at(places.place(fault.pointer), fault.pointer), "RS-204", quoted(fault.instance), either(known), next_step
    )


def _wrong_form(fault: _Fault, places: Places) -> Said:
    expected = fault.schema["description"]
    yield Problem(_spot(fault, places), "RS-205", quoted(fault.instance), expected, "correct the spelling")


def _too_few(fault: _Fault, places: Places) -> Said:
    least = fault.asked
    found = f"{len(fault.instance)}" if len(fault.instance) else "nothing"
    what = {"minLength": "letter", "minItems": "part", "minProperties": "key"}[fault.keyword]
    expected = f"at least {least} {what}{'' if least == 1 else 's'}"
    yield Problem(
        at(places.place(fault.pointer), fault.pointer), "RS-206", found, expected, "add what is missing, or remove it"
    )


def _out_of_range(fault: _Fault, places: Places) -> Said:
    expected = _RANGES[fault.keyword].format(fault.asked)
    found = f"{len(fault.instance)} letters" if fault.keyword == "maxLength" else quoted(fault.instance)
    if fault.keyword in ("maxItems", "maxProperties"):
        found = f"{len(fault.instance)}"
    yield Problem(_spot(fault, places), "RS-207", found, expected, "correct it")


def _not_one(fault: _Fault, places: Places) -> Said:
    if not isinstance(fault.instance, dict):
        return  # Its kind is a fault of its own.
    choices = [part["required"][0] for part in fault.asked]
    present = [name for name in fault.instance if name in choices]
    if present:
        found, next_step = f"{both(present)} together", "keep one of them"
    else:
        near = next(filter(None, (nearest(name, choices) for name in fault.instance)), None)
        found = f"only {both(fault.instance)}" if fault.instance else "no key"
        next_step = f"write `{near}`, if that is meant" if near else "say which one is meant"
    expected = f"exactly one of {either(choices)}"
    yield Problem(at(places.place(fault.pointer), fault.pointer), "RS-208", found, expected, next_step)


def _repeated(fault: _Fault, places: Places) -> Said:
    for number, part in enumerate(fault.instance):
        if part in fault.instance[:number]:
            where = f"{fault.pointer}/{number}"
            found = f"{quoted(part)} a second time"
            yield Problem(at(places.place(where), where), "RS-209", found, "each part once", "remove one of the two")


def _spot(fault: _Fault, places: Places) -> str:
    """Where the fault is: in a key, when the schema speaks of the names of keys, else in the value."""
    if fault.is_name:
        below = f"{fault.pointer}{_pointer([fault.instance])}"
        return at(places.key_place(below), below)
    return at(places.place(fault.pointer), fault.pointer)


_RANGES = {
    "minimum": "{} or more",
    "maximum": "{} or less",
    "maxLength": "at most {} letters",
    "maxItems": "at most {}",
    "maxProperties": "at most {}",
}
_SAY: Mapping[str, Callable[[_Fault, Places], Said]] = {
    "required": _missing,
    "additionalProperties": _unknown,
    "type": _wrong_kind,
    "enum": _not_listed,
    "pattern": _wrong_form,
    "minLength": _too_few,
    "minItems": _too_few,
    "minProperties": _too_few,
    "maxLength": _out_of_range,
    "maxItems": _out_of_range,
    "maxProperties": _out_of_range,
    "minimum": _out_of_range,
    "maximum": _out_of_range,
    "dependentRequired": _needs,
    "oneOf": _not_one,
    "uniqueItems": _repeated,
}
