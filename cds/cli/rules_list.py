"""`cds rules list`: every rule on a line."""

from __future__ import annotations

from pathlib import Path

import typer

from cds.cli.given import RULES_HELP, open_rules
from cds.cli.output import refuse, width, write


def list_rules(
    rules: Path | None = typer.Argument(None, metavar="[DIR|FILE]", help=RULES_HELP),
    area: str | None = typer.Option(None, "--area", help="Only rules of one area, for example breathing."),
) -> None:
    """List the rules with level, area, ages and title."""
    from cds.advice.lines import Page
    from cds.errors import Refused

    try:
        found = open_rules(rules)
    except Refused as refused:
        refuse(refused)
    areas = sorted({rule.area for rule in found.rules})
    if area not in (None, *areas):
        raise typer.BadParameter(f"no rule of area `{area}`; areas are {', '.join(areas)}", param_hint="--area")
    chosen = sorted((rule for rule in found.rules if area in (None, rule.area)), key=lambda rule: (rule.area, rule.id))
    rows = [
        (rule.id, rule.level + (", red flag" if rule.red_flag else ""), rule.area, _ages(rule.gate.bands), rule.title)
        for rule in chosen
    ]
    lines = Page(width()).table([("rule", "level", "area", "ages", "title"), *rows], (30, 10, 12, 20, 28))
    counted = f"{len(chosen)} rules of {found.id} {found.version}, {found.digest}"
    write("\n".join([*lines, "", counted]) + "\n")


def _ages(bands: tuple[object, ...]) -> str:
    words = [str(getattr(band, "words", "")) for band in bands]
    return words[0] if len(words) == 1 else f"{words[0]} ... {words[-1]}"
