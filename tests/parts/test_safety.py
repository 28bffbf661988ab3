"""Charted danger is not lost, nothing false is said: of what conflicts, is withheld, comes late or under other care."""

from __future__ import annotations

from typing import Any

import pytest

from cds.advice.handover import handover
from cds.advice.text import text
from tests.bedside import advise, count, entry

Data = dict[str, Any]
NOW = "2025-11-20T10:30:00+00:00"
AN_HOUR_AGO = "2025-11-20T09:30:00+00:00"
IN_AN_HOUR = "2025-11-20T11:30:00+00:00"
ERROR = {"status": "entered-in-error"}
SCORE = {
    "nasal-flaring": "marked",
    "chest-abdomen-movement": "see-saw",
    "lower-chest-retraction": "marked",
    "xiphoid-retraction": "marked",
    "grunting": "by-ear",
}


def sign(code: str, grade: str, **context: Any) -> Data:
    return {"code": code, "grade": grade, **context}


def value(code: str, number: float, unit: str, **context: Any) -> Data:
    return {"code": code, "value": number, "unit": unit, **context}


def saturation(number: int, **context: Any) -> Data:
    return value("oxygen-saturation", number, "%", **context)


def temperature(number: float, route: str, **context: Any) -> Data:
    return value("body-temperature", number, "Cel", route=route, **context)


def screen(number: int, site: str) -> Data:
    return saturation(number, site=site, oxygen="room-air", purpose="newborn-screen")


def born(birth: str, *observations: Data, **parts: Any) -> Data:
    made = entry(*observations, **parts)
    made["infant"] = {**made["infant"], "birth": birth}
    return made


def before(*observations: Data, measured: str = AN_HOUR_AGO, **event: str) -> Data:
    return {"event": {"id": "T-9-1", "measured": measured, **event}, "observations": list(observations)}


def found(advice: Data) -> dict[str, Data]:
    """The findings of this entry by rule."""
    return {
        each["rule"]: each for each in advice["findings"] if each["status"] not in ("closed-by-repeat", "withdrawn")
    }


def reasons(advice: Data) -> list[str]:
    return [each["reason"] for each in advice["quality"]]


def closed(advice: Data) -> list[str]:
    return [each["rule"] for each in advice["findings"] if each["status"] == "closed-by-repeat"]


@pytest.mark.parametrize("second", [{"absent": "not-performed"}, {"unusable": "unit-unmapped", "found": "x"}])
def test_a_second_reading_that_says_nothing_hides_no_first_one(second: Data) -> None:
    low = saturation(85)
    for charted in ((low, {"code": "oxygen-saturation", **second}), ({"code": "oxygen-saturation", **second}, low)):
        assert found(advise(entry(*charted)))["saturation-under-90"]["status"] == "raised"


@pytest.mark.parametrize("second", [saturation(98, site="foot"), saturation(98, site="foot", **ERROR)])
def test_a_second_reading_inside_its_limits_hides_no_first_one(second: Data) -> None:
    for charted in ((saturation(85), second), (second, saturation(85))):
        assert found(advise(entry(*charted)))["saturation-under-90"]["level"] == "contact"


def test_the_highest_of_several_reported_fevers_speaks() -> None:
    reported = [sign("fever-history", "present", highest={"value": each, "unit": "Cel"}) for each in (37.4, 39.5, 38.1)]
    told = found(advise(entry(*reported, temperature(37.0, "axillary"))))
    assert told["reported-fever-to-60-days"]["summary"].startswith("History of fever: reported highest 39.5 °C")


def test_a_reported_fever_entered_in_error_is_not_used() -> None:
    report = sign("fever-history", "present", highest={"value": 39.5, "unit": "Cel"}, **ERROR)
    assert "reported-fever-to-60-days" not in found(advise(entry(report, temperature(37.0, "axillary"))))


def test_the_fewest_of_several_wet_diapers_speak() -> None:
    counts = [value("wet-diapers", each, "count", over_hours=24) for each in (8, 2, 7)]
    assert "wet diapers 2, over 24 h" in found(advise(entry(*counts)))["few-wet-diapers"]["summary"]


def test_an_entry_entered_in_error_raises_nothing_and_says_so() -> None:
    signs = [sign(code, grade) for code, grade in SCORE.items()]
    assert "silverman-andersen-severe" in found(advise(entry(*signs)))
    wrong = entry(*signs, saturation(80))
    wrong["event"] = {**wrong["event"], **ERROR}
    advice = advise(wrong)
    assert not found(advice)
    assert "entered-in-error" in reasons(advice)


