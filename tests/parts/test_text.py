"""The text answer: order, numbers, words, width; nothing that the data does not hold."""

from __future__ import annotations

import copy
import re

import pytest

from cds.advice.lines import Page
from cds.advice.missing import missing
from cds.advice.reasons import items, reasons
from cds.advice.terms import FRAMES, label, say_code, say_need, say_time
from cds.advice.text import text
from tests.bedside import advise, adviser, after, count, demo, entry, sampled

HEADS = (
    "Advice to a licensed clinician",
    "infant    T-204",
    "What was charted, and what is expected at this age and state",
    "What stands out, most serious first",
    "Also met, and said by a finding above",
    "What could not be judged, by what is missing",
    "Published scales, item by item",
    "counts    ",
    "cautions  ",
)
FORBIDDEN = re.compile(r"\b(normal|safe|ok)\b", re.IGNORECASE)


def section(said: str, head: str) -> list[str]:
    """The lines below a head, up to the next empty line that begins another section."""
    lines = said.splitlines()
    start = next(place for place, line in enumerate(lines) if line.startswith(head))
    ends = (place for place in range(start + 1, len(lines)) if re.match(r"[A-Za-z]", lines[place]))
    return lines[start + 1 : next(ends, len(lines))]


def test_sections_stand_in_one_order() -> None:
    said = text(demo("t-204"))
    assert [said.index(head) for head in HEADS] == sorted(said.index(head) for head in HEADS)


def test_same_advice_gives_the_same_bytes() -> None:
    assert text(demo("t-204")) == text(demo("t-204"))


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_asked(width: int) -> None:
    assert max(len(line) for advice in sampled(60) for line in text(advice, width).splitlines()) <= width


def test_words_that_promise_are_never_said() -> None:
    assert [line for advice in sampled(60) for line in text(advice).splitlines() if FORBIDDEN.search(line)] == []


def test_header_says_who_when_and_by_which_rules() -> None:
    said = text(demo("t-204"))
    rules = adviser().rules
    assert "infant    T-204, female, born at 38 weeks 0 d\n" in said
    assert "age       30 h since birth; corrected the same; postmenstrual 38 weeks 1 d\n" in said
    measured = "T-204-6, measured 2025-11-12 08:40 +00:00, charted 08:43 (3 min later), asked 08:43, newborn ward"
    assert measured in " ".join(said.split())
    short = rules.digest.removeprefix("sha256:")[:12]
    assert f"rules     {rules.id} {rules.version}, digest {short}; trial, not for care\n" in said


def test_what_is_not_known_of_the_infant_is_said() -> None:
    said = text(demo("t-203"))
    assert "no identifier, sex not known, gestation not charted" in said
    assert "age       not known" in said
    assert "what is expected at any age, as none is known" in said


def test_gestation_without_days_says_so() -> None:
    advice = demo("t-201")
    advice["infant"]["gestation"] = {"from_days": 39 * 7, "to_days": 39 * 7 + 6}
    assert "born at 39 weeks, days not stated" in text(advice)
    advice["infant"]["gestation"] = {"from_days": 270, "to_days": 275}
    assert "born at 38 weeks 4 d to 39 weeks 2 d" in text(advice)


def test_every_charted_sign_stands_with_value_expectation_and_source() -> None:
    advice = demo("t-204")
    said = section(text(advice), "What was charted")
    for each in advice["expected"]:
        row = next(line for line in said if line.strip().startswith(say_code(each["code"])[:8]))
        assert each["value"].replace("-", " ").split()[0] in row
        assert each["expected"].split()[0] in row
    assert any("Fleming 2011" in line for line in said)


def test_a_finding_shows_value_comparator_limit_band_and_whose_limit() -> None:
    said = text(advise(entry(count(66))))
    why = "breathing rate 66 /min (quiet alert, counted 60 s): is at or above 60 /min (under 2 months; base limit,"
    assert why in " ".join(said.split())
    assert "WHO IMCI 2019" in said
    assert "by 11:30: count again for a full minute, infant settled" in said
    assert "fast-breathing-young-infant, revision 1; by chronological age, from 7 to 59 days" in " ".join(said.split())


