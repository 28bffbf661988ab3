"""Three-valued logic over verdicts, as least and greatest of a chain of ranks.

Takes verdicts, gives one verdict with the reasons that keep it from being told. With `unknown` and `possible` read as
one value this is Kleene's strong logic, the tables of CQL and of DMN's FEEL (tests/outside/test_logic_tables.py).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

from cds.values import Rank, Verdict

MET = Verdict(Rank.MET)
NOT_MET = Verdict(Rank.NOT_MET)
_SURE = (MET.rank, NOT_MET.rank)


def all_of(parts: Sequence[Verdict]) -> Verdict:
    """Met where every part is met; not met where any is not met."""
    return _told(min([part.rank for part in parts], default=MET.rank), parts)


def any_of(parts: Sequence[Verdict]) -> Verdict:
    """Met where any part is met; not met where every part is not met."""
    return _told(max([part.rank for part in parts], default=NOT_MET.rank), parts)


def none_of(parts: Sequence[Verdict]) -> Verdict:
    """Met where every part is not met; not met where any is met."""
    return negated(any_of(parts))


def negated(part: Verdict) -> Verdict:
    """Met and not met change places; what cannot be told stays so."""
    if part.rank is MET.rank:
        return NOT_MET
    return MET if part.rank is NOT_MET.rank else part


def at_least(n: int, parts: Sequence[Verdict]) -> Verdict:
    """Met where n parts are met; not met where so many cannot be reached."""
    ranks = sorted([part.rank for part in parts], reverse=True)
    return _told(ranks[n - 1] if n <= len(ranks) else NOT_MET.rank, parts)


def at_least_of(n: int) -> Callable[[Sequence[Verdict]], Verdict]:
    """`at_least` with its number set."""
    return lambda parts: at_least(n, parts)


def _told(rank: Rank, parts: Sequence[Verdict]) -> Verdict:
    if rank is MET.rank:
        return MET
    if rank is NOT_MET.rank:
        return NOT_MET
    return doubtful(rank, frozenset([part.reasons for part in parts if part.rank not in _SURE]))


@lru_cache(maxsize=4096)
def doubtful(rank: Rank, doubts: frozenset[frozenset[str]]) -> Verdict:
    """Cannot tell, for all of these reasons together; the same few come back for every entry."""
    return Verdict(rank, frozenset().union(*doubts))
