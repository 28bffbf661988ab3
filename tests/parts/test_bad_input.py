"""What no charting system should send: answered, or refused in five fields with the exit code that is promised."""

from __future__ import annotations

import io
import json
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from cds.cli.main import run
from cds.rules.load import check
from tests.bedside import STARTER, count, entry

FAST = ("--rules", str(STARTER), "--moment", "2025-11-20T10:35:00+00:00")
FIELDS = {"code", "place", "found", "expected", "next"}
GOOD = json.dumps(entry(count(66))).encode()
TOO_LONG = "a" * 5000
ODD = (
    "null", "true", "[]", "{}", '""', '"\\ud800"', '"\\u0000"', "NaN", "-Infinity", "1e400", "1e999999999", "-1", "0",
    "9" * 60, "0." + "3" * 70, '"2026-02-30"', '"2026-03-20T25:00:00Z"', '"2026-03-20T09:30:00"', '["a", "a"]',
    "[null]", '{"value": null}', '{"start": "2026-03-21", "end": "2026-03-20"}', '"' + "x" * 5000 + '"',
)  # fmt: skip
WHOLE = {
    "infant": {
        "id": "T-9",
        "birth": "2025-11-03T11:40:00+00:00",
        "sex": "male",
        "gestation": {"weeks": 40, "days": 0},
        "birth_weight": {"value": 3310, "unit": "g"},
    },
    "event": {"id": "T-9-2", "measured": "2025-11-20T10:30:00+00:00", "care_unit": "ward", "status": "final"},
    "care": {
        "feeding_route": "breast",
        "cooling": {"from": 33, "to": 34, "unit": "Cel"},
        "agreed_limits": [{"quantity": "heart-rate", "from": 70, "unit": "/min", "by": "c", "until": "2025-11-21"}],
    },
    "observations": [
        count(46),
        {"code": "retractions", "grade": "mild", "sites": ["subcostal"]},
        {"code": "grunting", "grade": "by-ear", "intermittent": True},
        {"code": "oxygen-saturation", "value": 96, "unit": "%", "flow": {"value": 1, "unit": "L/min"}},
        {"code": "fever-history", "grade": "present", "highest": {"value": 38.4, "unit": "Cel", "route": "rectal"}},
        {"code": "body-weight", "value": [6, 11], "unit": ["[lb_av]", "[oz_av]"]},
        {"code": "body-temperature", "absent": "not-performed"},
    ],
    "earlier": [{"event": {"measured": "2025-11-20T08:30:00+00:00"}, "observations": [count(50)]}],
    "remarks": [{"reason": "code-unmapped", "place": "/x", "found": "f", "words": "w"}],
}


class Ran(NamedTuple):
    code: int
    out: str
    err: str


@pytest.fixture
def cds(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Any:
    """Run a command in this process, with bytes on standard input."""

    def ran(*arguments: str, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin)))
        with pytest.raises(SystemExit) as ended:
            run(arguments)
        printed = capsys.readouterr()
        return Ran(int(ended.value.code or 0), printed.out, printed.err)

    return ran


