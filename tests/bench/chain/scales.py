"""Published scales: fever table, sepsis table, newborn infection, young infant classes."""

from __future__ import annotations

from typing import Any

from tests.bench.chain.baby import ASLEEP, Baby, again, number
from tests.bench.chain.circulation import has_poor_perfusion, is_systolic_low
from tests.bench.chain.distress import is_dull
from tests.bench.chain.warmth import BODY_ROUTES, fever_hours

Data = dict[str, Any]


def value_of(baby: Baby, code: str) -> float | None:
    reading = baby.charted.get(code)
    return None if reading is None or "value" not in reading else number(reading)


def body_temperature(baby: Baby) -> float | None:
    reading = baby.charted.get("body-temperature")
    if reading is None or "value" not in reading or reading.get("route") not in BODY_ROUTES:
        return None
    return number(reading)


def air_saturation(baby: Baby) -> float | None:
    reading = baby.charted.get("oxygen-saturation")
    if reading is None or "value" not in reading or reading.get("oxygen") != "room-air":
        return None
    return number(reading)


def scales(baby: Baby, found: list[str]) -> None:
    if not baby.scoped:
        return
    temperature = body_temperature(baby)
    grades = baby.grades
    if not baby.ventilated:
        if (temperature is not None and temperature >= 38.0) or "present" in grades.get("fever-history", ()):
            if is_amber(baby, temperature):
                found.append("fever-table-amber")
            if is_red(baby, temperature):
                found.append("fever-table-red")
        if baby.days >= 28 and "present" in grades.get("infection-suspected", ()):
            if is_sepsis_high(baby, temperature, found):
                found.append("sepsis-high")
            if is_sepsis_moderate(baby, temperature):
                found.append("sepsis-moderate-to-high")
    if baby.days < 28 or baby.due_days < 28:
        newborn_infection(baby, temperature, found)
    if baby.days < 60 or baby.due_days < 60:
        young_infant(baby, temperature, found)


def is_amber(baby: Baby, temperature: float | None) -> bool:
    grades, year = baby.grades, baby.months >= 12
    colour = baby.charted.get("skin-colour")
    if colour and "pale" in grades["skin-colour"] and colour.get("reported_by") == "carer":
        return True
    for code, grade in (
        ("social-response", "reduced"),
        ("waking", "prolonged-stimulation"),
        ("activity", "reduced"),
        ("crackles", "present"),
        ("mucosa", "dry"),
        ("urine-output", "reduced"),
        ("rigors", "present"),
        ("swollen-limb-or-joint", "present"),
        ("unused-limb", "present"),
    ):
        if grade in grades.get(code, ()):
            return True
    if grades.get("nasal-flaring", ("absent",))[0] in ("minimal", "marked"):
        return True
    if baby.oral and grades.get("feeding", ("usual",))[0] in ("poor", "unable"):
        return True
    rate, heart = value_of(baby, "respiratory-rate"), value_of(baby, "heart-rate")
    if rate is not None and baby.months >= 6 and rate > (40 if year else 50):
        return True
    if heart is not None and heart > (150 if year else 160):
        return True
    saturation, refill = air_saturation(baby), value_of(baby, "capillary-refill")
    if (saturation is not None and saturation <= 95) or (refill is not None and refill >= 3):
        return True
    if temperature is not None and 3 <= baby.months < 6 and temperature >= 39.0:
        return True
    return bool(baby.earlier) and fever_hours(baby) >= 120


