"""What an answer says about the entry as a whole: what its reader noticed, and what narrows the answer.

Takes the view and what was raised; gives plain data, one row for each matter. Says what was set aside: a limit agreed
for this infant that does not hold, rules that age or care leave out although something charted is theirs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cds.advice.answer import Data, given
from cds.advice.explain import entry_words
from cds.advice.status import SUSPECT, Raised
from cds.advice.terms import say_code
from cds.entry.model import AgreedLimit, Entry, Remark
from cds.entry.versions import AMENDED
from cds.judge.agreed import in_force, why_not
from cds.judge.gates import is_outside_care, is_under
from cds.judge.view import WITHHELD, View

_SCOPE = (
    ("scope_from", "outside-scope", "only red flags, what people state and the entry itself are judged"),
    ("term_from", "preterm", "what is shown as expected is of infants born at term"),
)


def noticed(view: View, raised: Sequence[Raised]) -> list[Data]:
    """Remarks of the reader first, then what narrows the answer."""
    found = (
        *view.entry.remarks,
        *_withheld(view),
        *_amended(view),
        *_aside(view),
        *_scope(view),
        *_care(view),
        *_agreed(view),
    )
    together = any(made.level == "contact" for made in raised)
    return [_row(remark, together and remark.reason in SUSPECT) for remark in found]


def _row(remark: Remark, together: bool) -> Data:
    """A remark; where a contact finding rests on a suspected entry, neither waits for the other."""
    return {
        **given(code=remark.code),
        "reason": remark.reason,
        "place": remark.place,
        "found": remark.found,
        "words": f"{remark.words}; check entry and infant together" if together else remark.words,
    }


def _withheld(view: View) -> Iterator[Remark]:
    status = view.entry.event.status
    if status in WITHHELD:
        words = f"the status of this entry is {status.replace('-', ' ')}: no reading in it is judged"
        yield Remark("entered-in-error", "/event/status", status, words)


def _amended(view: View) -> Iterator[Remark]:
    """What was amended or corrected, in the entry itself."""
    status = view.entry.event.status
    if status in AMENDED:
        yield Remark("amended", "/event/status", status, f"this entry is {status}: judged anew as it stands now")
    for each in view.entry.observations:
        if each.status in AMENDED:
            words = f"{say_code(each.code)} is {each.status}: judged anew as it stands now"
            yield Remark("amended", f"{each.place}/status", each.status, words, each.code)


def _aside(view: View) -> Iterator[Remark]:
    """Earlier entries on which nothing rests: withdrawn, or sent again later."""
    for place in sorted(view.aside):
        earlier = view.entry.earlier[place]
        status, named = earlier.event.status, entry_words(earlier)
        if status in WITHHELD:
            words = f"earlier entry {named} is {status.replace('-', ' ')}: set aside, nothing rests on it"
            yield Remark("entered-in-error", _place(earlier), status, words)
        else:
            words = f"earlier entry {named} was sent again as it stands now: the former version is set aside"
            yield Remark("replaced", _place(earlier), status, words)


def _place(earlier: Entry) -> str:
    """Where an earlier entry stood in the document, told by what was charted in it."""
    first = next(iter(earlier.observations), None)
    return first.place.partition("/observations")[0] if first else "/earlier"


def _scope(view: View) -> Iterator[Remark]:
    for setting, reason, words in _SCOPE:
        if is_under(setting, view):
            edge = view.rules.settings[setting].split()[0]
            said = f"under {edge} weeks postmenstrual age: {words}"
            yield Remark(reason, "/infant/gestation", view.ages.words("postmenstrual"), said)
            return


def _care(view: View) -> Iterator[Remark]:
    left_out = [rule for rule in view.rules.rules if is_outside_care(rule.gate, view)]
    count = sum(1 for rule in left_out if not rule.codes.isdisjoint(view.by_code))
    if count:
        support = str(view.entry.care.get("breathing_support", "cooling"))
        words = f"care as charted: {count} rules that read something charted are not asked"
        yield Remark("outside-rule-care", "/care", support, words)


def _agreed(view: View) -> Iterator[Remark]:
    limits = view.entry.care.get("agreed_limits", ())
    assert isinstance(limits, tuple)
    for place, limit in enumerate(limits):
        if why := _why_unused(limit, view):
            words = f"limit agreed for {limit.code.replace('-', ' ')} not used: {why}"
            yield Remark("agreed-limit-unused", f"/care/agreed_limits/{place}", why, words, limit.code)


def _why_unused(limit: AgreedLimit, view: View) -> str:
    return why_not(limit, view) or ("" if in_force(limit.code, view) is limit else "another one stands before it")
