"""Each wrong rule file, laid over a tiny complete rule set, is refused with exactly the message beside it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cds.errors import Refused
from cds.rules.load import check, freeze, load

HERE = Path(__file__).parent
WRONG = sorted(path for path in (HERE / "rules").iterdir() if path.is_dir())
MESSAGES = ("expected.txt", "removed.txt")


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The complete rule set in a folder of its own, which is the working directory."""
    folder = tmp_path / "set"
    shutil.copytree(HERE / "base", folder)
    monkeypatch.chdir(folder)
    return Path()


def lay_over(wrong: Path, folder: Path) -> None:
    for path in wrong.rglob("*"):
        if path.is_file() and path.name not in MESSAGES:
            target = folder / path.relative_to(wrong)
            target.parent.mkdir(exist_ok=True)
            shutil.copy(path, target)
    removed = wrong / "removed.txt"
    for name in removed.read_text("utf-8").split() if removed.exists() else ():
        (folder / name).unlink()


def test_the_complete_rule_set_has_no_problem(tiny: Path) -> None:
    assert check(tiny) == ()
    assert len(load(tiny).rules) == 6


@pytest.mark.parametrize("wrong", WRONG, ids=lambda path: path.name)
def test_a_wrong_file_is_refused_with_exactly_this_message(wrong: Path, tiny: Path) -> None:
    lay_over(wrong, tiny)
    problems = check(tiny)
    assert "\n\n".join(problem.text() for problem in problems) + "\n" == (wrong / "expected.txt").read_text("utf-8")
    assert wrong.name[:6].upper() in {problem.code for problem in problems}


@pytest.mark.parametrize("wrong", [path for path in WRONG if "-34" not in path.name][::8], ids=lambda path: path.name)
def test_what_check_finds_freeze_refuses(wrong: Path, tiny: Path) -> None:
    lay_over(wrong, tiny)
    with pytest.raises(Refused) as refused:
        freeze(tiny, tiny / "frozen.json")
    assert refused.value.subject == "rules"
    assert refused.value.problems
    assert not (tiny / "frozen.json").exists()


def test_there_are_at_least_45_wrong_rule_files() -> None:
    assert len(WRONG) >= 45


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        load(tmp_path / "nowhere")
    assert [problem.code for problem in refused.value.problems] == ["RS-115"]


def test_a_folder_named_as_a_file_is_refused(tiny: Path) -> None:
    (tiny / "thresholds" / "heart.yaml").mkdir()
    assert [(problem.code, problem.place) for problem in check(tiny)] == [("RS-116", "thresholds/heart.yaml")]


def test_a_file_of_an_editor_is_not_read(tiny: Path) -> None:
    (tiny / "thresholds" / ".heart.yaml.swp").write_text("x", "utf-8")
    assert check(tiny) == ()


def test_a_file_over_a_million_bytes_is_refused(tiny: Path) -> None:
    (tiny / "groups.yaml").write_text("# " + "x" * 1_000_000, "utf-8")
    assert [problem.code for problem in check(tiny)] == ["RS-101"]