def test_no_open_finding_lacks_a_slot() -> None:
    for advice in sampled(60):
        said = text(advice)
        for each in advice["findings"]:
            if each["superseded_by"] or each["status"] == "closed-by-repeat":
                continue
            lines = said[said.index(f"{FRAMES[each['level']]} ") :].splitlines()
            assert [
                word
                for word in ("status", "why", "next", "limits", "source", "rule")
                if not any(line.startswith(f"  {word}") for line in lines)
            ] == []


def test_levels_are_words_in_frames_that_differ_in_the_border_alone() -> None:
    borders = {frame[0] for frame in FRAMES.values()}
    assert len(borders) == 4
    assert {frame.strip(frame[0]).strip() for frame in FRAMES.values()} == set(FRAMES)


def test_most_serious_findings_stand_first() -> None:
    said = text(demo("t-204"))
    found = re.findall(r"^[┊╎│║] (\w+) [┊╎│║]", said, re.MULTILINE)
    assert found == sorted(found, key=("contact", "discuss", "recheck", "note").index)
    assert {"contact", "discuss"} <= set(found)


def test_rules_are_counted_before_nothing_is_said_to_stand_out() -> None:
    quiet = [advice for advice in sampled(20) if all(each["level"] == "note" for each in advice["findings"])]
    assert quiet
    for advice in quiet:
        said = " ".join(section(text(advice), "What stands out"))
        assert re.search(
            r"\d+ of \d+ rules evaluated: (none of them raises anything above a note|these rules say)", said
        )


def test_an_entry_that_no_rule_could_judge_is_not_called_quiet() -> None:
    advice = demo("t-201")
    advice["counts"]["evaluated"] = 0
    assert "these rules say nothing about this infant" in text(advice)


def test_notes_alone_leave_the_sentence_on_nothing_above_a_note() -> None:
    advice = next(
        advice for advice in sampled(20) if advice["findings"] and all(e["level"] == "note" for e in advice["findings"])
    )
    said = text(advice)
    assert "raises anything above a note" in " ".join(said.split())
    assert FRAMES["note"] in said


def test_provisional_says_what_makes_it_so() -> None:
    assert "provisional: the infant was unsettled or the count short" in text(demo("t-202"))
    bare = {"code": "oxygen-saturation", "value": 91, "unit": "%", "site": "foot"}
    said = text(advise(entry(bare)))
    assert "provisional: could be, as context is not charted" in said
    assert re.search(r"^  missing   .*oxygen", said, re.MULTILINE)


def test_confirmed_names_the_earlier_entry() -> None:
    said = " ".join(text(advise(after(count(66), count(64)))).split())
    assert (
        "confirmed by a second settled count (entry T-9-1 of 2025-11-20 09:00 +00:00, more than an hour before)" in said
    )


def test_closed_and_still_open_findings_of_earlier_entries_are_told() -> None:
    closed = text(advise(after(count(66), count(44))))
    assert "closed by this settled repeat: Fast breathing" in closed
    retractions = {"code": "retractions", "grade": "mild"}
    still = text(advise(after(count(66), count(44), retractions)))
    assert "1 still open from before" in still
    assert "still open: Fast breathing" in still
    assert "kept open by" in " ".join(still.split())


def test_held_says_that_the_entry_is_in_doubt() -> None:
    said = text(advise(entry(count(66)), "2025-11-01T08:00:00+00:00"))
    assert "held: the entry itself is in doubt" in said
    assert "measured-in-future, /event/measured" in " ".join(section(said, "What was noticed"))


def test_a_step_whose_time_was_past_says_so() -> None:
    late = text(advise(entry(count(66)), "2025-11-20T12:00:00+00:00"))
    assert "by 11:30 (past): count again" in late
    assert "(past)" not in text(advise(entry(count(66)), "2025-11-20T11:30:00+00:00"))


