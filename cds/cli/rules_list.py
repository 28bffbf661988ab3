"""`cds rules list`: every rule on a line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from cds.cli.given import RULES_HELP, open_rules
from cds.cli.output import refuse, width, write

if TYPE_CHECKING:
    from cds.rules.model import Rule


def list_rules(
    rules: Path | None = typer.Argument(None, metavar="[DIR|FILE]", help=RULES_HELP),
    area: str | None = typer.Option(None, "--area", help="Only rules of one area, for example breathing."),
) -> None:
    """List the rules by area, with level and ages."""
    from cds.errors import Refused

    try:
        found = open_rules(rules)
    except Refused as refused:
        refuse(refused)
    areas = sorted({rule.area for rule in found.rules})
    if area not in (None, *areas):
        raise typer.BadParameter(f"no rule of area `{area}`; areas are {', '.join(areas)}", param_hint="--area")
    chosen = [rule for rule in found.rules if area in (None, rule.area)]
    lines = [line for name in areas if area in (None, name) for line in _area(name, chosen, width())]
    write("\n".join([*lines, f"{len(chosen)} rules of {found.id} {found.version}, {found.digest}"]) + "\n")


def _area(name: str, rules: Sequence[Rule], columns: int) -> Iterator[str]:
    """The rules of one area, the gravest level first."""
    from cds.advice.lines import Page
    from cds.advice.terms import LEVELS

    page, longest = Page(columns), max(len(rule.id) for rule in rules)
    yield name
    of_area = [rule for rule in rules if rule.area == name]
    for rule in sorted(of_area, key=lambda rule: (LEVELS.index(rule.level), not rule.red_flag, rule.id)):
        level = f"{rule.level}{', red flag' if rule.red_flag else ''}"
        yield from page.wrap(_ages(rule), f"  {rule.id:<{longest}}  {level:<17}  ")
    yield ""


def _ages(rule: Rule) -> str:
    """The ages that a rule is for: the band, or the first and the last of several."""
    words = [band.words for band in rule.gate.bands]
    ages = words[0] if len(words) == 1 else f"{words[0]} ... {words[-1]}"
    return ages if rule.gate.age == "chronological" else f"{ages}, {rule.gate.age} age"
