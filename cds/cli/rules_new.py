"""`cds rules new`: a small valid rule set to begin with, or one more threshold or rule for a rule set."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from cds.cli.output import refuse, write

if TYPE_CHECKING:
    from cds.rules.model import RuleSet

STARTER = "starter"
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_KINDS = {"thresholds": "threshold", "rules": "rules", "cases": "case", "scores": "score"}


def new(
    folder: Path = typer.Argument(..., metavar="FOLDER", help="A folder to be made, or a rule set to add to."),
    threshold: str | None = typer.Option(
        None, "--threshold", metavar="ID", help="Add a threshold and a rule that reads it, both of that id."
    ),
    rule: str | None = typer.Option(None, "--rule", metavar="ID", help="Add a rule of that id, on a sign."),
) -> None:
    """Begin a rule set in a new folder, or add a threshold or a rule; each file names its schema for editors."""
    from cds.errors import Refused

    for wanted in (threshold, rule):
        if wanted is not None and not _ID.fullmatch(wanted):
            raise typer.BadParameter(f"`{wanted}` is no id: small letters, digits and single hyphens")
    try:
        made = list(_begin(folder) if threshold is None and rule is None else _add(folder, threshold, rule))
    except Refused as refused:
        refuse(refused)
    except FileExistsError as error:
        raise typer.BadParameter(f"{error.filename}: exists, and is not written over") from None
    except OSError as error:
        raise typer.BadParameter(f"{folder}: {(error.strerror or 'cannot be written').lower()}") from None
    for file in made:
        write(f"{file}\n")
    write(f"next: edit, then `cds rules check {folder}`, which names the cases that are missing\n")


def _begin(folder: Path) -> Iterator[Path]:
    """A copy of the starter under the name of its folder."""
    from cds.shipped import shipped

    name = folder.resolve().name
    if not _ID.fullmatch(name):
        raise typer.BadParameter(f"`{name}` becomes the id of the rule set: small letters, digits and single hyphens")
    starter = shipped("rulesets") / STARTER
    folder.mkdir(parents=True)
    for source in sorted(starter.rglob("*.yaml")):
        below = source.relative_to(starter)
        text = source.read_text(encoding="utf-8").replace(f"ruleset: {STARTER}\n", f"ruleset: {name}\n")
        yield _put(folder / below, _KINDS.get(below.parts[0], source.stem), text)


def _add(folder: Path, threshold: str | None, rule: str | None) -> Iterator[Path]:
    """One file for each that is wanted, made for the bands and sources of the rule set. Raises Refused."""
    from cds.rules.load import load

    rules = load(folder)
    if threshold is not None:
        yield _put(folder / "thresholds" / f"{threshold}.yaml", "threshold", threshold_text(threshold, rules))
        yield _put(folder / "rules" / f"{threshold}.yaml", "rules", rule_text(Asked(threshold, *ON_RATE), rules))
    if rule is not None:
        yield _put(folder / "rules" / f"{rule}.yaml", "rules", rule_text(Asked(rule, *ON_SIGN), rules))


def _put(file: Path, kind: str, text: str) -> Path:
    from cds.shipped import shipped

    schema = shipped("schemas") / f"{kind}.schema.json"
    file.parent.mkdir(exist_ok=True)
    with file.open("x", encoding="utf-8") as stream:
        stream.write(f"# yaml-language-server: $schema={schema.as_uri()}\n{text}")
    return file


def _bands(rules: RuleSet) -> list[str]:
    """The bands of the first scheme."""
    first = next(iter(rules.bands.values())).scheme
    return [band.id for band in rules.bands.values() if band.scheme == first]


def threshold_text(name: str, rules: RuleSet) -> str:
    """A threshold that holds no limit yet."""
    bands = "\n".join(f"  {band}: {{no_limit: not decided yet}}" for band in _bands(rules))
    return f"""threshold: {name}
title: What this limit is for
quantity: respiratory-rate
unit: /min
reached: at-or-above
age: chronological
bands:
{bands}
remarks: How it is measured, and what the figure rests on.
"""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a rule to begin with asks: its id, area, condition, finding and words."""

    id: str
    area: str
    when: str
    finding: str
    say: str


ON_RATE = (
    "breathing",
    "{observed: respiratory-rate, reaches: ID}",
    "fast-breathing",
    "Breathing rate {value} /min reaches the limit at this age.",
)
ON_SIGN = ("state", "{observed: nurse-worry, grade: [present]}", "worry-stated", "Worry of a nurse is charted.")


def rule_text(asked: Asked, rules: RuleSet) -> str:
    """A rule that notes what it finds."""
    source = "common-practice" if "common-practice" in rules.sources else next(iter(rules.sources))
    step = "tell-clinician" if "tell-clinician" in rules.step_words else next(iter(rules.step_words))
    return f"""rules:
  - rule: {asked.id}
    revision: 1
    title: What this rule finds
    area: {asked.area}
    for: {{bands: [{", ".join(_bands(rules))}]}}
    when: {asked.when.replace("ID", asked.id)}
    finding: {asked.finding}
    level: note
    say: "{asked.say}"
    next: [{{step: {step}}}]
    sources: [{{ref: {source}, at: the place in it, figure_from: common-practice}}]
    known_limits: What it does not see.
"""
