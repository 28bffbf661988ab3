"""Growth over age as told before it is drawn: lines, corrected age, and what keeps marks off the lines."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.judge.lms import At, cut_off
from tests.bedside import Data, adviser, entry
from tests.parts.drawn import at, panel, value

RULES = adviser().rules
BORN = "2025-11-03T11:40:00+00:00"
WEIGHTS = {"infant": {"id": "T-9", "birth": BORN, "sex": "female", "gestation": {"weeks": 40, "days": 0}}}


def test_growth_lines_are_the_cut_offs_of_the_reference() -> None:
    data = {**entry(value("body-weight", 3620, "g")), **WEIGHTS}
    found = panel(data, "body-weight")
    assert (found.title, found.axis.label) == ("Weight by age, female", "age in days")
    assert [each.words for each in found.references] == ["z -3", "z -2", "z 0", "z +2", "z +3"]
    assert RULES.growth is not None
    for line in found.references:
        for day, height in line.points:
            position = cut_off(At(RULES.growth.digest, "weight-for-age", "female", int(day)), Decimal(line.z))
            assert height * 10**11 == position // 2
    assert found.marks[0].x == 17


def test_growth_is_drawn_over_corrected_age_where_days_are_taken_off() -> None:
    infant = {**WEIGHTS["infant"], "gestation": {"weeks": 35, "days": 0}}
    early = at("08T09:00", value("body-weight", 2100, "g"))
    data = {**entry(value("body-weight", 2620, "g"), earlier=[early]), "infant": infant}
    data["event"] = {"measured": "2025-12-20T09:00:00+00:00"}
    found = panel(data, "body-weight")
    assert found.axis.label == "corrected age in days, born at 35 weeks 0 d"
    assert [(mark.x, mark.joined) for mark in found.marks] == [(12, False)]
    assert found.remarks == ("no mark for 2025-11-08 09:00 +00:00: 2100 g, before 40 weeks or birth",)


@pytest.mark.parametrize(
    ("infant", "why"),
    [
        ({"sex": "unknown"}, "sex not known"),
        ({"birth": None}, "age not known"),
        ({"gestation": {"weeks": 33, "days": 0}}, "before 40 weeks"),
    ],
)
def test_without_sex_or_age_growth_is_drawn_over_time_without_lines(infant: Data, why: str) -> None:
    data = entry(value("body-weight", 3620, "g"))
    data["infant"] = {key: each for key, each in {**data["infant"], **infant}.items() if each}
    found = panel(data, "body-weight")
    assert (found.references, found.axis.label) == ((), "time of measuring, UTC")
    assert found.remarks[0] == f"{why}: no reference lines"


def test_growth_says_what_keeps_marks_off_the_lines() -> None:
    infant = {"birth": "2025-11-03T11:40:00+00:00", "sex": "male"}
    swollen = {"code": "oedema-both-feet", "grade": "present"}
    standing = value("body-length", 52, "cm", position="standing")
    data = {**entry(value("body-weight", 3620, "g"), standing, swollen), "infant": infant}
    assert panel(data, "body-weight").remarks == (
        "gestation not charted: age since birth",
        "oedema of both feet: this weight has no place among the lines",
    )
    assert panel(data, "body-length").remarks[1].startswith("charted standing: drawn as charted")
