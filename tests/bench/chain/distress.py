"""Breathing rate, pauses, and the signs of respiratory distress."""

from __future__ import annotations

from typing import Any

from tests.bench.chain.baby import ASLEEP, AWAKE_AND_SETTLED, UNSETTLED, Baby, again, number

Data = dict[str, Any]
# By calendar month from month 0; the first 14 days apart.
ASLEEP_ABOVE = (60, 59, 57, 56, 54, 52, 51, 50, 48, 47, 46, 45, 44, 43, 42, 41, 40, 39, 38, 38, 37, 36, 36, 35)
ASLEEP_BELOW = (23, 22, 22, 21, 21, 20, 20, 20, 19, 19, 18, 18, 18, 18, 17, 17, 17, 17, 16, 16, 16, 16, 16, 16)
AWAKE_ABOVE = (74, 73, 71, 69, 67, 65, 64, 62, 61, 59, 58, 56, 55, 54, 53, 52, 51, 50, 49, 48, 47, 46, 45, 45)
AWAKE_BELOW = (30, 29, 29, 28, 27, 27, 26, 26, 25, 25, 24, 24, 23, 23, 23, 22, 22, 22, 21, 21, 21, 21, 20, 20)
ANY_FLARING = ("minimal", "marked", "present")
ANY_RETRACTION = ("mild", "moderate", "severe", "present")
ANY_GRUNTING = ("by-stethoscope", "by-ear", "present")


def fast_limit(baby: Baby) -> float:
    return 60 if baby.days < 60 else 50 if baby.days < 365 else 40


def reference(baby: Baby, asleep: bool) -> tuple[float, float]:
    """The lowest and highest rate of the reference in use."""
    if asleep:
        return (25, 66) if baby.days < 15 else (ASLEEP_BELOW[baby.months], ASLEEP_ABOVE[baby.months])
    if baby.months < 3:
        return 25, 66
    if baby.months < 6:
        return 24, 64
    if baby.months < 9:
        return 23, 61
    if baby.months < 12:
        return 22, 58
    return (21, 53) if baby.months < 18 else (19, 46)


def slow_limit(baby: Baby) -> float:
    if baby.days < 60:
        return 30
    if baby.months < 3:
        return 25
    if baby.months < 6:
        return 24
    if baby.months < 9:
        return 23
    if baby.months < 12:
        return 22
    return 21 if baby.months < 18 else 19


def has_sign(baby: Baby) -> bool:
    """Any sign of respiratory distress, of any grade."""
    grades = baby.grades
    if "nasal-flaring" in grades and any(grade in ANY_FLARING for grade in grades["nasal-flaring"]):
        return True
    if has_retraction(baby) or has_grunting(baby):
        return True
    for code in ("head-bobbing", "see-saw-breathing", "stridor-when-calm", "gasping"):
        if "present" in grades.get(code, ()):
            return True
    return "see-saw" in grades.get("chest-abdomen-movement", ()) or "laboured" in grades.get("breathing-effort", ())


def has_retraction(baby: Baby) -> bool:
    grades = baby.grades
    if "retractions" in grades and any(grade in ANY_RETRACTION for grade in grades["retractions"]):
        return True
    for code in ("lower-chest-retraction", "xiphoid-retraction"):
        if code in grades and grades[code][0] in ("minimal", "marked"):
            return True
    return False


def has_grunting(baby: Baby) -> bool:
    return "grunting" in baby.grades and any(grade in ANY_GRUNTING for grade in baby.grades["grunting"])


def is_hypoxic(baby: Baby) -> bool:
    """Saturation under 90, or under 92 in air."""
    reading = baby.charted.get("oxygen-saturation")
    if reading is None or "value" not in reading or baby.hours < 1 / 6:
        return False
    value = number(reading)
    return value < 90 or (value < 92 and reading.get("oxygen") == "room-air")


