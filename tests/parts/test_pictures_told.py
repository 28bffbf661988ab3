"""What a picture holds before it is drawn: marks, gaps, units, limits, growth lines, the steps of a threshold."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from cds.cli.main import run
from cds.entry.units import limit as placed
from cds.entry.units import shown
from cds.pictures.bands import steps
from cds.pictures.entry import picture
from cds.pictures.look import DASHES, DRAWN, OUTLINES, PAPER, TEXTS, contrast
from cds.pictures.marks import digits, in_unit
from cds.pictures.table import table
from cds.pictures.times import time_axis
from cds.rules.model import BandLimit, RuleSet, Threshold
from tests.bedside import adviser, count, entry
from tests.parts.drawn import answer, at, panel, rate, rates, told, value

RULES = adviser().rules
BORN = "2025-11-03T11:40:00+00:00"
WEIGHTS = {"infant": {"id": "T-9", "birth": BORN, "sex": "female", "gestation": {"weeks": 40, "days": 0}}}


def test_one_panel_stands_for_each_sign_with_a_value() -> None:
    charted = [count(44), value("body-temperature", 36.9, "Cel", route="axillary"), count(46)]
    data = entry(*charted, {"code": "grunting", "grade": "absent"})
    assert [each.code for each in told(data).panels] == ["respiratory-rate", "body-temperature"]


def test_marks_are_not_joined_over_more_than_twelve_hours() -> None:
    marks = panel(rates(at("19T22:29", rate(40)), at("19T22:31", rate(41))), "respiratory-rate").marks
    assert [mark.joined for mark in marks] == [False, True, True]
    marks = panel(rates(at("19T22:29", rate(40))), "respiratory-rate").marks
    assert [mark.joined for mark in marks] == [False, False]


def test_marks_are_not_joined_over_an_entry_that_did_not_chart_the_sign() -> None:
    between = at("20T08:00", value("body-temperature", 37, "Cel", route="axillary"))
    marks = panel(rates(at("20T07:00", rate(40)), between, at("20T09:00", rate(42))), "respiratory-rate").marks
    assert [mark.joined for mark in marks] == [False, False, True]


def test_marks_of_another_route_are_not_joined() -> None:
    temperatures = [("20T07:00", "axillary"), ("20T08:00", "rectal"), ("20T09:00", "axillary")]
    earlier = [at(when, value("body-temperature", 37, "Cel", route=route)) for when, route in temperatures]
    now = value("body-temperature", 37, "Cel", route="axillary")
    marks = panel(entry(now, earlier=earlier), "body-temperature").marks
    assert [(mark.around, mark.joined) for mark in marks] == [
        ("axillary", False),
        ("rectal", False),
        ("axillary", False),
        ("axillary", True),
    ]


@pytest.mark.parametrize(
    ("context", "event", "state"),
    [
        ({}, {}, "settled"),
        ({"state": "crying"}, {}, "provisional"),
        ({"counted_seconds": 30}, {}, "provisional"),
        ({"status": "preliminary"}, {}, "provisional"),
        ({}, {"status": "amended"}, "settled, amended"),
        ({"status": "corrected", "state": "feeding"}, {}, "provisional, amended"),
    ],
)
def test_state_of_a_mark_says_what_the_shape_tells(context: dict[str, str], event: dict[str, str], state: str) -> None:
    data = rates(at("20T09:00", rate(50, **context), **event))
    assert panel(data, "respiratory-rate").marks[0].state == state


@pytest.mark.parametrize(("charted", "late"), [("11:00", False), ("13:00", False), ("13:01", True)])
def test_late_is_what_reaches_a_limit_on_the_delay(charted: str, late: bool) -> None:
    data = rates(at("20T09:00", rate(50), charted=f"2025-11-20T{charted}:00+00:00"))
    assert panel(data, "respiratory-rate", with_delay(RULES)).marks[0].late is late
    assert panel(data, "respiratory-rate", without_delay(RULES)).marks[0].late is False


def with_delay(rules: RuleSet) -> RuleSet:
    """The rules with a limit of over four hours on charting."""
    band = rules.bands["birth-to-24-months"]
    limit = BandLimit("late", "above", band, placed(4, "h"), None, None, "here")
    late = Threshold("late", "Late", "charting-delay", "h", "above", "chronological", (limit,), "", "here")
    return replace(rules, thresholds={**without_delay(rules).thresholds, "late": late})


def without_delay(rules: RuleSet) -> RuleSet:
    """The rules without any limit on charting."""
    kept = {name: each for name, each in rules.thresholds.items() if each.quantity != "charting-delay"}
    return replace(rules, thresholds=kept)


def test_what_has_no_mark_is_said_under_its_panel() -> None:
    absent = {"code": "respiratory-rate", "absent": "not-performed"}
    withdrawn = at("20T08:00", rate(90), status="entered-in-error")
    found = panel(rates(at("20T07:00", absent), withdrawn), "respiratory-rate")
    assert len(found.marks) == 1
    assert found.remarks == (
        "no mark for 2025-11-20 07:00 +00:00: not obtained (not-performed)",
        "no mark for 2025-11-20 08:00 +00:00: 90 /min, entered in error",
    )


def test_values_are_put_into_the_unit_of_this_entry_exactly() -> None:
    earlier = [at("20T08:00", value("body-temperature", 99.5, "[degF]", route="axillary"))]
    now = value("body-temperature", 37.1, "Cel", route="axillary")
    marks = panel(entry(now, earlier=earlier), "body-temperature").marks
    assert [(mark.y, mark.number) for mark in marks] == [(Fraction(375, 10), "37.5"), (Fraction(371, 10), "37.1")]
    assert marks[0].words == "99.5 °F, axillary"


def test_a_value_without_exact_decimals_is_drawn_where_it_lies_and_keeps_its_words() -> None:
    earlier = [at("20T08:00", value("body-temperature", 98.4, "[degF]", route="axillary"))]
    now = value("body-temperature", 36.55556, "Cel", route="axillary")
    marks = panel(entry(now, earlier=earlier), "body-temperature").marks
    assert marks[0].y == Fraction(984 - 320, 10) * Fraction(5, 9)
    assert marks[0].number == "about 36.89"
    assert marks[1].number == "36.55556"
    assert 0 <= Fraction("36.55556") - marks[1].y < Fraction(1, 900)


def test_pounds_with_ounces_are_drawn_in_pounds() -> None:
    pounds = value("body-weight", [8, 4], ["[lb_av]", "[oz_av]"])
    marks = panel({**entry(pounds), **WEIGHTS}, "body-weight").marks
    assert (marks[0].y, marks[0].number, marks[0].words) == (Fraction(33, 4), "8.25", "8 lb 4 oz")


def test_every_converted_text_is_the_number_that_is_drawn() -> None:
    for text, unit, other in (("3.62", "kg", "g"), ("51.5", "cm", "[in_i]"), ("20", "[in_i]", "cm")):
        position = placed(Decimal(text), unit).position
        exact = shown(position, other)
        assert exact is None or in_unit(position, other) == Fraction(exact)


def test_a_bound_says_on_which_side_the_value_lies() -> None:
    mark = panel(rates(at("20T09:00", rate(60, comparator="<"))), "respiratory-rate").marks[0]
    assert (mark.bound, mark.number, mark.words.split(",")[0]) == ("below", "< 60", "< 60 /min")


def test_a_date_without_a_time_is_a_span_of_a_day() -> None:
    dated = {"event": {"measured": "2025-11-18", "status": "final"}, "observations": [rate(50)]}
    mark = panel(rates(dated), "respiratory-rate").marks[0]
    assert 2 * mark.spread == 86_399


def test_limits_are_those_that_the_advice_expects() -> None:
    found = panel(rates(), "respiratory-rate").limits
    assert [(each.words, each.outer, each.y) for each in found] == [
        ("below 25 /min", "below", 25),
        ("at or above 60 /min", "above", 60),
    ]
    axillary = entry(value("body-temperature", 98.6, "[degF]", route="axillary"))
    assert [each.words for each in panel(axillary, "body-temperature").limits] == ["below 97.7 °F", "above 99.5 °F"]


def test_a_limit_line_reaches_back_over_entries_of_the_same_band_alone() -> None:
    young = at("19T09:00", rate(40))
    data = rates(young)
    data["infant"]["birth"] = "2025-09-21T08:00:00+00:00"
    low, high = panel(data, "respiratory-rate").limits
    marks = panel(data, "respiratory-rate").marks
    assert (high.words, high.start) == ("above 66 /min", marks[0].x)
    data["infant"]["birth"] = "2025-08-20T08:00:00+00:00"
    low, high = panel(data, "respiratory-rate").limits
    assert (low.words, low.start) == ("below 24 /min", marks[1].x)


def test_a_sign_without_a_limit_has_no_limit_line() -> None:
    diapers = entry(value("wet-diapers", 6, "count", over_hours=24))
    found = panel(diapers, "wet-diapers")
    assert (found.limits, found.remarks) == ((), ("no limit in these rules at this age",))


def test_an_agreed_limit_and_a_target_of_cooling_stand_with_their_author() -> None:
    agreed = {"quantity": "heart-rate", "from": 90, "unit": "/min", "by": "cardiologist"}
    care = {"agreed_limits": [{**agreed, "until": "2025-11-20T18:00:00+00:00"}]}
    found = panel(entry(value("heart-rate", 120, "/min"), care=care), "heart-rate").limits
    assert [each.words for each in found if each.source.startswith("agreed for this infant by cardiologist")] == [
        "below 90 /min"
    ]
    care = {"cooling": {"from": 33, "to": 34, "unit": "Cel"}}
    found = panel(entry(value("body-temperature", 33.5, "Cel", route="rectal"), care=care), "body-temperature").limits
    assert [(each.words, each.source) for each in found] == [
        ("below 33 °C", "target of cooling"),
        ("above 34 °C", "target of cooling"),
    ]


def test_entry_of_signs_alone_says_that_nothing_is_drawn() -> None:
    found = told(entry({"code": "grunting", "grade": "absent"}, earlier=[at("20T09:00", rate(50))]))
    assert found.panels == ()
    assert "This entry charts no value; there is nothing to draw." in found.about
    assert "Charted earlier and not now, no panel: breathing rate" in found.about


def test_hundreds_of_entries_keep_every_mark() -> None:
    hours = [(day, hour) for day in range(1, 20) for hour in range(24)]
    earlier = [at(f"{day:02d}T{hour:02d}:00", rate(40 + hour)) for day, hour in hours]
    data = rates(*earlier)
    data["infant"]["birth"] = "2025-10-20T11:40:00+00:00"
    found = told(data)
    assert len(found.panels[0].marks) == len(earlier) + 1
    assert table(found).count(", quiet alert") == len(earlier) + 1
    assert 2 <= len(found.panels[0].axis.ticks) <= 9


def test_table_has_a_row_for_every_mark_and_limit() -> None:
    data = rates(at("20T07:00", rate(68, state="crying")), at("20T09:00", rate(42)))
    text = table(told(data))
    rows = [line.split("  ") for line in text.splitlines() if "/min, " in line and ":" in line and "  2025" in line]
    assert [[cell.strip() for cell in row if cell.strip()] for row in rows] == [
        ["2025-11-20 07:00 +00:00", "68 /min, crying, counted 60 s", "68 /min", "provisional", "no"],
        ["2025-11-20 09:00 +00:00", "42 /min, quiet alert, counted 60 s", "42 /min", "settled", "yes"],
        ["2025-11-20 10:30 +00:00, this entry", "44 /min, quiet alert", "44 /min", "settled", "yes"],
    ]
    assert "  limit: at or above 60 /min (WHO IMCI 2019)" in text


def test_digest_and_deference_stand_in_every_caption() -> None:
    digest = RULES.digest.removeprefix("sha256:")[:12]
    for caption in (told(rates()).caption, steps(RULES.thresholds["fever"], RULES).caption):
        assert any(f"digest {digest}" in line for line in caption)
        assert any("no order, no diagnosis, no alarm" in line for line in caption)


def test_clock_is_told_in_the_offset_of_the_entry() -> None:
    axis = time_axis(1_763_596_800, 1_763_596_800 + 6 * 3600, 3600)
    assert axis.label == "time of measuring, UTC+01:00"
    assert axis.ticks[0] == (Fraction(1_763_593_200), "00:00\n20 Nov 2025")
    assert time_axis(0, 0, -12_600).label == "time of measuring, UTC-03:30"


def test_colours_have_the_contrast_that_readers_need() -> None:
    assert all(contrast(colour, PAPER) >= 4.5 for colour in TEXTS)
    assert all(contrast(colour, PAPER) >= 3 for colour in DRAWN)
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_what_must_be_told_apart_does_not_rest_on_colour() -> None:
    assert len(set(OUTLINES.values())) == len(OUTLINES)
    assert len(set(DASHES.values())) == len(DASHES)


def test_same_unit_keeps_the_text_as_charted() -> None:
    mark = answer(rates()).view.entry.observations[0]
    assert mark.quantity is not None
    assert digits(mark.quantity, "/min") == "44"


def test_without_the_extra_one_line_says_which(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("cds.pictures.canvas.find_spec", lambda name: None)
    for arguments in (["rules", "plot", "fever", "-o", "x.svg"], ["advise", "x.json", "--plot", "x.svg"]):
        with pytest.raises(SystemExit) as ended:
            run(arguments)
        printed = capsys.readouterr()
        assert (ended.value.code, printed.out) == (2, "")
        assert printed.err == "Pictures need the extra `pictures`: pip install 'infant-vitals-cds[pictures]'\n"


def test_picture_is_told_the_same_twice() -> None:
    made = answer(rates(at("20T09:00", rate(50))))
    assert picture(made) == picture(made)
