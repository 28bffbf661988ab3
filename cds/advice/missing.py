"""What could not be judged, grouped by what is missing.

Takes the rules that an advice lists as needed. Gives groups: what is missing for the same rules stands together, the
group that the most serious rules wait for first. Never drops a rule.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cds.advice.terms import LEVELS, say_need

_UNPUBLISHED = "no-limit-published"


@dataclass(frozen=True, slots=True)
class Missing:
    """What is missing, the highest level of the rules that wait for it, and their titles."""

    needs: tuple[str, ...]
    level: str
    titles: tuple[str, ...]


def missing(needed: Sequence[Mapping[str, Any]]) -> list[Missing]:
    """The groups, most serious and then largest first."""
    waiting: dict[str, list[int]] = {}
    for place, rule in enumerate(needed):
        for need in _settling(rule):
            waiting.setdefault(need, []).append(place)
    groups: dict[tuple[int, ...], list[str]] = {}
    for need, places in waiting.items():
        groups.setdefault(tuple(places), []).append(say_need(need))
    made = [_group(needs, [needed[place] for place in places]) for places, needs in groups.items()]
    return sorted(made, key=lambda group: (LEVELS.index(group.level), -len(group.titles)))


def _settling(rule: Mapping[str, Any]) -> list[str]:
    """What would settle a rule; what no charting settles only where nothing else would."""
    needs = [need for need in rule["needs"] if not need.endswith(_UNPUBLISHED)]
    return needs or list(rule["needs"]) or list(rule["reasons"])


def _group(needs: Sequence[str], rules: Sequence[Mapping[str, Any]]) -> Missing:
    level = min((rule["level"] for rule in rules), key=LEVELS.index)
    first = sorted(rules, key=lambda rule: LEVELS.index(rule["level"]))
    return Missing(tuple(needs), level, tuple(rule["title"] for rule in first))
