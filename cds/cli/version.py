"""`cds --version`: software, rule set with digest, evaluators."""

from __future__ import annotations

import typer

from cds.cli.given import open_rules
from cds.cli.output import refuse, write


def version(wanted: bool) -> None:
    """Say what answers, and end."""
    if not wanted:
        return
    from importlib.metadata import version as version_of

    from cds.errors import Refused
    from cds.infer.durable import available

    write(f"infant-vitals-cds {version_of('infant-vitals-cds')}\n")
    write(
        f"evaluators: plain{', durable-rules' if available() else ' (one evaluator: durable-rules is not installed)'}\n"
    )
    try:
        rules = open_rules(None)
    except Refused as refused:
        refuse(refused)
    write(f"rule set: {rules.id} {rules.version}, {len(rules.rules)} rules, {rules.digest}\n")
    raise typer.Exit
