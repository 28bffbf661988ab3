"""Run the golden cases of a rule set.

A table is an entry with `$names` and rows that fill them; a name that a row does not give leaves its key uncharted.
Takes case sheets and an adviser's rules; gives, for each case, what was expected and what came. A failing case shows
the judgement, never a stack trace.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from cds.advice.answer import Answer, Data
from cds.advice.explain import explain
from cds.advice.status import Raised, decide, findings_of
from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.errors import Problem, Refused
from cds.rules.model import LEVELS, RuleSet
from cds.rules.sheets import Sheet, read_cases

_KEYS = frozenset({"id", "expect", "because", "raised", "levels", "status", "entry", "omit"})


@dataclass(frozen=True, slots=True)
class Case:
    """One row: the filled entry and what is expected of it."""

    id: str
    title: str
    place: str
    entry: Data
    expect: Mapping[str, str]
    raised: tuple[str, ...] | None = None
    levels: Mapping[str, str] = field(default_factory=dict)
    status: Mapping[str, str] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Miss:
    """One thing that came out otherwise than a case expects."""

    about: str
    expected: str
    got: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """A case with its answer and what it missed."""

    case: Case
    answer: Answer
    misses: tuple[Miss, ...]


def read(folder: Path) -> list[Case]:
    """All cases of a working copy, in the order of files and rows. Raises Refused as `rules.sheets.read_cases`."""
    return [case for sheet in read_cases(folder) for case in cases_of(sheet)]


def cases_of(sheet: Sheet) -> Iterator[Case]:
    """The cases of one file."""
    tables = sheet.data.get("tables")
    for number, table in enumerate(tables or [sheet.data]):
        base = f"/tables/{number}" if tables else ""
        for row_number, row in enumerate(table["rows"]):
            yield _case(table, row, sheet.line(f"{base}/rows/{row_number}"))


def _case(table: Data, row: Data, place: str) -> Case:
    names = {f"${key}": value for key, value in row.items() if key not in _KEYS}
    entry = _merged(fill(table["entry"], names), row.get("entry", {}))
    for code in row.get("omit", ()):
        entry["observations"] = [each for each in entry.get("observations", []) if each["code"] != code]
    raised = tuple(row["raised"]) if "raised" in row else None
    settings = table.get("settings", {})
    return Case(
        row["id"],
        table["title"],
        place,
        entry,
        row["expect"],
        raised,
        row.get("levels", {}),
        row.get("status", {}),
        settings,
    )


_LEFT_OUT = object()


def fill(template: Any, names: Mapping[str, Any]) -> Any:
    """A template with its `$names` replaced; what a row does not give is left out."""
    if isinstance(template, dict):
        filled = {key: fill(value, names) for key, value in template.items()}
        return {key: value for key, value in filled.items() if value is not _LEFT_OUT}
    if isinstance(template, list):
        return [each for value in template if (each := fill(value, names)) is not _LEFT_OUT]
    if isinstance(template, str) and template.startswith("$"):
        return names.get(template, _LEFT_OUT)
    return template


def _merged(under: Any, over: Any) -> Any:
    if not (isinstance(under, dict) and isinstance(over, dict)):
        return over
    return {**under, **{key: _merged(under.get(key), value) for key, value in over.items()}}


def run(cases: Iterable[Case], rules: RuleSet) -> Iterator[Outcome]:
    """The outcome of each case, one adviser for each setting that cases ask for."""
    advisers: dict[tuple[tuple[str, str], ...], Adviser] = {}
    for case in cases:
        key = tuple(sorted(case.settings.items()))
        if key not in advisers:
            advisers[key] = Adviser(replace(rules, settings={**rules.settings, **case.settings}))
        yield run_case(case, advisers[key])


def run_case(case: Case, adviser: Adviser) -> Outcome:
    """One case through both evaluators."""
    answer = adviser.answer(read_case(case))
    raised = decide(adviser.rules.rules, answer.inference.verdicts, answer.view)
    return Outcome(case, answer, tuple(_misses(case, answer, raised)))


def read_case(case: Case) -> Any:
    """The entry of a case. Raises Refused with the place of the row where the entry is malformed."""
    try:
        return read_entry(case.entry, None)
    except Refused as refused:
        raise Refused("rules", [_at_row(case, problem) for problem in refused.problems]) from None


def _at_row(case: Case, problem: Problem) -> Problem:
    return replace(problem, place=f"{case.place}  {case.id}  {problem.place}")


def _misses(case: Case, answer: Answer, raised: tuple[Raised, ...]) -> Iterator[Miss]:
    verdicts = answer.inference.verdicts
    by_rule = {made.rule.id: made for made in raised}
    for rule, expected in case.expect.items():
        got = verdicts[rule].word if rule in verdicts else "no such rule"
        yield from _miss(rule, expected, got)
    for rule, level in case.levels.items():
        yield from _miss(f"{rule} level", level, by_rule[rule].level if rule in by_rule else "not raised")
    for rule, status in case.status.items():
        yield from _miss(f"{rule} status", status, _status(by_rule.get(rule)))
    if case.raised is not None:
        yield from _raised_misses(case.raised, raised)
    for rule in answer.inference.differences:
        yield Miss(rule, "both evaluators agree", "they differ")


def _miss(about: str, expected: str, got: str) -> Iterator[Miss]:
    if expected != got:
        yield Miss(about, expected, got)


def _status(made: Raised | None) -> str:
    if made is None:
        return "not raised"
    return "superseded" if made.superseded_by else made.status


def _raised_misses(wanted: tuple[str, ...], raised: tuple[Raised, ...]) -> Iterator[Miss]:
    if not wanted:
        above = [made.rule.finding for made in raised if LEVELS.index(made.level) > 0]
        yield from _miss("raised above note", "nothing", ", ".join(above) or "nothing")
    found = {made.rule.finding for made in raised}
    for finding in wanted:
        yield from _miss(f"{finding}", "raised", "raised" if finding in found else "not raised")


def report(outcome: Outcome) -> str:
    """A failing case as text: what was expected, what came, on what grounds."""
    case = outcome.case
    lines = [f"{case.id}  {case.title}   {case.place}"]
    for miss in outcome.misses:
        lines.append(f"  {miss.about}: expected {miss.expected}, got {miss.got}")
        lines += _grounds(miss.about, outcome.answer)
    return "\n".join([*lines, f"  see why: cds advise --case {case.id} --explain"])


def _grounds(rule_id: str, answer: Answer) -> Iterator[str]:
    rule = next((each for each in answer.rules.rules if each.id == rule_id), None)
    if rule is not None:
        findings = findings_of(answer.rules.rules, answer.inference.verdicts)
        yield from _lines(explain(rule.when, answer.view, findings, full=True), 2)


def _lines(node: Data, depth: int) -> Iterator[str]:
    about = next(
        (str(node[key]) for key in ("observed", "derived", "score", "care", "finding", "how") if key in node), ""
    )
    reasons = f" ({', '.join(node['reasons'])})" if "reasons" in node else ""
    values = "".join(f"   {_reading(each)}" for each in node.get("readings", ()))
    yield f"{'  ' * depth}{about}{values}   {node['verdict']}{reasons}"
    for part in node.get("parts", ()):
        yield from _lines(part, depth + 1)


def _reading(reading: Data) -> str:
    limits = ", ".join(f"{limit['limit']} ({limit['set_by']}, {limit['band']})" for limit in reading.get("limits", ()))
    comparator = reading.get("comparator", "").replace("-", " ")
    return f"{reading['value']}   {comparator}   {limits}" if limits else str(reading["value"])
