"""Worse values, more signs and more inputs: what they may change in an answer, and what they never do."""

from __future__ import annotations

from datetime import datetime

from hypothesis import given
from hypothesis import strategies as st

from cds.advice.needs import leaves
from cds.adviser import Adviser
from cds.judge.criteria import judge
from cds.judge.view import WITHHELD
from cds.rules.model import Rule
from cds.values import Rank
from tests.agree.answers import Told, tell
from tests.agree.changed import add_danger, chart, not_charted, worsen
from tests.chance import EXAMPLES, any_chance
from tests.invented import Maker, Tables, invent

NOW = datetime.fromisoformat("2025-01-01T00:00:00+00:00")


@EXAMPLES
@given(data=st.data())
def test_a_worse_value_removes_no_red_flag_and_lowers_no_level(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    """The level is held over entries that raise nothing on their own quality; red flags over all entries."""
    chance = any_chance(data)
    entry = invent(chance, tables)
    worse = worsen(entry, chance, plain.rules)
    if worse is None:
        return
    before, after = tell(plain, entry), tell(plain, worse)
    assert before.red_flags() <= after.red_flags()
    if not before.is_in_doubt and not after.is_in_doubt:
        assert after.highest >= before.highest


@EXAMPLES
@given(data=st.data())
def test_one_more_sign_of_danger_removes_no_red_flag_and_lowers_no_level(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    chance = any_chance(data)
    entry = invent(chance, tables)
    more = add_danger(entry, chance)
    if more is None:
        return
    before, after = tell(plain, entry), tell(plain, more)
    assert before.red_flags() <= after.red_flags()
    assert after.highest >= before.highest


@EXAMPLES
@given(data=st.data())
def test_what_is_not_charted_is_never_read_as_met_or_not_met(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    """No criterion on a code is told where no observation of that code gives a value or grade.

    Apart from the one that asks whether it was charted again: charting nothing is what it looks for.
    """
    told = tell(plain, invent(any_chance(data), tables))
    for rule in plain.rules.rules:
        for leaf in leaves(rule.when):
            if leaf.kind == "observed" and not leaf.unanswered and not _gives(told, leaf.subject):
                assert judge(leaf, told.view).verdict.rank is Rank.UNKNOWN, (rule.id, leaf.key)


def _gives(told: Told, code: str) -> bool:
    if told.view.entry.event.status in WITHHELD:
        return False
    return any((each.quantity or each.grades) and each.status not in WITHHELD for each in told.view.charted(code))


@EXAMPLES
@given(data=st.data())
def test_a_verdict_that_is_told_stands_whatever_else_is_charted(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    """Met or not met without a code is met or not met with it: the missing code was not read as an answer.

    A history of fever is left out for the duration of a fever: one that begins before a charted temperature below the
    limit is longer than the charted run, and the longer one counts. The order of measurement is left out: it is that of
    all that has a time of its own, and one more can turn it.
    """
    chance = any_chance(data)
    code = chance.among(sorted({code for rule in plain.rules.rules for code in rule.codes}))
    bare = not_charted(invent(chance, tables), code)
    before = tell(plain, bare).verdicts
    after = tell(plain, chart(bare, Maker(chance, tables, NOW, None), code)).verdicts
    ordered = {rule.id for rule in plain.rules.rules if _reads(rule, "order-of-measurement")}
    told = {rule: made.word for rule, made in before.items() if made.word != "cannot-tell" and rule not in ordered}
    if code == "fever-history":
        told = {
            rule.id: told[rule.id] for rule in plain.rules.rules if rule.id in told and not _reads(rule, "fever-hours")
        }
    assert {rule: after[rule].word for rule in told} == told


def _reads(rule: Rule, derived: str) -> bool:
    return any(leaf.subject == derived for leaf in leaves(rule.when))
