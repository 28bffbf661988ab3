"""Every limit of a rule set as entries: each threshold in each band, one step below, at, and one step above.

Takes a rule set; gives (name, entry) pairs, entries as our JSON. The infant is at the first moment of the band, and
once at its last; the value stands alone, then in each context that some rule asks of its code, one at a time, then with
an earlier entry that charts the same. Limits on computed values (scores, differences, hours) are reached through what
they are computed from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from cds.advice.needs import leaves
from cds.entry.catalogue import CATALOGUE, LISTED
from cds.rules.model import BandLimit, Criterion, RuleSet, Score, ScoreItem, Threshold
from tests.boundary_sizes import SEX, SIZED, Aim, Sized
from tests.invented import STEP, Number, begin_of, fahrenheit, reach

Data = dict[str, Any]
Observations = list[Data]
Named = Iterator[tuple[str, Data]]

BORN = datetime(2024, 1, 31, 4, 20, tzinfo=UTC)
TERM = {"weeks": 39, "days": 2}
PRETERM = {"weeks": 25, "days": 0}
STATES = ("light-sleep", "quiet-alert", "crying")
"""One state of each sort: asleep, awake and settled, unsettled."""
SECOND = timedelta(seconds=1)


def boundary(rules: RuleSet) -> Named:
    """Every boundary entry of a rule set, with a name that says which it is."""
    for threshold in rules.thresholds.values():
        for limit in threshold.bands:
            if limit.limit is not None:
                yield from _around(threshold, limit, rules)


def _around(threshold: Threshold, limit: BandLimit, rules: RuleSet) -> Named:
    assert limit.limit is not None
    if threshold.quantity in SIZED:
        yield from _sizes(threshold, limit)
        return
    step = STEP["temperature"] if limit.limit.unit == "Cel" else 1
    for side, away in (("below", -step), ("at", 0), ("above", step)):
        value = limit.limit.value + away
        name = f"{threshold.id}, {limit.band.id}, {side}"
        for words, entry in _entries(threshold.quantity, value, rules):
            for end, aged in _aged(threshold, limit, entry):
                if end == "first" or not words:
                    yield f"{name}, {end} moment{words}", aged


def _aged(threshold: Threshold, limit: BandLimit, entry: Data) -> Named:
    """The entry of an infant at the first and at the last moment of a band."""
    gestation = TERM if threshold.age in ("chronological", "either") else PRETERM
    gestation = entry.get("infant", {}).get("gestation", gestation)
    begin = begin_of(BORN, gestation, threshold.age)
    for end, moment in (("first", reach(begin, limit.band.start)), ("last", reach(begin, limit.band.end) - SECOND)):
        measured = max(moment, BORN)
        infant = {**entry.get("infant", {}), "birth": BORN.isoformat(), "gestation": gestation}
        yield (
            end,
            {
                **entry,
                "infant": infant,
                "event": {"id": "B-2", "measured": measured.isoformat(), **_charted_at(entry, measured)},
                "observations": [_timed(each, measured) for each in entry["observations"]],
                "earlier": [
                    {
                        "event": {"id": "B-1", "measured": (measured - timedelta(hours=1)).isoformat()},
                        "observations": each,
                    }
                    for each in entry.get("earlier", [])
                ],
            },
        )


def _sizes(threshold: Threshold, limit: BandLimit) -> Named:
    """As `_around`, for what is computed from sizes: the steps away are charted ones."""
    gestation = PRETERM if threshold.age == "corrected" else TERM
    begin, due = begin_of(BORN, gestation, threshold.age), begin_of(BORN, gestation, "corrected")
    assert limit.limit is not None
    for end, moment in (("first", reach(begin, limit.band.start)), ("last", reach(begin, limit.band.end) - SECOND)):
        measured = max(moment, BORN)
        days = (measured.date() - due.date()).days, (measured - BORN) / timedelta(days=1)
        for side, away in (("below", -1), ("at", 0), ("above", 1)):
            made = SIZED[threshold.quantity](Aim(float(limit.limit.value), away, max(days[0], 0), days[1]))
            yield f"{threshold.id}, {limit.band.id}, {side}, {end} moment", _sized_entry(made, gestation, measured)


def _sized_entry(made: Sized, gestation: Data, measured: datetime) -> Data:
    weight = {"value": made.birth_weight, "unit": "g"}
    before = [(measured - timedelta(days=days), charted) for days, charted in made.before]
    return {
        "infant": {"birth": BORN.isoformat(), "sex": SEX, "gestation": gestation, "birth_weight": weight},
        "event": {"id": "B-2", "measured": measured.isoformat()},
        "observations": list(made.now),
        "earlier": [{"event": {"measured": at.isoformat()}, "observations": [charted]} for at, charted in before],
    }


def _charted_at(entry: Data, measured: datetime) -> Data:
    delay = entry.get("event", {}).get("charted")
    return {} if delay is None else {"charted": (measured + delay).isoformat()}


def _timed(observation: Data, measured: datetime) -> Data:
    if not isinstance(observation.get("since"), timedelta):
        return observation
    return {**observation, "since": (measured - observation["since"]).isoformat()}


def _entries(quantity: str, value: Number, rules: RuleSet) -> Named:
    """What reaches a value of a quantity: alone (no words), and in other contexts."""
    if quantity in CATALOGUE:
        yield from _charted(quantity, value, asked(rules))
    elif quantity in rules.scores:
        yield "", {"observations": _scored(rules.scores[quantity], int(value))}
    else:
        yield "", _COMPUTED[quantity](value)


def asked(rules: RuleSet) -> frozenset[tuple[str, str]]:
    """Each observation code with each context key that a rule asks of it."""
    return frozenset(pair for rule in rules.rules for leaf in leaves(rule.when) for pair in _asked(leaf))


def _asked(leaf: Criterion) -> Iterator[tuple[str, str]]:
    yield from ((leaf.subject, wanted.key) for wanted in leaf.where)
    if leaf.has:
        yield leaf.subject, leaf.has[0]
    if leaf.reach and leaf.reach.by:
        yield leaf.subject, leaf.reach.by


def _charted(code: str, value: Number, keys: frozenset[tuple[str, str]]) -> Named:
    if value < 0:
        return
    alone = {"code": code, "value": value, "unit": CATALOGUE[code].units[0]}
    yield "", {"observations": [alone]}
    for words, context in _contexts(code, keys):
        yield f", {words}", {"observations": [{**alone, **context}]}
    yield ", charted an hour before too", {"observations": [alone], "earlier": [[alone]]}
    yield ", charted an hour before only", {"observations": [], "earlier": [[alone]]}
    if code == "body-temperature":
        yield ", in degrees Fahrenheit", {"observations": [{**alone, "value": fahrenheit(value), "unit": "[degF]"}]}


def _contexts(code: str, keys: frozenset[tuple[str, str]]) -> Iterator[tuple[str, Data]]:
    own = {key: words for key, words in CATALOGUE[code].contexts.items() if (code, key) in keys}
    for key, words in own.items():
        for word in STATES if key == "state" else words or ():
            yield f"{key} {word}", {key: [word] if key in LISTED else word}
    if CATALOGUE[code].rate:
        yield "counted 30 s, quiet-alert", {"counted_seconds": 30, "state": "quiet-alert"}
    if code == "oxygen-saturation":
        yield "screen", {"site": "foot", "oxygen": "room-air", "purpose": "newborn-screen"}


def _scored(score: Score, total: int) -> Observations:
    """Items charted so that a score comes to a total, or as near below it as its points allow."""
    observations: Observations = []
    left = total
    for item in score.items:
        observation, points = max(
            (answer for answer in _answers(item) if answer[1] <= max(left, 0)), key=lambda answer: answer[1]
        )
        left -= points
        observations.append({"code": item.code, **observation})
    return observations


def _answers(item: ScoreItem) -> Iterator[tuple[Data, int]]:
    for grade, points in item.points.items():
        yield {"grade": grade}, points
    for cut in item.cuts:
        value = cut.limit.value + (cut.reached == "above")
        yield {"value": value, "unit": cut.limit.unit}, cut.points


def _gestation(weeks: Number) -> Data:
    whole = int(weeks)
    signs = [{"code": "mean-pressure", "value": 20, "unit": "mm[Hg]"}, {"code": "jaundice", "grade": "trunk"}]
    return {"infant": {"gestation": {"weeks": whole, "days": int((weeks - whole) * 7)}}, "observations": signs}


def _difference(points: Number) -> Data:
    sites = (("right-hand", 97), ("foot", 97 - points))
    said = {"code": "oxygen-saturation", "unit": "%", "oxygen": "room-air", "purpose": "newborn-screen"}
    return {"observations": [{**said, "site": site, "value": value} for site, value in sites]}


def _mean_below(millimetres: Number) -> Data:
    pressure = {"code": "mean-pressure", "value": 30 + millimetres, "unit": "mm[Hg]"}
    return {"infant": {"gestation": {"weeks": 30, "days": 3}}, "observations": [pressure]}


def _wet_diapers(number: Number) -> Data:
    return {"observations": [{"code": "wet-diapers", "value": max(number, 0), "unit": "count", "over_hours": 24}]}


def _fever_hours(hours: Number) -> Data:
    since = {"code": "fever-history", "grade": "present", "since": timedelta(hours=int(hours))}
    return {"observations": [since]}


def _fever_highest(degrees: Number) -> Data:
    highest = {"value": degrees, "unit": "Cel", "route": "rectal"}
    return {"observations": [{"code": "fever-history", "grade": "present", "highest": highest}]}


def _birth_weight(grams: Number) -> Data:
    weight = {"code": "body-weight", "value": 3000, "unit": "g"}
    return {"infant": {"birth_weight": {"value": grams, "unit": "g"}}, "observations": [weight]}


def _temperature_rise(degrees: Number) -> Data:
    now, before = ({"code": "body-temperature", "value": each, "unit": "Cel"} for each in (37 + degrees, 37))
    return {"observations": [now], "earlier": [[before]]}


def _charting_delay(hours: Number) -> Data:
    return {"event": {"charted": timedelta(hours=float(hours))}, "observations": []}


def _risen(code: str, before: int) -> Callable[[Number], Data]:
    """A size so many per cent above the one of an hour before."""
    unit = CATALOGUE[code].units[0]

    def chart(percent: Number) -> Data:
        now = {"code": code, "value": before * (100 + Decimal(percent)) / 100, "unit": unit}
        return {"observations": [now], "earlier": [[{"code": code, "value": before, "unit": unit}]]}

    return chart


_COMPUTED: Mapping[str, Callable[[Number], Data]] = {
    "gestation": _gestation,
    "saturation-difference": _difference,
    "mean-pressure-below-gestation": _mean_below,
    "wet-diapers-per-day": _wet_diapers,
    "fever-hours": _fever_hours,
    "fever-highest": _fever_highest,
    "birth-weight": _birth_weight,
    "charting-delay": _charting_delay,
    "temperature-rise": _temperature_rise,
    "weight-rise": _risen("body-weight", 4000),
    "length-rise": _risen("body-length", 60),
    "head-rise": _risen("head-circumference", 40),
}
