"""Which observations a criterion looks at, and which of them are calm.

Takes the context filters of a criterion and one observation. Gives selected, maybe (with the reason) or not selected.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cds.entry.catalogue import CATALOGUE, UNSETTLED
from cds.entry.model import Observation
from cds.rules.model import Filter

FULL_COUNT_SECONDS = 60
_SOFT_SIGNS = {"nasal-flaring": None, "retractions": frozenset({"mild"})}
UNGRADED = frozenset({"nasal-flaring", "retractions", "grunting", "cyanosis", "jaundice"})
"""Signs whose `present` says only that they were seen: it could be any of their other grades."""
_PRESSURES = frozenset({"systolic-pressure", "diastolic-pressure", "mean-pressure"})
_REASONS = {
    "route": "unknown-route",
    "site": "unknown-site",
    "sites": "unknown-site",
    "state": "unknown-state",
    "oxygen": "unknown-oxygen",
    "need": "unknown-oxygen",
    "in_oxygen": "unknown-oxygen",
}
_UNCHARTED: Mapping[str, bool | None] = MappingProxyType({"selected": True, "excluded": False, "unknown": None})


def context_reason(key: str) -> str:
    """The reason for cannot-tell when a context key is not charted."""
    return _REASONS.get(key, "missing-input")


def selects(filters: tuple[Filter, ...], observation: Observation) -> tuple[bool, str | None]:
    """Whether an observation may be looked at; the reason where it only may be."""
    why: str | None = None
    for wanted in filters:
        fit = fits(wanted, observation.context.get(wanted.key))
        if fit is False:
            return False, None
        if fit is None:
            why = context_reason(wanted.key)
    return True, why


def fits(wanted: Filter, value: object) -> bool | None:
    """Whether one context value is selected, excluded, or may be either (None)."""
    if value is None:
        return _UNCHARTED[wanted.uncharted]
    words = words_of(value)
    if not wanted.is_.isdisjoint(words):
        return True
    return False if wanted.not_ is None or not wanted.not_.isdisjoint(words) else None


def words_of(value: object) -> tuple[str, ...]:
    """A context value as words: a list as its members, yes and no as true and false."""
    if isinstance(value, bool):
        return ("true",) if value else ("false",)
    if isinstance(value, tuple):
        return tuple(map(str, value))
    return (str(value),)


def has(observation: Observation, key: str, wanted: frozenset[str]) -> bool:
    """Whether a context key holds any of the words; `uncharted` holds where the key is not charted.

    The key `count` is short where fewer seconds than a full minute were charted, else full.
    """
    if key == "count":
        return ("short" if is_short(observation) else "full") in wanted
    value = observation.context.get(key)
    return "uncharted" in wanted if value is None else not wanted.isdisjoint(words_of(value))


def is_short(observation: Observation) -> bool:
    """Whether a count is charted as shorter than a full minute."""
    seconds = observation.context.get("counted_seconds")
    return isinstance(seconds, int) and seconds < FULL_COUNT_SECONDS


def is_calm(observation: Observation) -> bool:
    """Whether state and count time let the observation stand by itself; what is not charted counts as calm and full.

    A rate needs a settled infant and a full minute; a pressure a settled infant; flaring and mild retractions seen
    while unsettled may be effort of crying or feeding. Every other sign stands whatever the state.
    """
    unsettled = observation.context.get("state") in UNSETTLED
    if CATALOGUE[observation.code].rate:
        return not unsettled and not is_short(observation)
    return not (unsettled and _is_soft(observation))


def _is_soft(observation: Observation) -> bool:
    if observation.code in _PRESSURES:
        return True
    soft = _SOFT_SIGNS.get(observation.code, frozenset())
    return soft is None or bool(observation.grades and soft.issuperset(observation.grades))
