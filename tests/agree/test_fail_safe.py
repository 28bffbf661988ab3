"""Charted danger is never lost in missing context.

A red flag that is raised stays raised, at its own level, when circumstances are not charted; a rule of discuss or
contact that is met stays raised, at discuss or above. The rule data may say otherwise of a context; every place where
they do is listed here.
"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cds.advice.needs import leaves
from cds.adviser import Adviser
from cds.judge.choose import UNGRADED
from cds.judge.gates import age_gate
from cds.rules.model import LEVELS, Rule, RuleSet
from cds.values import Rank
from tests.agree.answers import Told, is_serious, level, tell
from tests.agree.changed import DANGER, drop_contexts, drop_gestation, drop_grades
from tests.chance import EXAMPLES, any_chance
from tests.invented import Tables, invent

DISCUSS = LEVELS.index("discuss")

READS_UNCHARTED_AS_OTHER = {"heart-rate-under-80-awake"}
"""A rate of 70 to 79 with the state not charted is judged as asleep, by another rule, at recheck."""
READS_UNGRADED_AS_OTHER = {
    "around-mouth-cyanosis",
    "around-mouth-cyanosis-with-sign",
    "grunting-by-stethoscope",
    "heart-rate-under-100-with-danger-sign",
    "nasal-flaring-marked",
    "respiratory-distress-grave",
    "retractions-severe",
    "severe-chest-indrawing-young-infant",
    "transition-signs-worsening",
}
"""Signs whose source or common practice gives the ungraded sign a rule, and a level, of its own."""


def test_rules_that_read_an_uncharted_context_as_something_are_those_listed(rules: RuleSet) -> None:
    reading = {
        rule.id
        for rule in rules.rules
        for leaf in leaves(rule.when)
        if is_serious(rule) and any(each.uncharted == "excluded" for each in leaf.where)
    }
    assert reading == READS_UNCHARTED_AS_OTHER


def test_rules_that_read_an_ungraded_sign_as_another_are_those_listed(rules: RuleSet) -> None:
    assert {rule.id for rule in rules.rules if is_serious(rule) and _reads_ungraded(rule)} == READS_UNGRADED_AS_OTHER


def _reads_ungraded(rule: Rule) -> bool:
    return any(leaf.ungraded == "not-met" for leaf in leaves(rule.when))


def lost(before: Told, after: Told) -> set[str]:
    """Rules of danger, met before, that after are raised no more or too low."""
    met = [made for made in before.findings.values() if made.verdict.rank is Rank.MET and is_serious(made.rule)]
    return {made.rule.id for made in met if not _stands(made.rule, after)}


def _stands(rule: Rule, after: Told) -> bool:
    made = after.findings.get(rule.id)
    if made is None:
        return False
    if rule.red_flag:
        return made.level == rule.level and made.status in ("raised", "confirmed")
    return level(made) >= min(DISCUSS, LEVELS.index(rule.level)) or made.preterm


@EXAMPLES
@given(data=st.data())
def test_danger_stands_without_state_route_site_oxygen_count_care_and_hour_of_birth(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    chance = any_chance(data)
    entry = invent(chance, tables)
    fewer = drop_contexts(entry, chance)
    if fewer is None:
        return
    before, after = tell(plain, entry), tell(plain, fewer)
    assert lost(before, after) <= READS_UNCHARTED_AS_OTHER
    assert before.red_flags() <= after.red_flags()


@EXAMPLES
@given(data=st.data())
def test_danger_stands_without_grade(data: st.DataObject, plain: Adviser, tables: Tables) -> None:
    chance = any_chance(data)
    entry = invent(chance, tables)
    code = chance.among(sorted(UNGRADED))
    entry["observations"].append({"code": code, "grade": chance.among(DANGER[code])})
    ungraded = drop_grades(entry, chance)
    if ungraded is None:
        return
    assert lost(tell(plain, entry), tell(plain, ungraded)) <= READS_UNGRADED_AS_OTHER | _scores(plain.rules)


def _scores(rules: RuleSet) -> set[str]:
    """Rules on scores: a score with an ungraded item has no total, and says so."""
    return {rule.id for rule in rules.rules if any(leaf.kind == "score" for leaf in leaves(rule.when))}


@EXAMPLES
@given(data=st.data())
def test_danger_stands_without_gestation(data: st.DataObject, plain: Adviser, tables: Tables) -> None:
    """Rules for either age are judged by the chronological one where the gestation is not charted."""
    entry = invent(any_chance(data), tables)
    unknown = drop_gestation(entry)
    if unknown is None:
        return
    before, after = tell(plain, entry), tell(plain, unknown)
    by_corrected_age = {
        rule.id
        for rule in plain.rules.rules
        if rule.gate.age == "either" and age_gate(rule.gate.bands, "chronological", after.view).rank is Rank.NOT_MET
    }
    assert lost(before, after) <= by_corrected_age


@EXAMPLES
@given(data=st.data())
def test_what_only_could_be_is_raised_at_discuss_or_as_a_red_flag_and_else_not(
    data: st.DataObject, plain: Adviser, tables: Tables
) -> None:
    told = tell(plain, invent(any_chance(data), tables))
    for rule in plain.rules.rules:
        made = told.findings.get(rule.id)
        if told.verdicts[rule.id].rank is not Rank.POSSIBLE:
            continue
        assert (made is not None) is is_serious(rule), rule.id
        if made is not None and not rule.red_flag and not made.preterm:
            assert (made.level, made.status in ("provisional", "held")) == ("discuss", True), rule.id
