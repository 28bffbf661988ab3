"""JSON text is read strictly: exact numbers, no key twice, nothing that is not JSON."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.json_text import MOST_BYTES, MOST_DEPTH, read_json
from cds.errors import Refused

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
LEAVES = st.none() | st.booleans() | st.integers(-(10**15), 10**15) | TEXTS
DOCUMENTS = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4), max_leaves=30
)


def codes(text: bytes | str) -> list[tuple[str, str]]:
    with pytest.raises(Refused) as refused:
        read_json(text)
    return [(problem.code, problem.place) for problem in refused.value.problems]


@given(DOCUMENTS, st.booleans(), st.sampled_from([None, 1]))
def test_any_document_is_read_as_it_was_written(data: object, ascii_only: bool, indent: int | None) -> None:
    text = json.dumps(data, ensure_ascii=ascii_only, indent=indent)
    assert read_json(text) == data
    assert read_json(text.encode()) == data


@given(st.binary(max_size=40) | st.text(max_size=40) | st.from_regex(r"[\[\]{}:,\"0-9eE.+\\u-]{0,40}"))
def test_any_bytes_are_read_or_refused(text: bytes | str) -> None:
    try:
        data = read_json(text)
    except Refused:
        return
    plain = text if isinstance(text, str) else text.decode()
    assert json.loads(plain, parse_float=Decimal) == data


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-9999, max_value=9999))
def test_a_decimal_keeps_every_digit(value: Decimal) -> None:
    read = read_json(f"[{value}]")
    assert isinstance(read, list)
    assert str(read[0]) == str(value)


@pytest.mark.parametrize("text", ["1e5", "1E+5", "-0.0", "0.10", "1e-3"])
def test_what_json_writes_with_point_or_exponent_is_a_decimal(text: str) -> None:
    assert read_json(text) == Decimal(text)
    assert type(read_json(text)) is Decimal


@pytest.mark.parametrize(
    "text", ["01", "+1", ".5", "5.", "'a'", "{a: 1}", "[1,]", "tru", '"a\nb"', "[1] [2]", "\ufeff{}", "", " "]
)
def test_what_is_not_json_is_refused(text: str) -> None:
    assert [code for code, _ in codes(text)] == ["EN-001"]


def test_a_key_twice_is_named_with_its_place_at_every_depth() -> None:
    assert codes('{"a": {"b": 1, "b": 1}, "c": [{"d": 1, "d": 2, "e": 3, "e": 4}]}') == [
        ("EN-003", "/a/b"),
        ("EN-003", "/c/0/d"),
        ("EN-003", "/c/0/e"),
    ]


def test_numbers_that_are_none_are_all_named() -> None:
    assert codes('{"a": NaN, "b": [Infinity, -Infinity, 1e9999, ' + "1" * 99 + "]}") == [
        ("EN-004", "/a"),
        ("EN-004", "/b/0"),
        ("EN-004", "/b/1"),
        ("EN-007", "/b/2"),
        ("EN-007", "/b/3"),
    ]


@pytest.mark.parametrize("text", ["1e999999999999999999999", "1e-999999999999999999999", "0e1000", "1" + "0" * 9999])
def test_an_absurd_number_is_refused_before_it_is_computed_with(text: str) -> None:
    assert codes(text) == [("EN-007", "/")]


@pytest.mark.parametrize("text", ["1e999", "1e-0000999", "9" * 48])
def test_a_long_number_within_the_digits_is_read(text: str) -> None:
    assert read_json(text) == Decimal(text)


def test_a_document_may_be_nested_forty_deep_and_no_deeper() -> None:
    assert read_json("[" * MOST_DEPTH + "]" * MOST_DEPTH)
    assert codes("[" * (MOST_DEPTH + 1) + "]" * (MOST_DEPTH + 1))[0][0] == "EN-006"
    assert codes("[" * 200_000 + "]" * 200_000) == [("EN-006", "/")]
    assert read_json(json.dumps([[]] * 100)) == [[]] * 100


def test_a_document_is_at_most_a_mebibyte() -> None:
    assert read_json('"' + "a" * (MOST_BYTES - 2) + '"')
    assert codes('"' + "a" * (MOST_BYTES - 1) + '"') == [("EN-005", "/")]
    assert codes('"' + "é" * (MOST_BYTES // 2) + '"') == [("EN-005", "/")]


@pytest.mark.parametrize("text", [b'"\xff"', b'"\xed\xa0\x80"', b'"\xc0\x80"', '"\ud800"', b'{"a": "\xe9"}'])
def test_bytes_that_are_not_utf_8_are_refused(text: bytes | str) -> None:
    assert codes(text) == [("EN-002", "/")]


def test_half_a_surrogate_pair_is_refused_in_texts_and_keys() -> None:
    assert codes(r'{"a": "\ud83d", "b": {"\udc00": 1}}') == [("EN-105", "/a"), ("EN-105", "/b")]
    assert read_json(r'"\ud83d\ude00"') == "\U0001f600"


def test_a_refusal_names_its_subject() -> None:
    with pytest.raises(Refused) as refused:
        read_json("{", subject="bundle")
    assert refused.value.subject == "bundle"