def test_a_second_count_confirms_over_the_seventh_day() -> None:
    seam = born("2025-11-13T10:00:00+00:00", count(64), earlier=[before(count(64))])
    told = found(advise(seam))["fast-breathing-young-infant"]
    assert (told["status"], told["level"]) == ("confirmed", "discuss")


def test_a_count_of_the_first_two_hours_confirms_nothing_later() -> None:
    early = born("2025-11-20T08:15:00+00:00", count(64), earlier=[before(count(64))])
    assert found(advise(early))["fast-breathing-first-week"]["status"] == "raised"


@pytest.mark.parametrize("measured", [NOW, IN_AN_HOUR])
def test_an_earlier_entry_that_is_not_earlier_is_no_count_before_this_one(measured: str) -> None:
    advice = advise(born("2025-11-15T10:00:00+00:00", count(64), earlier=[before(count(64), measured=measured)]))
    assert found(advice)["fast-breathing-first-week"]["status"] == "raised"
    assert reasons(advice)[0] in ("earlier-at-event", "measured-in-future")
    slow = advise(entry(count(44), earlier=[before(count(64), measured=measured)]))
    assert not closed(slow)
    assert not slow["still_open"]


def test_an_earlier_entry_without_a_time_is_said_to_be_left_out() -> None:
    timeless = {"event": {"absent": "unknown"}, "observations": [count(64)]}
    advice = advise(born("2025-11-15T10:00:00+00:00", count(64), earlier=[timeless]))
    assert found(advice)["fast-breathing-first-week"]["status"] == "raised"
    assert reasons(advice) == ["earlier-without-time"]


def test_a_rate_set_by_a_ventilator_closes_nothing() -> None:
    fast = [before(count(64))]
    assert closed(advise(entry(count(44), earlier=fast)))
    advice = advise(entry(count(44), earlier=fast, care={"breathing_support": "ventilated"}))
    assert not closed(advice)
    assert [each["why"] for each in advice["still_open"]] == ["care under which the rule is not asked"]
    assert "outside-rule-care" in reasons(advice)


def test_a_count_that_was_taken_before_the_finding_closes_nothing() -> None:
    own = {**count(44), "measured": "2025-11-20T09:00:00+00:00"}
    advice = advise(entry(own, earlier=[before(count(64))]))
    assert not closed(advice)
    assert advice["still_open"]
    assert "measured-apart" in reasons(advice)


def test_a_wrong_time_holds_only_what_rests_on_it() -> None:
    late = {**sign("retractions", "mild"), "measured": IN_AN_HOUR}
    told = found(advise(entry(count(64), late)))
    assert (told["fast-breathing-young-infant"]["status"], told["retractions-mild"]["status"]) == ("raised", "held")
    elsewhere = entry(sign("retractions", "mild"), earlier=[before(count(50), measured="2025-11-01T10:00:00+00:00")])
    advice = advise(elsewhere)
    assert found(advice)["retractions-mild"]["status"] == "raised"
    assert "measured-before-birth" in reasons(advice)


def test_what_only_could_be_does_not_stand_before_what_is_of_the_same_level() -> None:
    told = found(advise(entry(value("heart-rate", 60, "/min", comparator="<="))))
    assert told["heart-rate-under-60"]["summary"].startswith("Could be: Heart rate <= 60 /min")
    assert told["heart-rate-under-70"]["superseded_by"] == []
    assert told["heart-rate-under-80-asleep"]["superseded_by"]


@pytest.mark.parametrize(
    ("reading", "rule"),
    [
        (temperature(33, "rectal", comparator="<"), True),
        (temperature(34, "rectal", comparator=">"), True),
        (temperature(33, "rectal", comparator="<="), None),
        (temperature(33.5, "rectal"), False),
        (temperature(31, "skin"), False),
    ],
)
def test_a_bound_outside_the_target_of_cooling_is_outside(reading: Data, rule: bool | None) -> None:
    cooled = {"cooling": {"from": 33, "to": 34, "unit": "Cel"}}
    advice = advise(entry(reading, care=cooled))
    told = found(advice).get("cooled-outside-target")
    assert (told is not None) is (rule is not False)
    if told is not None:
        assert (told["level"], told["status"]) == (("contact", "raised") if rule else ("discuss", "provisional"))
        assert "cooling target 33 to 34 °C" in told["summary"]
    assert advice["expected"][0]["expected"] == "33 to 34 °C"


