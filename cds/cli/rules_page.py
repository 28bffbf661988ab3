"""`cds rules page`: the pages of all rules, as Markdown files in a folder."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from cds.cli.given import RULES_HELP, open_rules, rules_path
from cds.cli.output import refuse, write

if TYPE_CHECKING:
    from cds.cases import Outcome
    from cds.cli.rule_page import Known
    from cds.rules.model import RuleSet


def page(
    folder: Path = typer.Argument(..., metavar="FOLDER", help="Where the pages are written; made where it is missing."),
    rules: Path | None = typer.Option(None, "--rules", metavar="DIR|FILE", help=RULES_HELP),
) -> None:
    """Write a page for each rule, with an index; pages of the same name are written over."""
    from cds.cli.rule_page import heads, markdown
    from cds.errors import Refused

    try:
        found = open_rules(rules)
        known = known_of(rules_path(rules), found, {rule.id for rule in found.rules})
    except Refused as refused:
        refuse(refused)
    folder.mkdir(parents=True, exist_ok=True)
    for rule in found.rules:
        made = markdown(rule, heads(rule, found, known[rule.id]))
        (folder / f"{rule.id}.md").write_text(made, encoding="utf-8")
    (folder / "index.md").write_text(_index(found), encoding="utf-8")
    write(f"{len(found.rules)} pages and index.md in {folder}\n")


def _index(rules: RuleSet) -> str:
    lines = [f"# Rules of {rules.id} {rules.version}", "", f"`{rules.digest}`"]
    for area in sorted({rule.area for rule in rules.rules}):
        lines += ["", f"## {area}", ""]
        of_area = sorted((rule for rule in rules.rules if rule.area == area), key=lambda rule: rule.id)
        lines += [f"- [{rule.title}]({rule.id}.md): {rule.level}, `{rule.id}`" for rule in of_area]
    return "\n".join(lines) + "\n"


def known_of(path: Path, rules: RuleSet, wanted: Collection[str]) -> dict[str, Known]:
    """For each rule a golden case in which it is met, and its lines in the change log; a frozen file has neither.

    Raises:
        Refused: a case file that cannot be read.
    """
    from cds.cli.rule_page import Known, changes_of

    worked = _worked(path, rules, wanted) if path.is_dir() else {}
    log = path / "CHANGELOG.md"
    changes = log.read_text(encoding="utf-8") if log.is_file() else ""
    return {rule: Known(worked.get(rule), changes_of(rule, changes)) for rule in wanted}


def _worked(path: Path, rules: RuleSet, wanted: Collection[str]) -> dict[str, Outcome]:
    """The first case that expects each rule to be met, run."""
    from cds import cases

    first: dict[str, cases.Case] = {}
    for case in cases.read(path):
        for rule, verdict in case.expect.items():
            if verdict == "met" and rule in wanted:
                first.setdefault(rule, case)
    chosen = {case.id: case for case in first.values()}
    run = {outcome.case.id: outcome for outcome in cases.run(chosen.values(), rules)}
    return {rule: run[case.id] for rule, case in first.items()}
