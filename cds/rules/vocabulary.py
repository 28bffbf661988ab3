"""The words that rule data may use beside the catalogue of observations.

Takes nothing, gives frozen tables: areas, findings, steps, settings, slots of `say`. Holds no limit.
"""

from __future__ import annotations

from collections.abc import Mapping
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

SCORE_UNIT = "{score}"
