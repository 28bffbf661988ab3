"""`cds rules cases`: the golden cases of a rule set, run."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from cds.cli.given import RULES_HELP, open_rules, rules_path
from cds.cli.output import RULES_REFUSED, refuse, write
from cds.cli.progress import progress

if TYPE_CHECKING:
    from cds.cases import Case, Outcome
    from cds.rules.model import RuleSet


def cases(
    wanted: str = typer.Argument("", metavar="[ID]", help="Only cases whose id begins so, for example FB or FB-02."),
    rules: Path | None = typer.Option(None, "--rules", metavar="DIR", help=RULES_HELP),
) -> None:
    """Run the cases through both evaluators; each that comes out otherwise is shown with its reasons."""
    from cds import cases as golden
    from cds.errors import Refused

    path = rules_path(rules)
    if path.is_file():
        raise typer.BadParameter("a frozen rule set holds no cases; give its folder", param_hint="--rules")
    try:
        found = open_rules(rules)
        chosen = [case for case in golden.read(path) if case.id.startswith(wanted)]
        if not chosen:
            raise typer.BadParameter(f"no case whose id begins with `{wanted}`", param_hint="ID")
        missed = [golden.report(each) for each in run_cases(chosen, found) if each.misses]
    except Refused as refused:
        refuse(refused)
    for report in missed:
        write(f"{report}\n\n")
    write(f"{len(chosen)} cases: {len(chosen) - len(missed)} as expected, {len(missed)} otherwise\n")
    raise typer.Exit(RULES_REFUSED if missed else 0)


def run_cases(chosen: Sequence[Case], rules: RuleSet) -> list[Outcome]:
    """The outcome of each case, with a bar on a terminal. Raises Refused where an entry of a case is malformed."""
    from cds.cases import run

    outcomes = []
    with progress("cases", len(chosen)) as step:
        for outcome in run(chosen, rules):
            outcomes.append(outcome)
            step(1)
    return outcomes
