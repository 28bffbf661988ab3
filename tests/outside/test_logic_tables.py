"""Three-valued logic against two published standards, cell by cell.

- HL7 Clinical Quality Language 1.5.3, reference, logical operators (and, or, not); its own test file prints each cell.
- OMG Decision Model and Notation 1.5, FEEL, 10.3.2: conjunction, disjunction and negation with null; the cells are
  those of its compatibility kit, level 3, 0064 to 0066.
Both write null for what we tell apart as unknown and possible; either stands for null here. The laws of a chain (all is
the least, any the greatest) are Kleene's strong logic on four ranks.
"""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.judge.logic import all_of, any_of, at_least, negated, none_of
from cds.values import Rank, Verdict

T, F, N = "true", "false", "null"

CQL_AND = {
    (T, T): T,
    (T, F): F,
    (T, N): N,
    (F, T): F,
    (F, F): F,
    (F, N): F,
    (N, T): N,
    (N, F): F,
    (N, N): N,
}
CQL_OR = {
    (T, T): T,
    (T, F): T,
    (T, N): T,
    (F, T): T,
    (F, F): F,
    (F, N): N,
    (N, T): T,
    (N, F): N,
    (N, N): N,
}
CQL_NOT = {T: F, F: T, N: N}

FEEL_CONJUNCTION = {
    (T, T): T,
    (T, F): F,
    (T, N): N,
    (F, T): F,
    (F, F): F,
    (F, N): F,
    (N, T): N,
    (N, F): F,
    (N, N): N,
}
FEEL_DISJUNCTION = {
    (T, T): T,
    (T, F): T,
    (T, N): T,
    (F, T): T,
    (F, F): F,
    (F, N): N,
    (N, T): T,
    (N, F): N,
    (N, N): N,
}
FEEL_NEGATION = {T: F, F: T, N: N}

UNKNOWN = Verdict(Rank.UNKNOWN, frozenset({"missing-input"}))
POSSIBLE = Verdict(Rank.POSSIBLE, frozenset({"unknown-route"}))
OURS = {T: [Verdict(Rank.MET)], F: [Verdict(Rank.NOT_MET)], N: [UNKNOWN, POSSIBLE]}
SAID = {"met": T, "not-met": F, "cannot-tell": N}
VERDICTS = st.sampled_from([each for verdicts in OURS.values() for each in verdicts])
SEVERAL = st.lists(VERDICTS, max_size=6)


def cells(table: dict[tuple[str, str], str]) -> list[tuple[Verdict, Verdict, str]]:
    return [(ours, other, said) for (one, two), said in table.items() for ours, other in product(OURS[one], OURS[two])]


@pytest.mark.parametrize(("one", "two", "said"), cells(CQL_AND) + cells(FEEL_CONJUNCTION))
def test_all_of_two_is_their_and(one: Verdict, two: Verdict, said: str) -> None:
    assert SAID[all_of([one, two]).word] == said


@pytest.mark.parametrize(("one", "two", "said"), cells(CQL_OR) + cells(FEEL_DISJUNCTION))
def test_any_of_two_is_their_or(one: Verdict, two: Verdict, said: str) -> None:
    assert SAID[any_of([one, two]).word] == said


@pytest.mark.parametrize("table", [CQL_NOT, FEEL_NEGATION])
@pytest.mark.parametrize("one", [T, F, N])
def test_negated_and_none_of_one_are_their_not(table: dict[str, str], one: str) -> None:
    for verdict in OURS[one]:
        assert SAID[negated(verdict).word] == table[one]
        assert SAID[none_of([verdict]).word] == table[one]


@given(SEVERAL)
def test_all_is_the_least_rank_and_any_the_greatest(parts: list[Verdict]) -> None:
    ranks = [part.rank for part in parts]
    assert all_of(parts).rank == min(ranks, default=Rank.MET)
    assert any_of(parts).rank == max(ranks, default=Rank.NOT_MET)


@given(SEVERAL, st.integers(1, 7))
def test_at_least_n_is_the_nth_greatest_rank(parts: list[Verdict], n: int) -> None:
    ranks = sorted((part.rank for part in parts), reverse=True)
    assert at_least(n, parts).rank == (ranks[n - 1] if n <= len(ranks) else Rank.NOT_MET)


@given(VERDICTS, VERDICTS, VERDICTS)
def test_and_distributes_over_or_and_or_over_and(one: Verdict, two: Verdict, three: Verdict) -> None:
    over_or = any_of([all_of([one, two]), all_of([one, three])])
    over_and = all_of([any_of([one, two]), any_of([one, three])])
    assert all_of([one, any_of([two, three])]).rank == over_or.rank
    assert any_of([one, all_of([two, three])]).rank == over_and.rank


@given(SEVERAL)
def test_none_is_all_negated_in_the_three_words(parts: list[Verdict]) -> None:
    """De Morgan. Not on the four ranks: negation keeps unknown and possible, so least and greatest may change."""
    assert none_of(parts).word == all_of([negated(part) for part in parts]).word


@given(SEVERAL, st.data())
def test_what_is_told_stays_told_when_more_is_known(parts: list[Verdict], data: st.DataObject) -> None:
    told = st.sampled_from([*OURS[T], *OURS[F]])
    known = [data.draw(told) if part.reasons else part for part in parts]
    for way in (all_of, any_of, none_of):
        if not way(parts).reasons:
            assert way(known) == way(parts)