def test_agreed_limits_that_do_not_hold_are_said_one_by_one() -> None:
    def limit(until: str | None, code: str = "heart-rate") -> Data:
        ends = {"until": until} if until else {}
        return {"quantity": code, "from": 90, "unit": "%" if "sat" in code else "/min", "by": "consultant", **ends}

    agreed = [
        limit("2025-11-20T10:00:00+00:00"),
        limit("2025-11-22T10:00:00+00:00"),
        limit(None),
        limit("2025-11-20T18:00:00+00:00", "respiratory-rate"),
        limit("2025-11-20T19:00:00+00:00", "respiratory-rate"),
    ]
    advice = advise(entry(count(44), care={"agreed_limits": agreed}))
    said = [each["words"] for each in advice["quality"] if each["reason"] == "agreed-limit-unused"]
    assert said == [
        "limit agreed for heart rate not used: its end has passed",
        "limit agreed for heart rate not used: its end lies more than 24 h ahead",
        "limit agreed for heart rate not used: it names no end",
        "limit agreed for respiratory rate not used: another one stands before it",
    ]
    assert all(words in " ".join(text(advice).split()) for words in said)


def test_no_screen_is_a_pass_while_it_may_be_too_early() -> None:
    both = (screen(97, "right-hand"), screen(97, "foot"))
    assert "newborn-screen-pass" in found(advise(born("2025-11-19T10:00:00+00:00", *both)))
    assert "newborn-screen-pass" not in found(advise(born("2025-11-19", *both)))


def test_every_reading_of_a_screen_counts() -> None:
    readings = [screen(98, site) for site in ("right-hand", "foot") for _ in range(3)]
    worst = [*readings, screen(88, "foot")]
    assert "newborn-screen-fail" in found(advise(born("2025-11-18T10:00:00+00:00", *worst)))


def test_an_unplaced_saturation_of_85_is_said_plainly() -> None:
    first = advise(entry(saturation(85)))["findings"][0]
    assert (first["level"], first["red_flag"]) == ("contact", True)
    assert first["summary"] == "Oxygen saturation 85 %; under 90 % counts as very low in air or in oxygen."


def test_flow_and_share_say_whether_it_was_air() -> None:
    def charted(**context: Any) -> Data:
        row: Data = advise(entry(saturation(93, **context)))["expected"][0]
        return row

    assert charted(flow=1)["context"]["oxygen"] == "supplemental"
    assert charted(inspired_oxygen=21)["context"]["oxygen"] == "room-air"
    assert "oxygen" not in charted(oxygen="room-air", flow=1)["context"]


def test_no_screen_is_a_pass_where_air_is_in_doubt() -> None:
    both = [{**screen(97, site), "flow": 1} for site in ("right-hand", "foot")]
    advice = advise(born("2025-11-18T10:00:00+00:00", *both))
    assert "newborn-screen-pass" not in found(advice)
    assert reasons(advice) == ["oxygen-unclear", "oxygen-unclear"]


def test_worry_in_a_very_preterm_infant_is_raised_and_the_narrow_scope_is_said() -> None:
    early = entry(sign("nurse-worry", "present"), sign("looks-ill", "present"), count(75))
    early["infant"] = {**early["infant"], "gestation": {"weeks": 28, "days": 0}}
    advice = advise(early)
    assert {"worry-stated", "looks-ill"} <= found(advice).keys()
    assert reasons(advice) == ["outside-scope"]
    assert "only red flags" in text(advice)


def test_a_rectal_reading_is_not_held_against_limits_of_the_axilla() -> None:
    rows = advise(entry(temperature(37.6, "rectal"), temperature(37.6, "axillary")))["expected"]
    assert [row["expected"] for row in rows] == ["36.0 to under 38.0 °C", "36.5 to 37.5 °C"]


@pytest.mark.parametrize(
    ("code", "grade", "usual"),
    [
        ("cry", "absent", "strong"),
        ("femoral-pulses", "absent", "felt"),
        ("movement", "none", "usual"),
        ("rash", "non-blanching", "none"),
        ("vaccinated", "present", "no limit in these rules"),
        ("first-urine", "not-passed", "passed in the first days"),
    ],
)
def test_no_grave_grade_is_shown_as_expected(code: str, grade: str, usual: str) -> None:
    assert advise(entry(sign(code, grade)))["expected"][0]["expected"] == usual


def test_the_handover_says_what_was_withheld_and_what_was_noticed() -> None:
    withheld = sign("looks-ill", "present", **ERROR)
    told = " ".join(handover(advise(entry({**count(64), "measured": "2025-11-20T06:00:00+00:00"}, withheld))).split())
    assert "looks ill present, entered in error; expected absent" in told
    assert "breathing rate: measured 4 h before the time of this entry" in told


def test_a_reading_entered_in_error_is_no_missing_context() -> None:
    low = [temperature(31, "axillary", **ERROR), {"code": "body-temperature", "value": 31, "unit": "Cel"}]
    told = found(advise(entry(*low)))["severe-hypothermia"]["summary"]
    assert told.endswith("Not charted: route.")
