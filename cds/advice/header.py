"""The first lines of an answer: to whom it speaks, about whom, from which entry, by which rules.

Takes an advice; gives labels with phrases. Names no person; says what is not known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from cds.advice.terms import LEVELS, MODES, clock, minutes_between, say_time, say_word

Advice = Mapping[str, Any]
DEFERENCE = (
    "Advice to a licensed clinician: no order, no diagnosis, no alarm. The unit's protocol and licensed judgement "
    "decide; worry of a parent or nurse outranks any rule."
)
_WEEK = 7


def header(advice: Advice) -> Iterator[tuple[str, str]]:
    """Label and phrase of each line, in a fixed order."""
    yield "infant", infant(advice)
    yield "age", age(advice["age"])
    yield "entry", entry(advice)
    yield "rules", rules(advice["rules"])
    yield "checked", evaluators(advice["evaluators"])


def infant(advice: Advice) -> str:
    """Who: identifier, sex, gestation at birth, order among siblings."""
    told = advice["infant"]
    sex = told.get("sex", "unknown")
    parts = [told.get("id", "no identifier"), "sex not known" if sex == "unknown" else sex, _gestation(told)]
    if "order" in told:
        parts.append(f"number {told['order']} of one birth")
    return ", ".join(parts)


def _gestation(told: Advice) -> str:
    span = told.get("gestation")
    if span is None:
        return "gestation not charted"
    low, high = span["from_days"], span["to_days"]
    if low == high:
        return f"born at {_weeks(low)}"
    if (low % _WEEK, high - low) == (0, _WEEK - 1):
        return f"born at {low // _WEEK} weeks, days not stated"
    return f"born at {_weeks(low)} to {_weeks(high)}"


def _weeks(days: int) -> str:
    weeks, over = divmod(days, _WEEK)
    return f"{weeks} weeks {over} d"


def age(ages: Advice) -> str:
    """Each age in words with its name, or why it is not known."""
    told = {kind: each.get("words") for kind, each in ages.items()}
    if not told["chronological"]:
        return "not known: a rule bound to an age cannot tell, or is raised as what could be"
    corrected = told["corrected"] or "not known"
    if told["corrected"] == told["chronological"]:
        corrected = "the same"
    postmenstrual = told["postmenstrual"] or "not known"
    return f"{told['chronological']} since birth; corrected {corrected}; postmenstrual {postmenstrual}"


def entry(advice: Advice) -> str:
    """Which entry, measured when, charted how much later, asked when, where; its status where that is not final."""
    event = advice["event"]
    measured, charted = event.get("measured"), event.get("charted")
    parts = [event.get("id", "no identifier"), f"measured {say_time(measured)}" if measured else "time not charted"]
    if charted:
        parts.append(f"charted {_later(measured, charted)}")
    if advice["moment"]:
        parts.append(f"asked {clock(advice['moment'], measured)}")
    parts += [say_word(event["care_unit"])] if "care_unit" in event else []
    parts += [say_word(event["status"])] if event["status"] != "final" else []
    return ", ".join(parts)


def _later(measured: str | None, charted: str) -> str:
    minutes = minutes_between(measured, charted) if measured else None
    return clock(charted, measured) + (f" ({minutes} min later)" if minutes is not None and minutes > 0 else "")


def rules(told: Advice) -> str:
    """Rule set, version, short digest, mode."""
    digest = told["digest"].removeprefix("sha256:")[:12]
    return f"{told['id']} {told['version']}, digest {digest}; {MODES.get(told['mode'], told['mode'])}"


def evaluators(told: Advice) -> str:
    """Which evaluators answered, and whether they agree."""
    names = " and ".join("durable-rules" if name == "durable" else name for name in told["answered"])
    if told["agree"] is None:
        why = f" ({told['why']})" if told.get("why") else ""
        return f"by one evaluator, {names}{why}"
    if told["agree"]:
        return f"by two evaluators, {names}, which agree"
    differ = ", ".join(told["differ_on"])
    return f"by two evaluators, {names}, which disagree on {differ}; what either raised is listed"


def tally(findings: list[Advice]) -> str:
    """How many findings stand at each level, most serious first; earlier ones that were closed are not counted."""
    levels = [each["level"] for each in findings if is_open(each)]
    return ", ".join(f"{levels.count(level)} at {level}" for level in LEVELS if level in levels)


def is_open(finding: Advice) -> bool:
    """Whether a finding stands by itself: not closed by a repeat, not withdrawn, not said by another finding."""
    return finding["status"] not in ("closed-by-repeat", "withdrawn") and not finding["superseded_by"]
