"""What a derived value answered before: at the last earlier entry that tells, whatever lies between."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from cds.advice.explain import explain
from cds.advice.reasons import reasons
from cds.cli.rule_words import condition_lines
from cds.judge import derive as catalogue
from cds.judge.criteria import judge
from cds.judge.view import Judged
from cds.rules.conditions import Named, condition
from cds.rules.model import Criterion
from cds.values import Rank, Verdict
from tests.verdicts.bedside import Data, saturation, view_of
from tests.verdicts.golden import rule_set

FIRST, SECOND, THIRD = (f"2025-11-12T0{hour}:00:00+00:00" for hour in (6, 7, 8))
WORDS = ("met", "not-met", "untold")
UNTOLD_GESTATION = frozenset({"unknown-gestation"})


def asked(*was: str, within: str = "24 h") -> Criterion:
    """Mean pressure under the weeks of gestation now, and before as asked."""
    data = {"derived": "mean-pressure-below-gestation", "reaches": "mean-pressure-under-gestation"}
    made = condition({**data, **({"before": {"was": list(was), "within": within}} if was else {})}, Named({}, {}))
    assert isinstance(made, Criterion)
    return made


def pressure(value: int, **more: Any) -> Data:
    return {"code": "mean-pressure", "value": value, "unit": "mm[Hg]", **more}


LOW, HIGH = [pressure(35)], [pressure(45)]


def answers(now: list[Data], *earlier: tuple[str, list[Data]], **more: Any) -> dict[str, str]:
    view = view_of(now, *earlier, **more)
    return {was: judge(asked(was), view).verdict.rank.name for was in WORDS}


def only(word: str, rank: str = "MET") -> dict[str, str]:
    return dict.fromkeys(WORDS, "NOT_MET") | {word: rank}


@pytest.mark.parametrize(
    ("earlier", "was"),
    [
        ((), "untold"),
        (((FIRST, LOW),), "met"),
        (((FIRST, HIGH),), "not-met"),
        (((FIRST, LOW), (SECOND, HIGH)), "not-met"),
        (((FIRST, HIGH), (SECOND, LOW)), "met"),
        (((FIRST, LOW), (SECOND, [saturation(97)])), "met"),
        (((FIRST, HIGH), (SECOND, [{**LOW[0], "status": "entered-in-error"}])), "not-met"),
        (((FIRST, [saturation(97)]),), "untold"),
        (((FIRST, LOW), (FIRST, HIGH)), "not-met"),
        (((FIRST, HIGH), (FIRST, LOW)), "met"),
    ],
)
def test_exactly_one_word_is_met_by_the_last_entry_that_tells(
    earlier: tuple[tuple[str, list[Data]], ...], was: str
) -> None:
    assert answers(LOW, *earlier) == only(was)


def test_a_value_that_is_not_met_now_asks_nothing_of_before() -> None:
    for earlier in ((), ((FIRST, LOW),), ((FIRST, HIGH),)):
        assert set(answers(HIGH, *earlier).values()) == {"NOT_MET"}
    assert answers([], (FIRST, LOW)) == dict.fromkeys(WORDS, "UNKNOWN")


def test_an_entry_out_of_the_time_asked_for_does_not_tell() -> None:
    view = view_of(LOW, (THIRD, HIGH))
    assert judge(asked("not-met", within="90 min"), view).verdict == Verdict(Rank.MET)
    assert judge(asked("untold", within="89 min"), view).verdict == Verdict(Rank.MET)


def test_two_words_are_met_by_either() -> None:
    new = asked("not-met", "untold")
    for earlier, rank in (((), Rank.MET), (((FIRST, HIGH),), Rank.MET), (((FIRST, LOW),), Rank.NOT_MET)):
        assert judge(new, view_of(LOW, *earlier)).verdict == Verdict(rank)


def test_without_gestation_the_same_infant_is_in_doubt_both_times() -> None:
    unknown = {"gestation": None}
    assert answers(LOW, (FIRST, LOW), infant=unknown) == {"met": "POSSIBLE", "not-met": "UNKNOWN", "untold": "NOT_MET"}
    assert answers(LOW, infant=unknown) == only("untold", "POSSIBLE")
    found = judge(asked("met"), view_of(LOW, (FIRST, LOW), infant=unknown))
    assert found.verdict == Verdict(Rank.POSSIBLE, UNTOLD_GESTATION)


def test_the_entry_that_told_is_named_with_what_it_read() -> None:
    found = judge(asked("not-met"), view_of(LOW, (FIRST, HIGH), (SECOND, [])))
    assert found.past is not None
    assert found.past.event.measured is not None
    assert found.past.event.measured.text == FIRST
    assert found.then is not None
    assert found.then.verdict == Verdict(Rank.NOT_MET)
    assert judge(asked("untold"), view_of(LOW)) == Judged(Verdict(Rank.MET), found.readings)


def test_why_it_is_raised_says_what_was_before() -> None:
    told = explain(asked("not-met"), view_of(LOW, (FIRST, HIGH)), {})
    assert told["was"] == ["not-met"]
    assert (told["before"]["entry"], told["before"]["verdict"]) == (FIRST, "not-met")
    (said,) = reasons(told)
    assert said.endswith(f"; before, in entry {FIRST}: mean pressure 45 mmHg, gestation 39 weeks 4 d")
    (alone,) = reasons(explain(asked("untold"), view_of(LOW), {}))
    assert alone.endswith("; not told before")


def test_a_rule_page_says_what_is_asked_of_before() -> None:
    ((_, said),) = condition_lines(asked("not-met", "untold"), rule_set())
    assert said.endswith(", and before, at the last entry within 24 h that tells: not so or none told")


def test_the_key_of_a_look_back_shares_the_judgement_without_it() -> None:
    assert asked("met").before is not None
    assert asked("met").before.key == asked("untold").before.key == asked().key  # type: ignore[union-attr]
    assert asked("met").key != asked("untold").key
    assert replace(asked("met"), before=None, key=asked().key) == asked()


def test_each_entry_is_computed_once_however_many_look_back(monkeypatch: pytest.MonkeyPatch) -> None:
    name, computed = "mean-pressure-below-gestation", []
    plain = catalogue.DERIVED[name]

    def counting(view: Any) -> Any:
        computed.append(view.entry.event.measured.text)
        return plain(view)

    monkeypatch.setitem(catalogue.DERIVED, name, counting)
    times = [f"2025-11-12T{minute // 60 + 1:02d}:{minute % 60:02d}:00+00:00" for minute in range(200)]
    view = view_of(LOW, *((at, [saturation(97)]) for at in times))
    for within in ("10 h", "12 h", "24 h"):
        for was in WORDS:
            judge(asked(was, within=within), view)
    assert len(computed) == len(set(computed)) == 201
