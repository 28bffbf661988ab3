"""`cds rules show`: the page of one rule."""

from __future__ import annotations

from pathlib import Path

import typer

from cds.cli.given import RULES_HELP, check_rule, open_rules, rules_path
from cds.cli.output import refuse, width, write


def show(
    rule: str = typer.Argument(..., metavar="RULE", help="The id of a rule; `cds rules list` lists them."),
    rules: Path | None = typer.Option(None, "--rules", metavar="DIR|FILE", help=RULES_HELP),
) -> None:
    """Show one rule in plain words: what it says, reads, rests on, does not see, with a worked entry."""
    from cds.cli.rule_page import as_text, heads
    from cds.cli.rules_page import known_of
    from cds.errors import Refused

    try:
        found = open_rules(rules)
        by_id = {each.id: each for each in found.rules}
        check_rule(rule, list(by_id), "RULE")
        known = known_of(rules_path(rules), found, {rule})[rule]
    except Refused as refused:
        refuse(refused)
    write(as_text(by_id[rule], heads(by_id[rule], found, known), width()))
