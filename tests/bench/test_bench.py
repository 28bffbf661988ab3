from __future__ import annotations

import re

import pytest

from cds.adviser import Adviser
from cds.rules.load import load
from tests.bench.__main__ import RULES, main
from tests.bench.contestants import ADVISER, CHAIN, PLAIN, Contestants, of_the_chain
from tests.bench.entries import entries
from tests.bench.measure import percentile
from tests.bench.sample import differing, sample


@pytest.fixture(scope="module")
def contestants() -> Contestants:
    return Contestants(of_the_chain(load(RULES)))


def test_the_chain_raises_what_the_rules_raise_on_rates_temperature_and_saturation(contestants: Contestants) -> None:
    adviser: Adviser = contestants.adviser
    assert differing(adviser, sample(300, 1)) == []


def test_the_general_engines_meet_the_rules_that_plain_meets(contestants: Contestants) -> None:
    for data in (*entries().values(), *sample(40, 2)):
        assert contestants.unlike(data) == {"zen-engine": frozenset(), "json-logic": frozenset()}


def test_the_tables_give_ratios_to_the_chain(capsys: pytest.CaptureFixture[str]) -> None:
    main(2, 1)
    said = capsys.readouterr().out
    rows = {row[0].strip(): row[1:] for line in said.splitlines() if len(row := line.strip("| ").split("|")) > 1}
    assert all(cell.strip().startswith("1.0 (") for cell in rows[CHAIN])
    for name in ("zen-engine", "json-logic", "judge alone", PLAIN, "both evaluators", ADVISER, "cds --help"):
        assert rows[name]
        assert all(re.fullmatch(r"[\d.]+ \([\d.]+\)", cell.strip()) for cell in rows[name])


def test_a_percentile_is_one_of_the_times() -> None:
    times = [float(each) for each in range(200)]
    assert (percentile(times, 50), percentile(times, 99), percentile(times, 100)) == (100.0, 198.0, 199.0)
