"""The words of a finding: its summary, its next steps with times, what is missing.

Takes a raised finding and the view. Fills the slots of `say` from the first criterion, in document order, that is met
or could be. Never more than 139 characters (CDS Hooks 2.0, card.summary), numbers first, no order and no diagnosis.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone

from cds.advice.doubts import doubts
from cds.advice.explain import limit_words, observed_words, unit_of, value_words
from cds.advice.needs import leaves
from cds.advice.scale import MET, items
from cds.advice.status import Raised
from cds.entry.model import Moment
from cds.infer.plain import Findings
from cds.judge.criteria import judge
from cds.judge.view import Reading, View
from cds.rules.model import BandLimit, Rule
from cds.values import Rank

MOST = 139


def summary(made: Raised, view: View, findings: Findings) -> str:
    """One sentence, numbers first; it says when it only could be, when no state was charted, which items are met."""
    reading = first_reading(made.rule, view)
    said = made.rule.say.format_map(_Slots(slots(reading) if reading else {}))
    text = said[:1].upper() + said[1:]
    if made.rule.scale is not None and not made.could_be:
        return _with_items(
            text, [each["item"] for each in items(made.rule.when, view, findings) if each["verdict"] == MET]
        )
    if made.could_be:
        return _fitting(f"Could be: {text}", f"Not charted: {', '.join(doubts(made, view, findings))}.")
    if made.together:
        return _fitting(text, "Check entry and infant together.")
    return _fitting(text, f"{_agreed_note(reading)} {_state_note(reading)}".strip())


def _with_items(text: str, met: list[str]) -> str:
    """The items that are met, as many as fit, and how many more there are."""
    for count in range(len(met), 0, -1):
        more = f"; {len(met) - count} more" if count < len(met) else ""
        whole = f"{text} Met: {'; '.join(met[:count])}{more}."
        if len(whole) <= MOST:
            return whole
    return _fitting(text, f"{len(met)} items met." if len(met) > 1 else "")


class _Slots(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "not charted"


def _fitting(text: str, more: str) -> str:
    """A text and what must be said beside it; the text is cut where both do not fit."""
    whole = f"{text} {more}".rstrip()
    if len(whole) <= MOST:
        return whole
    cut = text[: MOST - len(more) - 2].rpartition(" ")[0]
    return f"{cut}… {more}".rstrip()


def _agreed_note(reading: Reading | None) -> str:
    """That the limit is one agreed for this infant, which the words of the rule do not know."""
    agreed = reading is not None and any(limit.set_by.startswith("agreed") for limit in reading.limits)
    return "Limit agreed for this infant." if agreed else ""


def _state_note(reading: Reading | None) -> str:
    observation = reading.observation if reading else None
    if observation is None or observation.quantity is None or observation.quantity.dimension != "rate":
        return ""
    return "" if "state" in observation.context else "State not charted."


def first_reading(rule: Rule, view: View) -> Reading | None:
    """The reading behind the first criterion that is met or could be."""
    return next(_telling(rule, view), None)


def _telling(rule: Rule, view: View) -> Iterator[Reading]:
    for leaf in leaves(rule.when):
        judged = judge(leaf, view)
        if judged.verdict.rank >= Rank.POSSIBLE:
            best = max(judged.readings, key=lambda reading: reading.verdict.rank, default=None)
            if best is not None and leaf.kind in ("observed", "derived", "score"):
                yield best


def slots(reading: Reading) -> dict[str, str]:
    """What the slots of `say` hold for one reading."""
    filled = {"value": value_words(reading.value) if reading.value else "", "unit": ""}
    observation = reading.observation
    if observation is not None:
        filled.update(_charted(observation_context := observation.context))
        bound = f"{observation.comparator} " if observation.comparator else ""
        filled["value"] = f"{bound}{observation.quantity.text}" if observation.quantity else observed_words(observation)
        filled["unit"] = observed_words(observation).rpartition(" ")[2] if observation.quantity else ""
        filled["grade"] = " and ".join(grade.replace("-", " ") for grade in observation.grades)
        filled["state"] = str(observation_context.get("state", "state not charted"))
    if reading.value is not None:
        filled.update({"total": dict(reading.value.numbers).get("total", "")})
    return {**filled, "limit": _limit(reading)}


def _charted(context: object) -> dict[str, str]:
    assert hasattr(context, "get")
    sites = context.get("sites") or context.get("site") or "site not charted"
    return {
        "site": ", ".join(sites) if isinstance(sites, tuple) else str(sites).replace("-", " "),
        "route": str(context.get("route", "route not charted")),
        "seconds": str(context.get("counted_seconds", "")),
    }


def _limit(reading: Reading) -> str:
    told = [limit for limit in reading.limits if limit.limit is not None]
    if len(told) > 1 and reading.verdict.rank is Rank.MET:
        told.sort(key=lambda limit: _apart(limit, reading))
    return limit_words(told[0], unit_of(reading)).partition(" ")[0] if told else ""


def _apart(limit: BandLimit, reading: Reading) -> int:
    """How far a value lies from a limit: of several that it reaches, the nearest is the hardest to reach."""
    value = reading.observation.quantity if reading.observation else None
    assert limit.limit is not None
    return abs(value.position - limit.limit.position) if value else 0


def due(measured: Moment | None, within: int | None) -> str | None:
    """When a step is due: the time of measuring and so many seconds, in the offset as charted."""
    if measured is None or within is None or measured.seconds.low != measured.seconds.high:
        return None
    zone = UTC if measured.offset is None else timezone(timedelta(seconds=measured.offset))
    return datetime.fromtimestamp(measured.seconds.low + within, zone).isoformat()