def is_dull(baby: Baby) -> bool:
    """Responsiveness below alert, or hard to wake."""
    grades = baby.grades
    if "responsiveness" in grades and grades["responsiveness"][0] in ("voice", "pain", "unresponsive"):
        return True
    if "waking" in grades and grades["waking"][0] in ("prolonged-stimulation", "does-not-wake", "does-not-stay-awake"):
        return True
    return "movement" in grades and grades["movement"][0] in ("only-when-stimulated", "none")


def breathing(baby: Baby, found: list[str]) -> None:
    count = baby.charted.get("respiratory-rate")
    if count is not None and "value" in count and not baby.ventilated:
        rate = number(count)
        if rate <= 0:
            found.append("apnoea")
        if rate < (20 if baby.months < 6 else 15):
            found.append("slow-breathing")
        if baby.scoped:
            fast(baby, rate, found)
            slow(baby, rate, found)
            outside(baby, count, rate, found)
    if "breathing-pause" in baby.charted:
        pauses(baby, found)
    if "gasping" in baby.grades and "present" in baby.grades["gasping"]:
        found.append("gasping")
    periodic = baby.grades.get("periodic-breathing")
    if periodic and "present" in periodic and baby.scoped and not baby.ventilated:
        found.append("periodic-breathing")


def fast(baby: Baby, rate: float, found: list[str]) -> None:
    if rate >= fast_limit(baby):
        found.append("transition-signs" if baby.hours < 2 else "fast-breathing")
    if baby.days < 60:
        if rate > 80:
            found.append("very-fast-breathing")
        elif rate > 70 and baby.hours >= 2:
            if again(baby, "respiratory-rate", lambda reading: number(reading) > 70, 24):
                found.append("very-fast-breathing")
        return
    if rate > 60:
        found.append("fast-breathing")
    if rate > 70:
        found.append("very-fast-breathing")


def slow(baby: Baby, rate: float, found: list[str]) -> None:
    grades = baby.grades
    if rate < 30 and baby.hours < 1:
        if "present" in grades.get("gasping", ()) or "laboured" in grades.get("breathing-effort", ()):
            found.append("poor-breathing-at-birth")
        elif "floppy" in grades.get("tone", ()):
            found.append("poor-breathing-at-birth")
    if rate < slow_limit(baby) and (has_sign(baby) or is_hypoxic(baby) or is_dull(baby)):
        found.append("slow-breathing")


def outside(baby: Baby, count: Data, rate: float, found: list[str]) -> None:
    state = count.get("state")
    if state not in UNSETTLED:
        low, high = reference(baby, state in ASLEEP)
        if rate < low or (rate > high and baby.hours >= 2):
            found.append("breathing-rate-outside-reference")
    if state in AWAKE_AND_SETTLED:
        if baby.days >= 15 and not AWAKE_BELOW[baby.months] <= rate <= AWAKE_ABOVE[baby.months]:
            found.append("breathing-rate-outside-reference")
        low, high = (30, 60) if baby.days < 28 else (30, 53) if baby.months < 12 else (22, 37)
        if rate < low or (rate > high and baby.hours >= 2):
            found.append("breathing-rate-outside-reference")


def pauses(baby: Baby, found: list[str]) -> None:
    pause = baby.charted["breathing-pause"]
    seconds = number(pause) if "value" in pause else 0
    beside = pause.get("with", ())
    if seconds >= 20 or any(each in beside for each in ("bradycardia", "cyanosis", "pallor", "limpness")):
        found.append("apnoea")
    if baby.weeks is not None and baby.weeks < 37 and seconds >= 10:
        if "bradycardia" in beside or "desaturation" in beside:
            found.append("apnoea")
    if baby.scoped and (pause.get("ended_by") in ("stimulation", "support") or "desaturation" in beside):
        found.append("short-breathing-pause")
    elif baby.scoped and seconds >= 10 and not beside:
        found.append("short-breathing-pause")


