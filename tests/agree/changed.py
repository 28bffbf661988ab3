"""An entry and the same entry changed in one way: a worse value, one more danger sign, less context, one more input.

Takes an entry as our JSON and a source of chance. Gives another entry, the first untouched; None where it offers
nothing to change. Judges nothing: which way is worse comes from the directions of the thresholds.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from decimal import Decimal
from typing import Any

from cds.advice.needs import leaves
from cds.entry.catalogue import CATALOGUE
from cds.judge.choose import UNGRADED
from cds.rules.model import RuleSet
from tests.chance import Chance
from tests.invented import Maker

Data = dict[str, Any]
Changed = Data | None

CIRCUMSTANCES = frozenset(
    {"route", "site", "state", "oxygen", "counted_seconds", "method", "clothing", "position"}
    | {"inspired_oxygen", "flow", "episode", "in_oxygen", "reported_by", "measured_by"}
)
"""Contexts that say how and when something was charted. The others are themselves what was seen: `sites`, `with`,
`ended_by`, `rhythm`, `intermittent`, `need`, `purpose`, `since`, `highest`."""

SIZES = frozenset({"body-weight", "body-length", "head-circumference", "chest-circumference"})

DANGER: Mapping[str, tuple[str, ...]] = {
    "nasal-flaring": ("minimal", "marked", "present"),
    "retractions": ("mild", "moderate", "severe", "present"),
    "grunting": ("by-stethoscope", "by-ear", "present"),
    "cyanosis": ("around-mouth", "central", "present"),
    "skin-colour": ("pale", "mottled", "ashen", "dusky"),
    "breathing-effort": ("increased", "laboured"),
    "chest-abdomen-movement": ("chest-lags", "see-saw"),
    "lower-chest-retraction": ("minimal", "marked"),
    "xiphoid-retraction": ("minimal", "marked"),
    "air-entry": ("decreased", "barely-audible"),
    "responsiveness": ("voice", "pain", "unresponsive"),
    "social-response": ("reduced", "none"),
    "waking": ("prolonged-stimulation", "does-not-wake", "does-not-stay-awake"),
    "activity": ("reduced",),
    "irritability": ("inconsolable",),
    "movement": ("only-when-stimulated", "none"),
    "cry": ("weak", "high-pitched", "continuous"),
    "tone": ("floppy",),
    "feeding": ("reduced", "poor", "unable"),
    "drinking": ("unable",),
    "vomiting": ("bilious", "bloody", "projectile", "present"),
    "abdomen": ("distended", "tense"),
    "convulsions": ("present", "present-focal", "present-prolonged"),
    "fontanelle": ("bulging", "sunken"),
    "eyes": ("sunken",),
    "rash": ("non-blanching",),
    "mucosa": ("dry",),
    "skin-turgor": ("reduced",),
    "urine-output": ("reduced",),
    "femoral-pulses": ("weak", "absent"),
    "umbilicus": ("red", "pus"),
    "skin-pustules": ("few", "many"),
    "jaundice": ("face", "trunk", "limbs", "palms-and-soles"),
    **dict.fromkeys(
        (
            *("head-bobbing", "see-saw-breathing", "stridor-when-calm", "crackles", "wheeze", "cough", "gasping"),
            *("rigors", "jitteriness", "neck-stiffness", "oedema-both-feet", "swollen-limb-or-joint", "unused-limb"),
            *("focal-signs", "looks-ill", "carer-worry", "nurse-worry", "infection-suspected", "fever-history"),
        ),
        ("present",),
    ),
}
"""Signs of danger: each with its grades that are not usual."""


def worsen(data: Data, chance: Chance, rules: RuleSet) -> Changed:
    """A value further in the direction of the limits on its side, while it reaches none of those on the other side.

    Left out: saturations charted at both hand and foot, as their difference has no worse direction, temperatures of an
    infant who is cooled to a target, and sizes, whose limits lie on both sides of a loss, a gain or a z.
    """
    places = [place for place, each in enumerate(data["observations"]) if _can_worsen(each, data)]
    if not places:
        return None
    place = chance.among(places)
    ways = _ways(data["observations"][place], rules)
    if not ways:
        return None
    changed = deepcopy(data)
    value = changed["observations"][place]["value"]
    changed["observations"][place]["value"] = max(value + chance.among(ways) * _far(chance, value), 0)
    return changed if changed != data else None


def _can_worsen(observation: Data, data: Data) -> bool:
    code = observation["code"]
    if CATALOGUE[code].is_sign or code in SIZES or "value" not in observation or isinstance(observation["value"], list):
        return False
    if code == "oxygen-saturation":
        return len([each for each in data["observations"] if each["code"] == code]) < 2
    return not (code == "body-temperature" and "cooling" in data["care"]) and observation["unit"] != "[degF]"


def _ways(observation: Data, rules: RuleSet) -> list[int]:
    """1 where more is worse, -1 where less is; both or none may hold."""
    highs, lows = limits_of(rules, observation["code"])
    value = observation["value"]
    up = highs and all(value > each for each in lows)
    down = lows and all(value < each for each in highs)
    return [way for way, holds in ((1, up), (-1, down)) if holds]


def limits_of(rules: RuleSet, code: str) -> tuple[list[Decimal], list[Decimal]]:
    """Every limit of a code that is reached from above, and every one from below, whatever the band.

    Left out: limits beyond which the entry itself is in doubt, as beyond them a value is not worse but less likely.
    """
    doubted = {leaf.reach.threshold for rule in rules.rules if rule.holds for leaf in leaves(rule.when) if leaf.reach}
    own = [each for each in rules.thresholds.values() if each.quantity == code and each.id not in doubted]
    sides: tuple[list[Decimal], list[Decimal]] = ([], [])
    for threshold in own:
        side = sides[threshold.reached in ("at-or-below", "below")]
        side.extend(each.limit.value for each in threshold.bands if each.limit)
    return sides


def _far(chance: Chance, value: Any) -> Any:
    by = chance.among((1, 2, 5, 10, 20, 40, 80))
    return Decimal(by) / 10 if isinstance(value, Decimal) and value < 50 else by


def add_danger(data: Data, chance: Chance) -> Changed:
    """One more sign of danger: where it was not charted, or charted as usual."""
    code = chance.among(tuple(DANGER))
    charted = [each for each in data["observations"] if each["code"] == code]
    if any(each.get("grade") != CATALOGUE[code].grades[0] for each in charted):
        return None
    changed = deepcopy(data)
    changed["observations"] = [each for each in changed["observations"] if each["code"] != code]
    state = {"state": "quiet-alert"} if chance.share(30) else {}
    changed["observations"].append({"code": code, "grade": chance.among(DANGER[code]), **state})
    return changed


def drop_contexts(data: Data, chance: Chance) -> Changed:
    """Some circumstances not charted, care not charted, the birth only a date."""
    changed = deepcopy(data)
    for observation in changed["observations"]:
        for key in CIRCUMSTANCES & observation.keys():
            if chance.share(50):
                del observation[key]
    for key in list(changed["care"]):
        if key not in ("agreed_limits", "cooling") and chance.share(50):
            del changed["care"][key]
    if "birth" in changed["infant"] and chance.share(30):
        changed["infant"]["birth"] = changed["infant"]["birth"][:10]
    return changed if changed != data else None


def drop_grades(data: Data, chance: Chance) -> Changed:
    """Signs charted as seen, their grade not charted."""
    changed = deepcopy(data)
    for observation in changed["observations"]:
        if observation["code"] in UNGRADED and observation.get("grade", "absent") != "absent" and chance.share(70):
            observation["grade"] = "present"
    return changed if changed != data else None


def drop_gestation(data: Data) -> Changed:
    """The gestation not known."""
    if "gestation" not in data["infant"]:
        return None
    return {**data, "infant": {key: value for key, value in data["infant"].items() if key != "gestation"}}


def not_charted(data: Data, code: str) -> Data:
    """The same entry with nothing charted of one code, now or earlier."""
    changed = deepcopy(data)
    for part in (changed, *changed.get("earlier", [])):
        part["observations"] = [each for each in part["observations"] if each["code"] != code]
    return changed


def chart(data: Data, maker: Maker, code: str) -> Data:
    """The same entry with one more observation of a code, usable and final."""
    made = maker.observation(code)
    while not made.keys() & {"value", "grade"} or "status" in made:
        made = maker.observation(code)
    return {**data, "observations": [*data["observations"], made]}
