"""The JSON Schema of an entry, built from the tables that the reader uses.

Takes nothing, gives a schema (2020-12). It cannot say, and the reader alone refuses: a day that its month lacks, a
period or a range that ends before it begins, a number of too many digits.
"""

from __future__ import annotations

from cds.entry import care, infant, read
from cds.entry.catalogue import CARE, CATALOGUE, SEXES
from cds.entry.fields import MOST_TEXT, MOST_WORDS, PERIOD, Shape
from cds.entry.shape_observation import build_observations
from cds.entry.shape_parts import (
    DATE_OR_TIME,
    POUNDS_OUNCES,
    Schema,
    build_list,
    build_measured,
    build_object,
    build_text,
    build_whole,
    name_measured,
    refer,
    share_measured,
)


def build_schema() -> Schema:
    """The schema of schemas/entry.schema.json."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "entry",
        "description": "One charting event for one infant: who, when, what was measured or seen, earlier entries.",
        **_build_entry(read.ENTRY),
        "$defs": {
            "earlier": _build_entry(read.EARLIER),
            "sibling": _build_entry(read.SIBLING),
            "infant": _build_infant(),
            "event": _build_event(),
            "care": _build_care(),
            "remark": _build_remark(),
            **build_observations(),
            **share_measured(),
            "pounds_with_ounces": POUNDS_OUNCES,
            "date_or_time": DATE_OR_TIME,
            "time": {"anyOf": [refer("date_or_time"), _build_period()]},
            "text": build_text(MOST_TEXT),
            "words": build_text(MOST_WORDS),
        },
    }


def _build_entry(shape: Shape) -> Schema:
    parts: Schema = {key: refer(key) for key in ("infant", "event", "care")}
    lists = {"observations": "observation", "earlier": "earlier", "siblings": "sibling", "remarks": "remark"}
    parts |= {key: build_list(name) for key, name in lists.items()}
    if shape is read.EARLIER:
        return build_object(shape, {key: parts[key] for key in shape.keys} | {"infant": _build_who()})
    return build_object(shape, {key: parts[key] for key in shape.keys}) | _need_event()


def _build_who() -> Schema:
    return build_object(read.WHO, {"id": refer("text")})


def _need_event() -> Schema:
    dated: Schema = {"properties": {"infant": {"required": ["birth"]}}, "required": ["infant"]}
    followed: Schema = {"properties": {"earlier": {"minItems": 1}}, "required": ["earlier"]}
    return {"if": {"anyOf": [dated, followed]}, "then": {"required": ["event"]}}


def _build_infant() -> Schema:
    gestation: Schema = {"weeks": build_whole(*infant.GESTATION_WEEKS), "days": build_whole(0, 6)}
    parts: Schema = {
        "id": refer("text"),
        "birth": refer("date_or_time"),
        "age": build_object(infant.AGE, {"days": build_whole(0, infant.MOST_AGE_DAYS)}),
        "sex": {"enum": list(SEXES)},
        "gestation": build_object(infant.GESTATION, gestation),
        "birth_weight": build_object(infant.WEIGHT, {}) | {"allOf": [refer(name_measured(infant.WEIGHTS))]},
        "order": build_whole(1, infant.MOST_ORDER),
    }
    return build_object(infant.SHAPE, parts) | {"not": {"required": ["birth", "age"]}}


def _build_event() -> Schema:
    parts: Schema = {key: refer("text") for key in ("id", "care_unit")}
    parts |= {"measured": refer("time"), "charted": refer("date_or_time"), "status": refer("status")}
    either: Schema = {"oneOf": [{"required": ["measured"]}, {"required": ["absent"]}]}
    return build_object(read.EVENT, parts | {"absent": refer("absent")}) | either


def _build_care() -> Schema:
    parts: Schema = {key: {"enum": list(words)} for key, words in CARE.items() if words is not None}
    parts["cooling"] = build_object(care.COOLING, {}) | build_measured(care.TEMPERATURES, ("from", "to"))
    parts["agreed_limits"] = {"type": "array", "items": _build_agreed()}
    return build_object(care.SHAPE, parts)


def _build_agreed() -> Schema:
    parts: Schema = {"by": refer("text"), "until": refer("date_or_time")}
    either = {"anyOf": [{"required": ["from"]}, {"required": ["to"]}]}
    units: dict[tuple[str, ...], list[str]] = {}
    for kind in (kind for kind in CATALOGUE.values() if not kind.is_sign):
        units.setdefault(kind.units, []).append(kind.code)
    limits = [
        {"properties": {"quantity": {"enum": codes}}, "allOf": [build_measured(listed, ("from", "to"))]}
        for listed, codes in units.items()
    ]
    return build_object(care.AGREED, parts) | {"allOf": [either, {"anyOf": limits}]}


def _build_remark() -> Schema:
    parts: Schema = {key: refer("text") for key in ("reason", "place", "code")}
    return build_object(read.REMARK, parts | {key: refer("words") for key in ("found", "words")})


def _build_period() -> Schema:
    return build_object(PERIOD, {key: refer("date_or_time") for key in PERIOD.keys})
