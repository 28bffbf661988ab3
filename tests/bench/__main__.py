"""Measure and print the tables of docs/benchmarks.md: `python -m tests.bench [ROUNDS]`, from the checkout.

Every number is a ratio within this one run. Nothing here passes or fails.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from cds.adviser import Adviser
from cds.entry.read import read_entry, read_json
from cds.rules.load import freeze, load
from cds.rules.model import RuleSet
from cds.shipped import shipped
from tests.bench.contestants import ADVISER, CHAIN, PLAIN, Contestants, of_the_chain
from tests.bench.entries import weighed
from tests.bench.measure import Times, beside, commands, percentile
from tests.bench.sample import differing, sample

RULES = shipped("rulesets") / "infant-vitals"
SAMPLE, SEED = 1_000, 20251125
IMPORT = "import typer"
IN_A_ROW = 20
Table = Mapping[str, Times]


def main(rounds: int, starts: int) -> None:
    """All tables, as Markdown."""
    rules = load(RULES)
    contestants = Contestants(of_the_chain(rules))
    for line in _agreement(contestants):
        print(line)
    for heading, in_a_row in (("in a row", min(rounds, IN_A_ROW)), ("one by one", 1)):
        times = {name: beside(calls, rounds // in_a_row, in_a_row) for name, calls in contestants.each()}
        for line in (f"## Called {heading}", "", *_entries(times), *_goals(times)):
            print(line)
    for line in (*_history(Adviser(rules), rounds), *_starts(rules, starts)):
        print(line)


def _agreement(contestants: Contestants) -> Iterator[str]:
    odd = differing(contestants.adviser, sample(SAMPLE, SEED))
    yield f"Chain and plain evaluator: {SAMPLE} invented entries, {len(odd)} different findings."
    yield from odd[:3]
    unlike = [contestants.unlike(data) for data in sample(100, SEED)]
    for engine in ("zen-engine", "json-logic"):
        yield f"{engine} and plain evaluator: 100 entries, {sum(len(each[engine]) for each in unlike)} different rules."
    yield ""


def _entries(times: Mapping[str, Table]) -> Iterator[str]:
    names = list(next(iter(times.values())))
    everything = {name: sorted(each for table in times.values() for each in table[name]) for name in names}
    columns = {**times, "all": everything}
    yield f"| p50 (p99), chain's p50 = 1 | {' | '.join(columns)} |"
    yield f"| --- |{' --- |' * len(columns)}"
    for name in names:
        yield f"| {name} | {' | '.join(_ratio(table[name], table[CHAIN]) for table in columns.values())} |"
    yield ""


def _ratio(times: Times, base: Times) -> str:
    one = percentile(base, 50)
    return f"{_short(percentile(times, 50) / one)} ({_short(percentile(times, 99) / one)})"


def _short(number: float) -> str:
    return f"{number:.1f}" if number < 10 else f"{number:.0f}"


def _goals(times: Mapping[str, Table]) -> Iterator[str]:
    pooled = {
        name: sorted(each for table in times.values() for each in table[name]) for name in (CHAIN, PLAIN, ADVISER)
    }
    one = percentile(pooled[CHAIN], 50)
    yield f"The chain's p50 over all entries is {one / 1000:.1f} us of processor time on this machine."
    yield f"Plain evaluator: {percentile(pooled[PLAIN], 50) / one:.0f} times the chain; the goal is at most 10."
    yield f"Adviser: {percentile(pooled[ADVISER], 50) / one:.0f} times the chain; the goal is at most 400."
    yield ""


def _history(adviser: Adviser, rounds: int) -> Iterator[str]:
    """What earlier entries cost, under all rules: one entry with weight, length and head, alone and with twelve."""
    alone, with_twelve = (read_entry(read_json(json.dumps(weighed(number)))) for number in (0, 12))
    calls = {"alone": lambda: adviser.advise(alone), "with 12 earlier": lambda: adviser.advise(with_twelve)}
    times = beside(calls, rounds)
    yield "| adviser, p50 (p99), alone = 1 | |"
    yield "| --- | --- |"
    for name, each in times.items():
        yield f"| {name} | {_ratio(each, times['alone'])} |"
    yield ""


def _starts(rules: RuleSet, rounds: int) -> Iterator[str]:
    """Commands and loading, in multiples of importing typer in a new process."""
    python = sys.executable
    named = {
        IMPORT: (python, "-c", IMPORT),
        "cds --help": (str(Path(python).with_name("cds")), "--help"),
        "import cds.adviser": (python, "-c", "import cds.adviser"),
    }
    with TemporaryDirectory() as folder:
        frozen = Path(folder) / "frozen.json"
        freeze(RULES, frozen)
        loads = beside({"load, working copy": lambda: load(RULES), "load, frozen file": lambda: load(frozen)}, rounds)
        times = {**commands(named, rounds), **loads}
    yield "| p50 (p99), importing typer = 1 | |"
    yield "| --- | --- |"
    for name, each in times.items():
        yield f"| {name} | {_ratio(each, times[IMPORT])} |"
    yield f"\n{len(rules.rules)} rules, {len(rules.thresholds)} thresholds; Python {sys.version.split()[0]}."


if __name__ == "__main__":
    given = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    main(given, max(given // 25, 3))