def is_red(baby: Baby, temperature: float | None) -> bool:
    grades = baby.grades
    if "skin-colour" in grades and any(each in ("mottled", "ashen", "dusky") for each in grades["skin-colour"]):
        return True
    if "pale" in grades.get("skin-colour", ()) and baby.charted["skin-colour"].get("reported_by") == "clinician":
        return True
    if any(each in ("around-mouth", "central") for each in grades.get("cyanosis", ())):
        return True
    for code, grade in (
        ("social-response", "none"),
        ("looks-ill", "present"),
        ("waking", "does-not-wake"),
        ("waking", "does-not-stay-awake"),
        ("cry", "weak"),
        ("cry", "high-pitched"),
        ("cry", "continuous"),
        ("grunting", "by-stethoscope"),
        ("grunting", "by-ear"),
        ("retractions", "moderate"),
        ("retractions", "severe"),
        ("lower-chest-retraction", "marked"),
        ("skin-turgor", "reduced"),
        ("rash", "non-blanching"),
        ("fontanelle", "bulging"),
        ("neck-stiffness", "present"),
        ("convulsions", "present-prolonged"),
        ("convulsions", "present-focal"),
        ("focal-signs", "present"),
    ):
        if grade in grades.get(code, ()):
            return True
    rate = value_of(baby, "respiratory-rate")
    return (rate is not None and rate > 60) or (temperature is not None and baby.months < 3 and temperature >= 38.0)


def is_sepsis_high(baby: Baby, temperature: float | None, found: list[str]) -> bool:
    grades, year = baby.grades, baby.months >= 12
    if "apnoea" in found:
        return True
    for code, grade in (
        ("social-response", "none"),
        ("looks-ill", "present"),
        ("waking", "does-not-wake"),
        ("waking", "does-not-stay-awake"),
        ("cry", "weak"),
        ("cry", "high-pitched"),
        ("cry", "continuous"),
        ("grunting", "by-stethoscope"),
        ("grunting", "by-ear"),
        ("skin-colour", "mottled"),
        ("skin-colour", "ashen"),
        ("skin-colour", "dusky"),
        ("cyanosis", "around-mouth"),
        ("cyanosis", "central"),
        ("rash", "non-blanching"),
    ):
        if grade in grades.get(code, ()):
            return True
    saturation, rate, heart = air_saturation(baby), value_of(baby, "respiratory-rate"), value_of(baby, "heart-rate")
    if (saturation is not None and saturation < 90) or needs_oxygen(baby):
        return True
    if rate is not None and rate >= (50 if year else 60):
        return True
    if heart is not None and (heart < 60 or heart >= (150 if year else 160)):
        return True
    return temperature is not None and (temperature < 36.0 or (baby.months < 3 and temperature >= 38.0))


def is_sepsis_moderate(baby: Baby, temperature: float | None) -> bool:
    grades, year = baby.grades, baby.months >= 12
    for code, grade in (
        ("social-response", "reduced"),
        ("waking", "prolonged-stimulation"),
        ("activity", "reduced"),
        ("carer-worry", "present"),
        ("nasal-flaring", "minimal"),
        ("nasal-flaring", "marked"),
        ("urine-output", "reduced"),
        ("skin-colour", "pale"),
    ):
        if grade in grades.get(code, ()):
            return True
    saturation, rate, heart = air_saturation(baby), value_of(baby, "respiratory-rate"), value_of(baby, "heart-rate")
    if (saturation is not None and saturation < 92) or needs_oxygen(baby):
        return True
    if rate is not None and rate >= (40 if year else 50):
        return True
    if heart is not None and heart >= (140 if year else 150):
        return True
    refill = value_of(baby, "capillary-refill")
    if refill is not None and refill >= 3:
        return True
    return temperature is not None and 3 <= baby.months < 6 and temperature >= 39.0


def needs_oxygen(baby: Baby) -> bool:
    return baby.charted.get("oxygen-saturation", {}).get("need") in ("new", "rising")


def newborn_infection(baby: Baby, temperature: float | None, found: list[str]) -> None:
    grades = baby.grades
    if "apnoea" in found or baby.ventilated or has_shock(baby):
        found.append("newborn-infection-red-flag")
    elif grades.get("convulsions", ("absent",))[0] in ("present", "present-focal", "present-prolonged"):
        found.append("newborn-infection-red-flag")
    if not baby.ventilated and any_other_sign(baby, temperature):
        found.append("newborn-infection-other-sign")


def has_shock(baby: Baby) -> bool:
    if "ashen" in baby.grades.get("skin-colour", ()):
        return True
    refill = baby.charted.get("capillary-refill")
    if refill is not None and "value" in refill and refill.get("site") == "chest":
        seconds = number(refill)
        if seconds > 4 or (seconds >= 3 and has_poor_perfusion(baby)):
            return True
    return is_systolic_low(baby) and has_poor_perfusion(baby)


