"""Compare both evaluators on very many random entries, all boundary entries and all golden cases.

By hand: `python -m tests.agree.by_hand --seed 20261125 --entries 100000`. Prints counts while it runs and a closing
line; ends with 1 where any verdict differed, or where the engine had to be built again.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from collections.abc import Iterable, Iterator
from itertools import chain, islice
from pathlib import Path

from cds import cases
from cds.adviser import Adviser
from cds.entry.model import Entry
from cds.entry.read import read_entry
from cds.rules.load import load
from cds.values import Rank
from tests.agree.differ import Pair, Seen, compare_all, pair_of, untrimmed
from tests.boundary import boundary
from tests.chance import Seeded
from tests.invented import invent, tables_of

RULES = Path(__file__).parents[2] / "rulesets" / "infant-vitals"
CHUNK = 10_000
UNTRIMMED_EACH = 100
WORDS = {Rank.NOT_MET: "not met", Rank.UNKNOWN: "unknown", Rank.POSSIBLE: "possible", Rank.MET: "met"}


def random_entries(pair: Pair, seed: int, number: int) -> Iterator[tuple[str, Entry]]:
    """So many random entries, each named by seed and place."""
    tables = tables_of(pair.rules)
    for place in range(number):
        yield f"entry {seed}/{place}", read_entry(invent(Seeded(f"{seed}/{place}"), tables))


def golden_entries(folder: Path) -> Iterator[tuple[str, Entry]]:
    """The entry of every golden case."""
    for case in cases.read(folder):
        yield case.id, read_entry(case.entry)


def compare(pair: Pair, title: str, named: Iterable[tuple[str, Entry]]) -> Seen:
    """Compare on every entry, printing as it goes."""
    seen, entries = Seen(), iter(named)
    while chunk := list(islice(entries, CHUNK)):
        compare_all(pair, chunk, seen)
        seen.differences += [f"{name}, untrimmed: {odd}" for name, odd in _untrimmed(pair, chunk)]
        print(f"{title}: {seen.entries:,} entries, {len(seen.differences)} differences", flush=True)
    return seen


def _untrimmed(pair: Pair, chunk: list[tuple[str, Entry]]) -> Iterator[tuple[str, str]]:
    for name, entry in chunk[::UNTRIMMED_EACH]:
        yield from ((name, odd) for odd in untrimmed(pair, entry))


def summary(seen: Seen, pair: Pair) -> Iterator[str]:
    """What random entries reached, as lines."""
    ranks = {rank: sum(count for (_, each), count in seen.ranks.items() if each is rank) for rank in Rank}
    yield "random verdicts: " + ", ".join(
        f"{count:,} {rank.name.lower().replace('_', ' ')}" for rank, count in ranks.items()
    )
    for rank in (Rank.MET, Rank.POSSIBLE):
        never = seen.never(rank)
        yield f"rules never {WORDS[rank]}: {len(never)} of {len(pair.rules.rules)} {' '.join(never)}"


def main() -> int:
    """Run and say what was seen; 1 where anything differed."""
    parser = ArgumentParser(description="Compare the two evaluators on random, boundary and golden entries.")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--entries", type=int, default=100_000)
    given = parser.parse_args()
    adviser = Adviser(load(RULES))
    pair = pair_of(adviser)
    drawn = compare(pair, "random", random_entries(pair, given.seed, given.entries))
    edges = compare(pair, "boundary", ((name, read_entry(entry)) for name, entry in boundary(pair.rules)))
    golden = compare(pair, "golden", golden_entries(RULES))
    differences = list(chain(drawn.differences, edges.differences, golden.differences))
    rebuilds = adviser.evaluators.engine.rebuilds if adviser.evaluators.engine else 0
    verdicts = drawn.verdicts + edges.verdicts + golden.verdicts
    print("\n".join([*summary(drawn, pair), *differences[:50]]))
    print(
        f"seed {given.seed}: {drawn.entries:,} random, {edges.entries:,} boundary, {golden.entries:,} golden entries; "
        f"{verdicts:,} verdicts at three cuts, {len(differences)} differences, {rebuilds} rebuilds; "
        f"rule set {pair.rules.digest}"
    )
    return 1 if differences or rebuilds else 0


if __name__ == "__main__":
    sys.exit(main())
