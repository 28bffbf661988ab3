"""An advice as text for the bedside, in a fixed order, for any terminal.

Takes an advice as data and a width; gives lines. Says nothing that the data does not hold, and says how many rules were
evaluated before it says that none raises anything. Same advice, same width: same bytes. No colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from cds.advice.finding_text import entry_named, finding, speaker
from cds.advice.header import DEFERENCE, header, is_open, tally
from cds.advice.lines import Page, cut
from cds.advice.missing import Missing, missing
from cds.advice.reasons import TOLD, items
from cds.advice.terms import FRAMES, context, labels, say_code, say_word

Advice = Mapping[str, Any]
MOST_MISSING = 5
MOST_CAUTIONS = 3


def text(advice: Advice, width: int = 100) -> str:
    """The whole answer, its last line ended."""
    page = Page(width)
    parts = (_head, _charted, _findings, _said, _withdrawn, _earlier, _missing, _scales, _quality, _counts)
    blocks = [block for part in parts if (block := list(part(advice, page)))]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _head(advice: Advice, page: Page) -> Iterator[str]:
    yield from page.wrap(DEFERENCE)
    yield ""
    for name, said in header(advice):
        yield from page.label(name, said, "")
    raised = tally(advice["findings"]) or "nothing raised"
    still = f"; {len(advice['still_open'])} still open from before" if advice["still_open"] else ""
    gone = len(withdrawn(advice))
    taken = f"; {gone} withdrawn" if gone else ""
    yield from page.label("answer", f"{evaluated(advice)}; {raised}{still}{taken}", "")


def evaluated(advice: Advice) -> str:
    """How many rules could be evaluated."""
    counts = advice["counts"]
    return f"{counts['evaluated']} of {counts['rules']} rules evaluated"


def _charted(advice: Advice, page: Page) -> Iterator[str]:
    rows = [_row(each) for each in advice["expected"]]
    known = "words" in advice["age"]["chronological"]
    at = "at this age and state" if known else "at any age, as none is known"
    yield from page.wrap(f"What was charted, and what is expected {at}")
    if not rows:
        yield "  nothing was charted"
    else:
        yield from page.table([("sign", "charted", "expected", "source"), *rows], (21, 31, 27, 21))


def _row(each: Advice) -> tuple[str, str, str, str]:
    value = say_word(each["value"]) if "limits" not in each else each["value"]
    around = context(each.get("context", {}))
    status = f", {say_word(each['status'])}" if "status" in each else ""
    charted = f"{value}{f', {around}' if around else ''}{status}{place(each)}{before(each)}"
    return say_code(each["code"]), charted, expected_words(each), labels(each["sources"])


def place(each: Advice) -> str:
    """Where a size lies in the growth reference."""
    return f", z {each['z']}" if "z" in each else ""


def before(each: Advice) -> str:
    """The value before, the change since, and how long ago."""
    then = each.get("before")
    return f"; before: {then['value']}, {then['change']}, {then['ago']}" if then else ""


def expected_words(each: Advice) -> str:
    """What is expected: of a value as it stands, of a sign its grade in words."""
    return str(each["expected"]) if "limits" in each else say_word(each["expected"])


def _findings(advice: Advice, page: Page) -> Iterator[str]:
    found = [each for each in advice["findings"] if is_open(each)]
    yield "What stands out, most serious first" if found else "What stands out"
    if all(each["level"] == "note" for each in found):
        yield from page.wrap(_quiet(advice), "  ")
    for each in found:
        yield ""
        yield from finding(each, advice, page)


def _quiet(advice: Advice) -> str:
    if not advice["counts"]["evaluated"]:
        return f"{evaluated(advice)}: these rules say nothing about this infant from what was charted."
    more = "; see below what could not be judged" if advice["not_evaluated"]["needed"] else ""
    earlier = "; a finding of an earlier entry is still open" if advice["still_open"] else ""
    return f"{evaluated(advice)}: none of them raises anything above a note{earlier}{more}."


def _said(advice: Advice, page: Page) -> Iterator[str]:
    found = [each for each in advice["findings"] if each["superseded_by"] and each["status"] != "withdrawn"]
    if found:
        yield "Also met, and said by a finding above"
    for each in found:
        frame = FRAMES[each["level"]]
        yield from page.wrap(f"{each['title']}: see {speaker(each, advice)}", f"  {frame} ")


def _under(heading: str, told: list[str], page: Page) -> Iterator[str]:
    """Sentences under a heading; nothing where there are none."""
    if told:
        yield heading
    for said in told:
        yield from page.wrap(said, "  ", "    ")


def _withdrawn(advice: Advice, page: Page) -> Iterator[str]:
    return _under("Withdrawn, as what it rested on was", withdrawn(advice), page)


def withdrawn(advice: Advice) -> list[str]:
    """Findings that rested on what was entered in error or cancelled, at the level they had, most serious first."""
    gone = [each for each in advice["findings"] if each["status"] == "withdrawn" and not each["superseded_by"]]
    return [
        f"withdrawn: {each['title']}, at {each['level']}{', red flag' if each['red_flag'] else ''}, entry "
        f"{entry_named(each['withdrawn']['entry'])}: {'; '.join(each['withdrawn']['what'])}"
        for each in gone
    ]


def _earlier(advice: Advice, page: Page) -> Iterator[str]:
    return _under("From earlier entries", earlier(advice), page)


def earlier(advice: Advice) -> list[str]:
    """What became of findings of earlier entries: closed by this entry's repeat, or still open and why."""
    closed = [each for each in advice["findings"] if each["status"] == "closed-by-repeat"]
    return [
        f"closed by this settled repeat: {each['title']}, at {each['level']}, entry {entry_named(each['other_entry'])}"
        for each in closed
    ] + [
        f"still open: {each['title']}, entry {entry_named(each['entry'])}; kept open by {each['why']}"
        for each in advice["still_open"]
    ]


