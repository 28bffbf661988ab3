"""The handover: its order, what stands first, what is left to be filled in."""

from __future__ import annotations

import re

import pytest

from cds.advice.handover import handover
from tests.bedside import advise, after, count, demo, entry, sampled

HEADS = ["Situation", "Background", "Assessment", "Recommendation", "If it changes", "Read back by"]
FORBIDDEN = re.compile(r"\b(normal|safe|ok)\b", re.IGNORECASE)


def part(said: str, head: str) -> list[str]:
    """The lines of one part."""
    return next(block for block in said.split("\n\n") if block.startswith(head)).splitlines()[1:]


def test_heads_stand_in_sbar_order_with_change_and_read_back_after() -> None:
    for name in ("t-201", "t-203", "t-204"):
        said = handover(demo(name))
        assert re.findall(r"^[A-Z][A-Za-z ]+$", said, re.MULTILINE)[-6:] == HEADS


def test_same_advice_gives_the_same_bytes() -> None:
    assert handover(demo("t-204")) == handover(demo("t-204"))


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_asked(width: int) -> None:
    assert max(len(line) for advice in sampled(60) for line in handover(advice, width).splitlines()) <= width


def test_words_that_promise_are_never_said() -> None:
    assert [line for advice in sampled(60) for line in handover(advice).splitlines() if FORBIDDEN.search(line)] == []


def test_open_findings_stand_in_the_situation_gravest_first() -> None:
    said = "\n".join(part(handover(demo("t-204")), "Situation"))
    levels = re.findall(r"[║│╎┊] (\w+) [║│╎┊]", said)
    assert levels[0] == "contact"
    assert levels == sorted(levels, key=("contact", "discuss", "recheck", "note").index)


def test_superseded_findings_are_not_handed_over_as_open() -> None:
    advice = demo("t-204")
    said = " ".join(" ".join(part(handover(advice), "Situation")).split())
    hidden = [each["summary"] for each in advice["findings"] if each["superseded_by"]]
    assert hidden
    assert not any(summary in said for summary in hidden)


def test_rules_are_counted_before_nothing_is_said_to_stand_out() -> None:
    said = " ".join(part(handover(demo("t-201")), "Situation"))
    assert re.search(r"\d+ of \d+ rules evaluated: none of them raises anything above a note", said)


def test_every_charted_sign_and_what_is_missing_stand_in_the_assessment() -> None:
    advice = demo("t-204")
    said = " ".join(" ".join(part(handover(advice), "Assessment")).split())
    before = "before: 58 /min, 16 /min more, 2 h ago"
    assert f"breathing rate 74 /min (quiet alert, counted 60 s); {before}; expected" in said
    assert "grunting by ear; expected absent" in said
    assert " missing " in said
    assert f"{advice['counts']['evaluated']} of {advice['counts']['rules']} rules evaluated" in said


def test_missing_context_of_a_finding_is_listed() -> None:
    bare = {"code": "oxygen-saturation", "value": 91, "unit": "%", "site": "foot"}
    assert re.search(r"missing +oxygen saturation: oxygen", handover(advise(entry(bare))))


def test_each_step_stands_once_in_the_order_of_time() -> None:
    steps = [line for line in part(handover(demo("t-204")), "Recommendation") if line.startswith("  - ")]
    times = [match[1] for line in steps if (match := re.search(r"by (\d\d:\d\d)", line))]
    assert times == sorted(times)
    words = [re.sub(r"^.*?(by \d\d:\d\d( \(past\))?: )", "", line) for line in steps]
    assert len(words) == len(set(words))


def test_an_answer_without_steps_leaves_the_units_own_routine() -> None:
    assert "no step beyond the unit's own routine" in handover(demo("t-201"))


def test_what_became_of_earlier_entries_is_background() -> None:
    said = " ".join(part(handover(advise(after(count(66), count(44)))), "Background"))
    assert "closed by this settled repeat: Fast breathing" in said


def test_if_it_changes_speaks_of_rechecks_and_of_what_is_provisional() -> None:
    said = " ".join(" ".join(part(handover(demo("t-202")), "If it changes")).split())
    assert "worry of a parent or nurse" in said
    assert "a repeat that is again outside its limit" in said
    assert "a full count then decides what is provisional" in said


def test_the_read_back_is_left_blank() -> None:
    said = part(handover(demo("t-204")), "Read back by")
    assert all("____" in line for line in said)
