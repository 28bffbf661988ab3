"""`cds rules plot`: a threshold over age, as a picture and a table."""

from __future__ import annotations

from pathlib import Path

import typer

from cds.cli.given import RULES_HELP, open_rules
from cds.cli.output import refuse
from cds.cli.pictures import FILE_HELP, check_picture, write_picture


def plot(
    threshold: str = typer.Argument(..., metavar="THRESHOLD", help="The id of a threshold; `cds rules show` names it."),
    out: Path = typer.Option(..., "-o", "--out", metavar="FILE.svg", help=FILE_HELP),
    rules: Path | None = typer.Option(None, "--rules", metavar="DIR|FILE", help=RULES_HELP),
) -> None:
    """Draw a threshold over age: its bands as steps, with their limits, sources and the rules in force."""
    from cds.errors import Refused
    from cds.rules.phrase import nearest

    check_picture(out, "-o")
    try:
        found = open_rules(rules)
    except Refused as refused:
        refuse(refused)
    if threshold not in found.thresholds:
        near = nearest(threshold, list(found.thresholds))
        words = f"no threshold `{threshold}`{f'; nearest is `{near}`' if near else ''}"
        raise typer.BadParameter(words, param_hint="THRESHOLD")
    from cds.pictures.sheets import draw_threshold

    write_picture(out, draw_threshold(found.thresholds[threshold], found), "-o")
