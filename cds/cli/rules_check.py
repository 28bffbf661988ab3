"""`cds rules check`: form, meaning, the engine's limits, cases, and what the cases leave out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from cds.cli.given import RULES_HELP, rules_path
from cds.cli.output import refuse, write
from cds.cli.rules_cases import run_cases

if TYPE_CHECKING:
    from cds.coverage import Coverage
    from cds.rules.model import RuleSet


def check(rules: Path | None = typer.Argument(None, metavar="[DIR|FILE]", help=RULES_HELP)) -> None:
    """Check a rule set and count what it holds; every problem is named, and nothing found is said with the counts."""
    from cds.errors import Refused
    from cds.infer.facts import program
    from cds.infer.limits import check as check_limits
    from cds.rules import load

    path = rules_path(rules)
    try:
        problems = load.check(path) if path.is_dir() else ()
        if problems:
            raise Refused("rules", problems)
        found = load.load(path)
        if problems := check_limits(program(found.rules).rules):
            raise Refused("rules", problems)
        write(_counts(found))
        if path.is_dir():
            _check_cases(path, found)
    except Refused as refused:
        refuse(refused)
    write("no problem found\n")


def _counts(rules: RuleSet) -> str:
    limits = sum(1 for threshold in rules.thresholds.values() for band in threshold.bands if band.limit is not None)
    return (
        f"{rules.id} {rules.version}  {rules.digest}\n"
        f"{len(rules.rules)} rules, {len(rules.thresholds)} thresholds with {limits} limits, "
        f"{len(rules.scores)} scores, {len(rules.bands)} age bands, {len(rules.sources)} sources\n"
    )


def _check_cases(path: Path, rules: RuleSet) -> None:
    """Run the cases and say what they cover. Raises Refused where one comes out otherwise or something is uncovered."""
    from cds import cases, coverage
    from cds.errors import Problem, Refused

    outcomes = run_cases(cases.read(path), rules)
    missed = [
        Problem(
            each.case.place,
            "RS-505",
            f"case {each.case.id}: {miss.about} {miss.got}",
            miss.expected,
            _SEE.format(each.case.id),
        )
        for each in outcomes
        for miss in each.misses
    ]
    covered = coverage.coverage(rules, outcomes)
    write(_covered(len(outcomes), covered))
    if missed or covered.problems:
        raise Refused("rules", [*missed, *covered.problems])


_SEE = "see why with `cds advise --case {} --explain`, then correct the rule or the case"


def _covered(cases: int, covered: Coverage) -> str:
    return (
        f"{cases} cases over {covered.limits} limits below, at and above, {covered.edges} band edges on both days, "
        f"{covered.inputs} inputs left out\n"
    )
