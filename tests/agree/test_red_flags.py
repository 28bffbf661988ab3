"""Red flags are never provisional, held or hidden, and no supersession hides a second matter for the clinician."""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st

from cds.advice.status import Raised
from cds.adviser import Adviser
from cds.rules.model import LEVELS, Rule, RuleSet
from tests.agree.answers import Told, level, tell
from tests.chance import EXAMPLES, any_chance
from tests.invented import Tables, invent


@EXAMPLES
@given(data=st.data())
def test_status_and_supersession(data: st.DataObject, plain: Adviser, tables: Tables) -> None:
    told = tell(plain, invent(any_chance(data), tables))
    for made in told.findings.values():
        over = [told.findings[rule] for rule in made.superseded_by]
        if made.rule.red_flag:
            assert made.status in ("raised", "confirmed"), made.rule.id
            assert made.level == made.rule.level, made.rule.id
            assert all(each.rule.red_flag for each in over), made.rule.id
        assert all(level(each) >= level(made) and each.status != "held" for each in over), made.rule.id
        assert not over or any(not each.superseded_by for each in _above(made, told)), made.rule.id
        if made.level == "contact":
            assert all(each.rule.area == made.rule.area for each in over), made.rule.id
            assert made.status == "provisional" or all(each.status != "provisional" for each in over), made.rule.id


def _above(made: Raised, told: Told) -> Iterator[Raised]:
    """Every finding that supersedes it, or supersedes one that does."""
    seen: set[str] = set()
    waiting = list(made.superseded_by)
    while waiting:
        rule = waiting.pop()
        if rule not in seen:
            seen.add(rule)
            yield told.findings[rule]
            waiting += told.findings[rule].superseded_by


def _hides(rules: RuleSet) -> Iterator[tuple[Rule, Rule]]:
    by_id = {rule.id: rule for rule in rules.rules}
    yield from ((rule, by_id[other]) for rule in rules.rules for other in rule.supersedes)


def test_what_supersedes_a_contact_finding_reads_the_same_observations(rules: RuleSet) -> None:
    """A fever measured now stands for one reported: both are the one fever."""
    pairs = [(rule, other) for rule, other in _hides(rules) if other.level == "contact"]
    assert pairs
    apart = {other.id for rule, other in pairs if rule.codes.isdisjoint(other.codes)}
    assert apart == {"reported-fever-to-60-days"}
    assert all(rule.area == other.area for rule, other in pairs)


def test_every_red_flag_is_a_contact_and_is_superseded_by_red_flags_alone(rules: RuleSet) -> None:
    assert {rule.level for rule in rules.rules if rule.red_flag} == {LEVELS[-1]}
    flags_hidden = [(rule, other) for rule, other in _hides(rules) if other.red_flag]
    assert all(rule.red_flag for rule, _ in flags_hidden)