def any_other_sign(baby: Baby, temperature: float | None) -> bool:
    grades = baby.grades
    if is_dull(baby) or (temperature is not None and (temperature < 36.0 or temperature > 38.0)):
        return True
    for code, grade in (
        ("activity", "reduced"),
        ("social-response", "reduced"),
        ("social-response", "none"),
        ("irritability", "inconsolable"),
        ("cry", "weak"),
        ("cry", "high-pitched"),
        ("cry", "continuous"),
        ("tone", "floppy"),
        ("tone", "stiff"),
        ("vomiting", "present"),
        ("vomiting", "bilious"),
        ("vomiting", "bloody"),
        ("vomiting", "projectile"),
        ("abdomen", "distended"),
        ("abdomen", "tense"),
        ("cyanosis", "central"),
    ):
        if grade in grades.get(code, ()):
            return True
    if baby.oral and (
        "unable" in grades.get("drinking", ()) or grades.get("feeding", ("usual",))[0] in ("poor", "unable")
    ):
        return True
    saturation = value_of(baby, "oxygen-saturation")
    if saturation is not None and saturation < 90 and baby.hours >= 1 / 6:
        return True
    jaundice = grades.get("jaundice", ("absent",))[0]
    if baby.hours < 24 and jaundice in ("face", "trunk", "limbs", "palms-and-soles"):
        return True
    return has_newborn_heart_sign(baby) or (2 <= baby.hours < 60 * 24 and has_newborn_distress(baby))


def has_newborn_heart_sign(baby: Baby) -> bool:
    if "heart-rate" not in baby.charted:
        return False

    def is_out(reading: Data) -> bool:
        rate = number(reading)
        return rate > 180 or rate < (90 if reading.get("state") in ASLEEP else 100)

    return is_out(baby.charted["heart-rate"]) and again(baby, "heart-rate", is_out, 24)


def has_newborn_distress(baby: Baby) -> bool:
    for code, grade in (
        ("grunting", "by-stethoscope"),
        ("grunting", "by-ear"),
        ("retractions", "moderate"),
        ("retractions", "severe"),
        ("lower-chest-retraction", "marked"),
        ("nasal-flaring", "marked"),
        ("head-bobbing", "present"),
        ("see-saw-breathing", "present"),
        ("breathing-effort", "laboured"),
    ):
        if grade in baby.grades.get(code, ()):
            return True
    return counts_fast_twice(baby)


def counts_fast_twice(baby: Baby) -> bool:
    rate = value_of(baby, "respiratory-rate")
    if rate is None or rate < 60:
        return False
    return again(baby, "respiratory-rate", lambda reading: number(reading) >= 60, 24)


def young_infant(baby: Baby, temperature: float | None, found: list[str]) -> None:
    grades = baby.grades
    feeding = grades.get("feeding", ("usual",))[0] if baby.oral else "usual"
    if feeding == "unable" or "none" in grades.get("movement", ()):
        found.append("young-infant-critical-illness")
    elif grades.get("convulsions", ("absent",))[0] in ("present", "present-focal", "present-prolonged"):
        found.append("young-infant-critical-illness")
    if not baby.ventilated:
        fast = counts_fast_twice(baby)
        severe = feeding in ("poor", "unable") or "only-when-stimulated" in grades.get("movement", ())
        severe = severe or (temperature is not None and (temperature >= 38.0 or temperature < 35.5))
        severe = severe or "severe" in grades.get("retractions", ())
        severe = severe or "marked" in grades.get("lower-chest-retraction", ())
        if severe or (fast and 2 <= baby.hours < 7 * 24):
            found.append("young-infant-severe-infection")
        if fast and baby.days >= 7:
            found.append("young-infant-fast-breathing-only")
    if grades.get("umbilicus", ("clean",))[0] in ("red", "pus"):
        found.append("local-infection")
    elif grades.get("skin-pustules", ("absent",))[0] in ("few", "many"):
        found.append("local-infection")
