"""A difference between the evaluators is found, said and counted, and whatever either raised is in the advice."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from cds.advice.text import text
from cds.adviser import Adviser
from cds.cli.main import app
from cds.cli.output import DISAGREE
from cds.entry.read import read_entry
from cds.infer import durable
from cds.infer.agree import Evaluators
from cds.infer.durable import Engine, EngineFailed, EngineRule
from cds.judge.view import View
from cds.rules.model import RuleSet
from tests.agree.differ import Seen, compare_all, pair_of

pytestmark = pytest.mark.durable_rules

Data = dict[str, Any]
Change = Callable[[Sequence[EngineRule]], list[EngineRule]]

FAST: Data = {
    "infant": {"id": "T-501", "birth": "2026-03-02T04:20:00+01:00"},
    "event": {"id": "T-501-1", "measured": "2026-03-20T09:30:00+01:00"},
    "observations": [
        {"code": "respiratory-rate", "value": 64, "unit": "/min", "counted_seconds": 60, "state": "quiet-alert"}
    ],
}
PALE_AND_SLOW: Data = {
    **FAST,
    "observations": [
        {"code": "heart-rate", "value": 92, "unit": "/min", "counted_seconds": 60, "state": "quiet-alert"},
        {"code": "breathing-pause", "value": 24, "unit": "s"},
    ],
}


def without(rule: str) -> Change:
    """An engine that forgets a rule."""
    return lambda rules: [each for each in rules if each.id != rule]


def also(rule: str, when: str) -> Change:
    """An engine that fires one rule wherever another fires."""

    def changed(rules: Sequence[EngineRule]) -> list[EngineRule]:
        more = next(each.branches for each in rules if each.id == when)
        return [replace(each, branches=each.branches + more) if each.id == rule else each for each in rules]

    return changed


@pytest.fixture
def planted(rules: RuleSet, monkeypatch: pytest.MonkeyPatch) -> Callable[[Change], Adviser]:
    """An adviser whose engine holds other rules than the plain evaluator; every adviser made later is like it."""

    def make(change: Change) -> Adviser:
        monkeypatch.setattr(durable, "Engine", lambda made: Engine(change(made)))
        return Adviser(rules)

    return make


def advise(adviser: Adviser, data: Data) -> Data:
    advice = adviser.advise(read_entry(data))
    assert advice == json.loads(json.dumps(advice))
    return advice


def raised(advice: Data) -> dict[str, tuple[str, str]]:
    return {each["rule"]: (each["level"], each["status"]) for each in advice["findings"]}


def test_agreement_is_said_where_nothing_is_planted(adviser: Adviser) -> None:
    assert advise(adviser, FAST)["evaluators"] == {"answered": ["plain", "durable"], "agree": True}


def test_a_finding_that_the_engine_forgets_is_raised(planted: Callable[[Change], Adviser], adviser: Adviser) -> None:
    advice = advise(planted(without("fast-breathing-young-infant")), FAST)
    assert advice["findings"] == advise(adviser, FAST)["findings"]
    assert advice["evaluators"] == {
        "answered": ["plain", "durable"],
        "agree": False,
        "differ_on": ["fast-breathing-young-infant"],
    }


def test_a_finding_that_only_the_engine_makes_is_raised(planted: Callable[[Change], Adviser], adviser: Adviser) -> None:
    advice = advise(planted(also("abdomen-tense", "fast-breathing-young-infant")), FAST)
    assert raised(advice) == raised(advise(adviser, FAST)) | {"abdomen-tense": ("contact", "raised")}
    assert advice["evaluators"]["agree"] is False
    assert advice["evaluators"]["differ_on"] == ["abdomen-tense"]
    assert advice["counts"]["raised"] == len(advice["findings"])


def test_a_red_flag_outside_its_age_that_only_the_engine_makes_is_raised(
    planted: Callable[[Change], Adviser],
) -> None:
    advice = advise(planted(also("fever-61-days-to-under-3-months", "fast-breathing-young-infant")), FAST)
    assert raised(advice)["fever-61-days-to-under-3-months"] == ("contact", "raised")
    assert advice["evaluators"]["differ_on"] == ["fever-61-days-to-under-3-months"]


def test_a_difference_is_said_in_the_text(planted: Callable[[Change], Adviser]) -> None:
    said = text(advise(planted(without("fast-breathing-young-infant")), FAST), 100)
    assert "disagree on fast-breathing-young-infant" in " ".join(said.split())


def test_findings_made_from_a_forgotten_finding_are_raised_and_named(planted: Callable[[Change], Adviser]) -> None:
    advice = advise(planted(without("apnoea")), PALE_AND_SLOW)
    found = raised(advice)
    assert {"apnoea", "heart-rate-under-100-with-danger-sign"} <= found.keys()
    assert {"apnoea", "heart-rate-under-100-with-danger-sign"} <= set(advice["evaluators"]["differ_on"])


def test_the_greater_rank_stands_where_one_only_could_be(rules: RuleSet, adviser: Adviser) -> None:
    entry = {**FAST, "infant": {"id": "T-501"}}
    sure, doubtful = (read_entry(each) for each in (FAST, entry))
    evaluators = Evaluators(rules.rules)
    evaluators.engine = _Fixed(adviser, View(sure, rules))  # type: ignore[assignment]
    inference = evaluators.infer(View(doubtful, rules))
    assert "fast-breathing-young-infant" in inference.differences
    assert inference.verdicts["fast-breathing-young-infant"].word != "not-met"
    assert inference.verdicts["fast-breathing-young-infant"].rank.name == "MET"


class _Fixed:
    """An engine that answers another entry than the one it was asked."""

    def __init__(self, adviser: Adviser, view: View) -> None:
        self._fired = adviser.evaluators.infer(view)

    def fired(self, facts: frozenset[str]) -> frozenset[str]:
        return frozenset(rule for rule, verdict in self._fired.verdicts.items() if verdict.rank.name == "MET")


def test_one_evaluator_answers_where_the_engine_fails(rules: RuleSet, adviser: Adviser) -> None:
    alone = Adviser(rules)
    assert alone.evaluators.engine is not None
    alone.evaluators.engine.close()
    advice = advise(alone, FAST)
    assert advice["findings"] == advise(adviser, FAST)["findings"]
    assert advice["evaluators"] == {"answered": ["plain"], "agree": None, "why": "the engine is closed"}
    with pytest.raises(EngineFailed):
        alone.evaluators.engine.fired(frozenset())


def test_the_comparison_of_this_folder_counts_and_names_a_difference(
    planted: Callable[[Change], Adviser],
) -> None:
    adviser = planted(without("fast-breathing-young-infant"))
    seen = compare_all(pair_of(adviser), [("T-501", read_entry(FAST)), ("T-502", read_entry(PALE_AND_SLOW))], Seen())
    assert seen.differences == [
        "T-501: fast-breathing-young-infant: MET by plain, NOT_MET by the engine",
        "T-502: fast-breathing-young-infant: UNKNOWN by plain, NOT_MET by the engine",
    ]


def test_the_command_answers_and_ends_with_its_own_code(planted: Callable[[Change], Adviser], tmp_path: Path) -> None:
    planted(without("fast-breathing-young-infant"))
    entry, lines = tmp_path / "entry.json", tmp_path / "entries.ndjson"
    entry.write_text(json.dumps(FAST))
    lines.write_text(f"{json.dumps(PALE_AND_SLOW)}\n{json.dumps(FAST)}\n")
    for arguments in ([str(entry), "--as", "json"], [str(lines), "--lines"]):
        ended = CliRunner().invoke(app, ["advise", *arguments])
        assert ended.exit_code == DISAGREE, ended.output
        assert '"fast-breathing-young-infant"' in ended.output