def _missing(advice: Advice, page: Page) -> Iterator[str]:
    groups = missing(advice["not_evaluated"]["needed"])
    if not groups:
        return
    yield "What could not be judged, by what is missing"
    yield from page.table([_gap(group, page.width) for group in groups[:MOST_MISSING]], (2, 3))
    if len(groups) > MOST_MISSING:
        yield f"  and {len(groups) - MOST_MISSING} more in the JSON answer"


def _gap(group: Missing, width: int) -> tuple[str, str]:
    """Both cells of a line, cut so that it stays one line."""
    room = width - 4
    more = f" and {len(group.titles) - 1} more" if len(group.titles) > 1 else ""
    title = cut(group.titles[0], room - room * 2 // 5 - len(more) - len(group.level) - 2)
    return cut(", ".join(group.needs), room * 2 // 5), f"{group.level}: {title}{more}"


def _scales(advice: Advice, page: Page) -> Iterator[str]:
    scales = [each for each in advice["findings"] if "scale" in each and each["status"] != "withdrawn"]
    shown = [each for each in scales if is_open(each)]
    if scales:
        yield "Published scales, item by item"
    for each in shown:
        yield f"  {each['scale']['name']}, {each['scale']['column']}"
        told = items(each)
        for word in TOLD:
            if these := [item for found, item in told if found == word]:
                yield from page.wrap("; ".join(these), f"    {word + ':':<20}")
    if len(scales) > len(shown):
        yield f"  {len(scales) - len(shown)} more, said by a finding above, in the JSON answer"


def _quality(advice: Advice, page: Page) -> Iterator[str]:
    if advice["quality"]:
        yield "What was noticed in the entry"
    for each in advice["quality"]:
        yield from page.wrap(f"{each['words']} ({each['reason']}, {each['place']})", "  ", "    ")


def _counts(advice: Advice, page: Page) -> Iterator[str]:
    yield from page.label("counts", _counted(advice), "")
    said = _fitting(advice["cautions"])
    yield from _lines(page, said[:MOST_CAUTIONS])
    rest = len(advice["cautions"]) - len(said[:MOST_CAUTIONS])
    if rest > 0:
        yield from page.label("", f"{rest} more cautions in the JSON answer", "")


def _lines(page: Page, cautions: Sequence[str]) -> Iterator[str]:
    for place, caution in enumerate(cautions):
        yield from page.label("" if place else "cautions", caution, "")


def _counted(advice: Advice) -> str:
    counts, untold = advice["counts"], advice["not_evaluated"]
    status = ", ".join(f"{counts[key]} {key}" for key in ("provisional", "held") if counts[key])
    raised = f"{counts['raised']} raised{f' ({status})' if status else ''}"
    return (
        f"{counts['rules']} rules: {counts['evaluated']} evaluated, {raised}; {counts['not_evaluated']} not evaluated: "
        f"{untold['outside']['count']} for another age or care, {untold['not_charted']['count']} with nothing charted, "
        f"{len(untold['needed'])} with something missing"
    )


def _fitting(cautions: Sequence[Any]) -> list[str]:
    return [str(caution["words"]) for caution in cautions if caution["fits"]]
