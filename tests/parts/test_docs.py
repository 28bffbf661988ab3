"""The pages say what is so: files, links, commands, codes, source ids, numbers and excerpts of output exist."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
import typer

from cds import cases
from cds.adviser import Adviser
from cds.cli.main import app
from cds.entry.catalogue import CARE, CATALOGUE
from cds.entry.read import read_entry, read_json
from cds.rules.derived import DERIVED
from cds.rules.load import load
from cds.rules.model import RuleSet
from cds.rules.vocabulary import SLOTS
from cds.values import REASONS
from tests.agree.well_infants import well_infants
from tests.agree.well_tally import count_levels, level_table
from tools.module_tables import TARGET, write_tables

ROOT = Path(__file__).parents[2]
RULES = ROOT / "rulesets" / "infant-vitals"
PAGES = sorted(path for pattern in ("*.md", "docs/**/*.md", "rulesets/**/*.md") for path in ROOT.glob(pattern))
README = (ROOT / "README.md").read_text(encoding="utf-8")
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
pages = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())


@cache
def rule_set() -> RuleSet:
    return load(RULES)


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


def fences(text: str, kind: str) -> list[str]:
    return [body for found, body in FENCE.findall(text) if found == kind]


def shell_lines(page: Path) -> Iterator[str]:
    """Every command of a shell block, without its remark."""
    for block in fences(text_of(page), "sh"):
        yield from (line.split("  #")[0].strip() for line in block.splitlines() if line.strip())


def cds_calls(page: Path) -> Iterator[list[str]]:
    """The words after `cds` in shell blocks and in backquotes."""
    text = FENCE.sub("", text_of(page))
    quoted = [line for line in re.findall(r"`(cds [^`]*)`", text) if "..." not in line]
    for line in [*shell_lines(page), *quoted]:
        words = shlex.split(line.split("|")[-1])
        if words and Path(words[0]).name == "cds":
            yield words[1:]


@pages
def test_links_lead_to_files(page: Path) -> None:
    targets = [link.partition("#")[0] for link in re.findall(r"\]\(([^)\s]+)\)", text_of(page)) if "://" not in link]
    assert [target for target in targets if target and not (page.parent / target).exists()] == []


@pages
def test_files_named_in_backquotes_exist(page: Path) -> None:
    named = re.findall(r"`((?:cds|docs|tests|tools|schemas|rulesets|requirements)/[\w./-]+)`", text_of(page))
    assert [name for name in named if not (ROOT / name).exists()] == []


@pages
def test_commands_and_options_exist(page: Path) -> None:
    known = typer.main.get_command(app)
    for words in cds_calls(page):
        command = known
        while words and words[0] in getattr(command, "commands", {}):
            command = command.commands[words.pop(0)]
        options = {option for parameter in command.params for option in parameter.opts} | {"--help"}
        assert [word for word in words if word.startswith("--") and word not in options] == []
        assert not (words and hasattr(command, "commands") and not words[0].startswith("--")), words


@pages
def test_make_targets_exist(page: Path) -> None:
    targets = re.findall(r"^([a-z]+):", text_of(ROOT / "Makefile"), re.MULTILINE)
    calls = [line for line in shell_lines(page) if line.startswith("make ")]
    named = re.findall(r"`make ([a-z]+)`", text_of(page)) + [call.split()[1] for call in calls]
    assert [name for name in named if name not in targets] == []


@pages
def test_demo_files_of_commands_exist(page: Path) -> None:
    words = [word for line in shell_lines(page) for word in line.split() if word.startswith("rulesets/")]
    assert [word for word in words if not (ROOT / word).exists()] == []


def test_rules_and_cases_named_in_commands_exist() -> None:
    calls = [words for page in PAGES for words in cds_calls(page)]
    shown = {words[2] for words in calls if words[:2] == ["rules", "show"] and len(words) > 2} - {"RULE"}
    asked = {words[words.index("--case") + 1] for words in calls if "--case" in words}
    assert shown
    assert asked
    assert shown <= {rule.id for rule in rule_set().rules}
    assert asked - {"ID"} <= {case.id for case in cases.read(RULES)}


def test_every_source_has_its_place_on_the_page_of_sources() -> None:
    page = text_of(ROOT / "docs" / "rules-and-sources.md")
    named = set(re.findall(r"`((?:[a-z]+-)+(?:\d{4}|[a-z]*\d+))`", page))
    assert named <= rule_set().sources.keys()
    assert [source for source in rule_set().sources if f"`{source}`" not in page] == []


def test_how_figures_were_seen_is_counted() -> None:
    bands = [band for threshold in rule_set().thresholds.values() for band in threshold.bands]
    seen = Counter(band.source.figure_from for band in bands if band.limit is not None and band.source)
    page = text_of(ROOT / "docs" / "rules-and-sources.md")
    said = {word: int(count) for word, count in re.findall(r"^\| ([a-z-]+) \| [^|]+ \| (\d+) \|$", page, re.MULTILINE)}
    assert said == seen


def test_sources_say_how_each_was_seen() -> None:
    page = text_of(ROOT / "docs" / "rules-and-sources.md").partition("## What is taken")[2].partition("## Where")[0]
    for row in re.findall(r"^\| `.*$", page, re.MULTILINE):
        ids = re.findall(r"`([^`]+)`", row.split("|")[1])
        said = {word.strip() for word in row.split("|")[3].split(",")}
        assert said == set().union(*(seen_of(source) for source in ids)) - {None}, row


def seen_of(source: str) -> set[str | None]:
    rules = rule_set()
    limits = [band.source for threshold in rules.thresholds.values() for band in threshold.bands if band.source]
    named = [at for each in (*rules.rules, *rules.scores.values()) for at in each.sources]
    own = [at.figure_from for at in (*limits, *named) if at.ref == source]
    return {"common-practice"} if source == "common-practice" else set(own)


def test_the_readme_counts_what_the_rule_set_holds() -> None:
    rules = rule_set()
    limits = sum(band.limit is not None for threshold in rules.thresholds.values() for band in threshold.bands)
    counts = f"{len(rules.rules)} rules, {len(rules.thresholds)} thresholds with {limits} limits, "
    counts += f"{len(rules.scores)} scores, {len(rules.bands)} age bands, {len(rules.sources)} sources\n"
    assert f"{counts}{len(cases.read(RULES))} cases over " in README


def test_the_readme_shows_what_its_command_prints() -> None:
    command = next(line for line in shell_lines(ROOT / "README.md") if line.startswith(".venv/bin/cds advise"))
    arguments = [sys.executable, "-c", "from cds.cli.main import run; run()", *shlex.split(command)[1:]]
    run = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=True)
    rest = iter(run.stdout.splitlines())
    shown = fences(README, "text")[0].splitlines()
    assert [line for line in shown if line and not any(each.startswith(line) for each in rest)] == []


def test_the_readme_says_how_many_well_infants_raise_what() -> None:
    made = count_levels(Adviser(rule_set()), well_infants(1000))
    assert "\n".join(level_table(made)) in README


def test_the_python_of_the_readme_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(ROOT)
    exec(fences(README, "python")[0], {})  # noqa: S102
    assert capsys.readouterr().out.startswith("contact ")


def test_the_page_of_entries_lists_every_code_with_its_words() -> None:
    page = text_of(ROOT / "docs" / "entry.md")
    rows = dict(re.findall(r"^\| `?([a-z_-]+)`? \| (.*) \|$", page, re.MULTILINE))
    for kind in CATALOGUE.values():
        row = rows.get(kind.code, page if f"`{kind.code}`" in page else "")
        words = [word for values in kind.contexts.values() for word in values or ()]
        wanted = [*kind.units, *kind.grades, *(key for key in kind.contexts if key != "state" or not kind.is_sign)]
        in_row = [word for word in wanted if word not in row]
        assert row, kind.code
        assert in_row + [word for word in words if word not in page] == [], kind.code
    assert [word for words in CARE.values() for word in words or () if word not in page] == []


def test_the_entry_of_the_page_is_read() -> None:
    entry = read_entry(read_json(fences(text_of(ROOT / "docs" / "entry.md"), "json")[0]))
    assert [len(entry.observations), len(entry.earlier)] == [4, 1]


def test_the_page_of_answers_lists_every_key_and_reason() -> None:
    from cds.advice.model import Advice, Finding

    page = text_of(ROOT / "docs" / "answer.md")
    keys = [field.alias or name for model in (Advice, Finding) for name, field in model.model_fields.items()]
    unnamed = [key for key in keys if f"`{key}`" not in page]
    assert unnamed == ["preterm"] or unnamed == []
    assert ", ".join(REASONS).replace(", ", " ") in " ".join(page.replace(",", "").split())


def test_the_page_of_rule_files_names_every_derived_value_and_slot() -> None:
    page = text_of(ROOT / "docs" / "rule-files.md")
    assert [name for name in DERIVED if f"`{name}`" not in page] == []
    assert [slot for slot in SLOTS if f"`{{{slot}}}`" not in page] == []


def test_the_examples_of_the_page_of_rule_files_are_the_starter() -> None:
    starter = "\n".join(text_of(path) for path in sorted((ROOT / "rulesets" / "starter").rglob("*.yaml")))
    examples = fences(text_of(ROOT / "docs" / "rule-files.md"), "yaml")
    assert len(examples) == 4
    assert [example for example in examples if example not in starter] == []


def test_modules_are_listed_as_their_docstrings_say() -> None:
    assert text_of(TARGET) == write_tables(), "make it again: python -m tools.module_tables"
