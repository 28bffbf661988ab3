"""Few and right: how often the rules raise something for 1,000 invented well infants, three visits each."""

from __future__ import annotations

import pytest

from cds.adviser import Adviser
from cds.entry.read import read_entry
from tests.agree.well_infants import VISITS, breathing_rate, heart_rate, visit_of, well_infants
from tests.agree.well_tally import GOALS, Tally, count_levels, level_table, rule_table


@pytest.fixture(scope="module")
def made(adviser: Adviser) -> Tally:
    return count_levels(adviser, well_infants(1000))


@pytest.mark.parametrize("level", GOALS)
def test_well_infants_raise_no_more_than_the_goal(made: Tally, level: str) -> None:
    assert made.share(level) <= GOALS[level], "\n".join(level_table(made) + rule_table(made))


def test_some_well_infants_raise_something_as_the_tails_of_the_sources_are_drawn(made: Tally) -> None:
    assert made.highest["recheck"] > 15
    assert made.highest["nothing"] > 1000
    assert sum(made.highest.values()) == made.entries == 3000


def test_infants_of_every_visit_are_drawn_asleep_and_awake_with_and_without_state() -> None:
    entries = list(enumerate(well_infants(1000)))
    for visit, first, last in VISITS:
        ages = [read_entry(entry) for place, entry in entries if visit_of(place)[0] == visit]
        states = {str(entry.observations[0].context.get("state")) for entry in ages}
        assert states == {"deep-sleep", "light-sleep", "drowsy", "quiet-alert", "None"}, visit
        seconds = [e.event.measured.seconds.low - e.infant.birth.seconds.low for e in ages]  # type: ignore[union-attr]
        assert first * 86_400 - 60 <= min(seconds) < max(seconds) <= last * 86_400, visit


def test_the_same_seed_draws_the_same_infants_and_another_others() -> None:
    assert well_infants(20) == well_infants(20)
    assert well_infants(20) != well_infants(20, seed=1)


# Rusconi 1994: 5th, 50th and 95th centile by the equations, as the authors' tables round them.
@pytest.mark.parametrize(
    ("months", "awake", "asleep"), [(1, (34, 47, 64), (26, 37, 52)), (12, (26, 36, 49), (20, 28, 39))]
)
def test_breathing_rates_are_those_of_the_equations(
    months: int, awake: tuple[int, ...], asleep: tuple[int, ...]
) -> None:
    for state, row in ((False, awake), (True, asleep)):
        drawn = [breathing_rate(months * 30.4375, state, z) for z in (-1.645, 0, 1.645)]
        assert all(abs(rate - printed) <= 1 for rate, printed in zip(drawn, row, strict=True))


# Fleming 2011, web appendix: 1st, 50th, 99th centile.
@pytest.mark.parametrize(("days", "row"), [(0, (90, 127, 164)), (31, (107, 143, 181)), (560, (82, 116, 149))])
def test_heart_rates_are_those_of_the_centiles(days: int, row: tuple[int, ...]) -> None:
    assert tuple(heart_rate(days, z) for z in (-2.3263, 0, 2.3263)) == row
