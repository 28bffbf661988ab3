"""What the FHIR reader noticed and did not drop: a closed list of reasons, each with its words.

A remark carries codes, units, references and places. It never carries a name, a note or any other text of the input
that was written for people.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from cds.entry.faults import WHOLE
from cds.entry.fhir.meanings import Coding

REASONS: Mapping[str, str] = MappingProxyType(
    {
        "code-unmapped": "the code has no meaning here; a mapping file can give it one",
        "unit-unmapped": "the unit has no UCUM code that is accepted for this value",
        "site-unmapped": "the body site or method has no meaning here; what the code itself says is used",
        "component-unread": "known, and not read as a part of this observation",
        "other-subject": "about somebody else, or nobody named that this input holds; not read as this infant's",
        "not-ours": "known, and not a value or sign that is judged here",
        "other-fhir-version": "an element of another FHIR version; what R4 has in common with it was read",
        "no-effective-time": "no time says when; judged with this entry, age unknown where no other time stands there",
        "period-end": "holds over a period; placed at the end of it, its age is that of the whole period",
        "open-period": "the period has only one end; that end is taken as the time",
        "conflicting-code": "two codes of one observation mean different things; not judged",
        "conflicting-site": "two codes name different places; the place counts as not charted",
        "conflicting-context": "two codes say different things about the circumstances; they count as not charted",
        "oxygen-unclear": "flow, inspired oxygen and code do not agree on oxygen; it counts as not charted",
        "conflicting-value": "a value and a reason why there is none stand together; not judged",
        "context-alone": "a circumstance on its own, with no reading of the same time that it belongs to",
        "birth-conflict": "date and time of birth lie more than a day apart; birth counts as unknown",
        "birth-partial": "the date of birth has no day; birth counts as unknown",
        "sex-conflict": "two elements name different sexes; sex counts as unknown",
        "infant-conflict": "sent more than once with different values; counts as unknown",
        "infant-value": "a value that cannot be read as it stands; counts as unknown",
        "gestation-rounded": "decimal weeks are taken as the nearest whole number of days",
        "care-conflict": "sent more than once for this entry with different values; counts as not charted",
        "must-understand": "carries an extension or rules that change its meaning and are not known here; not judged",
        "withheld": "status says that the value does not stand; not used",
        "deleted": "the transaction deletes this resource; nothing is read from it",
        "duplicate": "the same resource again; read once",
        "replaced": "a newer version of the same resource replaces this one",
        "missing-member": "a member of a panel that this input does not hold",
        "bundle-cut": "the Bundle says that more belongs to it than was sent",
        "fetch-error": "an OperationOutcome stands where data was asked for",
        "fetch-warning": "an OperationOutcome with a warning; no data",
    }
)
"""Every reason of a remark, in words for the reader of an answer."""

VALUE_UNMAPPED = "what is sent with it is text, or a code without a meaning here; a mapping file can give a code one"
"""Words of code-unmapped where the observation is known, and only its value or a circumstance is not."""

_LONGEST = 120


@dataclass(frozen=True, slots=True)
class Note:
    """One remark: reason, JSON pointer, what was found, our code where there is one, how often."""

    reason: str
    place: str
    found: str
    code: str | None = None
    times: int = 1

    def data(self) -> dict[str, object]:
        """The remark as our JSON entry writes it."""
        is_value = self.reason == "code-unmapped" and self.code is not None
        said_once = VALUE_UNMAPPED if is_value else REASONS[self.reason]
        words = said_once + (f" ({self.times} times)" if self.times > 1 else "")
        said: dict[str, object] = {
            "reason": self.reason,
            "place": self.place or WHOLE,
            "found": self.found,
            "words": words,
        }
        return said | ({"code": self.code} if self.code else {})


def fold(notes: Iterable[Note]) -> list[dict[str, object]]:
    """Remarks that differ only in place as one, at the first place, with their number."""
    folded: dict[tuple[str, str, str | None], Note] = {}
    for note in notes:
        key = (note.reason, note.found, note.code)
        known = folded.get(key)
        folded[key] = replace(known, times=known.times + note.times) if known else note
    return [note.data() for note in folded.values()]


def name_codings(codings: Iterable[Coding], none: str = "no system and code") -> str:
    """Codings as `system|code`, comma between; what to say where there is none."""
    return clip(", ".join(f"{system}|{code}" for system, code in codings) or none)


def clip(text: str) -> str:
    """A key of the input, printable and of bounded length."""
    plain = "".join(letter if letter.isprintable() else "?" for letter in text)
    return plain if len(plain) <= _LONGEST else f"{plain[: _LONGEST - 3]}..."
