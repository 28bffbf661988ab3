"""The page of one rule: what it says, reads, rests on and does not see, worked on an entry, and its past versions.

Takes a rule, its rule set, and a golden case in which it is met where there is one. Gives the six heads with their
lines; renders them as Markdown or as text. Same rule set, same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cds.advice.lines import Page
from cds.advice.terms import FRAMES, context, say_code, say_word
from cds.cli.rule_limits import limit_lines
from cds.cli.rule_words import condition_lines, lasting
from cds.rules.model import Condition, Criterion, Group, Rule, RuleSet

if TYPE_CHECKING:
    from cds.cases import Outcome

Line = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Head:
    """A head of the page with its lines, each with how deep it stands."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """What is known about a rule beside the rule itself: a case in which it is met, and lines of the change log."""

    worked: Outcome | None = None
    changes: tuple[str, ...] = ()


def heads(rule: Rule, rules: RuleSet, known: Known) -> tuple[Head, ...]:
    """The six heads of a rule's page."""
    return (
        Head("Says", tuple(_says(rule, rules))),
        Head("Reads", tuple(_reads(rule, rules))),
        Head("Limit and source", tuple(limit_lines(rule, rules))),
        Head("Does not see", tuple(_blind(rule))),
        Head("Worked entry", tuple(_worked(rule, known.worked))),
        Head("Past versions", tuple(_past(rule, rules, known.changes))),
    )


def _says(rule: Rule, rules: RuleSet) -> Iterator[Line]:
    yield 0, rule.say.replace("{", "[").replace("}", "]")
    flag = "; a red flag: never provisional, never held" if rule.red_flag else ""
    yield 0, f"finding {say_code(rule.finding)}, level {rule.level}{flag}"
    for step in rule.next:
        when = f"within {lasting(step.within)} of measuring: " if step.within else ""
        yield 0, f"next, {when}{rules.step_words[step.step]}"
    if rule.confirmed:
        within = lasting(rule.confirmed.within)
        yield (
            0,
            f"a second settled count within {within} that meets it too confirms it, at level {rule.confirmed.level}",
        )
        for step in rule.confirmed.next:
            when = f"within {lasting(step.within)} of measuring: " if step.within else ""
            yield 0, f"next then, {when}{rules.step_words[step.step]}"
    if rule.closes_within:
        yield 0, f"a settled full repeat inside the limits within {lasting(rule.closes_within)} closes it"
    if rule.reference_range:
        yield 0, "under 37 weeks postmenstrual age it is a note"
    if rule.supersedes:
        yield 0, f"where both are met it speaks for {', '.join(f'`{other}`' for other in rule.supersedes)}"


def _reads(rule: Rule, rules: RuleSet) -> Iterator[Line]:
    kind = "chronological or corrected" if rule.gate.age == "either" else rule.gate.age
    yield 0, f"ages: {', '.join(band.words for band in rule.gate.bands)}, by {kind} age"
    if rule.gate.outside_care:
        yield 0, f"not evaluated when {' or '.join(map(say_word, sorted(rule.gate.outside_care)))}"
    if rule.scale:
        yield 0, f"published scale: {rule.scale.name}, {rule.scale.column}"
    yield from condition_lines(rule.when, rules)


def _blind(rule: Rule) -> Iterator[Line]:
    yield 0, rule.known_limits
    for asked in _criteria(rule.when):
        if asked.kind == "blank":
            yield 0, f"{asked.item or 'an item'}: {asked.why}"
    yield 0, "A sign that is not charted was not assessed; the rule never takes it as absent."


def _criteria(when: Condition) -> Iterator[Criterion]:
    if isinstance(when, Criterion):
        yield when
    elif isinstance(when, Group):
        for part in when.parts:
            yield from _criteria(part)


def _worked(rule: Rule, worked: Outcome | None) -> Iterator[Line]:
    from cds.advice.compose import compose

    if worked is None:
        yield 0, "no golden case at hand in which this rule is met"
        return
    advice = compose(worked.answer)
    yield 0, f"case {worked.case.id}, {worked.case.title}; age {_age(advice['age'])}"
    for each in advice["expected"]:
        around = context(each.get("context", {}))
        yield 1, f"{say_code(each['code'])} {each['value']}{f' ({around})' if around else ''}"
    said = next((each for each in advice["findings"] if each["rule"] == rule.id), None)
    if said is not None:
        yield 0, f"answer: {FRAMES[said['level']]} {said['summary']} ({said['status']})"


def _age(ages: dict[str, dict[str, str]]) -> str:
    return ages["chronological"].get("words", "not known")


def _past(rule: Rule, rules: RuleSet, changes: Sequence[str]) -> Iterator[Line]:
    yield 0, f"revision {rule.revision}, in {rules.id} {rules.version}, {rule.place}"
    for change in changes:
        yield 0, change
    if not changes:
        yield 0, "no change of an earlier version is recorded"


def changes_of(rule: str, changelog: str) -> tuple[str, ...]:
    """The lines of a change log that name a rule, each with the version it stands under."""
    found, version = [], ""
    for line in changelog.splitlines():
        if line.startswith("## "):
            version = line.removeprefix("## ")
        elif f"`{rule}`" in line:
            found.append(f"{version}: {line.strip(' -')}")
    return tuple(found)


def markdown(rule: Rule, parts: Sequence[Head]) -> str:
    """The page as a Markdown file."""
    lines = [f"# {rule.title}", "", f"`{rule.id}`"]
    for head in parts:
        lines += ["", f"## {head.title}", "", *(f"{'  ' * depth}- {text}" for depth, text in head.lines)]
    return "\n".join(lines) + "\n"


def as_text(rule: Rule, parts: Sequence[Head], width: int) -> str:
    """The page for a terminal."""
    page = Page(width)
    lines = page.wrap(f"{rule.id}: {rule.title}")
    for head in parts:
        lines += ["", head.title]
        for depth, text in head.lines:
            indent = "  " * (depth + 1)
            lines += page.wrap(text, indent, f"{indent}  ")
    return "\n".join(lines) + "\n"
