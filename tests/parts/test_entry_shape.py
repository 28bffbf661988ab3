"""The schema of an entry accepts what the reader accepts, but for what the schema cannot say."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from cds.entry.catalogue import CATALOGUE, LISTED
from cds.entry.read import read_entry
from cds.entry.shape import build_schema
from cds.errors import Refused
from cds.shipped import shipped
from tools.entry_schema import TARGET, write_schema

CANNOT_SAY = {
    "EN-007": "a number of too many digits",
    "EN-304": "a range that ends before it begins",
    "EN-402": "a day that its month lacks",
    "EN-404": "a period that ends before it begins",
}
NUMBERED = {"weeks", "days", "order", "counted_seconds"}


@cache
def validator() -> Draft202012Validator:
    return Draft202012Validator(json.loads(TARGET.read_text(encoding="utf-8")))


def test_the_file_is_what_the_reader_s_tables_say() -> None:
    assert shipped("schemas") / "entry.schema.json" == TARGET
    assert TARGET.read_text(encoding="utf-8") == write_schema(), "run python -m tools.entry_schema"
    Draft202012Validator.check_schema(build_schema())


MEASURED = "2026-03-20T09:30:00+01:00"
OBSERVATIONS: list[dict[str, Any]] = [
    {"code": "respiratory-rate", "value": 46, "unit": "/min", "counted_seconds": 60, "state": "quiet-alert"},
    {"code": "body-temperature", "value": Decimal("36.9"), "unit": "Cel", "route": "axillary", "measured": MEASURED},
    {"code": "body-weight", "value": [6, Decimal("11.5")], "unit": ["[lb_av]", "[oz_av]"], "clothing": "nude"},
    {"code": "oxygen-saturation", "value": 93, "unit": "%", "comparator": "<", "inspired_oxygen": Decimal("30.5")},
    {"code": "oxygen-saturation", "value": 93, "unit": "%", "flow": {"value": 1, "unit": "L/min"}, "need": "new"},
    {"code": "heart-rate", "absent": "not-performed", "measured": {"start": "2026-03-20", "end": "2026-03-21"}},
    {"code": "body-length", "unusable": "unit-unmapped", "found": "1 ell", "status": "preliminary"},
    {"code": "breathing-pause", "value": 22, "unit": "s", "with": ["cyanosis", "pallor"], "ended_by": "support"},
    {"code": "wet-diapers", "value": 3, "unit": "count", "over_hours": 12},
    {"code": "wet-diapers", "value": 3, "unit": "count", "over_hours": {"value": 12, "unit": "h"}},
    {"code": "retractions", "grade": "mild", "sites": ["subcostal", "lower-chest"]},
    {"code": "grunting", "grade": "by-ear", "intermittent": True},
    {"code": "skin-colour", "grade": ["pale", "mottled"], "reported_by": "carer"},
    {"code": "fever-history", "grade": "present", "since": "2026-03-19", "highest": {"value": 39, "unit": "Cel"}},
    {"code": "vaccinated", "grade": "present", "hours_ago": 30},
    {"code": "cough", "grade": "absent"},
]
EARLIER: dict[str, Any] = {"event": {"id": "T-1-0", "measured": "2026-03-19"}, "observations": [OBSERVATIONS[0]]}
CARE: dict[str, Any] = {
    "breathing_support": "cpap",
    "cooling": {"from": Decimal("33.0"), "to": 34, "unit": "Cel"},
    "agreed_limits": [
        {
            "quantity": "oxygen-saturation",
            "from": 75,
            "to": 85,
            "unit": "%",
            "by": "cardiologist",
            "until": "2026-04-01",
        },
        {"quantity": "body-weight", "from": 3, "unit": "kg", "by": "dietitian"},
    ],
}
SENT: dict[str, Any] = {"reason": "code-unmapped", "place": "/entry/3", "found": "x", "words": "y", "code": "cough"}
BORN: dict[str, Any] = {
    "id": "T-1",
    "birth": "2026-03-02T04:20:00+01:00",
    "sex": "female",
    "gestation": {"weeks": 39, "days": 2},
    "birth_weight": {"value": 3310, "unit": "g"},
    "order": 1,
}
ENTRIES: list[dict[str, Any]] = [
    {
        "infant": BORN,
        "event": {"id": "T-1-1", "measured": MEASURED, "charted": MEASURED, "care_unit": "ward", "status": "final"},
        "care": CARE,
        "observations": OBSERVATIONS[:3],
        "earlier": [EARLIER],
        "siblings": [{"infant": {"sex": "male"}, "observations": []}],
        "remarks": [SENT],
    },
    *({"infant": {"age": {"days": 18}}, "observations": [observation]} for observation in OBSERVATIONS),
]
POOL: list[Any] = [
    *(None, True, False, "", "x", "a\nb", "final", "usual", "present", "axillary", "g", "kg", "Cel", "mm[Hg]", "1"),
    *("2026-03-20", "2026-02-30", "2026-03-20T09:30Z", "2026-03-20T24:00:00Z", "2026-03-20T09:30:00", "2026-03-20\n"),
    *("2026-03-20T09:30:00+14:30", "2026-13-01", "1899-01-01", ["[lb_av]", "[oz_av]"], [6, 16], [6, 11], [6.5, 1]),
    *(0, 1, -1, 7, 37, 1000, 10_000, 10_000_000, Decimal("0.5"), Decimal("-0.5"), Decimal("60.0"), Decimal("1e-90")),
    *([], {}, [1], ["subcostal"], ["subcostal", "subcostal"], ["usual", "pale"], ["usual"], [None], {"days": 3}),
    *({"start": "2026-03-20", "end": "2026-03-19"}, {"start": "2026-03-20"}, {"value": 1, "unit": "h"}, {"value": 0}),
    *("x" * 200, "x" * 201, "\u202e", "\u2028", "caf\u00e9", BORN, EARLIER, OBSERVATIONS[1], CARE),
]
POOL += sorted(
    {word for kind in CATALOGUE.values() for words in (kind.grades, *kind.contexts.values()) for word in words or ()}
)
KEYS = sorted(
    {"infant", "event", "birth", "age", "value", "unit", "grade", "absent", "unusable", "found", "comparator", "extra"}
    | {"measured", "state", "route", "siblings", "earlier", "from", "to", "status", "highest", "order", "code"}
)


def find_paths(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    yield at
    inside = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in inside:
        yield from find_paths(value, (*at, key))


@st.composite
def changed_entries(draw: st.DrawFn) -> Any:
    entry = [copy.deepcopy(draw(st.sampled_from(ENTRIES)))]
    for _ in range(draw(st.sampled_from([1, 1, 1, 2]))):
        *above, last = draw(st.sampled_from([(0, *path) for path in find_paths(entry[0]) if path] + [(0,)]))
        target: Any = entry
        for key in above:
            target = target[key]
        change(draw, target, last)
    return entry[0]


def change(draw: st.DrawFn, target: Any, last: Any) -> None:
    inner, how = target[last], draw(st.sampled_from(["set", "set", "code", "drop", "add"]))
    if how == "add" and isinstance(inner, dict):
        inner[draw(st.sampled_from(KEYS))] = copy.deepcopy(draw(st.sampled_from(POOL)))
    elif how == "drop" and isinstance(target, dict):
        del target[last]
    elif how == "code" and last == "code":
        target[last] = draw(st.sampled_from(sorted(CATALOGUE)))
    else:
        alike = [other for other in POOL if type(other) is type(inner)]
        target[last] = copy.deepcopy(draw(st.sampled_from(alike or POOL) | st.sampled_from(POOL)))


def fault_codes(entry: Any) -> set[str]:
    try:
        read_entry(entry)
    except Refused as refused:
        return {problem.code for problem in refused.problems}
    return set()


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: str(entry["observations"][0]["code"]))
def test_each_entry_that_is_changed_below_is_accepted_by_both(entry: Any) -> None:
    assert fault_codes(entry) == set()
    assert validator().is_valid(entry)


@given(changed_entries())
@settings(max_examples=400)
def test_reader_and_schema_accept_the_same_changed_entries(entry: Any) -> None:
    codes = fault_codes(entry)
    if codes - CANNOT_SAY.keys():
        assert not validator().is_valid(entry), codes
    elif not codes:
        assert validator().is_valid(entry), [error.message for error in validator().iter_errors(entry)]


@pytest.mark.parametrize(
    ("code", "entry"),
    [
        ("EN-007", {"infant": {}, "observations": [OBSERVATIONS[0] | {"value": Decimal("1e-90")}]}),
        ("EN-304", {"infant": {}, "observations": [], "care": {"cooling": {"from": 34, "to": 33, "unit": "Cel"}}}),
        ("EN-402", {"infant": {}, "observations": [], "event": {"measured": "2026-02-30"}}),
        (
            "EN-404",
            {"infant": {}, "observations": [], "event": {"measured": {"start": "2026-03-20", "end": "2026-03-19"}}},
        ),
    ],
)
def test_what_the_schema_cannot_say_the_reader_refuses_alone(code: str, entry: Any) -> None:
    assert fault_codes(entry) == {code}
    assert validator().is_valid(entry)


@given(
    st.sampled_from(sorted(CATALOGUE)),
    st.sampled_from(sorted({key for kind in CATALOGUE.values() for key in kind.contexts})),
    st.data(),
)
@settings(max_examples=300)
def test_every_context_key_is_read_alike_on_every_code(code: str, key: str, data: st.DataObject) -> None:
    kind = CATALOGUE[code]
    words = [word for other in CATALOGUE.values() for word in other.contexts.get(key) or ()]
    value = data.draw(st.sampled_from([[word] for word in words] if key in LISTED and words else words or POOL))
    answer = {"grade": kind.grades[0]} if kind.is_sign else {"value": 1, "unit": kind.units[0]}
    entry = {"infant": {}, "observations": [{"code": code, **answer, key: value}]}
    codes = fault_codes(entry)
    assert validator().is_valid(entry) is (not codes) or codes <= CANNOT_SAY.keys()