def places(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path of every value inside a document."""
    if path:
        yield path
    keys = data.keys() if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ()
    for key in keys:
        yield from places(data[key], (*path, key))


def spoilt(path: tuple[Any, ...], odd: str) -> bytes:
    """The whole entry with one value replaced by odd JSON text."""
    data = json.loads(json.dumps(WHOLE))
    inner = data
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = "@odd@"
    return json.dumps(data).replace('"@odd@"', odd).encode()


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: odd[:12])
def test_an_odd_value_anywhere_is_answered_or_refused_in_five_fields(cds: Any, odd: str) -> None:
    for path in places(WHOLE):
        ran = cds("advise", "-", "--as", "json", *FAST, stdin=spoilt(path, odd))
        assert ran.code in (0, 3), (path, ran)
        if ran.code == 3:
            refused = json.loads(ran.err)
            assert not ran.out
            assert all(set(each) == FIELDS and all(each.values()) for each in refused["problems"]), (path, ran)


def test_the_whole_entry_itself_is_answered(cds: Any) -> None:
    ran = cds("advise", "-", "--as", "json", *FAST, stdin=json.dumps(WHOLE).encode())
    assert (ran.code, json.loads(ran.out)["schema"]) == (0, "infant-vitals-advice/1")


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        (b"", "EN-001"),
        (b" \n\n", "EN-001"),
        (b"\xef\xbb\xbf" + GOOD, "EN-001"),
        (GOOD.decode().encode("utf-16"), "EN-002"),
        (bytes(range(256)), "EN-002"),
        (GOOD + GOOD, "EN-001"),
        (b'"' + b"x" * 10_000_000 + b'"', "EN-005"),
        (b"[" * 10_000_000, "EN-005"),
        (b"[" * 900_000, "EN-006"),
        (b'{"a":' * 150_000, "EN-006"),
        (b"[" * 50_000 + b"]" * 50_000, "EN-006"),
        (b'{"infant": {}, "infant": {}, "observations": []}', "EN-003"),
        (b'{"infant": {"order": ' + b"9" * 100_000 + b"}}", "EN-007"),
        (b'{"\\ud800": 1}', "EN-105"),
        (b"null", "EN-102"),
        (b'{"resourceType": "OperationOutcome", "issue": []}', "FH-102"),
    ],
    ids=lambda sent: sent if isinstance(sent, str) else sent[:8].decode("latin-1"),
)
def test_what_is_no_entry_is_refused_whole(cds: Any, sent: bytes, code: str) -> None:
    ran = cds("advise", "-", *FAST, stdin=sent)
    assert (ran.code, ran.out, ran.err[:6]) == (3, "", code)


def test_line_ends_of_another_system_are_read(cds: Any) -> None:
    sent = json.dumps(entry(count(66)), indent=1).replace("\n", "\r\n").encode()
    assert cds("advise", "-", *FAST, stdin=sent).code == 0


def test_a_bad_line_among_good_ones_costs_no_other_line(cds: Any) -> None:
    bad = [b"{", b"\xff", b"NaN", b'"' + b"x" * 3_000_000 + b'"', b"[" * 100_000, b"\xef\xbb\xbf" + GOOD, b"null"]
    sent = b"\n".join(line for each in bad for line in (GOOD, each, b"", GOOD + b"\r"))
    ran = cds("advise", "-", "--lines", *FAST, stdin=sent)
    told = [json.loads(line) for line in ran.out.splitlines()]
    assert ran.code == 3
    assert len(told) == 3 * len(bad)
    refused = [each for each in told if "refused" in each]
    assert [each["line"] for each in refused] == [4 * place + 2 for place in range(len(bad))]
    assert all(set(problem) == FIELDS for each in refused for problem in each["problems"])


def test_a_line_of_just_the_accepted_length_is_answered_and_one_byte_more_is_not(cds: Any) -> None:
    long = GOOD[:-1] + b" " * (2**20 - len(GOOD)) + b"}"
    for end in (b"\n", b"\r\n", b""):
        assert cds("advise", "-", "--lines", *FAST, stdin=long + end).code == 0
    assert cds("advise", "-", "--lines", *FAST, stdin=b" " + long + b"\n" + GOOD).code == 3


@pytest.mark.parametrize(
    "arguments",
    [
        ("advise", TOO_LONG),
        ("advise", "-", "--explain", TOO_LONG),
        ("advise", "-", "--rules", TOO_LONG),
        ("advise", "-", "--codes", TOO_LONG),
        ("advise", "/nowhere/entry.json"),
        ("advise", "."),
        ("advise", "-", *FAST[:2], "--moment", "2025-11-20"),
        ("advise", "-", *FAST[:2], "--moment", "2025-11-20T10:35:00"),
        ("advise", "-", *FAST[:2], "--moment", ""),
    ],
    ids=lambda arguments: " ".join(arguments)[:24],
)
def test_a_name_or_moment_that_cannot_be_is_wrong_use(cds: Any, arguments: tuple[str, ...]) -> None:
    ran = cds(*arguments, stdin=GOOD)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("Usage: ")


def test_files_that_cannot_be_read_are_said_to_be_so(cds: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "broken.json").write_bytes(GOOD)

    def fail(*_: object, **__: object) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "open", fail)
    ran = cds("advise", str(tmp_path / "broken.json"), *FAST)
    assert (ran.code, "input/output error" in ran.err) == (2, True)
    ran = cds("advise", "-", "--rules", str(tmp_path / "broken.json"), stdin=GOOD)
    assert (ran.code, ran.err[:6]) == (4, "RS-115")


@pytest.mark.parametrize(
    ("file", "old", "new", "code"),
    [
        ("cases/breathing.yaml", "{id: BR-01", "{idd: BR-01", "RS-201"),
        ("cases/breathing.yaml", "expect: {breathing-rate-high: not-met}", "expct: {}", "RS-201"),
        ("cases/breathing.yaml", "expect: {breathing-rate-high: not-met}", "raised: []", "RS-201"),
        ("thresholds/breathing-rate-high.yaml", "  under-2-months:\n", "  value: 4\n  under-2-months:\n", "RS-203"),
    ],
)
def test_a_rule_file_with_a_part_gone_is_refused(tmp_path: Path, file: str, old: str, new: str, code: str) -> None:
    folder = tmp_path / "rules"
    shutil.copytree(STARTER, folder)
    whole = (folder / file).read_text(encoding="utf-8")
    assert whole.count(old) == 1
    (folder / file).write_text(whole.replace(old, new), encoding="utf-8")
    assert code in {problem.code for problem in check(folder)}
