"""The reader of rule files gives exact data with places, and nothing that a line does not show."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.errors import Refused
from cds.rules.read import read_text
from cds.rules.text import decode

TEXT = """\
title: Breathing rate
bands:
  under-2-months:
    value: 60
    a/b~c: [1, 2.50, -0.5, true, false]
  other: {from: 0 d, "to": 60 d}
"""


def codes(text: str) -> list[str]:
    with pytest.raises(Refused) as refused:
        read_text(text, "f.yaml")
    return [problem.code for problem in refused.value.problems]


def test_numbers_are_exact_and_truth_is_truth() -> None:
    data = read_text(TEXT, "f.yaml").data
    assert data == {
        "title": "Breathing rate",
        "bands": {
            "under-2-months": {"value": 60, "a/b~c": [1, Decimal("2.50"), Decimal("-0.5"), True, False]},
            "other": {"from": "0 d", "to": "60 d"},
        },
    }
    numbers = data["bands"]["under-2-months"]["a/b~c"]
    assert [type(number) for number in numbers] == [int, Decimal, Decimal, bool, bool]
    assert str(numbers[1]) == "2.50"


@pytest.mark.parametrize(
    "plain",
    ["1e3", "+1", "01", ".5", "1.", "0x10", "1_000", "12:30", ".inf", ".nan", "-.5", "2026-03-02", "True", "yes", "no"],
)
def test_what_is_not_a_plain_number_is_text(plain: str) -> None:
    assert read_text(f"key: {plain}", "f.yaml").data == {"key": plain}


@pytest.mark.parametrize("plain", ["1", "true", "~x", "null"])
def test_quotes_make_text(plain: str) -> None:
    assert read_text(f'key: "{plain}"', "f.yaml").data == {"key": plain}


def test_keys_are_text() -> None:
    assert read_text("1: one\ntrue: two", "f.yaml").data == {"1": "one", "true": "two"}


def test_each_pointer_has_the_place_of_its_value_and_of_its_key() -> None:
    tree = read_text(TEXT, "dir/f.yaml")
    assert tree.place("/bands/under-2-months/value") == "dir/f.yaml:4:12"
    assert tree.key_place("/bands/under-2-months/value") == "dir/f.yaml:4:5"
    assert tree.place("/bands/under-2-months/a~1b~0c/1") == "dir/f.yaml:5:16"
    assert tree.key_place("/bands/under-2-months/a~1b~0c/1") == "dir/f.yaml:5:16"
    assert tree.place("/bands/other/to") == "dir/f.yaml:6:28"
    assert tree.place("") == "dir/f.yaml:1:1"
    assert tree.line("/bands/under-2-months/value") == 4


def test_a_block_of_text_ends_without_its_line_break() -> None:
    assert read_text("key: |\n  one\n  two\n\nother: >-\n  three\n  four\n", "f.yaml").data == {
        "key": "one\ntwo",
        "other": "three four",
    }


def test_line_ends_of_other_systems_are_line_ends() -> None:
    assert read_text("a: 1\r\nb: 2\r\n", "f.yaml").data == {"a": 1, "b": 2}
    assert codes("a: 1\rb: 2") == ["RS-103"]


def test_all_problems_of_a_file_are_told_at_once_in_the_order_of_lines() -> None:
    text = "a: &x 1\nb: *x\nc: !!int 2\n<<: {d: 1}\na: 3\ne:\nf: 0.1234567890123456\ng: ' x'\n? [1]\n: 4\n"
    assert codes(text) == ["RS-106", "RS-106", "RS-107", "RS-106", "RS-110", "RS-112", "RS-114", "RS-113", "RS-111"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("%YAML 1.1\n---\na: 1", "RS-108"),
        ("%TAG ! tag:example.org,2020:\n---\na: 1", "RS-108"),
        ("a: 1\n---\nb: 2", "RS-109"),
        ("a: 1\n...\n---\nb: 2", "RS-109"),
        ("a: *nothing", "RS-106"),
        ("a: [1, 2", "RS-104"),
        ("a: 'one", "RS-104"),
        ("a: b: c", "RS-104"),
        ("a: @b", "RS-104"),
        ("- a\nb: 1", "RS-104"),
        ("", "RS-104"),
        ("# only a remark", "RS-104"),
        ("a: ~", "RS-112"),
        ("a: null", "RS-112"),
        ("a:\tb", "RS-103"),
        ("a: b\x00", "RS-103"),
        ("a: b\x85", "RS-103"),
        ("a: b\u200b", "RS-103"),
        ("a: b\u00a0c", "RS-103"),
        ("a: b\ufeff", "RS-103"),
        ("a: -0", "RS-114"),
        ("a: -0.00", "RS-114"),
        ("a: 1234567890123456", "RS-114"),
    ],
)
def test_what_a_line_does_not_show_is_refused(text: str, code: str) -> None:
    assert codes(text) == [code]


@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ("{a: ", "}")])
@pytest.mark.parametrize("depth", [25, 400, 20_000])
def test_depth_is_refused_and_never_crashes(opening: str, closing: str, depth: int) -> None:
    assert codes("key: " + opening * depth + closing * depth) == ["RS-105"]


def test_many_hidden_characters_are_told_up_to_twenty() -> None:
    assert codes("a: 1\n" + "\t\n" * 50) == ["RS-103"] * 20


def test_a_byte_that_is_not_utf_8_has_its_place() -> None:
    with pytest.raises(Refused) as refused:
        decode("a: 1\nb: \u00e4".encode("latin-1"), "f.yaml")
    assert [(problem.place, problem.code) for problem in refused.value.problems] == [("f.yaml:2:4", "RS-102")]


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**6), max_value=10**6, places=4))
def test_a_number_survives_text_double_text(number: Decimal) -> None:
    text = format(number, "f").lstrip("-") if number == 0 else format(number, "f")
    read = read_text(f"key: {text}", "f.yaml").data
    assert isinstance(read, dict)
    assert read["key"] == number
    assert Decimal(repr(float(text))) == number


@given(st.text(st.characters(codec="utf-8"), max_size=60))
def test_any_text_is_read_or_refused_with_a_place(text: str) -> None:
    try:
        places = [read_text(text, "f.yaml").place("")]
    except Refused as refused:
        places = [problem.place for problem in refused.problems]
    assert places
    assert all(place.startswith("f.yaml:") for place in places)
