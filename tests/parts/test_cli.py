"""The command line: what each command prints, refuses and ends with."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from jsonschema import Draft202012Validator

from cds.cli.main import fill_explain, run
from cds.infer.agree import Evaluators
from cds.shipped import shipped
from tests.bedside import DEMO, RULES, STARTER, count, entry

ROOT = Path(__file__).parents[2]
SERIOUS = str(DEMO / "t-204.json")
FAST = ("--rules", str(STARTER), "--moment", "2025-11-20T10:35:00+00:00")


class Ran(NamedTuple):
    """How a command ended and what it printed."""

    code: int
    out: str
    err: str


@pytest.fixture
def cds(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Any:
    """Run a command in this process, with text or bytes on standard input."""

    def ran(*arguments: str, stdin: str | bytes = b"") -> Ran:
        raw = stdin.encode() if isinstance(stdin, str) else stdin
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
        with pytest.raises(SystemExit) as ended:
            run(arguments)
        printed = capsys.readouterr()
        return Ran(int(ended.value.code or 0), printed.out, printed.err)

    return ran


@pytest.fixture
def charted(tmp_path: Path) -> str:
    """A file with one fast count."""
    file = tmp_path / "entry.json"
    file.write_text(json.dumps(entry(count(66))), encoding="utf-8")
    return str(file)


def test_demo_tells_the_morning_and_names_the_next_commands(cds: Any) -> None:
    ran = cds("demo")
    assert ran.code == 0
    assert ran.out.startswith(
        "A morning at Thornmere, an invented hospital: the newborn ward, then the well-baby clinic\n"
    )
    infants = re.findall(r"^infant    (\S+)", ran.out, re.MULTILINE)
    assert infants == ["T-201,", "T-202,", "no", "T-204,", "T-205,", "T-206,", "T-207,", "T-208,"]
    assert ran.out.count("~" * 100) == 16
    tail = ran.out[ran.out.rindex("Next, for example") :]
    assert [word for word in ("advise", "--as handover", "--explain", "rules show") if word not in tail] == []


def test_demo_shows_each_of_its_five_kinds(cds: Any) -> None:
    answers = re.split(r"^~+\n.*\n(?:.*\n)?~+\n", cds("demo").out, flags=re.MULTILINE)[1:]
    quiet, provisional, bare, serious, preterm = answers[:5]
    assert "none of them raises anything above a note" in quiet
    assert "provisional: the infant was unsettled" in provisional
    assert "age       not known" in bare
    assert "║ contact ║" in serious
    assert "it is a note" in " ".join(preterm.split())


def test_advise_prints_the_text_answer(cds: Any, charted: str) -> None:
    ran = cds("advise", charted, *FAST)
    assert (ran.code, ran.err) == (0, "")
    assert "╎ recheck ╎ Breathing rate 66 /min; 60 or more is counted again at this age." in ran.out


def test_advise_reads_standard_input(cds: Any) -> None:
    ran = cds("advise", "-", *FAST, stdin=json.dumps(entry(count(66))))
    assert ran.code == 0
    assert "Breathing rate 66 /min" in ran.out


def test_json_is_the_advice_as_its_schema_says(cds: Any, charted: str) -> None:
    ran = cds("advise", charted, "--as", "json", *FAST)
    schema = json.loads((shipped("schemas") / "advice.schema.json").read_text(encoding="utf-8"))
    assert list(Draft202012Validator(schema).iter_errors(json.loads(ran.out))) == []


def test_handover_is_the_third_form(cds: Any, charted: str) -> None:
    assert "\nRead back by\n" in cds("advise", charted, "--as", "handover", *FAST).out


def test_same_entry_and_moment_give_the_same_bytes(cds: Any, charted: str) -> None:
    assert cds("advise", charted, *FAST).out == cds("advise", charted, *FAST).out


def test_moment_is_the_clock_where_none_is_given(cds: Any, charted: str) -> None:
    ran = cds("advise", charted, "--as", "json", "--rules", str(STARTER))
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", json.loads(ran.out)["moment"])


def test_explain_adds_the_tree_of_a_rule_that_is_not_met(cds: Any) -> None:
    ran = cds("advise", "-", "--explain", "breathing-rate-high", *FAST, stdin=json.dumps(entry(count(44))))
    assert "  not met      the rule as a whole" in ran.out
    assert "breathing rate 44 /min (quiet alert, counted 60 s): is not at or above 60 /min" in " ".join(ran.out.split())


def test_explain_alone_adds_every_raised_rule(cds: Any, charted: str) -> None:
    ran = cds("advise", charted, *FAST, "--explain")
    assert ran.code == 0
    assert "\nbreathing-rate-high, revision 1:" in ran.out
    assert "  met            applies to" in ran.out


def test_explained_json_holds_the_advice_and_the_trees(cds: Any, charted: str) -> None:
    told = json.loads(cds("advise", charted, "--as", "json", "--explain", "breathing-rate-high", *FAST).out)
    assert list(told) == ["advice", "explained"]
    assert told["explained"][0]["applies"]["bands"] == ["under 2 months", "from 2 to 24 months"]
    assert told["explained"][0]["because"]["readings"][0]["value"] == "66 /min"


def test_explain_names_the_nearest_rule(cds: Any, charted: str) -> None:
    ran = cds("advise", charted, "--explain", "breathing-rate-hi", *FAST)
    assert ran.code == 2
    assert "nearest is `breathing-rate-high`" in " ".join(ran.err.split())


@pytest.mark.parametrize(
    ("given", "filled"),
    [
        (["--explain"], ["--explain", "raised"]),
        (["--explain", "--as", "json"], ["--explain", "raised", "--as", "json"]),
        (["--explain", "-"], ["--explain", "raised", "-"]),
        (["--explain", "ward/entry.json"], ["--explain", "raised", "ward/entry.json"]),
        (["--explain", "grunting", "-"], ["--explain", "grunting", "-"]),
    ],
)
def test_explain_alone_is_told_from_explain_with_a_rule(given: list[str], filled: list[str]) -> None:
    assert fill_explain(given) == filled


def test_a_case_is_answered_and_said_to_come_out_as_expected(cds: Any) -> None:
    ran = cds("advise", "--case", "BR-02", "--explain", "--rules", str(STARTER))
    assert ran.code == 0
    assert ran.out.startswith("BR-02  breathing rate around the limit, settled   as expected\n")
    assert "\nbreathing-rate-high, revision 1:" in ran.out


def test_an_unknown_case_is_wrong_use(cds: Any) -> None:
    assert cds("advise", "--case", "XX-99", "--rules", str(STARTER)).code == 2


def test_lines_answer_each_line_and_go_on_after_a_bad_one(cds: Any) -> None:
    good = json.dumps(entry(count(66)))
    ran = cds("advise", "-", "--lines", *FAST, stdin=f'{good}\n{{"infant":\n\n{good}\n[]\n')
    told = [json.loads(line) for line in ran.out.splitlines()]
    assert ran.code == 3
    assert [each["schema"] for each in told] == [
        "infant-vitals-advice/1",
        "infant-vitals-refusal/1",
        "infant-vitals-advice/1",
        "infant-vitals-refusal/1",
    ]
    assert [each["line"] for each in told if "line" in each] == [2, 5]
    assert list(told[1]["problems"][0]) == ["code", "place", "found", "expected", "next"]


def test_lines_of_good_entries_end_with_nought(cds: Any, tmp_path: Path) -> None:
    file = tmp_path / "entries.ndjson"
    file.write_text("\n".join(json.dumps(entry(count(rate))) for rate in (44, 66)), encoding="utf-8")
    ran = cds("advise", str(file), "--lines", *FAST)
    assert (ran.code, len(ran.out.splitlines())) == (0, 2)


def test_a_line_of_ten_megabytes_is_refused_and_the_next_answered(cds: Any) -> None:
    long = b'{"infant": {"id": "' + b"a" * 10_000_000 + b'"}, "observations": []}\n'
    ran = cds("advise", "-", "--lines", *FAST, stdin=long + json.dumps(entry(count(66))).encode())
    told = [json.loads(line) for line in ran.out.splitlines()]
    assert told[0]["problems"][0]["code"] == "EN-005"
    assert told[0]["problems"][0]["found"] == "more than 1048576 bytes"
    assert told[1]["schema"] == "infant-vitals-advice/1"


def test_lines_explain_a_rule_on_each_line(cds: Any) -> None:
    ran = cds("advise", "-", "--lines", "--explain", "breathing-rate-high", *FAST, stdin=json.dumps(entry(count(44))))
    assert list(json.loads(ran.out)) == ["advice", "explained"]


FHIR_SYSTEMS = {"loinc": "http://loinc.org", "ucum": "http://unitsofmeasure.org"}
PATIENT = {"resourceType": "Patient", "id": "t9", "birthDate": "2025-11-03", "gender": "male"}
RATE = {
    "resourceType": "Observation",
    "status": "final",
    "code": {"coding": [{"system": FHIR_SYSTEMS["loinc"], "code": "9279-1"}]},
    "subject": {"reference": "Patient/t9"},
    "effectiveDateTime": "2025-11-20T10:30:00Z",
    "valueQuantity": {"value": 66, "unit": "/min", "system": FHIR_SYSTEMS["ucum"], "code": "/min"},
}


def test_fhir_files_are_joined(cds: Any, tmp_path: Path) -> None:
    files = [tmp_path / "patient.json", tmp_path / "rate.json"]
    for file, resource in zip(files, (PATIENT, RATE), strict=True):
        file.write_text(json.dumps(resource), encoding="utf-8")
    ran = cds("advise", *map(str, files), *FAST)
    assert ran.code == 0
    assert "infant    t9, male" in ran.out
    assert "recheck" in ran.out


def test_fhir_resources_on_lines_of_one_file_are_joined(cds: Any) -> None:
    ran = cds("advise", "-", *FAST, stdin=f"{json.dumps(PATIENT)}\n{json.dumps(RATE)}\n")
    assert ran.code == 0
    assert "infant    t9, male" in ran.out


def test_a_bad_line_among_fhir_resources_is_named(cds: Any) -> None:
    ran = cds("advise", "-", *FAST, stdin=f"{json.dumps(PATIENT)}\n{{\n")
    assert ran.code == 3
    assert "line 2" in ran.err


def test_our_own_entries_are_not_joined(cds: Any, charted: str) -> None:
    ran = cds("advise", charted, charted, *FAST)
    assert ran.code == 2
    assert "--lines" in ran.err


def test_codes_of_a_site_are_read(cds: Any, tmp_path: Path) -> None:
    ward = {
        "codes": "ward",
        "title": "A ward",
        "systems": {"ward": "http://codes.thornmere.example/signs"},
        "observations": [{"system": "ward", "code": "RR", "observation": "respiratory-rate"}],
    }
    file = tmp_path / "ward.json"
    file.write_text(json.dumps(ward), encoding="utf-8")
    local = {**RATE, "code": {"coding": [{"system": "http://codes.thornmere.example/signs", "code": "RR"}]}}
    bundle = json.dumps({"resourceType": "Bundle", "type": "collection", "entry": [{"resource": local}]})
    unread, read = (cds("advise", "-", *FAST, *codes, stdin=bundle).out for codes in ((), ("--codes", str(file))))
    assert "breathing rate  66 /min" not in unread
    assert "breathing rate  66 /min" in read


def test_codes_check_counts_what_a_file_maps(cds: Any) -> None:
    ran = cds("codes", "check", str(shipped("rulesets") / "codes" / "thornmere.json"))
    assert ran.code == 0
    assert re.match(r"thornmere: no problem found; beyond the standard codes it maps [1-9]\d* codes", ran.out)


def test_codes_check_refuses_with_five_fields(cds: Any, tmp_path: Path) -> None:
    file = tmp_path / "wrong.json"
    file.write_text('{"codes": "x"}', encoding="utf-8")
    ran = cds("codes", "check", str(file))
    assert ran.code == 3
    assert ran.err.startswith("CM-")


def test_a_refused_entry_is_told_in_five_fields_on_standard_error(cds: Any) -> None:
    ran = cds("advise", "-", *FAST, stdin='{"observations": []}')
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.startswith("EN-104  /infant\n  found     no `infant`\n  expected  ")
    assert "\n  next      " in ran.err


def test_a_refusal_is_json_where_json_was_asked_for(cds: Any) -> None:
    ran = cds("advise", "-", "--as", "json", *FAST, stdin='{"observations": []}')
    told = json.loads(ran.err)
    assert (ran.code, ran.out, told["refused"]) == (3, "", "entry")


def test_refused_rules_end_with_four(cds: Any, charted: str, tmp_path: Path) -> None:
    ran = cds("advise", charted, "--rules", str(tmp_path))
    assert ran.code == 4
    assert ran.err.startswith("RS-")


@pytest.mark.parametrize(
    "arguments",
    [
        ["advise"],
        ["advise", "no-such-file.json"],
        ["advise", "."],
        ["advise", "-", "--as", "poem"],
        ["advise", "-", "--lines", "--as", "text"],
        ["advise", "-", "--case", "BR-01"],
        ["advise", "-", "--moment", "noon"],
        ["advise", "-", "--rules", "no-such-folder"],
        ["advise", "-", "--codes", "no-such-file"],
        ["rules", "show", "no-such-rule", "--rules", str(STARTER)],
        ["rules", "list", str(STARTER), "--area", "weather"],
        ["rules", "new", "Not An Id"],
        ["rules", "cases", "XX", "--rules", str(STARTER)],
        ["nonsense"],
    ],
)
def test_wrong_use_ends_with_two_and_says_why(cds: Any, arguments: list[str]) -> None:
    ran = cds(*arguments)
    assert (ran.code, ran.out) == (2, "")
    assert "Error" in ran.err
    assert "Traceback" not in ran.err


def test_disagreeing_evaluators_answer_and_end_with_five(
    cds: Any, charted: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    infer = Evaluators.infer

    def differ(self: Evaluators, view: Any) -> Any:
        return replace(infer(self, view), answered=("plain", "durable"), differences=("breathing-rate-high",))

    monkeypatch.setattr(Evaluators, "infer", differ)
    ran = cds("advise", charted, *FAST)
    assert ran.code == 5
    assert "which disagree on breathing-rate-high" in ran.out
    assert cds("advise", "-", "--lines", *FAST, stdin=json.dumps(entry(count(66)))).code == 5


def test_a_fault_of_the_program_is_one_line_without_data(
    cds: Any, charted: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("T-9")

    monkeypatch.setattr(Evaluators, "infer", fail)
    ran = cds("advise", charted, *FAST)
    assert (ran.code, ran.out) == (1, "")
    assert re.fullmatch(r"cds failed: ZeroDivisionError at test_cli\.py:\d+\. No answer was finished\. .*\n", ran.err)


def test_rules_check_counts_and_finds_nothing_in_the_starter(cds: Any) -> None:
    ran = cds("rules", "check", str(STARTER))
    assert (ran.code, ran.err) == (0, "")
    assert "1 rules, 1 thresholds with 1 limits" in ran.out
    assert "9 cases over 1 limits below, at and above" in ran.out
    assert ran.out.endswith("no problem found\n")


def test_rules_check_refuses_a_case_that_comes_out_otherwise(cds: Any, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(STARTER, tmp_path / "starter"))
    file = folder / "cases" / "breathing.yaml"
    file.write_text(
        file.read_text().replace(
            "value: 59, expect: {breathing-rate-high: not-met}", "value: 59, expect: {breathing-rate-high: met}"
        )
    )
    ran = cds("rules", "check", str(folder))
    assert ran.code == 4
    assert "case BR-01: breathing-rate-high not-met" in ran.err
    cases = cds("rules", "cases", "--rules", str(folder))
    assert cases.code == 4
    assert "breathing-rate-high: expected met, got not-met" in cases.out
    assert "see why: cds advise --case BR-01 --explain" in cases.out


def test_rules_check_names_what_the_cases_leave_out(cds: Any, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(STARTER, tmp_path / "starter"))
    file = folder / "cases" / "breathing.yaml"
    file.write_text("".join(line for line in file.read_text().splitlines(keepends=True) if "BR-02" not in line))
    ran = cds("rules", "check", str(folder))
    assert ran.code == 4
    assert ran.err.startswith("RS-501")


def test_rules_list_gives_each_rule_once_with_level_and_ages(cds: Any) -> None:
    ran = cds("rules", "list", "--area", "oxygen")
    assert ran.code == 0
    assert re.search(r"^  saturation-under-90 +contact, red flag +from 10 minutes$", ran.out, re.MULTILINE)
    rows = [line for line in ran.out.splitlines() if re.match(r"  \S", line)]
    assert len(rows) == int(re.search(r"^(\d+) rules of", ran.out, re.MULTILINE)[1])  # type: ignore[index]


PAGE_HEADS = ["Says", "Reads", "Limit and source", "Does not see", "Worked entry", "Past versions"]


def test_rules_show_has_the_six_heads_and_a_worked_entry(cds: Any) -> None:
    ran = cds("rules", "show", "breathing-rate-high", "--rules", str(STARTER))
    assert re.findall(r"^[A-Z][a-z ]+$", ran.out, re.MULTILINE) == PAGE_HEADS
    assert "under 2 months: at or above 60 /min; common practice" in ran.out
    assert "a site may set 55 /min to 60 /min, towards lower values" in " ".join(ran.out.split())
    assert "from 2 to 24 months: no limit, not decided yet" in ran.out
    assert "case BR-02" in ran.out


def test_past_versions_come_from_the_change_log(cds: Any, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(STARTER, tmp_path / "starter"))
    log = "# Changes\n\n## starter 0.2.0\n\n- `breathing-rate-high`: 58 becomes 60 /min.\n- `other`: nothing.\n"
    (folder / "CHANGELOG.md").write_text(log)
    ran = cds("rules", "show", "breathing-rate-high", "--rules", str(folder))
    assert "starter 0.2.0: `breathing-rate-high`: 58 becomes 60 /min." in ran.out
    assert "`other`" not in ran.out


def test_rules_page_writes_a_page_for_each_rule(cds: Any, tmp_path: Path) -> None:
    ran = cds("rules", "page", str(tmp_path / "pages"))
    assert ran.code == 0
    pages = sorted((tmp_path / "pages").glob("*.md"))
    index = (tmp_path / "pages" / "index.md").read_text(encoding="utf-8")
    assert len(pages) > 150
    for page in pages:
        if page.name != "index.md":
            text = page.read_text(encoding="utf-8")
            assert re.findall(r"^## (.*)$", text, re.MULTILINE) == PAGE_HEADS
            assert "no golden case at hand" not in text
            assert f"]({page.name})" in index


def test_rules_freeze_writes_once_and_the_file_answers_the_same(cds: Any, charted: str, tmp_path: Path) -> None:
    frozen = tmp_path / "starter.json"
    ran = cds("rules", "freeze", str(frozen), "--rules", str(STARTER))
    assert ran.code == 0
    assert re.search(r"^sha256:[0-9a-f]{64}$", ran.out, re.MULTILINE)
    before = frozen.read_bytes()
    again = cds("rules", "freeze", str(frozen), "--rules", str(STARTER))
    assert (again.code, frozen.read_bytes()) == (2, before)
    moment = FAST[2:]
    one, other = (
        cds("advise", charted, "--as", "json", "--rules", str(path), *moment).out for path in (STARTER, frozen)
    )
    assert one == other
    assert cds("rules", "check", str(frozen)).code == 0
    assert cds("advise", "--case", "BR-01", "--rules", str(frozen)).code == 2


def test_a_new_rule_set_is_valid_and_names_its_schemas(cds: Any, tmp_path: Path) -> None:
    folder = tmp_path / "ward-rules"
    assert cds("rules", "new", str(folder)).code == 0
    assert cds("rules", "check", str(folder)).code == 0
    for file in folder.rglob("*.yaml"):
        first = file.read_text(encoding="utf-8").splitlines()[0]
        schema = first.removeprefix("# yaml-language-server: $schema=file://")
        assert Path(schema).is_file()
    assert cds("rules", "new", str(folder)).code == 2


def test_a_new_threshold_and_rule_load_and_wait_for_their_cases(cds: Any, tmp_path: Path) -> None:
    folder = tmp_path / "ward-rules"
    cds("rules", "new", str(folder))
    assert cds("rules", "new", str(folder), "--threshold", "rate-second", "--rule", "worry-noted").code == 0
    assert cds("rules", "list", str(folder)).out.count("  note  ") == 2
    ran = cds("rules", "check", str(folder))
    assert {line[:6] for line in ran.err.splitlines() if line.startswith("RS-")} <= {"RS-502", "RS-503", "RS-504"}
    assert cds("rules", "new", str(folder), "--rule", "worry-noted").code == 2


def test_version_says_software_rules_digest_and_evaluators(cds: Any) -> None:
    ran = cds("--version")
    assert ran.code == 0
    assert re.search(r"^infant-vitals-cds \d", ran.out)
    assert "evaluators: plain" in ran.out
    assert re.search(r"^rule set: infant-vitals \S+, \d+ rules, sha256:[0-9a-f]{64}$", ran.out, re.MULTILINE)


@pytest.mark.parametrize("command", [[], ["advise"], ["rules"], ["rules", "new"], ["codes"]])
def test_help_names_its_options_in_plain_text(cds: Any, command: list[str]) -> None:
    ran = cds(*command, "--help")
    assert (ran.code, ran.out.isascii()) == (0, True)
    assert ran.out.startswith("Usage: cds")


def test_help_imports_nothing_heavy() -> None:
    heavy = ["pydantic", "rich", "jsonschema", "ruamel", "durable", "pygrowup", "cds.judge", "cds.rules.model"]
    code = (
        "import sys\nsys.argv = ['cds', '--help']\nfrom cds.cli.main import run\n"
        f"try:\n    run()\nexcept SystemExit:\n    sys.exit(','.join(n for n in {heavy!r} if n in sys.modules) or 0)"
    )
    ran = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert (ran.returncode, ran.stderr) == (0, "")


def test_a_terminal_without_our_characters_gets_plainer_ones(charted: str) -> None:
    command = [sys.executable, "-m", "cds.cli.main", "advise", SERIOUS]
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, env=environment)
    assert ran.returncode == 0
    assert b"= contact = " in ran.stdout
    assert b"36.6 C" in ran.stdout
    assert b"?" not in ran.stdout


def test_a_reader_that_goes_away_is_no_fault(tmp_path: Path, charted: str) -> None:
    many = tmp_path / "many.ndjson"
    many.write_text("\n".join([json.dumps(entry(count(66)))] * 200), encoding="utf-8")
    command = [sys.executable, "-m", "cds.cli.main", "advise", str(many), "--lines", "--rules", str(STARTER)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout
        assert process.stderr
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 1


def test_the_rule_set_that_ships_lies_where_the_commands_look() -> None:
    assert (RULES / "ruleset.yaml").is_file()
