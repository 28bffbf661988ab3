"""The centiles shown beside a charted rate, against the tables they come from.

Fleming S and others, Lancet 2011;377:1011-1018, web appendix: breathing rate and heart rate by age, 1st, 10th, 25th,
50th, 75th, 90th and 99th centile. Seen second-hand; the medians at birth and at 2 years in the abstract agree.
"""

import pytest

from cds.rules.model import RuleSet

AGES = ("0-3", "3-6", "6-9", "9-12", "12-18", "18-24")
TABLES = {
    "respiratory-rate": """
        25 34 40 43 52 57 66
        24 33 38 41 49 55 64
        23 31 36 39 47 52 61
        22 30 35 37 45 50 58
        21 28 32 35 42 46 53
        19 25 29 31 36 40 46
    """,
    "heart-rate": """
        107 123 133 143 154 164 181
        104 120 129 140 150 159 175
        98 114 123 134 143 152 168
        93 109 118 128 137 145 161
        88 103 112 123 132 140 156
        82 98 106 116 126 135 149
    """,
}


@pytest.mark.parametrize("code", TABLES)
def test_centiles_of_every_age_are_as_printed(rules: RuleSet, code: str) -> None:
    table = rules.centiles[code]
    printed = [[int(number) for number in line.split()] for line in TABLES[code].split("\n") if line.strip()]
    assert table.at == (1, 10, 25, 50, 75, 90, 99)
    assert [f"{row.band.start.amount}-{row.band.end.amount}" for row in table.rows] == list(AGES)
    assert {edge.unit for row in table.rows for edge in (row.band.start, row.band.end)} == {"mo"}
    assert [[int(limit.value) for limit in row.limits] for row in table.rows] == printed
