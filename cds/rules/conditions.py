"""From the `when` of a rule file to a condition of the model: groups put in place, state words spread out.

Takes data that was checked; gives criteria whose key is their content, so that equal criteria share one judgement.
Never asks whether a name exists: `check` did.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from cds.entry.catalogue import STATE_GROUPS
from cds.rules.amounts import seconds
from cds.rules.model import AgeKind, Band, Before, Condition, Criterion, Filter, FindingIs, Group, Reach, Unanswered

Data = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Named:
    """What conditions name: bands, and the titles and conditions of groups."""

    bands: Mapping[str, Band]
    groups: Mapping[str, Data]


def condition(data: Data, named: Named) -> Condition:
    """The condition that data describes."""
    form = next(form for form in _FORMS if form in data)
    return _FORMS[form](data, named)


def key_of(data: Data, *without: str) -> str:
    """The content of a criterion in canonical form, ASCII only, without its label and what else is named."""
    content = {name: value for name, value in data.items() if name not in ("item", *without)}
    return json.dumps(content, sort_keys=True, separators=(",", ":"))


def in_order(bands: Iterable[Band]) -> tuple[Band, ...]:
    """Bands by scheme, then by age."""
    return tuple(sorted(bands, key=lambda band: (band.scheme, *seconds_of(band))))


def seconds_of(band: Band) -> tuple[int, int]:
    """A sort key: a month counts as 30 days here and only here."""
    months = {"min": 60, "h": 3600, "d": 86400, "wk": 604800, "mo": 2592000}
    return band.start.amount * months[band.start.unit], band.end.amount * months[band.end.unit]


def _together(how: str) -> Callable[[Data, Named], Condition]:
    def build(data: Data, named: Named) -> Condition:
        parts = tuple(condition(part, named) for part in data[how])
        return Group(how, parts, item=data.get("item"))  # type: ignore[arg-type]

    return build


def _at_least(data: Data, named: Named) -> Condition:
    parts = tuple(condition(part, named) for part in data["at_least"]["of"])
    return Group("at-least", parts, n=data["at_least"]["n"], item=data.get("item"))


def _group(data: Data, named: Named) -> Condition:
    group = named.groups[data["group"]]
    inner = condition(group["when"], named)
    if not isinstance(inner, Group):
        inner = Group("all", (inner,))
    return replace(inner, title=group["title"], item=data.get("item"))


def _finding(data: Data, named: Named) -> Condition:
    return FindingIs(data["finding"], data.get("item"))


def _observed(data: Data, named: Named) -> Condition:
    repeated = data.get("repeated")
    return Criterion(
        key=key_of(data),
        kind="observed",
        subject=data["observed"],
        reach=reach_of(data["reaches"]) if "reaches" in data else None,
        grades=frozenset(data.get("grade", ())),
        ungraded=data.get("ungraded", "unknown"),
        has=next(((key, frozenset(words)) for key, words in data.get("has", {}).items()), None),
        where=tuple(_filter(key, data["where"][key]) for key in sorted(data.get("where", {}))),
        repeated_within=seconds(repeated["within"]) if repeated else None,
        repeated_times=repeated.get("times", 2) if repeated else 2,
        repeated_after=seconds(repeated["after"]) if repeated and "after" in repeated else 0,
        unanswered=_unanswered(data),
        item=data.get("item"),
    )


def _unanswered(data: Data) -> Unanswered | None:
    if "unanswered" not in data:
        return None
    asked = data["unanswered"]
    return Unanswered(seconds(asked["after"]), seconds(asked["within"]), key_of(data, "unanswered"))


def reach_of(data: str | Data) -> Reach:
    """The threshold, or the thresholds by a context key, that `reaches` names."""
    if isinstance(data, str):
        return Reach(threshold=data)
    if "threshold" in data:
        return Reach(threshold=data["threshold"], bands=frozenset(data["bands"]))
    each = tuple((word, data[word]) for word in sorted(data) if word != "by")
    return Reach(by=data["by"], each=each)


def _filter(key: str, data: list[str | bool] | Data) -> Filter:
    if isinstance(data, list):
        return Filter(key, spread(key, data), None, _uncharted(key, data))
    return Filter(key, spread(key, data["is"]), spread(key, data["not"]), data.get("uncharted", "unknown"))


def spread(key: str, words: list[str | bool]) -> frozenset[str]:
    """Words of a context key as charted: settled, unsettled, asleep and awake as states, true and false as text."""
    groups = STATE_GROUPS if key == "state" else {}
    texts = [_word(word) for word in words]
    return frozenset(each for text in texts for each in groups.get(text, (text,)))


def _uncharted(key: str, words: list[str | bool]) -> Any:
    """What not charted counts as: settled and false are taken for granted, the rest stays open."""
    texts = {_word(word) for word in words}
    if texts & {"true", "false"}:
        return "selected" if "false" in texts else "excluded"
    if key == "state" and "settled" in texts:
        return "selected"
    return "excluded" if key == "state" and texts == {"unsettled"} else "unknown"


def _word(word: str | bool) -> str:
    return word if isinstance(word, str) else str(word).lower()


def _derived(data: Data, named: Named) -> Condition:
    return Criterion(
        key=key_of(data),
        kind="derived",
        subject=data["derived"],
        reach=Reach(threshold=data["reaches"]) if "reaches" in data else None,
        grades=frozenset(data.get("is", ())),
        before=_before(data),
        item=data.get("item"),
    )


def _before(data: Data) -> Before | None:
    if "before" not in data:
        return None
    asked = data["before"]
    return Before(frozenset(asked["was"]), seconds(asked["within"]), key_of(data, "before"))


def _score(data: Data, named: Named) -> Condition:
    reach = Reach(threshold=data["reaches"])
    return Criterion(key_of(data), "score", data["score"], reach=reach, item=data.get("item"))


def _care(data: Data, named: Named) -> Condition:
    uncharted = data.get("uncharted", "possible")
    grades = frozenset(data["is"])
    return Criterion(key_of(data), "care", data["care"], grades=grades, uncharted=uncharted, item=data.get("item"))


def _band(data: Data, named: Named) -> Condition:
    names = [data["band"]] if isinstance(data["band"], str) else data["band"]
    bands = in_order(named.bands[name] for name in names)
    age: AgeKind = data.get("age", "chronological")
    return Criterion(key_of(data), "band", bands=bands, age=age, item=data.get("item"))


def _blank(data: Data, named: Named) -> Condition:
    return Criterion(key_of(data), "blank", why=data["not_representable"], item=data.get("item"))


_FORMS: Mapping[str, Callable[[Data, Named], Condition]] = MappingProxyType(
    {
        "all": _together("all"),
        "any": _together("any"),
        "none": _together("none"),
        "at_least": _at_least,
        "group": _group,
        "finding": _finding,
        "observed": _observed,
        "derived": _derived,
        "score": _score,
        "care": _care,
        "band": _band,
        "not_representable": _blank,
    }
)
