"""What a second count does to the first, and the words for what keeps a finding from being told."""

from __future__ import annotations

import pytest

from tests.bedside import Data, advise

NOW = "2025-11-20T10:30:00+00:00"
BEFORE = "2025-11-20T09:50:00+00:00"
EARLIER = "2025-11-20T09:20:00+00:00"
MOST = 139


def rate(code: str, value: int, state: str | None = "quiet-alert") -> Data:
    """One full count."""
    said = {} if state is None else {"state": state}
    return {"code": code, "value": value, "unit": "/min", "counted_seconds": 60, **said}


def answer(days: int, seen: list[Data], *earlier: tuple[str, list[Data]], **more: Data) -> Data:
    """The advice to an infant of so many days, asked five minutes after charting or when `asked` says."""
    asked = str(more.pop("asked", "2025-11-20T10:35:00+00:00"))
    birth = f"2025-11-{20 - days:02d}T10:00:00+00:00"
    past = [{"event": {"id": at, "measured": at}, "observations": charted} for at, charted in earlier]
    infant = {"id": "T-900", "birth": birth, "gestation": {"weeks": 39, "days": 2}}
    entry = {"infant": infant, "event": {"id": "T-900-2", "measured": NOW}, "observations": seen, "earlier": past}
    return advise({**entry, **more}, asked)


def finding(advice: Data, rule: str) -> Data:
    """The finding of one rule."""
    return next(each for each in advice["findings"] if each["rule"] == rule)


def test_a_finding_that_a_second_count_makes_contact_is_not_held_for_a_time_that_cannot_be_right() -> None:
    advice = answer(
        3,
        [rate("respiratory-rate", 62)],
        (BEFORE, [rate("respiratory-rate", 64)]),
        asked="2025-11-20T08:00:00+00:00",  # type: ignore[arg-type]
    )
    made = finding(advice, "fast-breathing-first-week")
    assert (made["level"], made["status"]) == ("contact", "confirmed")
    assert advice["quality"][0]["words"].endswith("check entry and infant together")
    assert finding(advice, "respiratory-rate-above-pals-range")["status"] == "held"


def test_a_confirmed_finding_asks_first_for_the_step_of_its_level() -> None:
    advice = answer(3, [rate("respiratory-rate", 62)], (BEFORE, [rate("respiratory-rate", 64)]))
    steps = [step["step"] for step in finding(advice, "fast-breathing-first-week")["next"]]
    assert steps[0] == "contact-clinician"


def test_the_third_unsettled_count_is_discussed_also_where_a_settled_one_would_be_contact() -> None:
    crying = rate("respiratory-rate", 62, "crying")
    made = finding(answer(3, [crying], (EARLIER, [crying]), (BEFORE, [crying])), "fast-breathing-first-week")
    assert (made["level"], made["status"], made["next"][0]["step"]) == ("discuss", "provisional", "tell-clinician")


def test_a_repeat_awake_closes_a_slow_rate_asleep() -> None:
    asleep = rate("heart-rate", 75, "deep-sleep")
    advice = answer(18, [rate("heart-rate", 130)], (BEFORE, [asleep]))
    assert finding(advice, "heart-rate-under-80-asleep")["status"] == "closed-by-repeat"


@pytest.mark.parametrize("oxygen", [None, "room-air"])
def test_a_saturation_that_is_or_could_be_low_in_air_keeps_a_rate_open(oxygen: str | None) -> None:
    low = {"code": "oxygen-saturation", "value": 93, "unit": "%", **({"oxygen": oxygen} if oxygen else {})}
    advice = answer(18, [rate("respiratory-rate", 50), low], (BEFORE, [rate("respiratory-rate", 64)]))
    assert [each["rule"] for each in advice["still_open"]] == ["fast-breathing-young-infant"]


def test_a_saturation_in_oxygen_inside_its_limit_lets_the_rate_close() -> None:
    steady = {"code": "oxygen-saturation", "value": 93, "unit": "%", "oxygen": "supplemental"}
    advice = answer(18, [rate("respiratory-rate", 50), steady], (BEFORE, [rate("respiratory-rate", 64)]))
    assert finding(advice, "fast-breathing-young-infant")["status"] == "closed-by-repeat"


UNSAID: list[tuple[str, Data, str]] = [
    ("unable-to-feed", {"code": "feeding", "grade": "unable"}, "feeding route"),
    ("saturation-90-to-91-in-air", {"code": "oxygen-saturation", "value": 91, "unit": "%"}, "oxygen"),
    (
        "moderate-hypothermia",
        {"code": "body-temperature", "value": 35.7, "unit": "Cel", "route": "rectal"},
        "axillary temperature",
    ),
    ("very-slow-refill", {"code": "capillary-refill", "value": 5, "unit": "s"}, "site"),
    ("young-infant-severe-infection", {"code": "retractions", "grade": "present"}, "grade"),
]


@pytest.mark.parametrize(("rule", "seen", "word"), UNSAID)
def test_what_could_be_names_the_context_that_is_missing_and_nothing_else(rule: str, seen: Data, word: str) -> None:
    said = finding(answer(18, [seen]), rule)["summary"]
    assert said.startswith("Could be: ")
    assert said.endswith(f"Not charted: {word}.")
    assert len(said) <= MOST


def test_a_summary_is_cut_before_what_is_not_charted() -> None:
    seen = [rate("respiratory-rate", 29), {"code": "oxygen-saturation", "value": 91, "unit": "%"}]
    said = finding(answer(18, seen), "slow-breathing-with-sign")["summary"]
    assert said.endswith("… Not charted: oxygen.")
    assert len(said) <= MOST


def test_with_no_state_charted_the_limit_told_is_the_one_harder_to_reach() -> None:
    said = finding(answer(18, [rate("respiratory-rate", 22, None)]), "respiratory-rate-below-reference")["summary"]
    assert said.startswith("Breathing rate 22 /min, below 23")
    assert said.endswith("State not charted.")


def test_a_bound_is_told_as_a_bound() -> None:
    seen = {"code": "heart-rate", "value": 80, "unit": "/min", "comparator": "<"}
    assert "Heart rate < 80 /min" in finding(answer(18, [seen]), "heart-rate-under-60")["summary"]


def test_a_limit_agreed_for_the_infant_is_named_in_the_finding() -> None:
    until = "2025-11-20T20:00:00+00:00"
    agreed = {"quantity": "heart-rate", "from": 75, "unit": "/min", "by": "consultant", "until": until}
    advice = answer(18, [rate("heart-rate", 74)], care={"agreed_limits": [agreed]})
    assert finding(advice, "heart-rate-under-70")["summary"].endswith("Limit agreed for this infant.")
    assert answer(18, [rate("heart-rate", 76)], care={"agreed_limits": [agreed]})["findings"] == []
