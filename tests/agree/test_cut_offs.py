"""Every cut-off of the growth reference against z at 50 digits, at the cut-off and one tick on either side.

All rows run in seconds: each index and sex, day 0 to 730, length 45 to 110 cm, z -3, -2, 2, 3 and WHO's limits of
plausibility. Lengths between two rows and other z are drawn at random.
"""

from __future__ import annotations

from decimal import Decimal
from random import Random

import pytest

from cds.rules.growth import installed_digest
from tests.agree import cut_offs
from tests.agree.cut_offs import FILES, Asked, check, every, odd

DRAWN = 3_000


def test_each_cut_off_is_where_z_changes_its_side() -> None:
    count, wrong = check(every())
    assert count == 34_128
    assert wrong == []


def test_the_median_stands_on_a_tick_and_is_not_below_itself() -> None:
    asked = [
        Asked(index, sex, day, Decimal(0))
        for index in FILES
        if index != "weight-for-length"
        for sex in ("female", "male")
        for day in range(731)
    ]
    assert check(asked) == (4_386, [])


def test_so_it_is_between_two_rows_of_length() -> None:
    draw = Random(7)
    sexes = draw.choices(("female", "male"), k=DRAWN)
    asked = [
        Asked(
            "weight-for-length", sex, draw.randint(4_500_000, 11_000_000), Decimal(draw.choice((-5, -3, -2, 2, 3, 5)))
        )
        for sex in sexes
    ]
    assert check(asked) == (DRAWN, [])


def test_so_it_is_for_any_z_to_two_decimals() -> None:
    draw = Random(11)
    drawn = [(draw.choice(list(FILES)), draw.choice(("female", "male"))) for _ in range(DRAWN)]
    asked = [Asked(index, sex, _row(index, draw), Decimal(draw.randint(-900, 900)) / 100) for index, sex in drawn]
    assert check(asked) == (DRAWN, [])


def _row(index: str, draw: Random) -> int:
    return draw.randint(450, 1_100) * 10_000 if index == "weight-for-length" else draw.randint(0, 730)


def test_a_cut_off_one_tick_off_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = Asked("weight-for-age", "male", 183, Decimal(-2))
    right = cut_offs.cut_off
    assert odd(asked, installed_digest()) is None
    monkeypatch.setattr(cut_offs, "cut_off", lambda at, z: right(at, z) + 2)
    assert odd(asked, installed_digest()) is not None
