"""Colour, state, feeding and other signs; how well an entry was charted."""

from __future__ import annotations

from tests.bench.chain.baby import UNSETTLED, Baby, is_short
from tests.bench.chain.distress import has_sign, is_dull, is_hypoxic

JAUNDICED = ("face", "trunk", "limbs", "palms-and-soles", "present")


def colour(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    if "cyanosis" in grades:
        cyanosis(baby, found)
    if "skin-colour" in grades:
        seen = grades["skin-colour"]
        if "ashen" in seen:
            found.append("ashen")
        if baby.scoped and ("pale" in seen or "mottled" in seen or "dusky" in seen):
            found.append("pallor-or-mottling")
    if "jaundice" in grades and baby.scoped and any(each in JAUNDICED for each in grades["jaundice"]):
        if baby.hours < 24:
            found.append("early-jaundice")
        if "palms-and-soles" in grades["jaundice"]:
            found.append("deep-jaundice")
        if baby.days >= 21 or (baby.days >= 14 and baby.gestation is not None and baby.gestation >= 259):
            found.append("late-jaundice")


def cyanosis(baby: Baby, found: list[str]) -> None:
    seen = baby.grades["cyanosis"]
    if "central" in seen or "present" in seen:
        found.append("central-cyanosis")
    if not baby.scoped:
        return
    if "hands-and-feet" in seen or "around-mouth" in seen:
        found.append("acrocyanosis")
    if "around-mouth" in seen and baby.hours < 48 and (has_sign(baby) or is_hypoxic(baby) or is_dull(baby)):
        found.append("acrocyanosis")


def state(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    responsiveness = grades.get("responsiveness", ())
    if "pain" in responsiveness or "unresponsive" in responsiveness:
        found.append("reduced-responsiveness")
    if "none" in grades.get("movement", ()):
        found.append("danger-sign")
    if "convulsions" in grades and grades["convulsions"][0] in ("present", "present-focal", "present-prolonged"):
        found.append("danger-sign")
    if baby.oral and ("unable" in grades.get("feeding", ()) or "unable" in grades.get("drinking", ())):
        found.append("danger-sign")
    if "bulging" in grades.get("fontanelle", ()):
        found.append("bulging-fontanelle")
    if "non-blanching" in grades.get("rash", ()):
        found.append("non-blanching-rash")
    if "bilious" in grades.get("vomiting", ()) and (baby.months < 3 or baby.scoped):
        found.append("bilious-vomiting")
    if baby.scoped:
        less_grave(baby, found)


def less_grave(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    behaviour(baby, found)
    if baby.oral and "feeding" in grades and grades["feeding"][0] in ("poor", "reduced"):
        found.append("poor-feeding")
    if "vomiting" in grades and ("bloody" in grades["vomiting"] or "projectile" in grades["vomiting"]):
        found.append("abdomen-concern")
    if "abdomen" in grades and grades["abdomen"][0] in ("tense", "distended"):
        found.append("abdomen-concern")
    if "present" in grades.get("looks-ill", ()):
        found.append("looks-ill")
    if "present" in grades.get("carer-worry", ()) or "present" in grades.get("nurse-worry", ()):
        found.append("worry-stated")
    if "present" in grades.get("neck-stiffness", ()) or "present" in grades.get("focal-signs", ()):
        found.append("danger-sign")


def behaviour(baby: Baby, found: list[str]) -> None:
    grades = baby.grades
    if "voice" in grades.get("responsiveness", ()) or "floppy" in grades.get("tone", ()):
        found.append("reduced-responsiveness")
    if "waking" in grades and grades["waking"][0] in ("prolonged-stimulation", "does-not-wake", "does-not-stay-awake"):
        found.append("reduced-responsiveness")
    if "reduced" in grades.get("activity", ()) or grades.get("social-response", ("usual",))[0] in ("reduced", "none"):
        found.append("reduced-responsiveness")
    if "only-when-stimulated" in grades.get("movement", ()):
        found.append("danger-sign")
    if "stiff" in grades.get("tone", ()) or "inconsolable" in grades.get("irritability", ()):
        found.append("behaviour-changed")
    elif "present" in grades.get("jitteriness", ()):
        found.append("behaviour-changed")
    elif "cry" in grades and any(each in ("weak", "high-pitched", "continuous") for each in grades["cry"]):
        found.append("behaviour-changed")


def quality(baby: Baby, found: list[str]) -> None:
    temperature = baby.charted.get("body-temperature")
    if temperature is not None:
        route = temperature.get("route")
        if route is None:
            found.append("route-unknown")
        elif route in ("skin", "rectal", "oral", "temporal") or (route == "tympanic" and baby.days < 28):
            found.append("route-not-advised")
    heart = baby.charted.get("heart-rate")
    if heart is not None:
        site = heart.get("site")
        if is_short(heart) and site != "device":
            found.append("count-too-short")
        if site in ("radial", "brachial", "femoral"):
            found.append("site-not-advised")
        if heart.get("state") in UNSETTLED:
            found.append("measured-unsettled")
    breaths = baby.charted.get("respiratory-rate")
    if breaths is not None and not baby.ventilated:
        if is_short(breaths) and breaths.get("method") != "device":
            found.append("count-too-short")
        if breaths.get("state") in UNSETTLED:
            found.append("measured-unsettled")
