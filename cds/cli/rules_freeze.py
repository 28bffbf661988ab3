"""`cds rules freeze`: a working copy as one sealed file."""

from __future__ import annotations

from pathlib import Path

import typer

from cds.cli.given import RULES_HELP, rules_path
from cds.cli.output import refuse, write


def freeze(
    out: Path = typer.Argument(..., metavar="OUT", help="The file to write; a file that exists is never written over."),
    rules: Path | None = typer.Option(None, "--rules", metavar="DIR", help=RULES_HELP),
) -> None:
    """Write a rule set as one canonical file with its digest, unsigned: it serves in mode trial or silent."""
    from cds.errors import Refused
    from cds.rules import load

    folder = rules_path(rules)
    if folder.is_file():
        raise typer.BadParameter("a file is frozen already; give a folder", param_hint="--rules")
    try:
        digest = load.freeze(folder, out)
    except Refused as refused:
        refuse(refused)
    except FileExistsError:
        raise typer.BadParameter(f"{out}: exists; what was frozen is never written over", param_hint="OUT") from None
    except OSError as error:
        raise typer.BadParameter(
            f"{out}: {(error.strerror or 'cannot be written').lower()}", param_hint="OUT"
        ) from None
    write(f"{out}\n{digest}\nunsigned: mode trial or silent until a hospital signs it\n")
