"""The codes an entry may chart: each with its units or grades, and the context each may carry.

Takes nothing, gives frozen tables. Holds no limit and no clinical figure; judges nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

Contexts = Mapping[str, "tuple[str, ...] | None"]

ASLEEP = ("deep-sleep", "light-sleep")
SETTLED = (*ASLEEP, "drowsy", "quiet-alert")
UNSETTLED = ("active", "crying", "feeding", "just-handled")
STATES = SETTLED + UNSETTLED
AWAKE = tuple(state for state in STATES if state not in ASLEEP)
STATE_GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"asleep": ASLEEP, "awake": AWAKE, "settled": SETTLED, "unsettled": UNSETTLED}
)

SEXES = ("female", "male", "unknown")
STATUSES = (
    "registered",
    "preliminary",
    "final",
    "amended",
    "corrected",
    "cancelled",
    "entered-in-error",
    "unknown",
)
ABSENT_REASONS = (
    "unknown",
    "asked-unknown",
    "temp-unknown",
    "not-asked",
    "asked-declined",
    "masked",
    "not-applicable",
    "unsupported",
    "as-text",
    "error",
    "not-a-number",
    "negative-infinity",
    "positive-infinity",
    "not-performed",
    "not-permitted",
)
COMPARATORS = ("<", "<=", ">=", ">")
UNUSABLE = ("unit-unmapped", "code-unmapped")

ROUTES = ("axillary", "rectal", "tympanic", "oral", "temporal", "skin", "core")

CARE: Mapping[str, tuple[str, ...] | None] = MappingProxyType(
    {
        "breathing_support": ("none", "low-flow", "high-flow", "cpap", "non-invasive", "ventilated"),
        "cooling": None,
        "warmth": ("cot", "skin-to-skin", "incubator", "radiant-warmer"),
        "feeding_route": ("breast", "bottle", "cup", "tube", "nil-by-mouth", "not-yet-offered"),
        "agreed_limits": None,
    }
)

LISTED = frozenset({"sites", "with"})
YES_NO = frozenset({"intermittent"})
MEASURED_CONTEXT: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "inspired_oxygen": ("percent", "%"),
        "flow": ("flow", "L/min"),
        "over_hours": ("hours", "h"),
        "hours_ago": ("hours", "h"),
    }
)


@dataclass(frozen=True, slots=True)
class Kind:
    """What one code may carry.

    `dimension` and `units` for a value, `grades` for a sign. `contexts` gives the words that each context key
    takes, or None where it takes a number, a quantity, a time or true/false (`LISTED` keys take a list of the words).
    `rate` marks counts that a state or a short count makes provisional; `many` marks signs with several grades at once.
    """

    code: str
    is_sign: bool
    dimension: str | None
    units: tuple[str, ...]
    grades: tuple[str, ...]
    contexts: Contexts
    rate: bool = False
    many: bool = False


_COUNT: Contexts = {"state": STATES, "counted_seconds": None}
_PRESSURE: Contexts = {"state": STATES, "site": ("right-arm", "left-arm", "leg")}
_LENGTH = ("cm", "mm", "[in_i]")


def _value(code: str, dimension: str, units: tuple[str, ...], contexts: Contexts) -> Kind:
    rate = "counted_seconds" in contexts
    return Kind(code, False, dimension, units, (), MappingProxyType(dict(contexts)), rate=rate)


def _sign(code: str, grades: str, contexts: Contexts, many: bool = False) -> Kind:
    own = MappingProxyType({"state": STATES, **contexts})
    return Kind(code, True, None, (), tuple(grades.split()), own, many=many)


_VALUES = (
    _value("respiratory-rate", "rate", ("/min",), {**_COUNT, "method": ("watched", "stethoscope", "device")}),
    _value(
        "heart-rate",
        "rate",
        ("/min",),
        {
            **_COUNT,
            "site": ("apical", "brachial", "femoral", "radial", "umbilical-cord", "device"),
            "rhythm": ("regular", "varies-with-breathing", "fixed", "irregular"),
        },
    ),
    _value("body-temperature", "temperature", ("Cel", "[degF]"), {"route": ROUTES}),
    _value(
        "oxygen-saturation",
        "percent",
        ("%",),
        {
            "site": ("right-hand", "left-hand", "foot"),
            "oxygen": ("room-air", "supplemental"),
            "inspired_oxygen": None,
            "flow": None,
            "need": ("steady", "new", "rising"),
            "purpose": ("spot", "newborn-screen"),
        },
    ),
    _value("capillary-refill", "seconds", ("s",), {"site": ("chest", "forehead", "finger", "foot")}),
    _value("systolic-pressure", "pressure", ("mm[Hg]",), _PRESSURE),
    _value("diastolic-pressure", "pressure", ("mm[Hg]",), _PRESSURE),
    _value("mean-pressure", "pressure", ("mm[Hg]",), _PRESSURE),
    _value("body-weight", "mass", ("g", "kg", "[lb_av]"), {"clothing": ("nude", "dry-diaper", "clothed")}),
    _value("body-length", "length", _LENGTH, {"position": ("lying", "standing")}),
    _value("head-circumference", "length", _LENGTH, {}),
    _value("chest-circumference", "length", _LENGTH, {}),
    _value(
        "breathing-pause",
        "seconds",
        ("s",),
        {
            "with": ("bradycardia", "cyanosis", "pallor", "limpness", "desaturation"),
            "ended_by": ("self", "stimulation", "support"),
        },
    ),
    _value("wet-diapers", "count", ("count",), {"over_hours": None}),
)

_RETRACTION_SITES = ("subcostal", "intercostal", "substernal", "suprasternal", "supraclavicular", "lower-chest")
_CYANOSIS: Contexts = {"episode": ("at-rest", "feeding", "crying"), "in_oxygen": ("corrects", "persists")}
_REPORTERS = ("clinician", "carer")
_COLOURS = "usual pale mottled ashen dusky plethoric"

_GRADED: Mapping[str, str] = {
    "breathing-effort": "usual increased laboured",
    "nasal-flaring": "absent minimal marked present",
    "jaundice": "absent face trunk limbs palms-and-soles present",
    "chest-abdomen-movement": "together chest-lags see-saw",
    "lower-chest-retraction": "absent minimal marked",
    "xiphoid-retraction": "absent minimal marked",
    "air-entry": "clear decreased barely-audible",
    "responsiveness": "alert voice pain unresponsive",
    "social-response": "usual reduced none",
    "waking": "usual prolonged-stimulation does-not-wake does-not-stay-awake",
    "activity": "usual reduced",
    "irritability": "absent consolable inconsolable",
    "movement": "usual only-when-stimulated none",
    "cry": "strong weak high-pitched continuous absent",
    "tone": "usual floppy stiff",
    "feeding": "usual reduced poor unable",
    "drinking": "usual eager unable",
    "vomiting": "absent present bilious bloody projectile",
    "abdomen": "soft distended tense",
    "convulsions": "absent present present-focal present-prolonged",
    "fontanelle": "flat bulging sunken",
    "eyes": "usual sunken discharge",
    "rash": "none blanching non-blanching",
    "mucosa": "moist dry",
    "skin-turgor": "usual reduced",
    "urine-output": "usual reduced",
    "first-urine": "passed not-passed",
    "first-meconium": "passed not-passed",
    "femoral-pulses": "felt weak absent",
    "umbilicus": "clean red pus",
    "skin-pustules": "absent few many",
}
_SEEN_OR_NOT = (
    "head-bobbing",
    "see-saw-breathing",
    "stridor-when-calm",
    "crackles",
    "wheeze",
    "periodic-breathing",
    "cough",
    "gasping",
    "rigors",
    "jitteriness",
    "neck-stiffness",
    "oedema-both-feet",
    "swollen-limb-or-joint",
    "unused-limb",
    "focal-signs",
    "looks-ill",
    "carer-worry",
    "nurse-worry",
    "infection-suspected",
)

_SIGNS = (
    _sign("retractions", "absent mild moderate severe present", {"sites": _RETRACTION_SITES}),
    _sign("grunting", "absent by-stethoscope by-ear present", {"intermittent": None}),
    _sign("cyanosis", "absent hands-and-feet around-mouth central present", _CYANOSIS),
    _sign("skin-colour", _COLOURS, {"reported_by": _REPORTERS}, many=True),
    _sign("fever-history", "absent present", {"since": None, "highest": None, "measured_by": _REPORTERS}),
    _sign("vaccinated", "absent present", {"hours_ago": None}),
    *(_sign(code, grades, {}) for code, grades in _GRADED.items()),
    *(_sign(code, "absent present", {}) for code in _SEEN_OR_NOT),
)

CATALOGUE: Mapping[str, Kind] = MappingProxyType({kind.code: kind for kind in (*_VALUES, *_SIGNS)})
"""Every code that an observation may have, in the order of the vocabulary's families."""
