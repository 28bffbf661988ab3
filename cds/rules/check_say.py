"""Whether what a rule says fits on a card and can be filled.

Takes one rule; fills the slots of `say` as long as they can plausibly be (a three-digit rate, the longest grade of its
criteria), and gives problems RS-229 and RS-325 to RS-327.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from cds.entry.catalogue import CATALOGUE, Kind
from cds.entry.units import UNITS
from cds.errors import Problem
from cds.rules.amounts import shown
from cds.rules.derived import DERIVED
from cds.rules.names import Names
from cds.rules.phrase import both, quoted
from cds.rules.spot import Spot, unlisted
from cds.rules.vocabulary import SLOTS, SUMMARY_LENGTH
from cds.rules.walk import Part, thresholds_in, walk_all

_SLOT = re.compile(r"\{([^{}]*)\}")
_NEVER = re.compile(r"\b(normal|abnormal|safe|ok|okay)\b", re.IGNORECASE)
_LONGEST_VALUE: Mapping[str, str] = MappingProxyType(
    {
        "temperature": "101.1",
        "mass": "12 lb 11.5 oz",
        "length": "101.5",
        "rate": "180",
        "percent": "100",
        "seconds": "20.5",
        "pressure": "110",
        "count": "10",
        "weeks": "36",
        "score": "10",
        "hours": "120",
    }
)
_SCREEN = "right hand 97 %, foot 93 %, screen 1 of 2"
Filled = dict[str, list[str]]


def check_say(rule: Spot, names: Names) -> Iterator[Problem]:
    """Problems with what one rule says, whose names hold."""
    say = rule.down("say")
    yield from check_words(say)
    used = _SLOT.findall(say.data)
    for slot in dict.fromkeys(used):
        yield from unlisted(Spot(say.sheet, slot, say.pointer), "slot", SLOTS)
    if "{" in _SLOT.sub("", say.data) or "}" in _SLOT.sub("", say.data):
        yield say.says("RS-229", "a brace that does not close", "slots such as `{value}`", "close the brace")
    if all(slot in SLOTS for slot in used):
        yield from _filled(rule, used, _fillings(rule, names))


def check_words(spot: Spot) -> Iterator[Problem]:
    """Words that advice never uses."""
    for word in dict.fromkeys(match.lower() for match in _NEVER.findall(spot.data)):
        found, next_step = f"the word {quoted(word)}", "say the number, or what was seen"
        yield spot.says("RS-327", found, "words that neither reassure nor diagnose", next_step)


def _filled(rule: Spot, used: list[str], fillings: Filled) -> Iterator[Problem]:
    say = rule.down("say")
    for slot in dict.fromkeys(used):
        if not fillings.get(slot):
            able = [name for name in SLOTS if fillings.get(name)]
            found = f"the slot `{{{slot}}}`, which no criterion of this rule fills"
            expected = f"only {both(able)}" if able else "words without slots"
            yield say.says("RS-326", found, expected, "write the words themselves")
            return
    text = _SLOT.sub(lambda match: max(fillings[match[1]], key=len), say.data)
    if len(text) > SUMMARY_LENGTH:
        found = f"{len(text)} letters when filled: {text}"
        yield say.says("RS-325", found, f"at most {SUMMARY_LENGTH} letters", "say it shorter")


def _fillings(rule: Spot, names: Names) -> Filled:
    fillings: Filled = {slot: [] for slot in SLOTS}
    for part in walk_all(rule.down("when"), names):
        if part.inside != "none":
            for slot, texts in _of_part(part, names).items():
                fillings[slot] += texts
    return fillings


def _of_part(part: Part, names: Names) -> Filled:
    limits = [text for spot in thresholds_in(part) for text in _limits(spot, names)]
    if part.form == "score":
        return {"value": ["10"], "total": ["10 of 10"], "limit": limits}
    if part.form == "derived":
        return {"value": [_derived_value(part.spot.data["derived"])], "limit": limits}
    kind = CATALOGUE.get(part.spot.data.get("observed", ""))
    return {**_of_kind(kind, part), "limit": limits} if kind else {}


def _derived_value(name: str) -> str:
    derived = DERIVED.get(name)
    return f"100 {_unit(derived.units)}" if derived and derived.units else _SCREEN


def _of_kind(kind: Kind, part: Part) -> Filled:
    grades = [grade.replace("-", " ") for grade in part.spot.data.get("grade", kind.grades)]
    return {
        "value": [_LONGEST_VALUE[kind.dimension]] if kind.dimension else grades,
        "unit": [_unit(kind.units)] if kind.units else [],
        "grade": grades,
        "site": _context(kind, "site", "sites"),
        "route": _context(kind, "route"),
        "state": _context(kind, "state"),
        "seconds": ["60"] if kind.rate else [],
    }


def _context(kind: Kind, *keys: str) -> list[str]:
    return [word.replace("-", " ") for key in keys for word in kind.contexts.get(key) or ()]


def _limits(spot: Spot, names: Names) -> list[str]:
    if spot.data not in names.thresholds:
        return []
    threshold = names.thresholds[spot.data].data
    values = [band["value"] for band in threshold["bands"].values() if "value" in band]
    return [str(shown(value, threshold["unit"])) for value in values]


def _unit(units: tuple[str, ...]) -> str:
    return max((UNITS[unit].words for unit in units), key=len)
