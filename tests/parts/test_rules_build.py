"""What a rule file says becomes criteria with defaults filled, groups in place and numbers exact."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from cds.entry.catalogue import ASLEEP, SETTLED, UNSETTLED
from cds.rules.amounts import limit, reach, seconds, shown
from cds.rules.build import read_bands
from cds.rules.conditions import Named, condition
from cds.rules.load import load
from cds.rules.model import Criterion, Cut, Edge, Filter, FindingIs, Group, Reach

BASE = Path(__file__).resolve().parents[1] / "wrong" / "base"
BANDS = read_bands(
    {
        "schemes": {
            "later": {"title": "later", "bands": {"old": {"from": "2 mo", "to": "24 mo", "words": "old"}}},
            "days": {
                "title": "days",
                "bands": {
                    "b-second": {"from": "7 d", "to": "60 d", "words": "second"},
                    "a-first": {"from": "0 h", "to": "7 d", "words": "first"},
                },
            },
        }
    }
)
NAMED = Named(
    bands=BANDS,
    groups={
        "flaring": {"title": "any flaring", "when": {"observed": "nasal-flaring", "grade": ["minimal", "marked"]}},
        "signs": {"title": "any sign", "when": {"any": [{"group": "flaring"}, {"care": "warmth", "is": ["cot"]}]}},
    },
)
RATE = {"observed": "respiratory-rate", "reaches": "fast"}


def criterion(data: dict[str, object]) -> Criterion:
    built = condition(data, NAMED)
    assert isinstance(built, Criterion)
    return built


def where(key: str, wanted: object) -> Filter:
    (found,) = criterion({**RATE, "where": {key: wanted}}).where
    return found


def test_a_list_selects_what_it_lists_and_leaves_out_the_rest() -> None:
    assert where("site", ["foot", "chest"]) == Filter("site", frozenset({"foot", "chest"}), None, "unknown")


def test_is_and_not_leave_the_rest_open() -> None:
    found = where("route", {"is": ["axillary"], "not": ["skin"]})
    assert found == Filter("route", frozenset({"axillary"}), frozenset({"skin"}), "unknown")
    said = where("route", {"is": ["axillary"], "not": ["skin"], "uncharted": "selected"})
    assert said.uncharted == "selected"


@pytest.mark.parametrize(
    ("words", "states", "uncharted"),
    [
        (["settled"], SETTLED, "selected"),
        (["unsettled"], UNSETTLED, "excluded"),
        (["asleep"], ASLEEP, "unknown"),
        (["settled", "crying"], (*SETTLED, "crying"), "selected"),
        (["unsettled", "drowsy"], (*UNSETTLED, "drowsy"), "unknown"),
        (["crying"], ("crying",), "unknown"),
    ],
)
def test_state_words_spread_to_states(words: list[str], states: tuple[str, ...], uncharted: str) -> None:
    assert where("state", words) == Filter("state", frozenset(states), None, uncharted)


@pytest.mark.parametrize(("word", "uncharted"), [("true", "excluded"), (True, "excluded"), ("false", "selected")])
def test_what_is_not_charted_counts_as_false(word: object, uncharted: str) -> None:
    assert where("intermittent", [word]) == Filter("intermittent", frozenset({str(word).lower()}), None, uncharted)


def test_filters_stand_in_the_order_of_their_keys() -> None:
    found = criterion({**RATE, "where": {"state": ["crying"], "method": ["device"]}})
    assert [each.key for each in found.where] == ["method", "state"]


def test_equal_content_has_one_key_whatever_its_label_and_order() -> None:
    first = criterion({"observed": "rigors", "grade": ["present"], "item": "shivering"})
    second = criterion({"grade": ["present"], "observed": "rigors"})
    assert first.key == second.key == '{"grade":["present"],"observed":"rigors"}'
    assert (first.item, second.item) == ("shivering", None)
    assert criterion({"not_representable": "\u00fc"}).key.isascii()


def test_criteria_can_be_kept_in_sets() -> None:
    by_state = {"observed": "heart-rate", "reaches": {"by": "state", "awake": "a", "asleep": "b"}}
    assert len({criterion(by_state), criterion(by_state), criterion(RATE)}) == 2


def test_a_threshold_stands_alone_or_for_each_word_of_a_context() -> None:
    assert criterion(RATE).reach == Reach("fast")
    found = criterion({"observed": "heart-rate", "reaches": {"by": "state", "awake": "a", "asleep": "b"}})
    assert found.reach == Reach(by="state", each=(("asleep", "b"), ("awake", "a")))


def test_repeats_are_two_readings_unless_more_are_asked() -> None:
    twice = criterion({**RATE, "repeated": {"within": "24 h"}})
    assert (twice.repeated_within, twice.repeated_times) == (86400, 2)
    assert criterion({**RATE, "repeated": {"within": "2 d", "times": 3}}).repeated_times == 3
    assert criterion(RATE).repeated_within is None


def test_a_list_context_is_asked_for_any_of_its_words() -> None:
    found = criterion({"observed": "retractions", "has": {"sites": ["suprasternal"]}})
    assert found.has == ("sites", frozenset({"suprasternal"}))


def test_each_other_kind_of_criterion_keeps_what_it_asks() -> None:
    assert criterion({"derived": "newborn-screen", "is": ["fail"]}).grades == {"fail"}
    assert criterion({"derived": "gestation", "reaches": "term"}).reach == Reach("term")
    assert criterion({"score": "downes", "reaches": "severe"}).kind == "score"
    assert criterion({"care": "warmth", "is": ["cot"]}).uncharted == "possible"
    assert criterion({"care": "warmth", "is": ["cot"], "uncharted": "missing"}).uncharted == "missing"
    assert criterion({"observed": "retractions", "grade": ["severe"], "ungraded": "not-met"}).ungraded == "not-met"
    assert condition({"finding": "apnoea", "item": "x"}, NAMED) == FindingIs("apnoea", "x")


def test_bands_of_a_criterion_stand_in_the_order_of_age() -> None:
    found = criterion({"band": ["b-second", "a-first"], "age": "corrected"})
    assert [band.id for band in found.bands] == ["a-first", "b-second"]
    assert found.age == "corrected"
    assert criterion({"band": "old"}).age == "chronological"


def test_a_group_is_put_in_place_with_its_title() -> None:
    built = condition({"group": "signs", "item": "sign"}, NAMED)
    assert isinstance(built, Group)
    assert (built.how, built.title, built.item) == ("any", "any sign", "sign")
    inner = built.parts[0]
    assert isinstance(inner, Group)
    assert (inner.how, inner.title) == ("all", "any flaring")
    assert inner.parts == (criterion({"observed": "nasal-flaring", "grade": ["minimal", "marked"]}),)


def test_at_least_keeps_its_number() -> None:
    built = condition({"at_least": {"n": 2, "of": [RATE, {"group": "flaring"}]}}, NAMED)
    assert isinstance(built, Group)
    assert (built.how, built.n, len(built.parts)) == ("at-least", 2, 2)


def test_bands_are_listed_by_scheme_and_age() -> None:
    assert list(BANDS) == ["a-first", "b-second", "old"]
    assert BANDS["old"].start == Edge(2, "mo")


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (38, "Cel", "38.0"),
        (Decimal("38.0"), "Cel", "38.0"),
        (Decimal("38.50"), "Cel", "38.5"),
        (Decimal("37.55"), "Cel", "37.55"),
        (60, "/min", "60"),
        (Decimal("60.0"), "/min", "60"),
        (100, "%", "100"),
        (0, "mm[Hg]", "0"),
        (Decimal("2.5"), "kg", "2.50"),
        (-3, "Cel", "-3.0"),
    ],
)
def test_a_limit_is_shown_with_the_decimals_of_its_unit(value: int | Decimal, unit: str, text: str) -> None:
    assert str(shown(value, unit)) == text
    assert limit(value, unit).value == value


def test_months_are_as_long_as_calendars_make_them() -> None:
    for months, days in ((1, (28, 31)), (2, (59, 62)), (6, (181, 184)), (12, (365, 366)), (24, (730, 731))):
        low, high = reach(Edge(months, "mo"))
        assert low <= days[0] * 86400
        assert days[1] * 86400 <= high
        assert high - low == 6 * 86400
    assert reach(Edge(0, "mo")) == (0, 0)
    assert reach(Edge(60, "d")) == (60 * 86400, 60 * 86400)


def test_spans_of_time_are_seconds() -> None:
    assert [seconds(text) for text in ("30 min", "2 h", "3 d")] == [1800, 7200, 259200]


def test_a_rule_has_its_defaults_and_its_place() -> None:
    rules = load(BASE)
    fast, distress = rules.rules[:2]
    assert (fast.id, fast.place) == ("fast-breathing-young", "rules/breathing.yaml:2")
    assert (fast.gate.age, fast.gate.outside_care, fast.gate.scoped) == ("chronological", {"ventilated"}, True)
    assert fast.confirmed is not None
    assert (fast.confirmed.within, fast.confirmed.level, fast.closes_within) == (86400, "discuss", 7200)
    assert (fast.red_flag, fast.reference_range, fast.supersedes, fast.scale) == (False, False, (), None)
    assert (distress.gate.scoped, distress.supersedes) == (False, ("fast-breathing-young",))


def test_a_threshold_keeps_its_bounds_and_the_reason_for_no_limit() -> None:
    young, older = load(BASE).thresholds["rate-fast"].bands
    assert young.limit is not None
    assert young.may_set is not None
    assert (young.limit.value, young.place) == (60, "thresholds/rate-fast.yaml:8")
    assert (young.may_set.start.value, young.may_set.end.value, young.may_set.towards) == (55, 60, "lower")
    assert (older.limit, older.no_limit, older.may_set) == (None, "none published for this age", None)


def test_cuts_of_a_score_say_how_they_are_reached() -> None:
    item = load(BASE).scores["small-score"].items[1]
    assert item.cuts == (
        Cut("at-or-above", limit(0, "/min"), 0),
        Cut("at-or-above", limit(60, "/min"), 1),
        Cut("above", limit(80, "/min"), 2),
    )
