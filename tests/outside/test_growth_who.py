"""z of weight, length and head against what WHO printed and computed.

- Growth standards of 2006 (head 2007): L, M, S and the measurements at -3, -2, +2 and +3, as printed by month. A month
  is 30.4375 days, so a printed month lies between two days of the tables; the test takes the straight line between
  them, and after day 730 that of the day before. Seen on transcriptions of the printed tables.
- z of single measurements, in month mode computed here from the printed L, M, S, and in day mode as the software does.
  By days four of them are 0.01 off: said beside each.
- The output of WHO's macro for its survey: tests/outside/growth_report.py.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal

import pytest

from cds.entry.read import read_entry
from cds.entry.units import UNITS
from cds.judge.derive import derive
from cds.judge.lms import At, cut_off, row_at
from cds.judge.view import View
from cds.rules.growth import LAST_DAY, Index, Sex, installed_digest
from cds.rules.model import RuleSet
from tests.outside.bedside import entry
from tests.outside.growth_report import report, survey, tally

MONTH = Decimal("30.4375")
DIGEST = installed_digest()
TABLES: dict[Index, str] = {"weight-for-age": "kg", "length-for-age": "cm", "head-for-age": "cm"}

WEIGHT = {
    "male": """
        0   0.3487  3.3464 0.14602  2.1 2.5 4.4 5.0
        1   0.2297  4.4709 0.13395  2.9 3.4 5.8 6.6
        2   0.1970  5.5675 0.12385  3.8 4.3 7.1 8.0
        3   0.1738  6.3762 0.11727  4.4 5.0 8.0 9.0
        6   0.1257  7.9340 0.10958  5.7 6.4 9.8 10.9
        9   0.0917  8.9014 0.10881  6.4 7.1 11.0 12.3
        12  0.0644  9.6479 0.10925  6.9 7.7 12.0 13.3
        18  0.0211 10.9385 0.11119  7.8 8.8 13.7 15.3
        24 -0.0137 12.1515 0.11426  8.6 9.7 15.3 17.1
    """,
    "female": """
        0   0.3809  3.2322 0.14171  2.0 2.4 4.2 4.8
        1   0.1714  4.1873 0.13724  2.7 3.2 5.5 6.2
        2   0.0962  5.1282 0.13000  3.4 3.9 6.6 7.5
        3   0.0402  5.8458 0.12619  4.0 4.5 7.5 8.5
        6  -0.0756  7.2970 0.12204  5.1 5.7 9.3 10.6
        9  -0.1507  8.2254 0.12199  5.8 6.5 10.5 12.0
        12 -0.2024  8.9481 0.12268  6.3 7.0 11.5 13.1
        18 -0.2637 10.2315 0.12309  7.2 8.1 13.2 15.1
        24 -0.2941 11.4775 0.12390  8.1 9.0 14.8 17.0
    """,
}
LENGTH = {
    "male": """
        0 49.8842 .03795
        1 54.7244 .03557
        2 58.4249 .03424
        3 61.4292 .03328
        6 67.6236 .03165
        9 71.9687 .03117
        12 75.7488 .03137
        18 82.2587 .03279
        24 87.8161 .03479
    """,
    "female": """
        0 49.1477 .03790
        1 53.6872 .03640
        2 57.0673 .03568
        3 59.8029 .03520
        6 65.7311 .03448
        9 70.1435 .03444
        12 74.0150 .03479
        18 80.7079 .03598
        24 86.4153 .03734
    """,
}
HEAD = {
    "male": """
        0 34.4618 .03686 31.9 37.0
        1 37.2759 .03133 34.9 39.6
        2 39.1285 .02997 36.8 41.5
        3 40.5135 .02918 38.1 42.9
        6 43.3306 .02817 40.9 45.8
        9 44.9998 .02792 42.5 47.5
        12 46.0661 .02789 43.5 48.6
        18 47.3711 .02800 44.7 50.0
        24 48.2515 .02821 45.5 51.0
    """,
    "female": """
        0 33.8787 .03496 31.5 36.2
        1 36.5463 .03210 34.2 38.9
        2 38.2521 .03168 35.8 40.7
        3 39.5328 .03140 37.1 42.0
        6 42.1995 .03087 39.6 44.8
        9 43.8300 .03053 41.2 46.5
        12 44.8965 .03027 42.2 47.6
        18 46.2424 .02987 43.5 49.0
        24 47.1822 .02957 44.4 50.0
    """,
}
PRINTED_TABLES: dict[Index, dict[str, str]] = {"weight-for-age": WEIGHT, "length-for-age": LENGTH, "head-for-age": HEAD}
Printed = tuple[Index, Sex, int, list[str]]


def printed() -> Iterator[Printed]:
    """Index, sex, month and the numbers of each printed row."""
    for index, tables in PRINTED_TABLES.items():
        for sex, table in tables.items():
            for line in table.strip().splitlines():
                month, *numbers = line.split()
                yield index, sex, int(month), numbers


def at_month(month: int, of_day: Callable[[int], Decimal]) -> Decimal:
    """What lies between two days of the tables at a month."""
    day = month * MONTH
    lower = min(int(day), LAST_DAY - 1)
    return of_day(lower) + (of_day(lower + 1) - of_day(lower)) * (day - lower)


def close(ours: Decimal, theirs: str) -> bool:
    """Whether a number is the printed one, to two steps of its last decimal.

    One step for two rounded numbers, one as the curve bends between two days: 0.00016 cm in the first month.
    """
    return abs(ours - Decimal(theirs)) <= Decimal(2).scaleb(Decimal(theirs).as_tuple().exponent)


@pytest.mark.parametrize("row", list(printed()), ids=lambda row: f"{row[0]} {row[1]} {row[2]} months")
def test_l_m_and_s_of_a_month_are_those_printed(row: Printed) -> None:
    index, sex, month, numbers = row
    wanted = numbers[:3] if index == "weight-for-age" else ["1", *numbers[:2]]
    for place, theirs in enumerate(wanted):
        ours = at_month(month, lambda day, place=place: row_at(At(DIGEST, index, sex, day))[place])
        assert close(ours, theirs), (place, ours, theirs)


@pytest.mark.parametrize(
    "row", [row for row in printed() if len(row[3]) > 2], ids=lambda row: f"{row[0]} {row[1]} {row[2]} months"
)
def test_the_cut_offs_of_a_month_are_those_printed_to_the_decimal(row: Printed) -> None:
    index, sex, month, numbers = row
    asked = {-3: 3, -2: 4, 2: 5, 3: 6} if index == "weight-for-age" else {-2: 2, 2: 3}
    for z, place in asked.items():
        ours = at_month(month, lambda day, z=z: measured(At(DIGEST, index, sex, day), z))
        assert f"{ours:.1f}" == numbers[place], (z, ours)


def measured(at: At, z: int) -> Decimal:
    """The cut-off of a z in kg or cm."""
    return Decimal(cut_off(at, Decimal(z))) / (2 * UNITS[TABLES[at.of]].factor)


def test_the_printed_length_at_24_months_is_half_a_day_after_the_last_lying_one() -> None:
    last = {sex: row_at(At(DIGEST, "length-for-age", sex, 730)).m for sex in ("male", "female")}
    assert last == {"male": Decimal("87.8018"), "female": Decimal("86.4008")}


VECTORS = [
    # index, sex, month, value, z by month, z by day
    ("weight-for-age", "male", 0, "2.0", "-3.21", "-3.21"),
    ("weight-for-age", "male", 6, "5.5", "-3.25", "-3.26"),
    ("weight-for-age", "female", 6, "6.0", "-1.62", "-1.62"),
    ("weight-for-age", "female", 6, "15.0", "6.56", "6.55"),
    ("weight-for-age", "male", 18, "11.5", "0.45", "0.45"),
    ("length-for-age", "male", 12, "75.7", "-0.02", "-0.02"),
    ("length-for-age", "female", 6, "61.0", "-2.09", "-2.10"),
    ("head-for-age", "male", 0, "32.0", "-1.94", "-1.94"),
    ("head-for-age", "male", 3, "45.0", "3.80", "3.81"),
]


@pytest.mark.parametrize(("index", "sex", "month", "value", "by_month", "by_day"), VECTORS)
def test_z_by_the_printed_month(index: Index, sex: Sex, month: int, value: str, by_month: str, by_day: str) -> None:
    numbers = next(row[3] for row in printed() if row[:3] == (index, sex, month))
    lms = numbers[:3] if index == "weight-for-age" else ["1", *numbers[:2]]
    z = month_z([float(number) for number in lms], float(value), is_weight=index == "weight-for-age")
    assert z == pytest.approx(float(by_month), abs=0.01)


def month_z(lms: list[float], value: float, is_weight: bool) -> float:
    power, median, spread = lms

    def at(z: int) -> float:
        return median * (1 + power * spread * z) ** (1 / power)

    z = ((value / median) ** power - 1) / (power * spread)
    if not is_weight or abs(z) <= 3:
        return float(z)
    end, inner = (3, 2) if z > 0 else (-3, -2)
    return float(end + (value - at(end)) / abs(at(end) - at(inner)))


@pytest.mark.parametrize(("index", "sex", "month", "value", "by_month", "by_day"), VECTORS)
def test_z_by_the_day(
    rules: RuleSet, index: Index, sex: Sex, month: int, value: str, by_month: str, by_day: str
) -> None:
    code = {"weight": "body-weight", "length": "body-length", "head": "head-circumference"}[index.partition("-")[0]]
    day = int(month * MONTH + Decimal("0.5"))
    charted = {"code": code, "value": Decimal(value), "unit": TABLES[index]}
    infant = {"sex": sex, "gestation": {"weeks": 40, "days": 0}}
    view = View(read_entry(entry(f"{day} d", charted, infant=infant), None), rules)
    assert dict(derive(index, view).numbers)["z"] == by_day
    assert abs(Decimal(by_day) - Decimal(by_month)) <= Decimal("0.01")


def test_each_z_of_the_macro_is_ours_to_two_decimals(rules: RuleSet) -> None:
    tallies = tally(rules)
    assert {index: (each.both, each.equal, each.one_only) for index, each in tallies.items()} == {
        "length-for-age": (270, 270, 0),
        "weight-for-age": (271, 271, 0),
        "weight-for-length": (268, 268, 0),
        "head-for-age": (94, 94, 0),
    }, report(rules)
    assert max(each.apart for each in tallies.values()) < Decimal("0.00501"), report(rules)


def test_rows_of_the_day_of_birth_are_among_them() -> None:
    assert (len(survey()), sum(row["age.days"] == "0" for row in survey())) == (275, 8)