def test_a_step_for_an_entry_of_unknown_time_counts_from_measuring() -> None:
    teaching = {"infant": {"age": {"days": 16}}, "observations": [count(66)]}
    assert "within 1 h of measuring: count again" in text(advise(teaching, None))


def test_a_superseded_finding_points_at_one_that_stands_open() -> None:
    for advice in sampled(20):
        open_rules = {e["rule"] for e in advice["findings"] if not e["superseded_by"]}
        for line in section(text(advice), "Also met") if "\nAlso met" in text(advice) else ():
            if pointed := re.search(r": see ([a-z0-9-]+)$", line):
                assert pointed[1] in open_rules


def test_at_most_five_lines_say_what_is_missing_and_the_rest_is_counted() -> None:
    for advice in sampled(20):
        groups = missing(advice["not_evaluated"]["needed"])
        if not groups:
            continue
        lines = [line for line in section(text(advice), "What could not be judged") if line.strip()]
        told = [line for line in lines if not line.strip().startswith("and ")]
        assert len(told) == min(len(groups), 5)
        assert lines[len(told) :] == ([f"  and {len(groups) - 5} more in the JSON answer"] if len(groups) > 5 else [])


def test_missing_groups_hold_every_rule_and_the_gravest_first() -> None:
    for advice in sampled(20):
        needed = advice["not_evaluated"]["needed"]
        groups = missing(needed)
        assert {title for group in groups for title in group.titles} == {rule["title"] for rule in needed}
        levels = [group.level for group in groups]
        assert levels == sorted(levels, key=("contact", "discuss", "recheck", "note").index)


def test_what_no_charting_settles_is_not_asked_for_beside_other_needs() -> None:
    rule = {"title": "A", "level": "note", "reasons": ["missing-input"], "needs": ["cough", "cry: no-limit-published"]}
    assert [group.needs for group in missing([rule])] == [("cough",)]
    alone = {**rule, "needs": ["cry: no-limit-published"]}
    assert [group.needs for group in missing([alone])] == [("cry: no limit published at this age",)]
    bare = {**rule, "needs": [], "reasons": ["unknown-age"]}
    assert [group.needs for group in missing([bare])] == [("age not known",)]


def test_at_most_three_cautions_that_fit_and_the_rest_counted() -> None:
    for advice in sampled(60):
        told = " ".join(text(advice).split("cautions  ")[1].split())
        fitting = [each["words"] for each in advice["cautions"] if each["fits"]]
        shown = min(3, len(fitting))
        assert all(words in told for words in fitting[:shown])
        assert f"{len(advice['cautions']) - shown} more cautions in the JSON answer" in told


def test_each_item_of_an_open_scale_is_told_once() -> None:
    scales = [e for advice in sampled(5) for e in advice["findings"] if "scale" in e and not e["superseded_by"]]
    assert {told for each in scales for told, _ in items(each)} >= {
        "met",
        "not met",
        "not charted",
        "not representable",
    }
    for each in scales:
        assert len(items(each)) == len(each["scale"]["items"])


def test_an_item_that_is_met_shows_its_value() -> None:
    fever = {"code": "body-temperature", "value": 38.4, "unit": "Cel", "route": "axillary"}
    said = " ".join(section(text(advise(entry(fever))), "Published scales"))
    assert "(38.4 °C)" in said


def test_one_evaluator_and_disagreement_are_said() -> None:
    advice = demo("t-201")
    alone = copy.deepcopy(advice)
    alone["evaluators"] = {"answered": ["plain"], "agree": None, "why": "durable-rules is not installed"}
    assert "checked   by one evaluator, plain (durable-rules is not installed)" in text(alone)
    apart = copy.deepcopy(advice)
    apart["evaluators"] = {"answered": ["plain", "durable"], "agree": False, "differ_on": ["grunting"]}
    assert "which disagree on grunting; what either raised is listed" in " ".join(text(apart).split())


