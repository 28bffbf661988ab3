"""An advice as a handover: situation, background, assessment, recommendation; if it changes; read back.

Takes an advice as data and a width; gives lines. Open findings stand first, what is missing is listed, steps stand in
the order of their time. Says nothing that the advice does not hold, and leaves the read-back to be filled in by hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cds.advice.finding_text import due, in_time, status
from cds.advice.header import DEFERENCE, age, entry, evaluators, infant, is_open, rules
from cds.advice.lines import Page
from cds.advice.missing import missing
from cds.advice.terms import FRAMES, context, say_code, say_need, say_word
from cds.advice.text import before, earlier, evaluated, expected_words, place, withdrawn

Advice = Mapping[str, Any]
MOST_MISSING = 5


def handover(advice: Advice, width: int = 100) -> str:
    """The handover text, its last line ended."""
    page = Page(width)
    heads = (
        (f"Handover of infant {advice['infant'].get('id', 'without identifier')}", _preface),
        ("Situation", _situation),
        ("Background", _background),
        ("Assessment", _assessment),
        ("Recommendation", _recommendation),
        ("If it changes", _change),
        ("Read back by", _read_back),
    )
    return "\n\n".join("\n".join([head, *part(advice, page)]) for head, part in heads) + "\n"


def _preface(advice: Advice, page: Page) -> Iterator[str]:
    agree = advice["evaluators"]["agree"]
    checked = "" if agree else f" Checked {evaluators(advice['evaluators'])}."
    yield from page.wrap(f"{DEFERENCE} Rules: {rules(advice['rules'])}.{checked}", "  ")


def _situation(advice: Advice, page: Page) -> Iterator[str]:
    found = [each for each in advice["findings"] if is_open(each)]
    yield from page.label("entry", entry(advice))
    for each in found:
        frame = FRAMES[each["level"]]
        yield from page.wrap(f"{each['summary']} ({status(each)})", f"  {frame} ", " " * (len(frame) + 3))
    for said in withdrawn(advice):
        yield from page.wrap(said, "  ", "    ")
    if all(each["level"] == "note" for each in found):
        yield from page.wrap(f"{evaluated(advice)}: none of them raises anything above a note.", "  ")


def _background(advice: Advice, page: Page) -> Iterator[str]:
    yield from page.label("infant", infant(advice))
    yield from page.label("age", age(advice["age"]))
    yield from page.labels("earlier", earlier(advice))


def _assessment(advice: Advice, page: Page) -> Iterator[str]:
    yield from page.labels("charted", [_charted(each) for each in advice["expected"]] or ["nothing was charted"])
    yield from page.labels("missing", _missing(advice))
    yield from page.labels("noticed", map(_noticed, advice["quality"]))
    yield from page.label("rules", evaluated(advice))


def _charted(each: Advice) -> str:
    value = each["value"] if "limits" in each else say_word(each["value"])
    around = context(each.get("context", {}))
    status = f", {say_word(each['status'])}" if "status" in each else ""
    charted = f"{say_code(each['code'])} {value}{f' ({around})' if around else ''}{status}{place(each)}"
    return f"{charted}{before(each)}; expected {expected_words(each)}"


def _noticed(each: Advice) -> str:
    return f"{say_code(each['code'])}: {each['words']}" if "code" in each else str(each["words"])


def _missing(advice: Advice) -> list[str]:
    own = [need for each in advice["findings"] for need in each["missing"]]
    groups = missing(advice["not_evaluated"]["needed"])
    said = [", ".join(group.needs) for group in groups[:MOST_MISSING]]
    more = len(groups) - MOST_MISSING
    lines = list(dict.fromkeys([*map(say_need, own), *said]))
    return [*lines, f"and {more} more in the JSON answer"] if more > 0 else lines


def _recommendation(advice: Advice, page: Page) -> Iterator[str]:
    yield "  by your unit's protocol"
    for step in _steps(advice) or ["no step beyond the unit's own routine"]:
        yield from page.wrap(step, "  - ", "    ")


def _steps(advice: Advice) -> list[str]:
    """The steps of open findings in the order of their time, each once at its earliest; those without a time last."""
    steps = [step for each in advice["findings"] if is_open(each) for step in each["next"]]
    first: dict[str, str] = {}
    for step in in_time(steps):
        first.setdefault(step["step"], f"{due(step, advice)}{step['words']}")
    return list(first.values())


def _change(advice: Advice, page: Page) -> Iterator[str]:
    for said in _changes(advice):
        yield from page.wrap(said, "  - ", "    ")


def _changes(advice: Advice) -> Iterator[str]:
    yield "a new or graver sign, or worry of a parent or nurse: the unit's protocol first, then a new entry"
    rechecks = [each for each in advice["findings"] if is_open(each) and each["level"] == "recheck"]
    if rechecks:
        yield "a repeat that is again outside its limit: it is charted as a new entry, which may raise the level"
    if any(each["status"] == "provisional" for each in advice["findings"]):
        yield "the infant settles: a full count then decides what is provisional"
    if _missing(advice):
        yield "what is missing gets charted: the rules that wait for it are judged then"


def _read_back(advice: Advice, page: Page) -> Iterator[str]:
    blank = "_" * (page.width - 40)
    yield f"  name and role  {blank}  time  ________"
    yield f"  answer         {blank}"
