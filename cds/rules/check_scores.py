"""Whether a published score adds up: known items, rising cuts, points whose highest sum is what it says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from cds.entry.catalogue import CATALOGUE
from cds.errors import Problem
from cds.rules.check_thresholds import check_file_name, check_value
from cds.rules.derived import DERIVED
from cds.rules.names import Names
from cds.rules.phrase import quoted
from cds.rules.spot import Spot, unlisted, unlisted_key


def check_score(score: Spot, names: Names) -> Iterator[Problem]:
    """Problems of one file of scores/."""
    yield from check_file_name(score, "score")
    if score.data["score"] in {*CATALOGUE, *DERIVED}:
        found = f"{quoted(score.data['score'])}, which is also an observation or derived value"
        yield score.down("score").says("RS-212", found, "an id of its own", "name the score otherwise")
    for code in score.each("opened_by"):
        yield from unlisted(code, "observation", CATALOGUE)
    for source in score.each("sources"):
        yield from unlisted(source.down("ref"), "source", names.sources)
    for item in score.each("items"):
        yield from _item(item)
    yield from _most(score)


def _item(item: Spot) -> Iterator[Problem]:
    code = item.data["code"]
    if code not in CATALOGUE:
        yield from unlisted(item.down("code"), "observation", CATALOGUE)
    elif "points" in item.data:
        yield from _grades(item, code)
    elif CATALOGUE[code].is_sign:
        found, expected = f"`cuts` for `{code}`, which has grades", "`points` for its grades"
        yield item.down("cuts").says_of_key("RS-331", found, expected, "give points for each grade")
    else:
        yield from _cuts(item, CATALOGUE[code].units[0])


def _grades(item: Spot, code: str) -> Iterator[Problem]:
    if not CATALOGUE[code].is_sign:
        found = f"`points` by grade for `{code}`, which has a value"
        yield item.down("points").says_of_key("RS-331", found, "`cuts` of the value", "write `cuts`")
        return
    for grade in item.each("points"):
        yield from unlisted_key(grade, "grade", CATALOGUE[code].grades, code)
    contexts = CATALOGUE[code].contexts
    for key in item.each("contexts"):
        yield from unlisted_key(key, "context", contexts, code)
        for word in key.each():
            yield from unlisted_key(word, "word", contexts.get(key.name) or (), key.name)


def _cuts(item: Spot, unit: str) -> Iterator[Problem]:
    cuts = [cut.down("from" if "from" in cut.data else "above") for cut in item.each("cuts")]
    for cut in cuts:
        yield from check_value(cut, unit)
    if cuts[0].name != "from" or cuts[0].data != 0:
        yield cuts[0].says("RS-336", f"a first cut at {quoted(cuts[0].data)}", "`from: 0`", "begin the cuts at 0")
    for before, after in pairwise(cuts):
        if after.data <= before.data:
            found = f"a cut at {quoted(after.data)} after one at {quoted(before.data)}"
            yield after.says("RS-336", found, "cuts that rise", "put the cuts in order")


def _most(score: Spot) -> Iterator[Problem]:
    most = sum(max(_points(item)) for item in score.data["items"])
    if most != score.data["most"]:
        found = f"{quoted(score.data['most'])}, with items whose highest points make {most}"
        yield score.down("most").says("RS-337", found, "the sum of the highest points", "correct `most` or the points")


def _points(item: Mapping[str, Any]) -> list[int]:
    if "cuts" in item:
        return [cut["points"] for cut in item["cuts"]]
    by_context = [points for words in item.get("contexts", {}).values() for points in words.values()]
    return [*item["points"].values(), *by_context]
