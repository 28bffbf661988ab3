"""The newborn oxygen screen over this entry and earlier screens.

Each screen is one entry with saturations whose purpose is newborn-screen. The rule set says by which published
algorithm it is read. Gives pass, repeat, fail, invalid or early, with the readings and the number of the screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from cds.entry.model import Observation
from cds.judge.inputs import meets, missing, position_meets, usable
from cds.judge.view import Value, View
from cds.rules.model import ScreenAlgorithm

_SITES = ("right-hand", "foot")
_SAID = {"right-hand": "right hand", "foot": "foot", "left-hand": "left hand"}
_MOST_UNSURE = 4
_ANY = frozenset({"pass", "repeat", "fail", "invalid"})


def newborn_screen(view: View) -> Value:
    """The result of the screen in this entry, in its place in the series; several words where context is missing."""
    readings = _readings(view)
    if not readings:
        return missing("oxygen-saturation: newborn-screen")
    algorithm = view.rules.screens[view.rules.settings["screen_algorithm"]]
    count = 1 + _earlier_repeats(view, algorithm)
    words = frozenset("fail" if word == "repeat" and count >= algorithm.screens else word for word in _results(view))
    place = (("screen", f"{count} of {algorithm.screens}"), ("algorithm", algorithm.words))
    doubt, needs = _missing(readings)
    return Value(words=words, doubt=doubt, needs=needs, numbers=_numbers(readings) + place)


def _results(view: View) -> frozenset[str]:
    """All that the screen could give; a pass needs an age that has surely reached the first hour of screening."""
    readings = _readings(view)
    algorithm = view.rules.screens[view.rules.settings["screen_algorithm"]]
    if sum(len(_contexts(each)) > 1 for each in readings) > _MOST_UNSURE:
        return _ANY
    words = frozenset(read_screen(each, view, algorithm) for each in product(*map(_contexts, readings)))
    age = view.ages.chronological
    is_sure = age is not None and age.elapsed.low >= algorithm.start
    return words if is_sure or "pass" not in words else words | {"early"}


def _contexts(reading: Observation) -> list[Observation]:
    sites = [reading.context["site"]] if "site" in reading.context else list(_SAID)
    airs = [reading.context["oxygen"]] if "oxygen" in reading.context else ["room-air", "supplemental"]
    return [
        replace(reading, context={**reading.context, "site": site, "oxygen": air}) for site in sites for air in airs
    ]


def read_screen(readings: Sequence[Observation], view: View, algorithm: ScreenAlgorithm) -> str:
    """The result of one screen by itself."""
    if any(each.context.get("oxygen") == "supplemental" for each in readings):
        return "invalid"
    age = view.ages.chronological
    if age is not None and age.elapsed.high < algorithm.start:
        return "early"
    at_limbs = [each for each in readings if each.context.get("site") in _SITES]
    if any(meets(each, "screen-fail", view) for each in at_limbs):
        return "fail"
    if not {each.context.get("site") for each in readings}.issuperset(_SITES):
        return "invalid"
    return "pass" if _passes(view, readings, algorithm) else "repeat"


def _readings(view: View) -> list[Observation]:
    return [each for each in usable(view, "oxygen-saturation") if each.context.get("purpose") == "newborn-screen"]


def _missing(readings: Sequence[Observation]) -> tuple[str, tuple[str, ...]]:
    """The reason where the result could be several, and what would settle it."""
    absent = [key for key in ("site", "oxygen") if any(key not in each.context for each in readings)]
    if not absent:
        return "unknown-age", ("time of birth",)
    return f"unknown-{absent[0]}", tuple(f"oxygen-saturation: {key}" for key in absent)


def _passes(view: View, readings: Sequence[Observation], algorithm: ScreenAlgorithm) -> bool:
    hand, foot = (min(_positions(readings, site)) for site in _SITES)
    reached = [position_meets(each, "screen-pass", view) for each in (hand, foot)]
    enough = all(reached) if algorithm.limbs == "both" else any(reached)
    return enough and position_meets(abs(hand - foot), "screen-difference", view)


def _positions(readings: Sequence[Observation], site: str) -> list[int]:
    return [each.quantity.position for each in readings if each.quantity and each.context.get("site") == site]


def _earlier_repeats(view: View, algorithm: ScreenAlgorithm) -> int:
    count = 0
    for past in view.past(algorithm.series_within):
        result = read_screen(_readings(past), past, algorithm)
        if result in ("pass", "fail"):
            break
        count += result == "repeat"
    return count


def _numbers(readings: Sequence[Observation]) -> tuple[tuple[str, str], ...]:
    named = [(each.context.get("site"), each.quantity) for each in readings]
    said = tuple((_SAID.get(str(site), "site not charted"), f"{q.text} %") for site, q in named if q)
    sites = {site for site, _ in named}
    absent = [] if None in sites else [site for site in _SITES if site not in sites]
    return said + tuple((_SAID[site], "not charted") for site in absent)
