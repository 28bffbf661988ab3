"""The way in from the command line: all commands, their help, their exit codes.

Takes arguments; ends the program with 0 done, 2 wrong use, 3 input refused, 4 rules refused, 5 evaluators disagree;
1 is a fault of the program itself, said in one line, or output that nobody reads any more. Imports no part that judges
until a command runs.
"""

from __future__ import annotations

import os
import re
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

import typer

from cds.cli.advise import RAISED, advise
from cds.cli.codes_check import check as codes_check
from cds.cli.demo import demo
from cds.cli.given import exists
from cds.cli.rules_cases import cases
from cds.cli.rules_check import check
from cds.cli.rules_freeze import freeze
from cds.cli.rules_list import list_rules
from cds.cli.rules_new import new
from cds.cli.rules_page import page
from cds.cli.rules_plot import plot
from cds.cli.rules_show import show
from cds.cli.version import version

TRACE = "CDS_TRACE"
_RULE = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def _commands(about: str | None = None) -> typer.Typer:
    """Commands with plain help: no frames, nothing imported for them."""
    return typer.Typer(
        help=about,
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )


app = _commands()
rules = _commands("Rule sets: check, read, run their cases, freeze, begin a new one.")
codes = _commands("Mapping files: what the codes of a site's charting system mean.")


@app.callback()
def begin(
    ask_version: bool = typer.Option(
        False, "--version", callback=version, is_eager=True, help="Software, rule set, digest and evaluators."
    ),
) -> None:
    """Advice to a charted entry of an infant, birth to 24 months, for the clinician who decides.

    Begin with `cds demo`. Exit codes: 0 done, 2 wrong use, 3 input refused, 4 rules refused, 5 evaluators disagree.
    """


app.command("demo")(demo)
app.command("advise")(advise)
app.add_typer(rules, name="rules")
app.add_typer(codes, name="codes")
rules.command("check")(check)
rules.command("list")(list_rules)
rules.command("show")(show)
rules.command("cases")(cases)
rules.command("page")(page)
rules.command("plot")(plot)
rules.command("freeze")(freeze)
rules.command("new")(new)
codes.command("check")(codes_check)


def run(arguments: Sequence[str] | None = None) -> None:
    """Run one command and end the program. Always raises SystemExit."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        app(args=fill_explain(given), prog_name="cds")
    except Exception as error:
        _say_fault(error)
        sys.exit(1)


def fill_explain(arguments: Sequence[str]) -> list[str]:
    """The same arguments, `--explain` alone given its word: an option, a file or nothing follows it, no rule."""
    filled = []
    for place, argument in enumerate(arguments):
        filled.append(argument)
        follower = arguments[place + 1] if place + 1 < len(arguments) else ""
        if argument == "--explain" and (not _RULE.fullmatch(follower) or exists(Path(follower))):
            filled.append(RAISED)
    return filled


def _say_fault(error: Exception) -> None:
    """One line on a fault of ours: its kind and place, no data of a patient."""
    if os.environ.get(TRACE):
        traceback.print_exception(error)
    where = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{Path(where.filename).name}:{where.lineno}"
    sys.stderr.write(
        f"cds failed: {type(error).__name__} at {place}. No answer was finished. {TRACE}=1 shows the trace.\n"
    )


if __name__ == "__main__":
    run()
