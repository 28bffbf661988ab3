"""An entry is read exactly, refused with every fault, and remarked on where it is unlikely."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.entry.ages import ages
from cds.entry.catalogue import CATALOGUE, STATE_GROUPS, STATES
from cds.entry.faults import CODES
from cds.entry.model import AgreedLimit, Entry, Observation, QuantityRange
from cds.entry.read import read_entry, read_json
from cds.entry.times import read_moment
from cds.entry.units import limit, quantity
from cds.errors import Problem, Refused
from cds.values import Span

ROOT = Path(__file__).resolve().parents[2]
WRONG = sorted((ROOT / "tests" / "wrong" / "entries").glob("*.json"))
THORNMERE = ROOT / "tests" / "parts" / "entries" / "thornmere-104.json"
MEASURED = "2026-03-20T09:30:00+01:00"


def refuse(data: object) -> list[tuple[str, str]]:
    with pytest.raises(Refused) as refused:
        read_entry(data)
    return [(problem.code, problem.place) for problem in refused.value.problems]


def entry_of(**more: object) -> dict[str, object]:
    return {"infant": {"id": "T-104"}, "observations": [], **more}


def observe(*observations: dict[str, object]) -> tuple[Observation, ...]:
    return read_entry(entry_of(observations=list(observations))).observations


@pytest.mark.parametrize("wrong", WRONG, ids=lambda path: path.stem)
def test_a_wrong_entry_is_refused_with_exactly_this_message(wrong: Path) -> None:
    with pytest.raises(Refused) as refused:
        read_entry(read_json(wrong.read_bytes()))
    assert refused.value.subject == "entry"
    assert refused.value.text() + "\n" == wrong.with_suffix(".txt").read_text(encoding="utf-8")


def test_every_code_has_a_line_on_its_page_and_an_entry_that_earns_it() -> None:
    page = (ROOT / "docs" / "errors-entry.md").read_text(encoding="utf-8")
    assert dict(re.findall(r"^\| (EN-\d{3}) \| (.+) \|$", page, re.MULTILINE)) == dict(CODES)
    earned = {
        code
        for wrong in WRONG
        for code in re.findall(r"^EN-\d{3}", wrong.with_suffix(".txt").read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert len(WRONG) >= 45
    assert CODES.keys() - earned == {"EN-005"}  # a mebibyte is made in test_json_text


def test_an_entry_of_thornmere_is_read_exactly() -> None:
    entry = read_entry(read_json(THORNMERE.read_bytes()), read_moment("2026-03-20T09:41:30+01:00"))
    assert entry.infant.id == "T-104"
    assert entry.infant.gestation == Span(275, 275)
    assert entry.infant.birth_weight == quantity("mass", 3310, "g")
    assert (entry.event.id, entry.event.care_unit, entry.event.status) == ("T-104-7", "postnatal", "final")
    assert entry.care == {"breathing_support": "none", "feeding_route": "breast"}
    assert [seen.code for seen in entry.observations] == [
        "respiratory-rate",
        "heart-rate",
        "body-temperature",
        "body-weight",
        "retractions",
        "nasal-flaring",
    ]
    rate, heart, warmth, _, pulled, flaring = entry.observations
    assert rate.quantity == quantity("rate", 46, "/min")
    assert rate.context == {"state": "quiet-alert", "counted_seconds": 60}
    assert heart.context["site"] == "apical"
    assert warmth.quantity is not None
    assert (warmth.quantity.text, warmth.quantity.position) == ("36.9", limit(Decimal("36.9"), "Cel").position)
    assert (pulled.grades, pulled.context) == (("mild",), {"sites": ("subcostal",)})
    assert (flaring.grades, flaring.context, flaring.place) == (("absent",), {}, "/observations/5")
    assert [earlier.event.id for earlier in entry.earlier] == ["T-104-6"]
    assert entry.earlier[0].infant == entry.infant
    assert entry.remarks == ()
    assert ages(entry).words("chronological") == "18 d 5 h"


def test_the_least_entry_has_nobody_and_nothing() -> None:
    assert read_entry({"infant": {}, "observations": []}) == Entry()


def test_weeks_without_days_are_any_day_of_the_week() -> None:
    entry = read_entry(entry_of(infant={"gestation": {"weeks": 36}}))
    assert entry.infant.gestation == Span(252, 258)


def test_a_value_not_obtained_a_bound_and_an_unmapped_unit_stay_what_they_are() -> None:
    absent, bound, unmapped = observe(
        {"code": "heart-rate", "absent": "not-performed", "state": "crying"},
        {"code": "oxygen-saturation", "value": 70, "unit": "%", "comparator": "<"},
        {"code": "body-weight", "unusable": "unit-unmapped", "found": "3.6 [stone_av]", "status": "preliminary"},
    )
    assert (absent.absent, absent.quantity, absent.context) == ("not-performed", None, {"state": "crying"})
    assert (bound.comparator, bound.quantity) == ("<", quantity("percent", 70, "%"))
    assert (unmapped.unusable, unmapped.found, unmapped.status) == ("unit-unmapped", "3.6 [stone_av]", "preliminary")


def test_context_is_read_in_its_own_kind() -> None:
    saturation, pause, grunt, fever, diapers, colour, vaccine = observe(
        {"code": "oxygen-saturation", "value": 93, "unit": "%", "inspired_oxygen": 30, "flow": Decimal("0.5")},
        {
            "code": "breathing-pause",
            "value": 22,
            "unit": "s",
            "with": ["cyanosis", "pallor"],
            "ended_by": "stimulation",
        },
        {"code": "grunting", "grade": "by-ear", "intermittent": True},
        {
            "code": "fever-history",
            "grade": "present",
            "since": "2026-03-19",
            "highest": {"value": Decimal("101.3"), "unit": "[degF]", "route": "rectal"},
            "measured_by": "carer",
        },
        {"code": "wet-diapers", "value": 3, "unit": "count", "over_hours": {"value": 12, "unit": "h"}},
        {"code": "skin-colour", "grade": ["pale", "mottled"], "reported_by": "carer"},
        {"code": "vaccinated", "grade": "present", "hours_ago": 30},
    )
    assert saturation.context == {
        "inspired_oxygen": quantity("percent", 30, "%"),
        "flow": quantity("flow", Decimal("0.5"), "L/min"),
        "oxygen": "supplemental",
    }
    assert pause.context == {"with": ("cyanosis", "pallor"), "ended_by": "stimulation"}
    assert grunt.context == {"intermittent": True}
    assert fever.context["highest"] == quantity("temperature", Decimal("101.3"), "[degF]")
    assert fever.context["highest_route"] == "rectal"
    assert fever.context["since"] == read_moment("2026-03-19")
    assert diapers.context == {"over_hours": quantity("hours", 12, "h")}
    assert colour.grades == ("pale", "mottled")
    assert vaccine.context == {"hours_ago": quantity("hours", 30, "h")}


def test_care_holds_words_a_target_and_agreed_limits() -> None:
    care = {
        "breathing_support": "cpap",
        "warmth": "incubator",
        "cooling": {"from": Decimal("33.0"), "to": Decimal("34.0"), "unit": "Cel"},
        "agreed_limits": [
            {"quantity": "oxygen-saturation", "from": 75, "unit": "%", "by": "cardiologist", "until": "2026-04-01"}
        ],
    }
    found = read_entry(entry_of(care=care)).care
    assert (found["breathing_support"], found["warmth"]) == ("cpap", "incubator")
    cooled = QuantityRange(
        quantity("temperature", Decimal("33.0"), "Cel"), quantity("temperature", Decimal("34.0"), "Cel")
    )
    assert found["cooling"] == cooled
    agreed = QuantityRange(quantity("percent", 75, "%"), None)
    assert found["agreed_limits"] == (
        AgreedLimit("oxygen-saturation", agreed, "cardiologist", read_moment("2026-04-01")),
    )


def test_an_observation_may_have_been_measured_at_another_time_or_over_one() -> None:
    period = {"start": "2026-03-20T09:00:00+01:00", "end": "2026-03-20T09:10:00+01:00"}
    (seen,) = observe({"code": "breathing-pause", "value": 22, "unit": "s", "measured": period})
    assert seen.measured is not None
    assert seen.measured.seconds.high - seen.measured.seconds.low == 600


def test_earlier_entries_come_oldest_first() -> None:
    times = ["2026-03-19T09:00:00+01:00", "2026-03-17", "2026-03-18T23:00:00-05:00"]
    earlier = [{"event": {"id": time, "measured": time}, "observations": []} for time in times]
    entry = read_entry(entry_of(event={"measured": MEASURED}, earlier=earlier))
    assert [one.event.id for one in entry.earlier] == [times[1], times[2], times[0]]


def test_a_bare_date_is_a_day_where_the_infant_was_measured() -> None:
    entry = read_entry(entry_of(infant={"birth": "2026-03-02"}, event={"measured": MEASURED}))
    assert entry.infant.birth == read_moment("2026-03-02", 3600)


def test_a_bare_date_takes_the_offset_of_its_own_entry_first() -> None:
    earlier = [{"event": {"measured": "2026-03-19", "charted": "2026-03-19T23:00:00-05:00"}, "observations": []}]
    entry = read_entry(entry_of(event={"measured": MEASURED}, earlier=earlier))
    assert entry.earlier[0].event.measured == read_moment("2026-03-19", -5 * 3600)


def test_a_stated_age_holds_at_the_event_and_is_counted_back_for_earlier_entries() -> None:
    earlier = [{"event": {"measured": "2026-03-18T09:30:00+01:00"}, "observations": []}]
    entry = read_entry(entry_of(infant={"age": {"days": 18}}, event={"measured": MEASURED}, earlier=earlier))
    assert ages(entry).words("chronological") == "18 d"
    assert ages(entry.earlier[0]).words("chronological") == "16 d"


def remarks_of(data: dict[str, object], now: str | None = None) -> list[tuple[str, str, str | None]]:
    entry = read_entry(data, read_moment(now) if now else None)
    return [(remark.reason, remark.place, remark.code) for remark in entry.remarks]


def test_measured_before_birth_is_remarked_and_leaves_every_age_unknown() -> None:
    data = entry_of(infant={"birth": "2026-03-20T12:30:00+01:00"}, event={"measured": MEASURED})
    entry = read_entry(data)
    (remark,) = entry.remarks
    assert (remark.reason, remark.place, remark.found) == ("measured-before-birth", "/event/measured", "3 h")
    assert ages(entry).missing("chronological") == ("unknown-age",)


def test_measured_on_the_date_of_birth_is_not_before_birth() -> None:
    assert remarks_of(entry_of(infant={"birth": "2026-03-20"}, event={"measured": MEASURED})) == []


def test_times_of_observations_and_earlier_entries_are_looked_at_too() -> None:
    data = entry_of(
        infant={"birth": "2026-03-19T12:00:00+01:00"},
        event={"measured": MEASURED},
        observations=[{"code": "cough", "grade": "present", "measured": "2026-03-18"}],
        earlier=[{"event": {"measured": "2026-03-19T09:00:00+01:00"}, "observations": []}],
    )
    assert remarks_of(data) == [
        ("measured-before-birth", "/observations/0/measured", "cough"),
        ("measured-before-birth", "/earlier/0/event/measured", None),
    ]


def test_measured_after_the_call_is_remarked_once_the_call_has_a_time() -> None:
    data = entry_of(event={"measured": MEASURED})
    assert remarks_of(data, "2026-03-20T09:29:59+01:00") == [("measured-in-future", "/event/measured", None)]
    assert remarks_of(data, MEASURED) == []
    assert remarks_of(data) == []


def test_an_earlier_entry_that_is_later_than_the_event_is_kept_and_remarked() -> None:
    data = entry_of(
        event={"measured": MEASURED}, earlier=[{"event": {"measured": "2026-03-20T10:30:00+01:00"}, "observations": []}]
    )
    entry = read_entry(data)
    (remark,) = entry.remarks
    assert (remark.reason, remark.place, remark.found) == ("earlier-after-event", "/earlier/0/event/measured", "1 h")
    assert len(entry.earlier) == 1


def test_binary_float_debris_is_read_as_its_step_with_a_remark() -> None:
    entry = read_entry(
        entry_of(observations=[{"code": "body-length", "value": Decimal("66.899999999999991"), "unit": "cm"}])
    )
    (remark,) = entry.remarks
    assert (remark.reason, remark.place) == ("binary-float-debris", "/observations/0/value")
    assert entry.observations[0].quantity is not None
    assert entry.observations[0].quantity.text == "66.899999999999991"
    assert entry.observations[0].quantity.position == limit(Decimal("66.9"), "cm").position


def test_remarks_of_the_sender_are_kept() -> None:
    sent = {"reason": "code-unmapped", "place": "/entry/3", "found": "8280-0", "words": "a code that is not mapped"}
    assert remarks_of(entry_of(remarks=[sent])) == [("code-unmapped", "/entry/3", None)]


def test_siblings_are_read_whole_and_their_remarks_are_not_the_infant_s() -> None:
    sibling = entry_of(event={"measured": MEASURED}, infant={"birth": "2026-03-21"})
    entry = read_entry(entry_of(siblings=[sibling]))
    (read,) = entry.siblings
    assert (read.infant, read.event) == (read_entry(sibling).infant, read_entry(sibling).event)
    assert entry.remarks == ()
    assert read_entry(sibling).remarks
    assert refuse(entry_of(siblings=[sibling | {"siblings": []}])) == [("EN-103", "/siblings/0/siblings")]


def test_a_binary_float_is_refused() -> None:
    observation = {"code": "body-temperature", "value": 36.9, "unit": "Cel"}
    with pytest.raises(Refused) as refused:
        read_entry(entry_of(observations=[observation]))
    assert refused.value.problems[0].found == "a binary number"


SECRET = "Wrenfield Isolde"
PLACES = [
    {"infant": SECRET},
    {SECRET: 1},
    {"infant": {"birth": SECRET}, "event": {"measured": MEASURED}},
    {"infant": {"sex": SECRET}},
    {"infant": {"id": SECRET + "\n"}},
    {"infant": {"gestation": {"weeks": SECRET, SECRET: 2}}},
    {"event": {"measured": SECRET, "status": SECRET, "care_unit": [SECRET]}},
    {"care": {"breathing_support": SECRET, "agreed_limits": [{"quantity": SECRET, "by": {SECRET: 1}}]}},
    {"observations": [{"code": SECRET}]},
    {"observations": [{"code": "cry", "grade": SECRET, SECRET: SECRET, "found": SECRET}]},
    {"observations": [{"code": "body-weight", "value": SECRET, "unit": SECRET, "clothing": SECRET}]},
    {"observations": [{"code": "retractions", "grade": "mild", "sites": [SECRET, SECRET]}]},
]


@pytest.mark.parametrize("part", PLACES)
def test_a_refusal_repeats_no_text_that_a_person_wrote(part: dict[str, object]) -> None:
    with pytest.raises(Refused) as refused:
        read_entry(entry_of() | part)
    assert "Isolde" not in refused.value.text()
    assert "Wrenfield" not in refused.value.text()


def test_a_refusal_repeats_no_number_and_no_time() -> None:
    infant = {"birth": "2026-02-30", "gestation": {"weeks": 4711}}
    observation = {"code": "heart-rate", "value": Decimal("-4711.5"), "unit": "/min", "counted_seconds": 4711}
    with pytest.raises(Refused) as refused:
        read_entry(entry_of(infant=infant, event={"measured": "2026-02-30"}, observations=[observation]))
    assert len(refused.value.problems) == 5
    assert "4711" not in refused.value.text()
    assert "2026-02" not in refused.value.text()


KEYS = st.sampled_from(
    ["infant", "event", "observations", "measured", "code", "value", "unit", "grade", "start", "x y"]
)
WORDS = st.sampled_from([*CATALOGUE, "2026-03-20", "g", "usual", "present"]) | st.text(max_size=5)
LEAVES = st.none() | st.booleans() | st.integers() | st.decimals() | WORDS
ANYTHING = st.recursive(LEAVES, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=6))


@given(ANYTHING, st.sampled_from(["infant", "event", "care", "observations", "earlier", "siblings", "remarks"]))
def test_whatever_is_sent_is_read_or_refused(part: object, key: str) -> None:
    problems: tuple[Problem, ...] = ()
    try:
        read_entry(entry_of(**{key: part}))
    except Refused as refused:
        problems = refused.problems
    assert all(problem.code in CODES and problem.place.startswith("/") for problem in problems)


def test_states_fall_into_settled_and_unsettled_and_into_asleep_and_awake() -> None:
    for one, other in (("settled", "unsettled"), ("asleep", "awake")):
        assert sorted(STATE_GROUPS[one] + STATE_GROUPS[other]) == sorted(STATES)


def test_every_code_can_be_charted_with_every_word_it_knows() -> None:
    for kind in CATALOGUE.values():
        words = {key: known for key, known in kind.contexts.items() if known and key not in ("sites", "with")}
        lists = {key: list(kind.contexts[key] or ()) for key in ("sites", "with") if key in kind.contexts}
        answers = [{"grade": grade} for grade in kind.grades] or [{"value": 1, "unit": unit} for unit in kind.units]
        charted = [{"code": kind.code, **answer, **lists} for answer in answers]
        charted += [{"code": kind.code, **answers[0], key: word} for key, known in words.items() for word in known]
        assert len(observe(*charted)) == len(charted)
