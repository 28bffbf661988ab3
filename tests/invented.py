"""Random entries as our JSON: any code, context, age and status that an entry may have, most of them near a limit.

Takes a source of chance (seeded, or hypothesis) and the tables of a rule set. Gives parsed JSON that the reader
accepts. Most values stand on or one step beside a limit, most ages on or beside an edge of a band. Infants are
invented; an entry need not make clinical sense.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from hypothesis import strategies as st

from cds.entry.calendar import add_months
from cds.entry.catalogue import (
    ABSENT_REASONS,
    CARE,
    CATALOGUE,
    COMPARATORS,
    LISTED,
    MEASURED_CONTEXT,
    SEXES,
    STATES,
    STATUSES,
    UNUSABLE,
    YES_NO,
    Kind,
)
from cds.rules.model import AgeKind, Edge, Rule, RuleSet
from tests.chance import Chance, Drawn
from tests.who import TABLES, size

Data = dict[str, Any]
Number = int | Decimal

TERM_DAYS, EARLY_DAYS = 280, 259
MOST_AIMED = 10
STEP: Mapping[str, Number] = {"temperature": Decimal("0.1")}
"""One charted step of a value, 1 where nothing else is said."""
LIKELY: Mapping[str, tuple[int, int]] = {
    "respiratory-rate": (0, 110),
    "heart-rate": (0, 260),
    "body-temperature": (30, 42),
    "oxygen-saturation": (50, 100),
    "capillary-refill": (0, 8),
    "systolic-pressure": (20, 140),
    "diastolic-pressure": (10, 100),
    "mean-pressure": (10, 110),
    "breathing-pause": (0, 40),
    "wet-diapers": (0, 10),
    "body-weight": (400, 14_000),
    "body-length": (40, 92),
    "head-circumference": (28, 51),
    "chest-circumference": (26, 51),
}
SIZES = ("body-weight", "body-length", "head-circumference", "chest-circumference")
BEFORE_MINUTES = (5, 29, 30, 31, 59, 60, 61, 119, 120, 121, 239, 240, 241, 600, 1439, 1440, 1441, 2880, 10_079, 10_081)
BEFORE_DAYS = (1, 5, 6, 7, 14, 28, 30, 62, 90, 180, 399, 401)
"""How long before the entry an earlier one was measured: on and beside the windows that rules look back over."""
MOST_EARLIER = 12
VALUES = tuple(code for code, kind in CATALOGUE.items() if not kind.is_sign)
VITALS = ("respiratory-rate", "heart-rate", "body-temperature", "oxygen-saturation")
SIGNS = tuple(code for code, kind in CATALOGUE.items() if kind.is_sign)


@dataclass(frozen=True, slots=True)
class Aim:
    """What an entry aims at: edges of bands of one kind of age, and the codes that a rule reads."""

    edges: tuple[Edge, ...]
    ages: tuple[AgeKind, ...]
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tables:
    """What random entries aim at: the limits of each observation code, any edge, or one rule."""

    limits: Mapping[str, tuple[Number, ...]]
    anywhere: Aim
    rules: tuple[Aim, ...]


def tables_of(rules: RuleSet) -> Tables:
    """The limits and edges of a rule set."""
    limits: dict[str, set[Number]] = {}
    for threshold in rules.thresholds.values():
        code = "mean-pressure" if threshold.quantity == "mean-pressure-below-gestation" else threshold.quantity
        if code in CATALOGUE:
            limits.setdefault(code, set()).update(each.limit.value for each in threshold.bands if each.limit)
    edges = {edge for band in rules.bands.values() for edge in (band.start, band.end)}
    anywhere = Aim(_in_order(edges), ("chronological", "chronological", "corrected", "postmenstrual"))
    aims = (_aim(rule) for rule in rules.rules)
    return Tables({code: tuple(sorted(found)) for code, found in limits.items()}, anywhere, tuple(aims))


def _aim(rule: Rule) -> Aim:
    edges = {edge for band in rule.gate.bands for edge in (band.start, band.end)}
    ages: tuple[AgeKind, ...] = ("chronological", "corrected") if rule.gate.age == "either" else (rule.gate.age,)
    return Aim(_in_order(edges), ages, tuple(sorted(rule.codes)))


def _in_order(edges: set[Edge]) -> tuple[Edge, ...]:
    return tuple(sorted(edges, key=lambda edge: (edge.unit, edge.amount)))


def entries(tables: Tables) -> st.SearchStrategy[Data]:
    """Random entries for hypothesis."""
    return st.composite(lambda draw: invent(Drawn(draw), tables))()


def invent(chance: Chance, tables: Tables) -> Data:
    """One random entry."""
    aim = chance.among(tables.rules) if chance.share(60) else tables.anywhere
    infant, measured = _infant(chance, aim)
    maker = Maker(chance, tables, measured, chance.among((None, *STATES)), _curve(infant, measured))
    aimed = [maker.observation(code) for code in aim.codes[:MOST_AIMED] if chance.share(85)]
    observations = aimed + maker.observations()
    entry: Data = {
        "infant": infant,
        "event": maker.event("T-900-9", measured),
        "care": maker.care(),
        "observations": observations,
    }
    if chance.share(40):
        number = chance.whole(4, MOST_EARLIER) if chance.share(15) else chance.whole(1, 3)
        entry["earlier"] = [maker.earlier(place, observations) for place in range(number)]
    if chance.share(3):
        said = {"place": "/event/measured", "found": "2 h", "words": "measured 2 h after this call"}
        entry["remarks"] = [{"reason": chance.among(("measured-in-future", "code-unmapped")), **said}]
    return entry


def reach(begin: datetime, edge: Edge) -> datetime:
    """When an age counted from `begin` reaches an edge; months at midnight of the local calendar day."""
    if edge.unit == "mo":
        day = datetime.fromordinal(add_months(begin.toordinal(), edge.amount))
        return day.replace(tzinfo=begin.tzinfo)
    seconds = {"min": 60, "h": 3600, "d": 86_400, "wk": 604_800}
    return begin + timedelta(seconds=edge.amount * seconds[edge.unit])


def _infant(chance: Chance, aim: Aim) -> tuple[Data, datetime]:
    """An infant, and when the entry is measured."""
    zone = timezone(timedelta(minutes=chance.among((0, 60, -300))))
    born = datetime(2024, 1, 31, 4, 20, tzinfo=zone) + timedelta(minutes=chance.whole(0, 400 * 1440))
    gestation = _gestation(chance)
    measured = _measured(chance, aim, (born, gestation))
    infant: Data = {"id": "T-900", "sex": chance.among(SEXES)}
    if gestation and chance.share(80):
        infant["gestation"] = gestation
    if chance.share(60):
        infant["birth_weight"] = _birth_weight(chance)
    kind = chance.among(("time", "time", "time", "time", "date", "days", "none"))
    if kind == "days" and measured >= born:
        infant["age"] = {"days": (measured - born).days}
    elif kind in ("time", "date"):
        infant["birth"] = born.isoformat() if kind == "time" else born.date().isoformat()
    return infant, measured


def _curve(infant: Data, measured: datetime) -> tuple[str, int]:
    """The sex and day of age on whose growth curves sizes are aimed at, corrected for early birth."""
    sex = infant["sex"] if infant["sex"] in ("female", "male") else "female"
    if "birth" not in infant:
        return sex, infant.get("age", {}).get("days", 200)
    begin = begin_of(datetime.fromisoformat(infant["birth"]), infant.get("gestation"), "corrected")
    return sex, max((measured.date() - begin.date()).days, 0)


def _birth_weight(chance: Chance) -> Data:
    if chance.share(5):
        return {"value": chance.among((Decimal("3.3"), 0, 33_000)), "unit": "g"}
    if chance.share(10):
        return {"value": Decimal(chance.whole(60, 480)) / 100, "unit": "kg"}
    return {"value": chance.among((999, 1000, 1499, 1500, 2499, 2500, chance.whole(600, 4800))), "unit": "g"}


def _gestation(chance: Chance) -> Data | None:
    if chance.share(15):
        return None
    weeks = chance.among((39, 40, 36, 37, 38, 34, 31, 32, 28, 27, 24, 42))
    return {"weeks": weeks} if chance.share(25) else {"weeks": weeks, "days": chance.whole(0, 6)}


def _measured(chance: Chance, aim: Aim, who: tuple[datetime, Data | None]) -> datetime:
    born, gestation = who
    if chance.share(3):
        return born - timedelta(minutes=chance.whole(1, 3000))
    if chance.share(15):
        return born + timedelta(minutes=chance.whole(0, 26 * 30 * 1440))
    beside = timedelta(seconds=chance.among((0, -1, 1, 60, -60, 86_400, -86_400, 43_200)))
    return max(reach(begin_of(born, gestation, chance.among(aim.ages)), chance.among(aim.edges)) + beside, born)


def begin_of(born: datetime, gestation: Data | None, kind: AgeKind) -> datetime:
    """When an age of one kind begins to count."""
    days = 7 * gestation["weeks"] + gestation.get("days", 0) if gestation else TERM_DAYS
    if kind == "corrected":
        return born + timedelta(days=TERM_DAYS - days if days < EARLY_DAYS else 0)
    return born - timedelta(days=days) if kind == "postmenstrual" else born


@dataclass(frozen=True, slots=True)
class Maker:
    """Makes the parts of one entry, most observations in one state."""

    chance: Chance
    tables: Tables
    measured: datetime
    state: str | None
    curve: tuple[str, int] = ("female", 200)

    def event(self, name: str, measured: datetime) -> Data:
        """When it was measured: a time, seldom a date or a period; seldom not final."""
        said: Any = measured.isoformat()
        if self.chance.share(4):
            said = measured.date().isoformat()
        elif self.chance.share(4):
            said = {"start": said, "end": (measured + timedelta(minutes=30)).isoformat()}
        status = self.chance.among(STATUSES) if self.chance.share(5) else "final"
        return {"id": name, "measured": said, "status": status}

    def earlier(self, place: int, now: list[Data]) -> Data:
        """An earlier entry, of the same codes more often than of others."""
        then = self.measured - self._before()
        codes = [each["code"] for each in now if self.chance.share(60)]
        observations = [self.observation(code) for code in codes]
        if self.chance.share(20):
            observations += self.observations()
        return {"event": self.event(f"T-900-{place}", then), "observations": observations}

    def _before(self) -> timedelta:
        if self.chance.share(35):
            return timedelta(days=self.chance.among(BEFORE_DAYS), minutes=self.chance.among((0, -1, 1)))
        return timedelta(minutes=self.chance.among(BEFORE_MINUTES))

    def care(self) -> Data:
        """What is being done for the infant."""
        care: Data = {key: self.chance.among(words) for key, words in CARE.items() if words and self.chance.share(45)}
        if self.chance.share(6):
            care["cooling"] = {"from": 33, "to": 34, "unit": "Cel"}
        if self.chance.share(8):
            care["agreed_limits"] = [self._agreed(code) for code in VITALS if self.chance.share(50)]
        return care

    def _agreed(self, code: str) -> Data:
        low, high = LIKELY[code]
        middle = (low + high) // 2
        limits: Data = {"from": self.chance.whole(low, middle), "to": self.chance.whole(middle, high)}
        until = self.measured + timedelta(hours=self.chance.among((-1, 0, 6, 24, 25)))
        kept = {key: limits[key] for key in ("from", "to") if self.chance.share(75)} or limits
        who = {"by": "clinician", "until": until.isoformat()}
        return {"quantity": code, **kept, "unit": CATALOGUE[code].units[0], **who}

    def observations(self) -> list[Data]:
        """None to many observations."""
        number = self.chance.whole(12, 30) if self.chance.share(8) else self.chance.whole(0, 7)
        return [self.observation(self.chance.among(self._pool())) for _ in range(number)]

    def _pool(self) -> Sequence[str]:
        return self.chance.among((VITALS, VALUES, SIZES, SIGNS, SIGNS))

    def observation(self, code: str) -> Data:
        """One observation: a value or a sign, seldom not obtained, not mapped, or not final."""
        kind = CATALOGUE[code]
        said: Data = {"code": code, **self._said(kind), **self._context(kind)}
        if self.chance.share(5):
            said["status"] = self.chance.among(STATUSES)
        if self.chance.share(5):
            said["measured"] = (self.measured - timedelta(minutes=self.chance.whole(0, 90))).isoformat()
        return said

    def _said(self, kind: Kind) -> Data:
        if self.chance.share(3):
            return {"absent": self.chance.among(ABSENT_REASONS)}
        if self.chance.share(2):
            return {"unusable": self.chance.among(UNUSABLE), "found": "as sent"}
        return {"grade": self._grade(kind)} if kind.is_sign else self._value(kind)

    def _grade(self, kind: Kind) -> str | list[str]:
        grade = self.chance.among(kind.grades)
        others = [each for each in kind.grades if each not in ("usual", grade)]
        if kind.many and grade != "usual" and self.chance.share(40):
            return [grade, self.chance.among(others)]
        return grade

    def _value(self, kind: Kind) -> Data:
        value, unit = self._number(kind.code), kind.units[0]
        if unit == "Cel" and self.chance.share(15):
            value, unit = fahrenheit(value), "[degF]"
        if kind.code == "body-weight" and self.chance.share(30):
            return self._weight(value)
        bound = {"comparator": self.chance.among(COMPARATORS)} if self.chance.share(4) else {}
        return {"value": value, "unit": unit, **bound}

    def _weight(self, grams: Number) -> Data:
        """The same weight, or as near as it is written, in another unit; seldom as slipped as charts are."""
        if self.chance.share(15):
            return {"value": grams / Decimal(1000), "unit": self.chance.among(("kg", "[lb_av]", "g"))}
        pounds = Decimal(grams) / Decimal("453.59237")
        if self.chance.share(50):
            whole, part = divmod(int(pounds * 16), 16)
            return {"value": [whole, part], "unit": ["[lb_av]", "[oz_av]"]}
        return {"value": pounds.quantize(Decimal("0.1")), "unit": "[lb_av]"}

    def _number(self, code: str) -> Number:
        limits = self.tables.limits.get(code)
        step = STEP.get(CATALOGUE[code].dimension or "", 1)
        if code in TABLES and self.chance.share(50):
            return self._on_curve(code)
        if limits and self.chance.share(60):
            return max(self.chance.among(limits) + step * self.chance.among((0, -1, 1)), 0)
        low, high = LIKELY.get(code, (0, 500))
        if self.chance.share(5):
            return Decimal(self.chance.whole(low * 100_000, high * 100_000)) / 100_000
        return self.chance.whole(low, high)

    def _on_curve(self, code: str) -> Number:
        """A size at a cut-off of growth, or one charted step beside it."""
        at = size(code, *self.curve, self.chance.among((-6, -3, -2, -2, -1, 0, 1, 2, 2, 3, 5)))
        if code == "body-weight":
            return round(at * 100) * 10 + 10 * self.chance.among((-1, 0, 1))
        return Decimal(round(at * 10) + self.chance.among((-1, 0, 1))) / 10

    def _context(self, kind: Kind) -> Data:
        said = {key: self._word(key, words) for key, words in kind.contexts.items() if self._charts(key)}
        return {key: word for key, word in said.items() if word is not None}

    def _charts(self, key: str) -> bool:
        return key == "state" or self.chance.share(45)

    def _word(self, key: str, words: tuple[str, ...] | None) -> Any:
        if key == "state":
            return self.state if self.chance.share(80) else self.chance.among((None, *STATES))
        if key in LISTED:
            return sorted({self.chance.among(words or ()), self.chance.among(words or ())})
        return self.chance.among(words) if words else self._unworded(key)

    def _unworded(self, key: str) -> Any:
        if key in YES_NO:
            return self.chance.share(50)
        if key == "counted_seconds":
            return self.chance.among((60, 60, 60, 59, 30, 15, 120))
        if key in MEASURED_CONTEXT:
            return self.chance.among((6, 12, 21, 24, 40))
        if key == "since":
            return (self.measured - timedelta(hours=self.chance.among((1, 24, 119, 120, 121)))).isoformat()
        value = self._number("body-temperature")
        return {"value": value, "unit": "Cel", **({"route": "rectal"} if self.chance.share(40) else {})}


def fahrenheit(value: Number) -> Decimal:
    """The same temperature in [degF], to a tenth."""
    return (Decimal(value) * 9 / 5 + 32).quantize(Decimal("0.1"), ROUND_HALF_EVEN)
