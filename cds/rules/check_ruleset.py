"""Whether ruleset.yaml says what the software reads: settings, screens, expected limits, words of the steps."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from cds.entry.catalogue import CATALOGUE
from cds.errors import Problem
from cds.rules.check_centiles import check_centiles
from cds.rules.check_conditions import check_reach
from cds.rules.check_say import check_words
from cds.rules.names import Names
from cds.rules.phrase import either, quoted
from cds.rules.spot import Spot, unlisted, unlisted_key
from cds.rules.vocabulary import GROWTH_SETTINGS, SETTINGS, STEPS
from cds.rules.walk import reached_by

_VALUES = frozenset(code for code, kind in CATALOGUE.items() if not kind.is_sign)
_SIDES = {"low": ("at-or-below", "below"), "high": ("at-or-above", "above")}


def check_ruleset(ruleset: Spot, names: Names) -> Iterator[Problem]:
    """Problems of ruleset.yaml."""
    yield from _settings(ruleset, names)
    for screen in ruleset.each("screens"):
        yield from unlisted(screen.down("source", "ref"), "source", names.sources)
    for code in ruleset.each("expected"):
        yield from _expected(code, names)
    for table in ruleset.each("centiles"):
        yield from check_centiles(table, names)
    for step in ruleset.each("steps"):
        yield from unlisted_key(step, "step", STEPS)
        yield from check_words(step)
    for caution in ruleset.each("cautions"):
        about = isinstance(caution.data, Mapping)
        yield from check_words(caution.down("words") if about else caution)
        for code in caution.each("about") if about else ():
            yield from unlisted(code, "observation", CATALOGUE)


def check_setting(setting: Spot, value: Spot, screens: list[str]) -> Iterator[Problem]:
    """Whether a setting has a value that the software reads."""
    known = {**SETTINGS, **GROWTH_SETTINGS}
    yield from unlisted_key(setting, "setting", known)
    unit = known.get(setting.name)
    if setting.name == "screen_algorithm" and value.data not in screens:
        yield value.says("RS-329", quoted(value.data), either(screens), "name one of `screens`, or add it there")
    elif unit in ("h", "wk", "mo") and not re.fullmatch(rf"[1-9][0-9]? {unit}", value.data):
        yield value.says("RS-329", quoted(value.data), f"a whole number, a space, and `{unit}`", "correct the value")


def _settings(ruleset: Spot, names: Names) -> Iterator[Problem]:
    screens = list(ruleset.data["screens"])
    for setting in ruleset.each("settings"):
        yield from unlisted(setting.down("source", "ref"), "source", names.sources)
        value = setting.down("value")
        options = setting.data.get("of", [value.data])
        if value.data not in options:
            yield value.says("RS-329", quoted(value.data), either(options), "choose one of `of`, or add it there")
        else:
            yield from check_setting(setting, value, screens)
    for name in [*SETTINGS, *(GROWTH_SETTINGS if "growth" in ruleset.data else ())]:
        if name not in ruleset.data["settings"]:
            found, expected = f"no setting `{name}`", f"the setting `{name}`, which the software reads"
            yield ruleset.down("settings").says("RS-231", found, expected, f"add `{name}` with value, why and source")


def _expected(code: Spot, names: Names) -> Iterator[Problem]:
    yield from unlisted_key(code, "observation", _VALUES)
    for side, directions in _SIDES.items():
        for reach in code.each(side):
            yield from check_reach(reach, code.name, names)
            for each in reached_by(reach):
                yield from _side(each, directions, names)
                yield from _shown_bands(reach, each.data, names)


def _shown_bands(reach: Spot, threshold: str, names: Names) -> Iterator[Problem]:
    if isinstance(reach.data, Mapping) and "bands" in reach.data and threshold in names.thresholds:
        known = names.thresholds[threshold].data["bands"]
        for band in reach.each("bands"):
            yield from unlisted(band, "band", known)


def _side(each: Spot, directions: tuple[str, ...], names: Names) -> Iterator[Problem]:
    reached = names.thresholds[each.data].data["reached"] if each.data in names.thresholds else directions[0]
    if reached not in directions:
        found = f"`{each.data}`, which is reached {reached}"
        yield each.says("RS-338", found, f"a threshold reached {either(directions)}", "move it to the other side")
