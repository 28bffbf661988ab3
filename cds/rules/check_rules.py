"""Whether each rule holds together: names, levels, confirmation, closing, items of a scale, steps, sources.

Takes one rule and the names of the set; gives problems of that rule alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.entry.catalogue import CARE, CATALOGUE
from cds.errors import Problem
from cds.rules.check_conditions import check_part
from cds.rules.check_say import check_say, check_words
from cds.rules.model import LEVELS
from cds.rules.names import Names
from cds.rules.phrase import quoted
from cds.rules.spot import Spot, unlisted
from cds.rules.vocabulary import COOLED, FINDINGS, STEPS
from cds.rules.walk import Part, form_of, parts_of, walk, walk_all

_SUPPORT = CARE["breathing_support"] or ()
_OPENERS = frozenset(CATALOGUE) | FINDINGS


def check_rule(rule: Spot, names: Names, steps: frozenset[str]) -> Iterator[Problem]:
    """Problems of one rule; `steps` are those that ruleset.yaml has words for."""
    yield from _named(rule, names)
    yield from _steps(rule, steps)
    yield from _levels(rule)
    yield from _items(rule)
    yield from check_words(rule.down("title"))
    everything = list(walk_all(rule.down("when"), names))
    faults = [problem for part in everything for problem in check_part(part, names)]
    if faults:
        yield from faults
        return
    yield from _figures(rule, everything)
    yield from _second_count(rule, everything)
    yield from check_say(rule, names)


def _named(rule: Spot, names: Names) -> Iterator[Problem]:
    for band in rule.each("for", "bands"):
        yield from unlisted(band, "band", names.bands)
    for care in rule.each("for", "outside_care"):
        yield from unlisted(care, "care word", (*_SUPPORT, COOLED), "outside_care")
    yield from unlisted(rule.down("finding"), "finding", FINDINGS)
    for code in rule.each("opened_by"):
        yield from unlisted(code, "observation", _OPENERS)
    for source in rule.each("sources"):
        yield from unlisted(source.down("ref"), "source", names.sources)
    for other in rule.each("supersedes"):
        yield from unlisted(other, "rule", names.rules)


def _steps(rule: Spot, steps: frozenset[str]) -> Iterator[Problem]:
    then = rule.each("confirmed", "next") if "confirmed" in rule.data else ()
    for step in (*rule.each("next"), *then):
        yield from unlisted(step.down("step"), "step", STEPS)
        if step.data["step"] in STEPS and step.data["step"] not in steps:
            found = f"{quoted(step.data['step'])}, which ruleset.yaml has no words for"
            next_step = f"add `{step.data['step']}` to `steps` of ruleset.yaml"
            yield step.down("step").says("RS-330", found, "a step with words for the nurse", next_step)


def _figures(rule: Spot, parts: list[Part]) -> Iterator[Problem]:
    if any("reaches" in part.spot.data for part in parts):
        return
    for source in rule.each("sources"):
        if "figure_from" not in source.data:
            expected = "`figure_from`, as the rule has no threshold that says it"
            yield source.says("RS-313", "a source without `figure_from`", expected, "add how the source was seen")


def _levels(rule: Spot) -> Iterator[Problem]:
    level = rule.data["level"]
    if rule.data.get("red_flag") and level != "contact":
        found = f"a red flag at the level {quoted(level)}"
        yield rule.down("level").says("RS-324", found, "`contact`", "raise the level, or remove `red_flag`")
    confirmed = rule.data.get("confirmed", {}).get("level", level)
    if LEVELS.index(confirmed) < LEVELS.index(level):
        found = f"{quoted(confirmed)} when confirmed, {quoted(level)} before"
        expected = f"{quoted(level)} or a higher level"
        yield rule.down("confirmed", "level").says("RS-319", found, expected, "correct one of the two levels")


def _second_count(rule: Spot, parts: list[Part]) -> Iterator[Problem]:
    finding = next((part.spot for part in parts if part.form == "finding"), None)
    if finding is not None and "confirmed" in rule.data:
        found = f"`confirmed`, with the finding {quoted(finding.data['finding'])} in `when`"
        next_step = "remove `confirmed`, or write the criteria themselves"
        yield rule.down("confirmed").says_of_key(
            "RS-318", found, "criteria only, as an earlier entry is judged by them", next_step
        )
    if "closes" in rule.data and not any(_is_rate(part) for part in parts):
        found = "`closes` in a rule that counts no rate"
        yield rule.down("closes").says_of_key("RS-320", found, "a criterion on a counted rate", "remove `closes`")


def _is_rate(part: Part) -> bool:
    code = part.spot.data.get("observed")
    return "reaches" in part.spot.data and code in CATALOGUE and CATALOGUE[code].rate


def _items(rule: Spot) -> Iterator[Problem]:
    when = rule.down("when")
    labelled = [part.spot for part in walk(when) if "item" in part.spot.data]
    if "scale" not in rule.data:
        for spot in labelled:
            next_step = "add `scale`, or remove `item`"
            yield spot.down("item").says_of_key("RS-328", "`item` in a rule without `scale`", "no `item`", next_step)
        return
    if not labelled:
        expected = "a label for each part of the list of items"
        yield rule.down("when").says("RS-328", "a scale without any `item`", expected, "add `item` to each part")
    yield from _unlabelled(when)
    yield from _same_label(labelled)


def _unlabelled(spot: Spot) -> Iterator[Problem]:
    parts = parts_of(spot)
    listed = form_of(spot) in ("any", "at_least") and any("item" in part.data for part in parts)
    for part in parts:
        if listed and "item" not in part.data:
            found = "a part without `item` among items of a scale"
            yield part.says("RS-328", found, "a label for each part", "add `item` in the words of the scale")
        yield from _unlabelled(part)


def _same_label(labelled: list[Spot]) -> Iterator[Problem]:
    seen: set[str] = set()
    for spot in labelled:
        label = spot.data["item"]
        if label in seen:
            next_step = "word one of them otherwise"
            yield spot.down("item").says(
                "RS-328", f"the item {quoted(label)} a second time", "each item once", next_step
            )
        seen.add(label)
