"""Whom a rule applies to: age bands of one kind, and what is being done for the infant.

Gives met (applies), not met with the reason outside-rule-age or outside-rule-care, or possible where the age span
reaches over an edge. Care that is not charted closes no gate.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from cds.entry.ages import MOST_CORRECTED, Age
from cds.judge.logic import MET, NOT_MET
from cds.judge.view import View, unknown
from cds.rules.model import AgeKind, Band, Gate
from cds.values import Rank, Verdict

OUTSIDE_AGE = Verdict(Rank.NOT_MET, frozenset({"outside-rule-age"}))
OUTSIDE_CARE = Verdict(Rank.NOT_MET, frozenset({"outside-rule-care"}))


def gate(wanted: Gate, view: View) -> Verdict:
    """Whether a rule applies to this entry, judged once for each gate and view."""
    found = view.gates.get(id(wanted))
    if found is None:
        found = view.gates[id(wanted)] = _gate(wanted, view)
    return found


def _gate(wanted: Gate, view: View) -> Verdict:
    if is_outside_care(wanted, view):
        return OUTSIDE_CARE
    if wanted.scoped and is_under("scope_from", view):
        return OUTSIDE_AGE
    aged = age_gate(wanted.bands, wanted.age, view)
    return OUTSIDE_AGE if aged is NOT_MET else aged


def is_outside_care(wanted: Gate, view: View) -> bool:
    """Whether what is being done for the infant, as charted, closes the gate."""
    care = view.entry.care
    cooled = "cooled" in wanted.outside_care and "cooling" in care
    return cooled or care.get("breathing_support") in wanted.outside_care


def is_under(setting: str, view: View) -> bool:
    """Whether the postmenstrual age is known and under the one that a setting names ("32 wk")."""
    found = view.under.get(setting)
    if found is None:
        found = view.under[setting] = _is_under(setting, view)
    return found


def _is_under(setting: str, view: View) -> bool:
    age = view.ages.postmenstrual
    return age is not None and age.at_least(int(view.rules.settings[setting].split()[0]), "wk") is False


def age_gate(bands: tuple[Band, ...], kind: AgeKind, view: View) -> Verdict:
    """Whether the age of one kind lies in any of the bands; for `either`, chronological or corrected.

    A corrected age below zero counts as in a band that begins at birth.
    """
    if kind != "either":
        return _in_any(bands, kind, view)
    born = _in_any(bands, "chronological", view)
    corrected = view.ages.corrected
    if corrected is None:
        return born
    since_due = _told([_since_due(band, corrected, view) for band in joined(bands)])
    return max(born, since_due, key=lambda verdict: verdict.rank)


def _since_due(band: Band, corrected: Age, view: View) -> bool | None:
    if band.start.amount:
        return view.in_band(band, "corrected")
    ended = corrected.at_least(band.end.amount, band.end.unit)
    return None if ended is None else not ended


def _in_any(bands: tuple[Band, ...], kind: AgeKind, view: View) -> Verdict:
    if view.age(kind) is None:
        return NOT_MET if _is_past(bands, kind, view) else unknown(view.why_no_age(kind), Rank.POSSIBLE)
    return _told([view.in_band(band, kind) for band in joined(bands)])


def _told(answers: list[bool | None]) -> Verdict:
    if True in answers:
        return MET
    return unknown("unknown-age", Rank.POSSIBLE) if None in answers else NOT_MET


def _is_past(bands: tuple[Band, ...], kind: AgeKind, view: View) -> bool:
    # Whatever the gestation: a postmenstrual age is never under the chronological one, a corrected one little under it.
    age = view.ages.chronological
    if age is None:
        return False
    youngest = age.later("corrected", MOST_CORRECTED) if kind == "corrected" else age
    return all(youngest.at_least(band.end.amount, band.end.unit) for band in bands)


@lru_cache(maxsize=1024)
def joined(bands: tuple[Band, ...]) -> tuple[Band, ...]:
    """Bands that meet at a seam, as one: an age that may lie on either side of the seam lies in both."""
    whole: list[Band] = []
    for band in bands:
        if whole and whole[-1].end == band.start:
            whole[-1] = replace(whole[-1], end=band.end)
        else:
            whole.append(band)
    return tuple(whole)
