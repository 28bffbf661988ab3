"""Codes of an advice in the words of the ward.

Takes codes, times and references as an advice holds them; gives short phrases. One word for one thing: what has no word
of its own here is said as its code with blanks. Never a verdict, never a number of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from types import MappingProxyType

SIGNS: Mapping[str, str] = MappingProxyType(
    {
        "respiratory-rate": "breathing rate",
        "body-temperature": "temperature",
        "body-weight": "weight",
        "body-length": "length",
        "see-saw-breathing": "see-saw breathing",
        "chest-abdomen-movement": "chest and abdomen movement",
        "oedema-both-feet": "oedema of both feet",
        "swollen-limb-or-joint": "swollen limb or joint",
        "looks-ill": "looks ill",
        "carer-worry": "worry of a carer",
        "nurse-worry": "worry of a nurse",
        "weight-of-birth-weight": "weight of today as a share of birth weight",
        "weight-gain-since-last": "gain since the last weight",
        "weight-gain-over-5-days": "gain over 5 days or more",
        "weight-gain-since-birth": "gain since birth",
        "weight-change-over-month": "change of weight over a month",
        "weight-centile-fall": "fall of weight in centile spaces",
        "head-centile-rise": "rise of the head in centile spaces",
        "birth-weight-for-age": "place of the birth weight",
        "weight-slip": "a slip in the weight",
        "length-slip": "a slip in the length",
        "head-slip": "a slip in the head circumference",
        "temperature-slip": "a slip in the temperature",
        "birth-weight-slip": "a slip in the birth weight",
        "repeat-of-earlier": "values as before",
        "fits-infant": "whose values these are",
    }
)
FRAMES: Mapping[str, str] = MappingProxyType(
    {"note": "┊ note ┊", "recheck": "╎ recheck ╎", "discuss": "│ discuss │", "contact": "║ contact ║"}
)
"""A level is its word; only the border differs: dotted, dashed, single, double."""

LEVELS = ("contact", "discuss", "recheck", "note")
COMPARATORS: Mapping[str, str] = MappingProxyType(
    {"at-or-above": "at or above", "above": "above", "at-or-below": "at or below", "below": "below"}
)
SEEN: Mapping[str, str] = MappingProxyType(
    {
        "publisher": "read at the publisher",
        "secondary": "read second-hand",
        "unconfirmed": "not seen in print",
        "common-practice": "no single source",
        "derived": "computed from it",
    }
)
MODES: Mapping[str, str] = MappingProxyType(
    {"trial": "trial, not for care", "silent": "silent, shown to nobody", "live": "live"}
)
REASONS: Mapping[str, str] = MappingProxyType(
    {
        "unknown-age": "age not known",
        "unknown-sex": "sex not charted",
        "unknown-gestation": "gestation not charted",
        "unknown-route": "route not charted",
        "unknown-site": "site not charted",
        "unknown-state": "state not charted",
        "unknown-oxygen": "oxygen not charted",
        "unknown-grade": "grade not charted",
        "missing-input": "not charted",
        "outside-rule-age": "outside the ages of the rule",
        "outside-rule-care": "not judged under this care",
        "no-limit-published": "no limit published at this age",
        "bound-only-value": "only a bound was sent",
        "entered-in-error": "entered in error",
        "suspected-entry-error": "suspected entry error",
        "unit-unmapped": "unit not understood",
        "code-unmapped": "code not understood",
    }
)
_KEPT = ("see-saw", "non-blanching", "high-pitched", "low-flow", "high-flow")
_ACRONYMS = frozenset(
    ("who", "nice", "aap", "aha", "imci", "etat", "pals", "nrp", "cchd", "psbi", "sbi", "nih", "cdc", "ilcor", "unicef")
)
_CODED = re.compile(r"[a-z]{2}\d+")


def say_code(code: str) -> str:
    """A code in words: "see-saw breathing", "quiet alert"."""
    return SIGNS.get(code) or say_word(code)


def say_word(word: str) -> str:
    """A grade, state or site in words; a hyphen that belongs to the word stays."""
    for kept in _KEPT:
        word = word.replace(kept, kept.replace("-", "\0"))
    return word.replace("-", " ").replace("_", " ").replace("\0", "-")


def say_need(need: str) -> str:
    """What is missing, in words: "oxygen saturation: site"."""
    if need in REASONS:
        return REASONS[need]
    code, colon, rest = need.partition(":")
    subject, blank, only = code.partition(" (")
    said = REASONS.get(rest.strip(), say_word(rest.strip()))
    return f"{say_code(subject)}{blank}{say_word(only)}{colon}{' ' if colon else ''}{said}"


def say_reasons(reasons: Iterable[str]) -> str:
    """Why something cannot be told."""
    return ", ".join(REASONS.get(reason, say_word(reason)) for reason in reasons)


def label(ref: str) -> str:
    """A short label for a source from its id: "Fleming 2011", "WHO IMCI 2019"; words that are no id as they stand."""
    if " " in ref:
        return ref
    if ref == "common-practice":
        return "common practice"
    return " ".join(_labelled(word, place) for place, word in enumerate(ref.split("-")))


def _labelled(word: str, place: int) -> str:
    if word in _ACRONYMS or _CODED.fullmatch(word):
        return word.upper()
    return word if place else word.capitalize()


def labels(sources: Iterable[Mapping[str, object]]) -> str:
    """The labels of several sources, each once."""
    return "; ".join(dict.fromkeys(label(str(source["ref"])) for source in sources))


def context(charted: Mapping[str, str]) -> str:
    """The context of a value in words: "quiet alert, counted 60 s"."""
    return ", ".join(_context(key, value) for key, value in charted.items())


def _context(key: str, value: str) -> str:
    if value in ("true", "false"):
        return say_word(key) if value == "true" else f"not {say_word(key)}"
    phrase = _CONTEXT.get(key)
    return phrase.format(say_word(value)) if phrase else f"{say_word(key)} {say_word(value)}"


_CONTEXT = {
    "state": "{}",
    "site": "{}",
    "sites": "{}",
    "route": "{}",
    "oxygen": "{}",
    "clothing": "{}",
    "position": "{}",
    "counted_seconds": "counted {} s",
    "method": "method: {}",
    "inspired_oxygen": "{} % oxygen",
    "flow": "{} L/min",
    "need": "need {}",
    "rhythm": "rhythm {}",
    "with": "with {}",
    "ended_by": "ended by {}",
    "over_hours": "over {} h",
    "hours_ago": "{} h ago",
    "reported_by": "reported by {}",
    "measured_by": "measured by {}",
    "episode": "{}",
    "in_oxygen": "{} in oxygen",
    "since": "since {}",
    "highest": "highest {}",
    "purpose": "{}",
}


def say_time(text: str) -> str:
    """A time for reading: "2026-03-20 09:30 +01:00"; anything that is no such time as it stands."""
    return " to ".join(_one_time(part) for part in text.split("/"))


def _one_time(text: str) -> str:
    match = _TIME.fullmatch(text)
    return f"{match[1]} {match[2]} {match[3]}" if match else text


_TIME = re.compile(r"(\d{4}-\d\d-\d\d)T(\d\d:\d\d)(?::\d\d(?:\.\d+)?)?(Z|[+-]\d\d:\d\d)")


def clock(text: str, beside: str | None) -> str:
    """The hour of a time, with its date where that is not the date of the time beside it."""
    match = _TIME.fullmatch(text)
    if match is None:
        return text
    return match[2] if beside is not None and beside.startswith(match[1]) else f"{match[1]} {match[2]}"


def minutes_between(first: str, second: str) -> int | None:
    """Whole minutes from one time to another, None where either is no time with a zone."""
    try:
        gap = datetime.fromisoformat(second) - datetime.fromisoformat(first)
    except (TypeError, ValueError):
        return None
    return int(gap.total_seconds() // 60)