def distress(baby: Baby, found: list[str]) -> None:
    if baby.ventilated:
        return
    grades = baby.grades
    red(baby, found)
    if not baby.scoped:
        return
    if baby.hours < 24:
        transition(baby, found)
    if "nasal-flaring" in grades:
        flaring = grades["nasal-flaring"]
        if "marked" in flaring or (baby.hours >= 2 and ("minimal" in flaring or "present" in flaring)):
            found.append("nasal-flaring")
    if "retractions" in grades or "lower-chest-retraction" in grades or "xiphoid-retraction" in grades:
        retractions(baby, found)
    if "grunting" in grades and "by-stethoscope" in grades["grunting"]:
        if baby.hours >= 2 or not baby.charted["grunting"].get("intermittent"):
            found.append("grunting")
    effort = grades.get("breathing-effort", ())
    if "laboured" in effort:
        found.append("laboured-breathing")
    if "increased" in effort:
        found.append("increased-effort")
    grouped(baby, found)
    if baby.days < 60:
        scores(baby, found)


def red(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    if "severe" in grades.get("retractions", ()):
        found.append("retractions")
    if "grunting" in grades and ("by-ear" in grades["grunting"] or "present" in grades["grunting"]):
        if baby.hours >= 2 or not baby.charted["grunting"].get("intermittent"):
            found.append("grunting")
    if "present" in grades.get("head-bobbing", ()):
        found.append("head-bobbing")
    if "present" in grades.get("see-saw-breathing", ()) or "see-saw" in grades.get("chest-abdomen-movement", ()):
        found.append("see-saw-breathing")
    if "present" in grades.get("stridor-when-calm", ()):
        found.append("stridor-when-calm")


def retractions(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    seen = grades.get("retractions", ())
    parts = (*grades.get("lower-chest-retraction", ()), *grades.get("xiphoid-retraction", ()))
    if baby.hours >= 2 and ("mild" in seen or "minimal" in parts):
        found.append("retractions")
    if "moderate" in seen or "present" in seen or "marked" in parts:
        found.append("retractions")
    sites = baby.charted["retractions"].get("sites", ()) if "retractions" in baby.charted else ()
    any_seen = any(grade in ANY_RETRACTION for grade in seen)
    if any_seen and ("suprasternal" in sites or "supraclavicular" in sites):
        found.append("retractions")
    lower = grades.get("lower-chest-retraction", ("absent",))[0] in ("minimal", "marked")
    if baby.days >= 60 and ((any_seen and "lower-chest" in sites) or lower):
        found.append("chest-indrawing")
    if baby.days < 60 and "severe" in seen and "lower-chest" in sites:
        found.append("chest-indrawing")


STILL = {
    "retractions": ANY_RETRACTION,
    "lower-chest-retraction": ("minimal", "marked"),
    "xiphoid-retraction": ("minimal", "marked"),
    "nasal-flaring": ANY_FLARING,
    "grunting": ANY_GRUNTING,
}
WORSE = ("moderate", "severe", "marked", "by-ear")


def transition(baby: Baby, found: list[str]) -> None:
    """Signs in the first hours: seen, still there from 4 hours on, or worse before that."""
    grades = baby.grades
    if baby.hours < 2:
        slight = ("mild", "minimal", "present")
        for code in ("retractions", "lower-chest-retraction", "xiphoid-retraction", "nasal-flaring"):
            if code in grades and grades[code][0] in slight and (code, grades[code][0]) != ("retractions", "present"):
                found.append("transition-signs")
        if has_grunting(baby) and baby.charted["grunting"].get("intermittent"):
            found.append("transition-signs")
    for code, seen in STILL.items():
        if code in grades and any(grade in seen for grade in grades[code]):
            if baby.hours < 4 and not worse(baby, code):
                continue
            if again(baby, code, lambda reading, seen=seen: any(g in seen for g in grades_of(reading)), 4):
                found.append("transition-signs")
    if baby.hours >= 4 and "respiratory-rate" in baby.charted and number(baby.charted["respiratory-rate"]) >= 60:
        if again(baby, "respiratory-rate", lambda reading: number(reading) >= 60, 4):
            found.append("transition-signs")


def worse(baby: Baby, code: str) -> bool:
    grades = baby.grades[code]
    if code == "grunting" and baby.charted[code].get("intermittent"):
        return False
    return any(grade in WORSE for grade in grades)


def grades_of(reading: Data) -> Any:
    grade = reading.get("grade", ())
    return (grade,) if isinstance(grade, str) else grade


def grouped(baby: Baby, found: list[str]) -> None:
    """Two groups of signs, or one with fast breathing or low saturation."""
    grades = baby.grades
    signs = 0
    if "nasal-flaring" in grades and any(grade in ANY_FLARING for grade in grades["nasal-flaring"]):
        signs += 1
    if has_retraction(baby):
        signs += 1
    if has_grunting(baby):
        signs += 1
    if "present" in grades.get("head-bobbing", ()):
        signs += 1
    if "present" in grades.get("see-saw-breathing", ()) or "see-saw" in grades.get("chest-abdomen-movement", ()):
        signs += 1
    if "present" in grades.get("stridor-when-calm", ()):
        signs += 1
    effort = grades.get("breathing-effort", ("usual",))[0] in ("increased", "laboured")
    if signs or effort:
        beside = counted_fast(baby) + counted_saturation(baby)
        if signs + beside >= 2 or (beside and (effort or signs)):
            found.append("respiratory-distress")


def counted_fast(baby: Baby) -> int:
    if "respiratory-rate" not in baby.charted:
        return 0
    rate, limit = number(baby.charted["respiratory-rate"]), fast_limit(baby)
    if rate > 70:
        return 1
    return int(rate >= limit and again(baby, "respiratory-rate", lambda reading: number(reading) >= limit, 24))


def counted_saturation(baby: Baby) -> int:
    reading = baby.charted.get("oxygen-saturation")
    if reading is None:
        return 0
    if reading.get("need") in ("new", "rising"):
        return 1
    low = "value" in reading and number(reading) < 92 and reading.get("oxygen") == "room-air"
    return int(low and baby.hours >= 1 / 6)


SILVERMAN = {
    "chest-abdomen-movement": {"together": 0, "chest-lags": 1, "see-saw": 2},
    "lower-chest-retraction": {"absent": 0, "minimal": 1, "marked": 2},
    "xiphoid-retraction": {"absent": 0, "minimal": 1, "marked": 2},
    "nasal-flaring": {"absent": 0, "minimal": 1, "marked": 2},
    "grunting": {"absent": 0, "by-stethoscope": 1, "by-ear": 2},
}
DOWNES = {
    "cyanosis": {"absent": 0, "hands-and-feet": 0, "central": 1},
    "retractions": {"absent": 0, "mild": 1, "moderate": 2, "severe": 2},
    "grunting": {"absent": 0, "by-stethoscope": 1, "by-ear": 2},
    "air-entry": {"clear": 0, "decreased": 1, "barely-audible": 2},
}


def total(baby: Baby, items: dict[str, dict[str, int]]) -> int | None:
    points = 0
    for code, grades in items.items():
        if code not in baby.grades or baby.grades[code][0] not in grades:
            return None
        points += grades[baby.grades[code][0]]
    return points


def scores(baby: Baby, found: list[str]) -> None:
    if "chest-abdomen-movement" in baby.grades and total(baby, SILVERMAN):
        found.append("silverman-andersen-score")
    if "air-entry" in baby.grades and "respiratory-rate" in baby.charted:
        signs = total(baby, DOWNES)
        if signs is None:
            return
        rate = number(baby.charted["respiratory-rate"])
        persists = baby.charted["cyanosis"].get("in_oxygen") == "persists" and "central" in baby.grades["cyanosis"]
        if signs + persists + (2 if rate > 80 else 1 if rate >= 60 else 0):
            found.append("downes-score")
