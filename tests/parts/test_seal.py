"""One content has one canonical form, one digest and one frozen file, whatever the text it was written as."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.errors import Refused
from cds.rules.load import check, freeze, load
from cds.seal import NotSealed, Sealed, canonical, digest, digest_of, open_sealed, seal
from cds.shipped import shipped

BASE = Path(__file__).resolve().parents[1] / "wrong" / "base"
SEALED = Sealed("tiny", "1.0.0", digest({"a": 1}), {"a": 1}, {"/a": "a.yaml:1"})
numbers = st.integers(-(10**14), 10**14) | st.decimals(-(10**6), 10**6, allow_nan=False, places=6)
data = st.recursive(
    numbers | st.booleans() | st.text(max_size=8),
    lambda below: st.lists(below, max_size=4) | st.dictionaries(st.text(max_size=6), below, max_size=4),
    max_leaves=12,
)


@pytest.fixture
def tiny(tmp_path: Path) -> Path:
    folder = tmp_path / "set"
    shutil.copytree(BASE, folder)
    return folder


def rewrite(path: Path, change: Callable[[str], str]) -> None:
    path.write_text(change(path.read_text("utf-8")), "utf-8")


def test_keys_are_sorted_and_numbers_have_one_form() -> None:
    written = {"b": Decimal("36.0"), "a": [Decimal("36.50"), Decimal("0.10"), 36, True], "\u00e9": "\u20ac\n"}
    assert canonical(written) == '{"a":[36.5,0.1,36,true],"b":36,"\u00e9":"\u20ac\\n"}'.encode()


def test_keys_are_sorted_by_utf_16_as_rfc_8785_says() -> None:
    # RFC 8785, section 3.2.3: the order of its example.
    keys = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    order = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(canonical(dict.fromkeys(keys, 0)))) == order


def test_the_digest_is_sha_256_of_the_canonical_bytes() -> None:
    assert digest({"a": 1}) == "sha256:" + hashlib.sha256(b'{"a":1}').hexdigest()


@given(data)
def test_canonical_form_read_again_is_the_same(value: object) -> None:
    once = canonical(value)
    again = json.loads(once, parse_float=Decimal)
    assert again == value
    assert canonical(again) == once


def test_a_sealed_file_opens_to_what_was_sealed() -> None:
    raw = seal(SEALED)
    assert open_sealed(raw) == SEALED
    assert canonical(json.loads(raw, parse_float=Decimal)) == raw


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (lambda raw: raw.replace(b'"a":1}', b'"a":2}'), "content with the digest"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":1.0}'), "not in canonical form"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":1,"a":1}'), "not in canonical form"),
        (lambda raw: raw + b"\n", "not in canonical form"),
        (lambda raw: raw.replace(b'"version"', b'"versions"'), "JSON of another form"),
        (lambda raw: raw.replace(b"rule-set/1", b"rule-set/2"), "JSON of another form"),
        (lambda raw: raw.replace(b'{"a":1}', b"[1]"), "without content"),
        (lambda raw: raw.replace(b'"tiny"', b"7"), "without a name"),
        (lambda raw: raw[:-1], "not JSON"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":NaN}'), "numbers"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":1e999}'), "numbers"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":12345678901234567890}'), "numbers"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":"\\ud800"}'), "numbers"),
        (lambda raw: raw.replace(b'{"a":1}', b'{"a":' + b"[" * 20000 + b"]" * 20000 + b"}"), "not JSON"),
        (lambda raw: b"\xff" + raw, "not JSON"),
        (lambda raw: b"[]", "JSON of another form"),
    ],
)
def test_what_was_changed_after_sealing_does_not_open(change: Callable[[bytes], bytes], found: str) -> None:
    with pytest.raises(NotSealed, match=found):
        open_sealed(change(seal(SEALED)))


@pytest.mark.parametrize("folder", [BASE, shipped("rulesets") / "infant-vitals"], ids=["tiny", "infant-vitals"])
def test_working_copy_and_frozen_file_give_the_same_rule_set(folder: Path, tmp_path: Path) -> None:
    frozen = tmp_path / "frozen.json"
    named = freeze(folder, frozen)
    written, sealed = load(folder), load(frozen)
    assert written == sealed
    assert repr(written) == repr(sealed)
    assert written.digest == named == json.loads(frozen.read_bytes())["digest"]


def test_freezing_twice_gives_the_same_bytes_and_never_writes_over(tmp_path: Path) -> None:
    first, second = tmp_path / "first.json", tmp_path / "second.json"
    assert freeze(BASE, first) == freeze(BASE, second)
    assert first.read_bytes() == second.read_bytes()
    with pytest.raises(FileExistsError):
        freeze(BASE, first)
    assert first.read_bytes() == second.read_bytes()


def test_a_limit_written_36_or_36_0_is_one_content_and_shown_alike(tiny: Path, tmp_path: Path) -> None:
    before = load(tiny)
    assert (tiny / "thresholds/fever.yaml").read_text("utf-8").count("38.0") == 1
    rewrite(tiny / "thresholds/fever.yaml", lambda text: text.replace("38.0", "38"))
    after = load(tiny)
    assert before == after
    limit = after.thresholds["fever"].bands[0].limit
    assert limit is not None
    assert str(limit.value) == "38.0"
    freeze(tiny, tmp_path / "frozen.json")
    assert repr(load(tmp_path / "frozen.json")) == repr(before)


def test_places_and_remarks_take_no_part_in_the_digest(tiny: Path) -> None:
    before = load(tiny)
    rewrite(tiny / "rules/other.yaml", lambda text: f"# a remark\n\n{text}")
    after = load(tiny)
    assert after.digest == before.digest
    assert after.rules[2].place == "rules/other.yaml:4"
    assert before.rules[2].place == "rules/other.yaml:2"


def test_the_order_of_keys_takes_no_part_in_the_digest(tiny: Path) -> None:
    before = load(tiny)
    rewrite(tiny / "sources.yaml", lambda text: re.sub(r"(sources:\n)(.*\n)(.*\n)", r"\1\3\2", text))
    assert load(tiny) == before


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("thresholds/rate-fast.yaml", "value: 60", "value: 59"),
        ("rules/breathing.yaml", "level: recheck", "level: discuss"),
        ("rules/breathing.yaml", "Invented.", "Invented for tests."),
        ("groups.yaml", "[mild, moderate, severe]", "[moderate, severe]"),
        ("sources.yaml", "year: 2020", "year: 2021"),
        ("bands.yaml", "birth to 24 months", "birth to two years"),
        ("scores/small-score.yaml", "words: breathing rate", "words: rate of breathing"),
        ("ruleset.yaml", "tests of messages only", "tests only"),
    ],
)
def test_any_change_of_content_changes_the_digest(tiny: Path, file: str, old: str, new: str) -> None:
    before = load(tiny).digest
    rewrite(tiny / file, lambda text: text.replace(old, new, 1))
    assert load(tiny).digest != before


def test_a_change_of_a_case_leaves_the_digest_alone(tiny: Path) -> None:
    before = load(tiny).digest
    rewrite(tiny / "cases/breathing.yaml", lambda text: text.replace("value: 59", "value: 58"))
    assert load(tiny).digest == before


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (b'"level":"recheck"', b'"level":"re-check"', "RS-204"),
        (b'"finding":"slow-heart-rate"', b'"finding":"slow-heartrate"', "RS-219"),
        (b'"known_limits":"Invented."', b'"known_limits":""', "RS-206"),
        (b'"rules":[', b'"rule":[', "RS-117"),
        (b'"revision":1', b'"revision":null', "RS-203"),
    ],
)
def test_wrong_content_under_a_right_digest_is_refused(tmp_path: Path, old: bytes, new: bytes, code: str) -> None:
    frozen = tmp_path / "frozen.json"
    freeze(BASE, frozen)
    sealed = open_sealed(frozen.read_bytes())
    content = canonical(sealed.content).replace(old, new, 1)
    wrong = Sealed(
        sealed.id, sealed.version, digest_of(content), json.loads(content, parse_float=Decimal), sealed.places
    )
    frozen.write_bytes(seal(wrong))
    with pytest.raises(Refused) as refused:
        load(frozen)
    problem = refused.value.problems[0]
    assert problem.code == code
    assert problem.place.startswith(frozen.as_posix())


def test_a_frozen_file_is_checked_as_a_working_copy_is(tmp_path: Path) -> None:
    frozen = tmp_path / "frozen.json"
    freeze(BASE, frozen)
    assert check(frozen) == ()


def test_a_file_that_is_no_frozen_rule_set_is_refused(tmp_path: Path) -> None:
    other = tmp_path / "other.json"
    other.write_text("{}", "utf-8")
    with pytest.raises(Refused) as refused:
        load(other)
    assert [(problem.code, problem.place) for problem in refused.value.problems] == [("RS-117", other.as_posix())]
