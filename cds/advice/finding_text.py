"""One finding as lines: what it says, why, what to do by when, what is missing, on whose word.

Takes a finding of an advice and the advice it stands in. Gives lines and phrases that text and handover share.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from cds.advice.lines import Page
from cds.advice.reasons import items, reasons
from cds.advice.terms import FRAMES, SEEN, clock, label, minutes_between, say_need, say_time

Advice = Mapping[str, Any]


def finding(each: Advice, advice: Advice, page: Page) -> Iterator[str]:
    """One finding: level and summary; status, reasons, next steps, what is missing, limits, sources, rule."""
    frame = FRAMES[each["level"]]
    yield from page.wrap(each["summary"], f"{frame} ", " " * (len(frame) + 1))
    yield from page.label("status", status(each))
    yield from page.labels("why", _why(each))
    yield from page.labels("next", steps(each, advice))
    if each["missing"]:
        yield from page.label("missing", ", ".join(map(say_need, each["missing"])))
    yield from page.label("limits", each["known_limits"])
    yield from page.label("source", "; ".join(_source(source) for source in each["sources"]))
    yield from page.label("rule", _rule(each))


def _rule(each: Advice) -> str:
    """Which rule, and by which age it was judged."""
    named = f"{each['rule']}, revision {each['revision']}"
    if "for" not in each:
        return named
    kind = "chronological or corrected" if each["for"]["age"] == "either" else each["for"]["age"]
    return f"{named}; by {kind} age, {' or '.join(each['for']['bands'])}"


def _why(each: Advice) -> list[str]:
    if "scale" not in each:
        return reasons(each["because"])
    met = [words for told, words in items(each) if told == "met"]
    return [f"items met: {'; '.join(met)}" if met else "each item is listed below"]


def status(each: Advice) -> str:
    """The status in words, with the entry it is tied to."""
    flag = ", red flag" if each["red_flag"] else ""
    said = _STATUS[each["status"]]
    if each["status"] == "provisional" and each["missing"]:
        said = "provisional: could be, as context is not charted"
    if "other_entry" in each:
        said += f" (entry {entry_named(each['other_entry'])}, {_HOW[each['other_entry']['how']]})"
    if "held" in each:
        said += f" ({', '.join(each['held']['by'])})"
    term = f"; {each['preterm']}" if "preterm" in each else ""
    return f"{said}{flag}{term}"


_STATUS = {
    "raised": "raised",
    "provisional": "provisional: the infant was unsettled or the count short",
    "confirmed": "confirmed by a second settled count",
    "held": "held: the entry itself is in doubt",
    "closed-by-repeat": "closed by a settled repeat",
    "withdrawn": "withdrawn: what it rested on was entered in error or cancelled",
}
_HOW = {"repeat": "a repeat", "persistent": "more than an hour before"}


def entry_named(event: Advice) -> str:
    """An earlier entry by its identifier and time."""
    measured = f" of {say_time(event['measured'])}" if event.get("measured") else ""
    return f"{event.get('id', 'without identifier')}{measured}"


def steps(each: Advice, advice: Advice) -> list[str]:
    """Each next step with how, and by when where the rule says so."""
    return [f"{due(step, advice)}{step['words']}" for step in in_time(each["next"])]


def in_time(steps: Sequence[Advice]) -> list[Advice]:
    """Steps in the order of their time, those without one last."""
    return sorted(steps, key=lambda step: step.get("within", float("inf")))


def due(step: Advice, advice: Advice) -> str:
    """When a step is due: "by 10:00: ", with a word where that time was past when advice was asked."""
    if "by" in step:
        late = minutes_between(step["by"], advice["moment"]) if advice["moment"] else None
        past = " (past)" if late is not None and late > 0 else ""
        return f"by {clock(step['by'], advice['event'].get('measured'))}{past}: "
    return f"within {_lasting(step['within'])} of measuring: " if "within" in step else ""


def _lasting(seconds: int) -> str:
    return f"{seconds // 3600} h" if seconds % 3600 == 0 else f"{seconds // 60} min"


def _source(source: Advice) -> str:
    seen = SEEN.get(source.get("figure_from", ""))
    return f"{label(source['ref'])}, {source['at']}{f' ({seen})' if seen else ''}"


def speaker(each: Advice, advice: Advice) -> str:
    """The rule of the open finding that speaks for a superseded one."""
    by_rule = {found["rule"]: found for found in advice["findings"]}
    for _ in by_rule:
        each = by_rule[each["superseded_by"][0]] if each["superseded_by"] else each
    return str(each["rule"])
