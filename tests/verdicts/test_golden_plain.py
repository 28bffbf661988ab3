from __future__ import annotations

import pytest

from tests.verdicts.by_hand import ROOT
from tests.verdicts.changes import CHANGES
from tests.verdicts.golden import golden, misses


@pytest.mark.parametrize("sheet", sorted(golden()))
def test_plain_alone_answers_the_golden_cases(sheet: str) -> None:
    assert [words for case in golden()[sheet] for words in misses(case)] == []


def test_every_change_by_hand_still_has_its_place() -> None:
    for change in CHANGES:
        text = (ROOT / change.file).read_text("utf-8")
        assert change.applied(text) != text