def test_a_limit_agreed_for_one_infant_is_named_as_such() -> None:
    agreed = {"quantity": "respiratory-rate", "to": 62, "unit": "/min", "by": "consultant"}
    limits = [{**agreed, "until": "2025-11-20T20:00:00+00:00"}]
    said = " ".join(text(advise(entry(count(66), care={"agreed_limits": limits}))).split())
    assert "is above 62 /min (agreed for this infant by consultant until 2025-11-20T20:00:00+00:00)" in said


def test_reasons_leave_out_the_age_where_another_reason_tells() -> None:
    told = reasons(next(e for e in demo("t-204")["findings"] if e["rule"] == "grunting")["because"])
    assert told == ["grunting by ear"]


def test_a_reason_that_a_fuller_one_says_too_is_told_once() -> None:
    told = next(each for each in demo("t-202")["findings"] if each["rule"] == "breathing-count-short-outside-limit")
    assert [said for said in reasons(told["because"]) if ": is " not in said] == []


def test_limits_without_one_comparator_are_those_it_was_held_against() -> None:
    limits = [
        {"band": "b", "words": "under 2 months", "limit": f"{limit} /min", "set_by": "base"} for limit in (60, 66)
    ]
    reading = {"value": "70 /min", "verdict": "met", "limits": limits}
    told = reasons({"observed": "respiratory-rate", "verdict": "met", "readings": [reading]})
    under = "under 2 months; base limit"
    assert told == [f"breathing rate 70 /min: held against 60 /min ({under}) or 66 /min ({under})"]


def test_reasons_of_what_only_could_be_say_what_is_open() -> None:
    open_node = {"observed": "cyanosis", "wanted": ["central"], "verdict": "cannot-tell", "reasons": ["missing-input"]}
    assert reasons(open_node) == ["cyanosis central: not charted"]
    none = {
        "how": "none",
        "verdict": "met",
        "parts": [{"care": "feeding_route", "wanted": ["tube"], "verdict": "not-met"}],
    }
    assert reasons(none) == ["none of: feeding route tube"]


@pytest.mark.parametrize(
    ("ref", "said"),
    [
        ("fleming-2011", "Fleming 2011"),
        ("who-imci-2019", "WHO IMCI 2019"),
        ("nice-ng143", "NICE NG143"),
        ("aap-fever-2021", "AAP fever 2021"),
        ("common-practice", "common practice"),
        ("agreed for this infant by consultant", "agreed for this infant by consultant"),
    ],
)
def test_labels_of_sources_are_short(ref: str, said: str) -> None:
    assert label(ref) == said


@pytest.mark.parametrize(
    ("need", "said"),
    [
        ("oxygen-saturation: site", "oxygen saturation: site"),
        ("see-saw-breathing", "see-saw breathing"),
        ("capillary-refill (chest)", "capillary refill (chest)"),
        ("care: feeding_route", "care: feeding route"),
        ("body-temperature: unit-unmapped", "temperature: unit not understood"),
    ],
)
def test_needs_are_said_in_words(need: str, said: str) -> None:
    assert say_need(need) == said


def test_times_are_said_without_seconds_and_periods_with_both_ends() -> None:
    assert say_time("2025-11-20T10:30:00Z/2025-11-20T10:45:00Z") == "2025-11-20 10:30 Z to 2025-11-20 10:45 Z"
    assert say_time("2025-11-20") == "2025-11-20"


def test_a_number_keeps_its_unit_on_the_line() -> None:
    for width in range(20, 60):
        lines = Page(width).wrap(
            "the temperature rose to 38.4 °C and the breathing rate to 66 /min within 30 min of that"
        )
        assert not any(re.search(r"\d$", line) for line in lines)


def test_what_cannot_be_printed_is_a_question_mark() -> None:
    advice = demo("t-201")
    advice["infant"]["id"] = "T\x1b[31m-1\u202e"
    said = text(advice)
    assert "T?[31m-1?" in said
    assert "\x1b" not in said


def test_an_entry_with_nothing_charted_says_so() -> None:
    assert "  nothing was charted" in text(advise(entry()))
