"""Heart rate, blood pressure, refill, pulses, water."""

from __future__ import annotations

from typing import Any

from tests.bench.chain.baby import ASLEEP, UNSETTLED, Baby, again, number
from tests.bench.chain.distress import is_dull, is_hypoxic

Data = dict[str, Any]
DANGER = ("apnoea", "central-cyanosis", "ashen", "slow-refill", "reduced-responsiveness")
# From 32 weeks postmenstrual age, two weeks to a row.
SYSTOLIC_HIGH = (83, 85, 87, 92, 95, 98, 105)
DIASTOLIC_HIGH = (55, 55, 65, 65, 65, 65, 68)
MEAN_HIGH = (64, 65, 72, 74, 75, 76, 80)


def heart(baby: Baby, found: list[str]) -> None:
    count = baby.charted.get("heart-rate")
    if count is None or "value" not in count:
        return
    rate, state = number(count), count.get("state")
    if rate >= 220:
        found.append("extreme-fast-heart-rate")
    if rate < 60:
        found.append("very-slow-heart-rate")
    if not baby.scoped:
        return
    if rate < 100 and baby.months < 12:
        slow(baby, rate, state, found)
    low, high = heart_reference(baby, state in ASLEEP)
    if rate < low or rate > high:
        found.append("heart-rate-outside-reference")
    rhythm = count.get("rhythm")
    if rhythm == "irregular":
        found.append("irregular-heart-rhythm")
    elif rhythm == "varies-with-breathing":
        found.append("heart-rhythm-varies-with-breathing")


def slow(baby: Baby, rate: float, state: str | None, found: list[str]) -> None:
    awake = state is not None and state not in ASLEEP
    if rate < 70 or (awake and rate < 80):
        found.append("very-slow-heart-rate")
    if awake or rate < 80 or any(each in found for each in DANGER) or is_hypoxic(baby):
        found.append("slow-heart-rate")
    elif "pale" in baby.grades.get("skin-colour", ()) or "floppy" in baby.grades.get("tone", ()):
        found.append("slow-heart-rate")


def heart_reference(baby: Baby, asleep: bool) -> tuple[float, float]:
    months = baby.months
    if asleep:
        return (90, 160) if months < 12 else (80, 120)
    if baby.days < 7:
        return 100, 181
    if months < 3:
        return 107, 181
    if months < 6:
        return 104, 175
    if months < 9:
        return 98, 168
    if months < 12:
        return 93, 161
    return (88, 156) if months < 18 else (82, 149)


def circulation(baby: Baby, found: list[str]) -> None:
    if not baby.scoped:
        return
    if "systolic-pressure" in baby.charted:
        low_systolic(baby, found)
    if "mean-pressure" in baby.charted and baby.hours < 48 and baby.gestation is not None and baby.gestation < 259:
        if number(baby.charted["mean-pressure"]) < baby.gestation // 7:
            found.append("low-blood-pressure")
    if baby.days >= 14 and baby.weeks is not None and baby.weeks < 92:
        high_pressure(baby, found)
    if "capillary-refill" in baby.charted:
        refill(baby, found)
    pulses = baby.grades.get("femoral-pulses", ())
    if "absent" in pulses or "weak" in pulses:
        found.append("weak-femoral-pulses")
    water(baby, found)


def has_term_limits(baby: Baby) -> bool:
    return (baby.gestation is not None and baby.gestation >= 259) or baby.due_days >= 28 or baby.months >= 12


def is_systolic_low(baby: Baby) -> bool:
    reading = baby.charted.get("systolic-pressure")
    if reading is None or "value" not in reading or not has_term_limits(baby):
        return False
    limit = 50 if baby.hours < 96 else 60 if baby.days < 28 else 70 if baby.months < 12 else 72
    return number(reading) < limit


def low_systolic(baby: Baby, found: list[str]) -> None:
    if is_systolic_low(baby):
        found.append("low-blood-pressure")


def high_pressure(baby: Baby, found: list[str]) -> None:
    assert baby.weeks is not None
    row = min((baby.weeks - 32) // 2, 6)
    for code, limits in (
        ("systolic-pressure", SYSTOLIC_HIGH),
        ("diastolic-pressure", DIASTOLIC_HIGH),
        ("mean-pressure", MEAN_HIGH),
    ):
        reading = baby.charted.get(code)
        if reading is None or reading.get("state") in UNSETTLED or (baby.weeks >= 46 and code != "systolic-pressure"):
            continue
        if number(reading) >= limits[row]:
            found.append("high-blood-pressure")
            again(baby, code, lambda each, limit=limits[row]: number(each) >= limit, 7 * 24, 3)


def refill(baby: Baby, found: list[str]) -> None:
    reading = baby.charted["capillary-refill"]
    if "value" in reading and number(reading) >= 3:
        if reading.get("site") == "chest" or baby.hours >= 24:
            found.append("slow-refill")


def has_poor_perfusion(baby: Baby) -> bool:
    grades = baby.grades
    if is_dull(baby) or "floppy" in grades.get("tone", ()) or "reduced" in grades.get("activity", ()):
        return True
    if any(each in ("pale", "mottled", "ashen", "dusky") for each in grades.get("skin-colour", ())):
        return True
    if any(each in ("central", "around-mouth") for each in grades.get("cyanosis", ())):
        return True
    return any(each in ("weak", "absent") for each in grades.get("femoral-pulses", ()))


def water(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    sunken = "sunken" in grades.get("eyes", ())
    turgor = "reduced" in grades.get("skin-turgor", ())
    if sunken or turgor or "sunken" in grades.get("fontanelle", ()) or "dry" in grades.get("mucosa", ()):
        found.append("dehydration-signs")
    elif "reduced" in grades.get("urine-output", ()):
        found.append("dehydration-signs")
    drinking = grades.get("drinking", ())
    if is_dull(baby) + sunken + ("unable" in drinking) + turgor >= 2:
        found.append("dehydration-signs")
    irritable = grades.get("irritability", ("absent",))[0] in ("consolable", "inconsolable")
    if irritable + sunken + ("eager" in drinking) + turgor >= 2:
        found.append("dehydration-signs")
    diapers = baby.charted.get("wet-diapers")
    if diapers and 5 <= baby.days < 60 and "over_hours" in diapers:
        if 24 * number(diapers) / float(diapers["over_hours"]) < 6:
            found.append("dehydration-signs")
    if 24 <= baby.hours < 60 * 24 and "not-passed" in grades.get("first-urine", ()):
        found.append("no-urine-yet")
    if 48 <= baby.hours < 60 * 24 and "not-passed" in grades.get("first-meconium", ()):
        found.append("no-meconium-yet")
