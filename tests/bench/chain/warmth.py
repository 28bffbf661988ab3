"""Oxygen saturation, the newborn screen, temperature."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from tests.bench.chain.baby import Baby, again, number

Data = dict[str, Any]
BODY_ROUTES = ("axillary", "rectal", "tympanic", "oral", "temporal", "core", None)


def oxygen(baby: Baby, found: list[str]) -> None:
    reading = baby.charted.get("oxygen-saturation")
    if reading is None or "value" not in reading:
        return
    value = number(reading)
    in_air = reading.get("oxygen") == "room-air"
    if baby.hours >= 1 / 6 and value < 90:
        found.append("very-low-saturation")
    if not baby.scoped:
        return
    if in_air and ((value < 92 and baby.hours >= 1 / 6) or (value < 95 and baby.hours >= 24)):
        found.append("low-saturation")
    if baby.hours < 1 / 6 and reading.get("site") == "right-hand":
        minutes = baby.hours * 60
        if minutes >= 2 and value < (65 if minutes < 3 else 70 if minutes < 4 else 75 if minutes < 5 else 80):
            found.append("low-saturation")
    if baby.hours >= 1 / 6 and reading.get("need") in ("new", "rising"):
        found.append("new-oxygen-need")
    if value > 95 and reading.get("oxygen") == "supplemental" and baby.gestation is not None and baby.gestation < 224:
        if again(
            baby, "oxygen-saturation", lambda each: number(each) > 95 and each.get("oxygen") == "supplemental", 24
        ):
            found.append("high-saturation-in-oxygen")
    limbs(baby, found)


def limbs(baby: Baby, found: list[str]) -> None:
    """The difference between hand and foot, and the newborn screen of 2025 (both limbs 95 or more, two screens)."""
    readings = [each for each in baby.entry["observations"] if each["code"] == "oxygen-saturation" and "value" in each]
    hand = min((number(each) for each in readings if each.get("site") == "right-hand"), default=None)
    foot = min((number(each) for each in readings if each.get("site") == "foot"), default=None)
    if hand is not None and foot is not None and 24 <= baby.hours < 28 * 24 and abs(hand - foot) > 3:
        found.append("saturation-limb-difference")
    if any(each.get("purpose") == "newborn-screen" for each in readings):
        found.append(f"cchd-screen-{screened(baby, readings)}")


def screened(baby: Baby, readings: list[Data]) -> str:
    if baby.hours < 24:
        return "invalid"
    result = screen(readings)
    if result != "repeat":
        return result
    for earlier in reversed(baby.earlier):
        then = datetime.fromisoformat(earlier["event"]["measured"])
        if (baby.at - then).total_seconds() <= 24 * 3600 and screen(earlier["observations"]) == "repeat":
            return "fail"
    return "repeat"


def screen(observations: list[Data]) -> str:
    screens = [each for each in observations if each.get("purpose") == "newborn-screen"]
    values = {each.get("site"): number(each) for each in screens}
    if not screens or any(each.get("oxygen") == "supplemental" for each in screens):
        return "invalid"
    if any(value < 90 for site, value in values.items() if site in ("right-hand", "foot")):
        return "fail"
    if "right-hand" not in values or "foot" not in values:
        return "invalid"
    hand, foot = values["right-hand"], values["foot"]
    return "pass" if hand >= 95 and foot >= 95 and abs(hand - foot) <= 3 else "repeat"


def temperature(baby: Baby, found: list[str]) -> None:
    reading = baby.charted.get("body-temperature")
    if reading is not None and "value" in reading:
        value, route = number(reading), reading.get("route")
        warm(baby, value, found)
        if "cooling" not in baby.care:
            cold(baby, value, route, found)
        elif route != "skin":
            target = baby.care["cooling"]
            if value < float(target["from"]) or value > float(target["to"]):
                found.append("cooling-outside-target")
        if route == "axillary" and value > 37.5 and baby.days < 28 and baby.scoped:
            found.append("newborn-hyperthermia")
    history(baby, found)


def is_young(baby: Baby) -> bool:
    """Under 3 months by either age."""
    return baby.months < 3 or baby.due_months < 3


def warm(baby: Baby, value: float, found: list[str]) -> None:
    if value < 38.0:
        return
    if is_young(baby):
        found.append("young-infant-fever")
    if baby.months >= 3 and baby.scoped:
        found.append("fever")
    if 3 <= baby.months < 6 and value >= 39.0 and baby.scoped:
        found.append("high-fever-3-to-6-months")
    if baby.earlier and baby.scoped and fever_hours(baby) >= 120:
        found.append("prolonged-fever")


def fever_hours(baby: Baby) -> float:
    start = baby.at
    for earlier in reversed(baby.earlier):
        temperatures = [number(each) for each in earlier["observations"] if each["code"] == "body-temperature"]
        if temperatures and max(temperatures) < 38.0:
            break
        if temperatures:
            start = datetime.fromisoformat(earlier["event"]["measured"])
    return (baby.at - start).total_seconds() / 3600


def cold(baby: Baby, value: float, route: str | None, found: list[str]) -> None:
    if value >= 36.5:
        return
    under_2_months = baby.days < 60 or baby.due_days < 60
    if route == "axillary":
        if baby.days < 28 and value < 32.0:
            found.append("severe-hypothermia")
        if under_2_months and value < 35.5:
            found.append("low-temperature")
        if baby.scoped and baby.days < 28:
            found.append("mild-hypothermia")
        if baby.scoped and under_2_months and value < 36.0:
            found.append("moderate-hypothermia")
    if baby.days >= 60 and route in BODY_ROUTES and value < 36.0 and baby.scoped:
        found.append("low-temperature")


def history(baby: Baby, found: list[str]) -> None:
    fever = baby.charted.get("fever-history")
    if fever is None or "present" not in baby.grades.get("fever-history", ()) or not baby.scoped:
        return
    if is_young(baby):
        found.append("reported-fever")
    if "since" in fever:
        since = datetime.fromisoformat(fever["since"])
        if (baby.at - since).total_seconds() >= 120 * 3600:
            found.append("prolonged-fever")
