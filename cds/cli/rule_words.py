"""What a rule asks, in plain words.

Takes a condition of a checked rule set. Gives lines, each with how deep it stands. Names the thresholds that it
reaches; their numbers are listed by `rule_limits`.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.advice.terms import COMPARATORS, say_code, say_word
from cds.rules.model import Condition, Criterion, Filter, FindingIs, Group, Reach, RuleSet

Line = tuple[int, str]
_HOW = {"all": "all of", "any": "any of", "none": "none of", "at-least": "at least {n} of"}


def condition_lines(when: Condition, rules: RuleSet, depth: int = 0) -> Iterator[Line]:
    """The lines of a condition."""
    item = f"{when.item}: " if when.item else ""
    if isinstance(when, FindingIs):
        yield depth, f"{item}the finding {say_code(when.finding)}, from any rule"
    elif isinstance(when, Criterion):
        yield depth, f"{item}{criterion(when, rules)}"
    else:
        title = f"{when.title}: " if when.title and when.title != when.item else ""
        yield from _group(when, f"{item}{title}", rules, depth)


def _group(when: Group, named: str, rules: RuleSet, depth: int) -> Iterator[Line]:
    """A group by its name and how it counts, with its parts below; one part alone stands in its place."""
    parts = [line for part in when.parts for line in condition_lines(part, rules, depth + 1)]
    if len(when.parts) == 1 and when.how in ("all", "any"):
        yield depth, f"{named}{parts[0][1]}"
        yield from ((below - 1, said) for below, said in parts[1:])
        return
    yield depth, f"{named}{_HOW[when.how].format(n=when.n)}"
    yield from parts


def criterion(asked: Criterion, rules: RuleSet) -> str:
    """One question in words."""
    if asked.kind == "blank":
        return f"cannot be charted ({asked.why})"
    if asked.kind == "band":
        return f"age {' or '.join(band.words for band in asked.bands)}, {asked.age}"
    if asked.kind == "care":
        return f"care: {say_word(asked.subject)} {_any_of(asked.grades)}"
    return f"{say_code(asked.subject)}{_filters(asked)}{_asked(asked, rules)}{_over_time(asked)}"


def _asked(asked: Criterion, rules: RuleSet) -> str:
    if asked.reach is not None:
        return f" {reach(asked.reach, rules)}"
    if asked.has is not None:
        return f" with {say_word(asked.has[0])} {_any_of(asked.has[1])}"
    return f": {_any_of(asked.grades)}"


def reach(wanted: Reach, rules: RuleSet) -> str:
    """The threshold to reach, or one for each value of a context."""
    if wanted.threshold is not None:
        return f"{COMPARATORS[rules.thresholds[wanted.threshold].reached]} the limit `{wanted.threshold}`"
    each = dict.fromkeys(wanted.each)
    said = ", ".join(f"{say_word(value)} {reach(Reach(name), rules)}" for value, name in each)
    return f"by {say_word(wanted.by or '')}: {said}"


def _filters(asked: Criterion) -> str:
    said = [_filter(each) for each in asked.where]
    return f" ({'; '.join(said)})" if said else ""


def _filter(wanted: Filter) -> str:
    charted = f"{say_word(wanted.key)} {_any_of(wanted.is_)}" if wanted.is_ else ""
    others = f"{say_word(wanted.key)} not {_any_of(wanted.not_)}" if wanted.not_ else ""
    counts = {
        "unknown": "not charted could be",
        "selected": "not charted counts",
        "excluded": "not charted does not count",
    }
    return ", ".join(part for part in (charted, others, counts[wanted.uncharted]) if part)


def _over_time(asked: Criterion) -> str:
    return f"{_repeated(asked)}{_unanswered(asked)}{_before(asked)}"


def _repeated(asked: Criterion) -> str:
    if asked.repeated_within is None:
        return ""
    after = f", an earlier one at least {lasting(asked.repeated_after)} before" if asked.repeated_after else ""
    return f", at {asked.repeated_times} settled readings within {lasting(asked.repeated_within)}{after}"


def _unanswered(asked: Criterion) -> str:
    if asked.unanswered is None:
        return ""
    after, within = lasting(asked.unanswered.after), lasting(asked.unanswered.within)
    return f", at the last settled reading within {within}, more than {after} ago, and none charted since"


def _before(asked: Criterion) -> str:
    if asked.before is None:
        return ""
    was = " or ".join(_WAS[word] for word in sorted(asked.before.was))
    return f", and before, at the last entry within {lasting(asked.before.within)} that tells: {was}"


_WAS = {"met": "so too", "not-met": "not so", "untold": "none told"}


def _any_of(words: frozenset[str]) -> str:
    return " or ".join(map(say_word, sorted(words)))


def lasting(seconds: int) -> str:
    """A time in short words."""
    for unit, size in (("d", 86_400), ("h", 3_600), ("min", 60)):
        if seconds % size == 0 and seconds >= (2 * size if unit == "d" else size):
            return f"{seconds // size} {unit}"
    return f"{seconds} s"
