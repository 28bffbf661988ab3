"""What the chain knows of one infant: ages, the last reading of each code, and what was charted before."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

Data = dict[str, Any]
ASLEEP = ("deep-sleep", "light-sleep")
AWAKE_AND_SETTLED = ("drowsy", "quiet-alert")
UNSETTLED = ("active", "crying", "feeding", "just-handled")
RATES = ("respiratory-rate", "heart-rate")
PRESSURES = ("systolic-pressure", "diastolic-pressure", "mean-pressure")
SIGNS_IN_SETTLED_INFANTS = ("nasal-flaring", "retractions")
TERM = 37 * 7
BORN_AT = 40 * 7


class Baby:
    """One entry, laid out for ifs."""

    __slots__ = ("at", "care", "charted", "days", "earlier", "entry", "gestation", "grades", "hours", "months", "oral")
    __slots__ += ("due_days", "due_months", "scoped", "ventilated", "weeks")

    def __init__(self, entry: Data) -> None:
        self.entry = entry
        self.care = entry.get("care", {})
        self.ventilated = self.care.get("breathing_support") == "ventilated"
        self.oral = self.care.get("feeding_route") in ("breast", "bottle", "cup")
        self.earlier = entry.get("earlier", ())
        self.charted: dict[str, Data] = {}
        self.grades: dict[str, Any] = {}
        for each in entry["observations"]:
            self.charted[each["code"]] = each
            if "grade" in each:
                grade = each["grade"]
                self.grades[each["code"]] = (grade,) if isinstance(grade, str) else grade


def read(entry: Data) -> Baby:
    """The infant with ages in hours, completed days, calendar months and postmenstrual weeks."""
    baby = Baby(entry)
    infant = entry["infant"]
    birth = datetime.fromisoformat(infant["birth"])
    baby.at = datetime.fromisoformat(entry["event"]["measured"])
    baby.hours = (baby.at - birth).total_seconds() / 3600
    baby.days = int(baby.hours // 24)
    today = baby.at.astimezone(birth.tzinfo)
    baby.months = months_between(birth, today)
    gestation = infant.get("gestation")
    baby.gestation = None if gestation is None else 7 * gestation["weeks"] + gestation.get("days", 0)
    baby.weeks = None if baby.gestation is None else (baby.gestation + baby.days) // 7
    preterm = baby.gestation is not None and baby.gestation < TERM
    early = BORN_AT - baby.gestation if preterm else 0
    baby.due_days = baby.days - early
    baby.due_months = months_between(birth + timedelta(days=early), today) if early else baby.months
    baby.scoped = baby.weeks is None or baby.weeks >= 32
    return baby


def months_between(first: datetime, last: datetime) -> int:
    return 12 * (last.year - first.year) + last.month - first.month - (last.day < first.day)


def number(reading: Data) -> float:
    """A value in the unit of the limits."""
    value = float(reading["value"])
    return round((value - 32) / 1.8, 2) if reading.get("unit") == "[degF]" else value


def is_short(reading: Data) -> bool:
    return int(reading.get("counted_seconds", 60)) < 60


def is_calm(reading: Data) -> bool:
    """Whether a reading can be repeated: settled, and a rate counted for a full minute."""
    code = reading["code"]
    unsettled = reading.get("state") in UNSETTLED
    if code in RATES:
        return not unsettled and not is_short(reading)
    if code in PRESSURES or code == "nasal-flaring":
        return not unsettled
    return not (unsettled and code == "retractions" and reading.get("grade") == "mild")


def again(baby: Baby, code: str, met: Callable[[Data], bool], within: float, times: int = 2) -> bool:
    """Whether the calm reading of this entry, and so many before it within some hours, all meet."""
    if not is_calm(baby.charted[code]):
        return False
    count = 1
    for earlier in reversed(baby.earlier):
        then = datetime.fromisoformat(earlier["event"]["measured"])
        if (baby.at - then).total_seconds() > within * 3600:
            return False
        for reading in earlier["observations"]:
            if reading["code"] == code and is_calm(reading):
                if not met(reading):
                    return False
                count += 1
                if count == times:
                    return True
    return False
