"""`cds advise`: the advice to one entry, or to an entry on each line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from cds.cli.given import RULES_HELP, check_rule, open_codes, open_moment, open_rules, rules_path
from cds.cli.output import DISAGREE, DONE, ENTRY_REFUSED, refuse, width, write, write_json
from cds.cli.pictures import FILE_HELP, check_picture, write_picture

if TYPE_CHECKING:
    from cds.advice.answer import Answer
    from cds.adviser import Adviser

Data = dict[str, Any]
RAISED = "raised"
"""What `--explain` alone stands for: every raised rule."""


class Form(StrEnum):
    """The forms of an answer."""

    TEXT = "text"
    JSON = "json"
    HANDOVER = "handover"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks for."""

    files: tuple[str, ...]
    form: Form
    explain: str | None = None
    codes: Path | None = None
    rules: Path | None = None
    moment: str | None = None
    plot: Path | None = None


def advise(
    files: list[str] = typer.Argument(
        None,
        metavar="FILE|-",
        help="An entry as JSON or FHIR R4, `-` for standard input; several FHIR files are joined.",
    ),
    form: Form | None = typer.Option(None, "--as", metavar="FORM", help="text (default), json or handover."),
    lines: bool = typer.Option(False, "--lines", help="An entry on each line in, a JSON answer on each line out."),
    explain: str | None = typer.Option(
        None, "--explain", metavar="[RULE]", help="Full reasons of a rule, met or not; alone: of every raised rule."
    ),
    case: str | None = typer.Option(None, "--case", metavar="ID", help="Answer a golden case of the rule set."),
    codes: Path | None = typer.Option(None, "--codes", metavar="FILE", help="What the codes of a site's FHIR mean."),
    rules: Path | None = typer.Option(None, "--rules", metavar="DIR|FILE", help=RULES_HELP),
    moment: str | None = typer.Option(None, "--moment", metavar="T", help="When it is asked; the clock by default."),
    plot: Path | None = typer.Option(None, "--plot", metavar="FILE.svg", help=f"Draw it too. {FILE_HELP}"),
) -> None:
    """Answer an entry: what is expected, what stands out and why, what to do by when, what could not be judged."""
    from cds.errors import Refused

    wanted = form or (Form.JSON if lines else Form.TEXT)
    asked = Asked(tuple(files or ()), wanted, explain, codes, rules, moment, plot)
    _check_use(asked, lines, case)
    try:
        code = _case(case, asked) if case is not None else _lines(asked) if lines else _entry(asked)
    except Refused as refused:
        refuse(refused, wanted is Form.JSON)
    raise typer.Exit(code)


def _check_use(asked: Asked, lines: bool, case: str | None) -> None:
    if bool(asked.files) == (case is not None):
        raise typer.BadParameter("one of FILE, `-` for standard input, or --case ID", param_hint="FILE")
    rules_path(asked.rules)
    if lines and (len(asked.files) != 1 or asked.form is not Form.JSON):
        raise typer.BadParameter("takes one FILE or `-`, and answers in JSON", param_hint="--lines")
    if asked.plot is not None:
        if lines:
            raise typer.BadParameter("draws one entry, not one on each line", param_hint="--plot")
        check_picture(asked.plot, "--plot")


def _entry(asked: Asked) -> int:
    from cds.cli.entries import Reader

    reader = Reader(open_codes(asked.codes), open_moment(asked.moment))
    entry = reader.files(asked.files)
    return _show(_adviser(asked).answer(entry, reader.moment), asked)


def _lines(asked: Asked) -> int:
    from cds.advice.compose import compose
    from cds.cli.entries import Reader
    from cds.cli.lines import answer_lines
    from cds.entry.json_text import MOST_BYTES

    reader = Reader(open_codes(asked.codes), open_moment(asked.moment))
    adviser = _adviser(asked)

    def answer(line: bytes) -> tuple[Data, bool]:
        answered = adviser.answer(reader.line(line), reader.moment)
        advice = compose(answered)
        return _document(advice, answered, asked), advice["evaluators"]["agree"] is False

    tally = answer_lines(asked.files[0], answer, MOST_BYTES)
    if tally.differing:
        return DISAGREE
    return ENTRY_REFUSED if tally.refused else DONE


def _case(wanted: str, asked: Asked) -> int:
    from cds import cases
    from cds.adviser import Adviser

    path = rules_path(asked.rules)
    if path.is_file():
        raise typer.BadParameter("a frozen rule set holds no cases; give its folder", param_hint="--case")
    rules = _adviser(asked).rules
    case = next((each for each in cases.read(path) if each.id == wanted), None)
    if case is None:
        raise typer.BadParameter(f"no case `{wanted}`", param_hint="--case")
    outcome = cases.run_case(case, Adviser(replace(rules, settings={**rules.settings, **case.settings})))
    if asked.form is not Form.JSON:
        write(f"{cases.report(outcome) if outcome.misses else f'{case.id}  {case.title}   as expected'}\n\n")
    return _show(outcome.answer, asked)


def _show(answer: Answer, asked: Asked) -> int:
    from cds.advice.compose import compose
    from cds.advice.handover import handover
    from cds.advice.text import text

    advice = compose(answer)
    if asked.form is Form.JSON:
        write_json(_document(advice, answer, asked))
    else:
        write((handover if asked.form is Form.HANDOVER else text)(advice, width()))
        _show_reasons(answer, asked)
    _draw(answer, asked)
    return DISAGREE if advice["evaluators"]["agree"] is False else DONE


def _draw(answer: Answer, asked: Asked) -> None:
    if asked.plot is None:
        return
    from cds.pictures.sheets import draw_answer

    write_picture(asked.plot, draw_answer(answer), "--plot")


def _show_reasons(answer: Answer, asked: Asked) -> None:
    from cds.advice.lines import Page
    from cds.advice.tree import tree

    for each in _explained(answer, asked):
        write("\n" + "\n".join(tree(each, Page(width()))) + "\n")


def _document(advice: Data, answer: Answer, asked: Asked) -> Data:
    """The advice alone, or beside the full reasons that were asked for."""
    if asked.explain is None:
        return advice
    return {"advice": advice, "explained": _explained(answer, asked)}


def _explained(answer: Answer, asked: Asked) -> list[Data]:
    from cds.advice.tree import explained

    if asked.explain is None:
        return []
    return explained(answer, None if asked.explain == RAISED else asked.explain)


def _adviser(asked: Asked) -> Adviser:
    """The adviser with its rules, which hold the rule to be explained."""
    from cds.adviser import Adviser

    adviser = Adviser(open_rules(asked.rules))
    check_rule(asked.explain, [RAISED, *(rule.id for rule in adviser.rules.rules)], "--explain")
    return adviser
