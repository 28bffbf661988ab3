"""Whether each criterion asks something that an entry can answer, with names that exist.

Takes one part of a condition; gives problems of names (RS-213 to RS-228) and of meaning (RS-310, RS-311, RS-331 to
RS-333, RS-347, RS-348). Looks at one part at a time, never at the rule around it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from cds.entry.catalogue import CARE, CATALOGUE, STATE_GROUPS, YES_NO, Kind
from cds.errors import Problem
from cds.rules.amounts import seconds
from cds.rules.check_thresholds import units_of
from cds.rules.conditions import spread
from cds.rules.derived import DERIVED
from cds.rules.names import Names
from cds.rules.phrase import either, quoted
from cds.rules.spot import Spot, unlisted, unlisted_key
from cds.rules.vocabulary import COUNT_KEY, COUNT_WORDS, FINDINGS, UNCHARTED
from cds.rules.walk import Part, reached_by

_BY_STATE = ("asleep", "awake")
_YES_NO = ("true", "false")


def check_part(part: Part, names: Names) -> Iterator[Problem]:
    """Problems of one part of a condition by itself."""
    check = _FORMS.get(part.form)
    if check is not None:
        yield from check(part.spot, names)


def check_reach(reach: Spot, code: str, names: Names) -> Iterator[Problem]:
    """Whether thresholds named for a quantity limit that quantity, and in one direction."""
    known = []
    for each in reached_by(reach):
        yield from unlisted(each, "threshold", names.thresholds)
        if each.data in names.thresholds:
            known.append(each)
            yield from _same_quantity(each, code, names)
    if isinstance(reach.data, Mapping) and "by" in reach.data:
        yield from _by(reach, code)
        yield from _one_direction(reach, known, names)


def _same_quantity(each: Spot, code: str, names: Names) -> Iterator[Problem]:
    quantity = names.thresholds[each.data].data["quantity"]
    if quantity != code and units_of(quantity, names):
        found = f"`{each.data}`, which limits `{quantity}`"
        yield each.says("RS-310", found, f"a threshold with the quantity `{code}`", "name a threshold of that quantity")


def _by(reach: Spot, code: str) -> Iterator[Problem]:
    contexts = CATALOGUE[code].contexts if code in CATALOGUE else {}
    key = reach.data["by"]
    words = _BY_STATE if key == "state" else contexts.get(key)
    if key not in contexts or words is None:
        listed = [name for name, options in contexts.items() if options]
        yield from unlisted(reach.down("by"), "context", listed, code)
        return
    for each in reached_by(reach):
        yield from unlisted_key(each, "word", words, key)


def _one_direction(reach: Spot, known: list[Spot], names: Names) -> Iterator[Problem]:
    words = list(dict.fromkeys(names.thresholds[each.data].data["reached"] for each in known))
    if len(words) > 1:
        found = f"thresholds that are reached {either(words)}"
        yield reach.says("RS-311", found, "thresholds reached in one way", "write two criteria under `any`")


def _observed(spot: Spot, names: Names) -> Iterator[Problem]:
    code = spot.data["observed"]
    if code not in CATALOGUE:
        yield from unlisted(spot.down("observed"), "observation", CATALOGUE)
        return
    kind = CATALOGUE[code]
    if "reaches" in spot.data:
        yield from _reached(spot, kind, names)
    if "grade" in spot.data:
        yield from _graded(spot, kind)
    for has in spot.each("has"):
        yield from _has(has, kind)
    for filtered in spot.each("where"):
        yield from _where(filtered, kind)
    yield from _over_time(spot)


def _over_time(spot: Spot) -> Iterator[Problem]:
    for key in ("repeated", "unanswered"):
        times = spot.data.get(key, {})
        if "after" in times and seconds(times["after"]) >= seconds(times["within"]):
            found = f"after {times['after']}, within {times['within']}"
            yield spot.down(key, "after").says(
                "RS-347", found, "a shorter time than `within`", "correct one of the two"
            )
    if "repeated" in spot.data and "unanswered" in spot.data:
        found, expected = "`unanswered` beside `repeated`", "one of the two"
        yield spot.down("unanswered").says_of_key("RS-348", found, expected, "write two criteria")


def _reached(spot: Spot, kind: Kind, names: Names) -> Iterator[Problem]:
    if not kind.is_sign:
        yield from check_reach(spot.down("reaches"), kind.code, names)
        return
    found, expected = f"`reaches` for `{kind.code}`, which has grades", f"`grade` with {either(kind.grades)}"
    yield spot.down("reaches").says_of_key("RS-331", found, expected, "list the grades that count")


def _graded(spot: Spot, kind: Kind) -> Iterator[Problem]:
    if kind.is_sign:
        for grade in spot.each("grade"):
            yield from unlisted(grade, "grade", kind.grades, kind.code)
        return
    found = f"`grade` for `{kind.code}`, which has a value"
    yield spot.down("grade").says_of_key("RS-331", found, "`reaches` with a threshold", "name the threshold")


def _has(has: Spot, kind: Kind) -> Iterator[Problem]:
    keys = [*kind.contexts, *([COUNT_KEY] if kind.rate else [])]
    yield from unlisted_key(has, "context", keys, kind.code)
    if has.name in keys:
        words = COUNT_WORDS if has.name == COUNT_KEY else _words(has.name, kind)
        for number in range(len(has.data)):
            yield from unlisted(has.down(number), "word", (*words, UNCHARTED), has.name)


def _where(filtered: Spot, kind: Kind) -> Iterator[Problem]:
    yield from unlisted_key(filtered, "context", kind.contexts, kind.code)
    if filtered.name not in kind.contexts:
        return
    lists = [filtered] if isinstance(filtered.data, list) else [filtered.down("is"), filtered.down("not")]
    known = (*_words(filtered.name, kind), *(STATE_GROUPS if filtered.name == "state" else ()))
    for listed in lists:
        for word in (listed.down(number) for number in range(len(listed.data))):
            text = word if isinstance(word.data, str) else Spot(word.sheet, str(word.data).lower(), word.pointer)
            yield from unlisted(text, "word", known, filtered.name)
    if len(lists) > 1:
        yield from _both_ways(filtered)


def _words(key: str, kind: Kind) -> tuple[str, ...]:
    """The words that a context key takes; none where it takes a number or a time."""
    return _YES_NO if key in YES_NO else kind.contexts[key] or ()


def _both_ways(filtered: Spot) -> Iterator[Problem]:
    shared = spread(filtered.name, filtered.data["is"]) & spread(filtered.name, filtered.data["not"])
    if shared:
        found = f"{quoted(min(shared))} under `is` and under `not`"
        yield filtered.says("RS-333", found, "each word on one side", "remove it from one of the two")


def _derived(spot: Spot, names: Names) -> Iterator[Problem]:
    name = spot.data["derived"]
    if name not in DERIVED:
        yield from unlisted(spot.down("derived"), "derived", DERIVED)
        return
    derived = DERIVED[name]
    wanted = "reaches" if derived.units else "is"
    if wanted not in spot.data:
        has = "a value" if derived.units else f"the words {either(derived.words)}"
        given = "is" if derived.units else "reaches"
        found = f"`{given}` for `{name}`, which has {has}"
        yield spot.down(given).says_of_key("RS-331", found, f"`{wanted}`", f"write `{wanted}`")
    elif derived.units:
        yield from check_reach(spot.down("reaches"), name, names)
    else:
        for word in spot.each("is"):
            yield from unlisted(word, "derived word", derived.words, name)
    for needed in derived.thresholds:
        if needed not in names.thresholds:
            found = f"`{name}`, which reads the threshold `{needed}`, that no file defines"
            next_step = f"add thresholds/{needed}.yaml"
            yield spot.down("derived").says("RS-335", found, f"a threshold `{needed}`", next_step)


def _score(spot: Spot, names: Names) -> Iterator[Problem]:
    yield from unlisted(spot.down("score"), "score", names.scores)
    if spot.data["score"] in names.scores:
        yield from check_reach(spot.down("reaches"), spot.data["score"], names)


def _care(spot: Spot, names: Names) -> Iterator[Problem]:
    keys = {key: words for key, words in CARE.items() if words}
    yield from unlisted(spot.down("care"), "care", keys)
    for word in spot.each("is"):
        yield from unlisted(word, "care word", keys.get(spot.data["care"], (word.data,)), spot.data["care"])


def _band(spot: Spot, names: Names) -> Iterator[Problem]:
    bands = [spot.down("band")] if isinstance(spot.data["band"], str) else spot.each("band")
    for band in bands:
        yield from unlisted(band, "band", names.bands)


def _group(spot: Spot, names: Names) -> Iterator[Problem]:
    yield from unlisted(spot.down("group"), "group", names.groups)


def _finding(spot: Spot, names: Names) -> Iterator[Problem]:
    finding = spot.down("finding")
    yield from unlisted(finding, "finding", FINDINGS)
    if finding.data in FINDINGS - names.raised():
        found, expected = f"{quoted(finding.data)}, which no rule raises", "a finding that some rule raises"
        yield finding.says("RS-334", found, expected, "add the rule, or name another finding")


def _at_least(spot: Spot, names: Names) -> Iterator[Problem]:
    n, of = spot.data["at_least"]["n"], len(spot.data["at_least"]["of"])
    if n > of:
        found, expected = f"at least {n} of {of}", f"at most {of}"
        yield spot.down("at_least", "n").says("RS-332", found, expected, "correct the number, or add parts")


_FORMS: Mapping[str, Callable[[Spot, Names], Iterator[Problem]]] = MappingProxyType(
    {
        "observed": _observed,
        "derived": _derived,
        "score": _score,
        "care": _care,
        "band": _band,
        "group": _group,
        "finding": _finding,
        "at_least": _at_least,
    }
)
