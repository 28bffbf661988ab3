"""Changes made by hand to what a mutation tool leaves alone: constants of a module, and functions that are cached.

Each names a file, words that stand in it once, and the words to put in their place; each changes what is judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain


@dataclass(frozen=True, slots=True)
class Change:
    """One change to one file."""

    file: str
    old: str
    new: str

    def applied(self, text: str) -> str:
        """The text of the file with the change.

        Raises:
            ValueError: the words do not stand in it exactly once.
        """
        if text.count(self.old) != 1:
            raise ValueError(f"{self.file}: {self.old!r} stands in it {text.count(self.old)} times")
        return text.replace(self.old, self.new)


def _in(file: str, *pairs: tuple[str, str]) -> list[Change]:
    return [Change(f"cds/{file}.py", old, new) for old, new in pairs]


CHANGES: tuple[Change, ...] = tuple(
    chain(
        _in("judge/agreed", ("24 * 3600", "23 * 3600"), ("24 * 3600", "25 * 3600")),
        _in(
            "judge/choose",
            ("FULL_COUNT_SECONDS = 60", "FULL_COUNT_SECONDS = 59"),
            ("FULL_COUNT_SECONDS = 60", "FULL_COUNT_SECONDS = 61"),
            ('{"nasal-flaring": None, ', "{"),
            ('None, "retractions": frozenset({"mild"})}', "None}"),
            ('frozenset({"mild"})', 'frozenset({"mild", "severe"})'),
            ('frozenset({"nasal-flaring", "retractions", "gr', 'frozenset({"retractions", "gr'),
            ('"retractions", "grunting", "cyanosis", ', '"grunting", "cyanosis", '),
            ('"grunting", "cyanosis", "jaundice"', '"cyanosis", "jaundice"'),
            ('"grunting", "cyanosis", "jaundice"', '"grunting", "jaundice"'),
            ('"cyanosis", "jaundice"})', '"cyanosis"})'),
            ('{"systolic-pressure", ', "{"),
            ('"diastolic-pressure", ', ""),
            (', "mean-pressure"})', "})"),
            ('    "route": "unknown-route",\n', ""),
            ('    "site": "unknown-site",\n', ""),
            ('    "state": "unknown-state",\n', ""),
            ('    "oxygen": "unknown-oxygen",\n', ""),
            ('"selected": True', '"selected": False'),
            ('"selected": True', '"selected": None'),
            ('"excluded": False', '"excluded": True'),
            ('"excluded": False', '"excluded": None'),
            ('"unknown": None', '"unknown": False'),
            ('"unknown": None', '"unknown": True'),
        ),
        _in(
            "judge/compare",
            ("_ONLY_TRUE = {True}", "_ONLY_TRUE = {False}"),
            ("_ONLY_FALSE = {False}", "_ONLY_FALSE = {True}"),
        ),
        _in(
            "judge/criteria",
            ('unknown("missing-input", Rank.POSSIBLE)', 'unknown("missing-input")'),
            ('Outcome(True, "bound-only-value"), Outcome(False', 'Outcome(True, "bound-only-value"), Outcome(True'),
            ('(Outcome(True, "bound-only-value"), ', "("),
            ("_YES = (Outcome(True),)", "_YES = (Outcome(False),)"),
            ("_NO = (Outcome(False),)", "_NO = (Outcome(True),)"),
            ("_BLANK = Judged(NOT_CHARTED)", "_BLANK = Judged(NOT_MET)"),
            ("_BLANK = Judged(NOT_CHARTED)", '_BLANK = Judged(unknown("missing-input", Rank.POSSIBLE))'),
        ),
        _in("judge/derive", ("_TICKS = 100", "_TICKS = 99"), ("_TICKS = 100", "_TICKS = 101")),
        _in(
            "judge/fever",
            ("_TICKS = 100", "_TICKS = 99"),
            ("_TICKS = 100", "_TICKS = 101"),
            ("_HOUR = 3600", "_HOUR = 3601"),
            ("_HOUR = 3600", "_HOUR = 3599"),
            ("30 * 24 * _HOUR", "24 * _HOUR"),
        ),
        _in(
            "judge/gates",
            ('Rank.NOT_MET, frozenset({"outside-rule-age"})', "Rank.NOT_MET"),
            ('Rank.NOT_MET, frozenset({"outside-rule-care"})', "Rank.NOT_MET"),
            ("whole[-1].end == band.start", "whole[-1].end != band.start"),
            ("whole[-1].end == band.start", "False"),
            ("end=band.end", "end=band.start"),
        ),
        _in(
            "judge/logic",
            ("frozenset().union(*doubts)", "frozenset()"),
            ("(MET.rank, NOT_MET.rank)", "(MET.rank,)"),
            ("(MET.rank, NOT_MET.rank)", "(NOT_MET.rank,)"),
        ),
        _in("judge/repeats", ("repeated_within=None, ", ""), (' + "/once"', "")),
        _in("judge/scores", ("_TICKS = 100", "_TICKS = 99"), ("_TICKS = 100", "_TICKS = 101")),
        _in(
            "judge/screen",
            ('("right-hand", "foot")', '("right-hand", "left-hand")'),
            ('_SAID = {"right-hand": "right hand", ', "_SAID = {"),
            (', "left-hand": "left hand"}', "}"),
        ),
        _in(
            "entry/versions",
            ('{"entered-in-error", "cancelled"}', '{"cancelled"}'),
            ('{"entered-in-error", "cancelled"}', '{"entered-in-error"}'),
        ),
        _in(
            "judge/view",
            ('{"corrected", "postmenstrual"}', '{"corrected"}'),
            ('{"corrected", "postmenstrual"}', '{"postmenstrual"}'),
            ("Verdict(rank, frozenset({reason}))", "Verdict(rank)"),
            ("Verdict(rank, frozenset({reason}))", "Verdict(Rank.UNKNOWN, frozenset({reason}))"),
        ),
        _in(
            "infer/plain",
            ('"all": all_of', '"all": any_of'),
            ('"any": any_of', '"any": all_of'),
            ('"none": none_of', '"none": any_of'),
        ),
    )
)
