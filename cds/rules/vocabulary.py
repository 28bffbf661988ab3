"""The words that rule data may use beside the catalogue of observations.

Takes nothing, gives frozen tables: areas, findings, steps, derived values, settings, slots of `say`. Holds no limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

FINDINGS_BY_AREA: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "breathing": (
            "fast-breathing",
            "very-fast-breathing",
            "slow-breathing",
            "breathing-rate-outside-reference",
            "apnoea",
            "short-breathing-pause",
            "periodic-breathing",
            "gasping",
            "poor-breathing-at-birth",
        ),
        "distress": (
            "nasal-flaring",
            "retractions",
            "chest-indrawing",
            "grunting",
            "head-bobbing",
            "see-saw-breathing",
            "stridor-when-calm",
            "laboured-breathing",
            "increased-effort",
            "respiratory-distress",
            "transition-signs",
            "silverman-andersen-score",
            "downes-score",
        ),
        "colour": (
            "central-cyanosis",
            "acrocyanosis",
            "pallor-or-mottling",
            "ashen",
            "early-jaundice",
            "late-jaundice",
            "deep-jaundice",
        ),
        "oxygen": (
            "low-saturation",
            "very-low-saturation",
            "high-saturation-in-oxygen",
            "new-oxygen-need",
            "saturation-limb-difference",
            "cchd-screen-pass",
            "cchd-screen-repeat",
            "cchd-screen-fail",
            "cchd-screen-invalid",
        ),
        "heart": (
            "fast-heart-rate",
            "slow-heart-rate",
            "very-slow-heart-rate",
            "extreme-fast-heart-rate",
            "heart-rate-outside-reference",
            "irregular-heart-rhythm",
            "heart-rhythm-varies-with-breathing",
            "weak-femoral-pulses",
        ),
        "temperature": (
            "young-infant-fever",
            "fever",
            "high-fever-3-to-6-months",
            "prolonged-fever",
            "mild-hypothermia",
            "moderate-hypothermia",
            "severe-hypothermia",
            "newborn-hyperthermia",
            "low-temperature",
            "reported-fever",
            "cooling-outside-target",
            "temperature-rising",
            "low-temperature-after-warming",
        ),
        "circulation and state": (
            "slow-refill",
            "low-blood-pressure",
            "high-blood-pressure",
            "reduced-responsiveness",
            "danger-sign",
            "dehydration-signs",
            "bulging-fontanelle",
            "non-blanching-rash",
            "bilious-vomiting",
            "abdomen-concern",
            "no-urine-yet",
            "no-meconium-yet",
            "worry-stated",
            "poor-feeding",
            "behaviour-changed",
            "looks-ill",
        ),
        "published scales": (
            "fever-table-amber",
            "fever-table-red",
            "sepsis-moderate-to-high",
            "sepsis-high",
            "newborn-infection-red-flag",
            "newborn-infection-other-sign",
            "young-infant-critical-illness",
            "young-infant-severe-infection",
            "young-infant-fast-breathing-only",
            "local-infection",
        ),
        "weight": (
            "weight-loss",
            "weight-loss-over-10-percent",
            "birth-weight-not-regained",
            "slow-weight-gain",
            "fast-weight-gain",
            "low-birth-weight",
            "very-low-birth-weight",
            "birth-weight-doubled",
            "birth-weight-tripled",
        ),
        "growth": (
            "weight-for-age-low",
            "weight-for-age-very-low",
            "length-for-age-low",
            "length-for-age-very-low",
            "length-for-age-high",
            "weight-for-length-low",
            "weight-for-length-very-low",
            "weight-for-length-high",
            "weight-for-length-rising",
            "head-small",
            "head-very-small",
            "head-large",
            "head-growth-fast",
            "faltering-growth",
            "head-chest-difference",
            "chest-larger-than-head",
        ),
        "quality": (
            "possible-unit-slip",
            "possible-decimal-slip",
            "possible-wrong-infant",
            "implausible-value",
            "repeat-of-earlier-value",
            "count-too-short",
            "measured-unsettled",
            "route-unknown",
            "route-not-advised",
            "site-not-advised",
            "position-not-advised",
            "measured-before-birth",
            "measured-in-future",
            "charted-late",
            "order-of-measurement",
            "recheck-overdue",
            "clothing-not-advised",
            "site-unknown",
            "oxygen-unknown",
            "method-not-advised",
        ),
    }
)
FINDINGS = frozenset(code for codes in FINDINGS_BY_AREA.values() for code in codes)
"""Finding codes. A code may be added here, never reused for another meaning."""

STEPS = (
    "repeat-count",
    "repeat-when-calm",
    "repeat-by-other-route",
    "check-probe",
    "check-entry",
    "check-infant",
    "warm-and-repeat",
    "unwrap-and-repeat",
    "observe-feed",
    "weigh-again",
    "measure-again",
    "complete-score",
    "complete-screen",
    "tell-clinician",
    "contact-clinician",
    "follow-protocol",
    "record-response",
)

UNSCOPED = frozenset({"quality", "growth", "weight"})
"""Areas whose rules are evaluated at any postmenstrual age."""

OUTRANKING = frozenset({"worry-stated", "looks-ill"})
"""Findings that people state and that outrank any rule; they are evaluated at any postmenstrual age too."""

COOLED = "cooled"
"""The word of `outside_care` for an infant with a cooling target; the others are values of breathing_support."""

UNCHARTED = "uncharted"
"""The word of `has` that holds where the key is not charted."""

COUNT_KEY, COUNT_WORDS = "count", ("short", "full")
"""A key of `has` that no entry carries: whether a rate was counted for the full minute."""

SETTINGS: Mapping[str, str] = MappingProxyType(
    {"screen_algorithm": "a screen", "close_within": "h", "scope_from": "wk", "term_from": "wk"}
)
"""What the software reads: the screen algorithm in use, and spans of time with their unit."""

GROWTH_SETTINGS: Mapping[str, str] = MappingProxyType({"corrected_until_below_32_weeks": "mo"})
"""What it reads besides in a rule set with `growth`: how long the age of infants born before 32 weeks is corrected."""

SLOTS = ("value", "unit", "limit", "grade", "site", "route", "state", "total", "seconds")
SUMMARY_LENGTH = 139
"""The longest summary that a card of the CDS Hooks standard may carry (it says fewer than 140 characters)."""


@dataclass(frozen=True, slots=True)
class Derived:
    """What is computed from observations: the units a limit of it may have, or its words; thresholds it reads by id.

    `codes` are the observation codes without which there is no value.
    """

    units: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    thresholds: tuple[str, ...] = ()
    codes: frozenset[str] = frozenset()


_WEIGHT, _LENGTH = frozenset({"body-weight"}), frozenset({"body-length"})
_HEAD = frozenset({"head-circumference"})
_SLIPS = ("none", "unit", "decimal", "pounds-as-decimal")
_BIRTH_WEIGHT = ("implausible-birth-weight-low", "implausible-birth-weight-high")
_POUNDS = ("pounds-reading-near", "pounds-reading-a-day")
_OTHER_INFANT = (
    *("far-from-own-weight", "far-from-own-length", "far-from-own-head"),
    *("near-sibling-weight", "near-sibling-length", "near-sibling-head"),
    *("own-weight-a-day", "own-length-a-day", "own-head-a-day"),
)


def _limits(size: str) -> tuple[str, ...]:
    """The thresholds of what a size, and its change since an earlier one, cannot be."""
    more = _BIRTH_WEIGHT if size == "weight" else ()
    own = (f"implausible-{size}-low", f"implausible-{size}-high")
    return (*own, f"{size}-fall-implausible", f"{size}-rise-implausible", *more)


def _readings(size: str) -> tuple[str, ...]:
    """The thresholds of a slip: what a size cannot be, and how near another reading of it must come."""
    return (*_limits(size), f"{size}-reading-near", f"own-{size}-a-day")


DERIVED: Mapping[str, Derived] = MappingProxyType(
    {
        "gestation": Derived(units=("wk",)),
        "saturation-difference": Derived(units=("%",)),
        "newborn-screen": Derived(
            words=("pass", "repeat", "fail", "invalid", "early"),
            thresholds=("screen-fail", "screen-pass", "screen-difference"),
        ),
        "fever-hours": Derived(units=("h",), thresholds=("fever",)),
        "fever-highest": Derived(units=("Cel", "[degF]")),
        "mean-pressure-below-gestation": Derived(units=("mm[Hg]",)),
        "oxygen-need-new": Derived(words=("yes",)),
        "cooling-target": Derived(words=("below", "above", "inside", "not-cooled")),
        "wet-diapers-per-day": Derived(units=("count",)),
        "birth-weight": Derived(units=("g", "kg")),
        "first-entry": Derived(words=("yes", "no")),
        "weight-loss": Derived(units=("%",), codes=_WEIGHT),
        "weight-of-birth-weight": Derived(units=("%",), codes=_WEIGHT),
        "weight-change": Derived(units=("g",), codes=_WEIGHT),
        "weight-gain-since-last": Derived(units=("g/d",), codes=_WEIGHT),
        "weight-gain-over-5-days": Derived(units=("g/d",), codes=_WEIGHT),
        "weight-gain-since-birth": Derived(units=("g/d",), codes=_WEIGHT),
        "weight-change-over-month": Derived(units=("g",), codes=_WEIGHT),
        "length-gain": Derived(units=("cm/mo",), codes=_LENGTH),
        "head-gain": Derived(units=("cm/mo",), codes=_HEAD),
        "head-minus-chest": Derived(units=("cm",), codes=_HEAD | {"chest-circumference"}),
        "weight-for-age": Derived(units=("{z}",), codes=_WEIGHT),
        "length-for-age": Derived(units=("{z}",), codes=_LENGTH),
        "weight-for-length": Derived(units=("{z}",), codes=_WEIGHT | _LENGTH),
        "head-for-age": Derived(units=("{z}",), codes=_HEAD),
        "birth-weight-for-age": Derived(units=("{z}",)),
        "weight-centile-fall": Derived(units=("{space}",), codes=_WEIGHT),
        "head-centile-rise": Derived(units=("{space}",), codes=_HEAD),
        "temperature-rise": Derived(units=("Cel",), codes=frozenset({"body-temperature"})),
        "warmed": Derived(words=("yes", "no")),
        "charting-delay": Derived(units=("h",)),
        "order-of-measurement": Derived(words=("usual", "other")),
        "repeat-of-earlier": Derived(words=("none", "size", "all-vitals")),
        "weight-slip": Derived(words=_SLIPS, codes=_WEIGHT, thresholds=(*_readings("weight"), *_POUNDS)),
        "length-slip": Derived(words=_SLIPS, codes=_LENGTH, thresholds=_readings("length")),
        "head-slip": Derived(words=_SLIPS, codes=_HEAD, thresholds=_readings("head")),
        "temperature-slip": Derived(
            words=_SLIPS,
            codes=frozenset({"body-temperature"}),
            thresholds=("implausible-temperature-low", "implausible-temperature-high"),
        ),
        "birth-weight-slip": Derived(words=_SLIPS, thresholds=_BIRTH_WEIGHT),
        "fits-infant": Derived(words=("this-infant", "sibling-better"), thresholds=_OTHER_INFANT),
        "weight-rise": Derived(units=("%",), codes=_WEIGHT, thresholds=_limits("weight")),
        "length-rise": Derived(units=("%",), codes=_LENGTH, thresholds=_limits("length")),
        "head-rise": Derived(units=("%",), codes=_HEAD, thresholds=_limits("head")),
    }
)
READS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "fits-infant": _WEIGHT | _LENGTH | _HEAD,
        **dict.fromkeys(
            (
                *("birth-weight", "birth-weight-slip", "birth-weight-for-age", "weight-loss", "weight-of-birth-weight"),
                *("weight-gain-since-birth", "weight-centile-fall"),
            ),
            frozenset({"birth-weight"}),
        ),
    }
)
"""What derived values read beside the codes that they need: codes that may be charted, the birth weight."""
SCORE_UNIT = "{score}"
