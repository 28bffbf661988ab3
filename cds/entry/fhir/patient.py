"""The infant of a Patient: id, birth, sex, order among siblings of one birth.

Takes a checked Patient. Gives the members of our `infant`, and remarks. Where two elements disagree it picks neither.
Never reads a name, an address or a note.
"""

from __future__ import annotations

from cds.entry.fhir.answers import name_value, said
from cds.entry.fhir.dates import is_day, read_when
from cds.entry.fhir.elements import Node
from cds.entry.fhir.meanings import Codes
from cds.entry.fhir.remarks import Note, clip
from cds.entry.infant import MOST_ORDER

BIRTH_TIME = "http://hl7.org/fhir/StructureDefinition/patient-birthTime"
_SEXES = {"female": "female", "male": "male", "other": "unknown", "unknown": "unknown"}


def read_patient(node: Node, codes: Codes) -> tuple[dict[str, object], list[Note]]:
    """The members of our `infant` that a Patient states, with what is doubtful about them."""
    if node.has("modifierExtension") or node.has("implicitRules"):
        return {}, [Note("must-understand", node.place, "Patient")]
    birth, birth_notes = read_birth(node)
    sex, sex_notes = _sex(node, codes)
    order, order_notes = _order(node)
    infant: dict[str, object] = {}
    for name, value in (("birth", birth), ("sex", sex), ("order", order)):
        if value is not None:
            infant[name] = value
    return infant, birth_notes + sex_notes + order_notes


def _order(node: Node) -> tuple[int | None, list[Note]]:
    order = node.data.get("multipleBirthInteger")
    if not isinstance(order, int):
        return None, []
    if 1 <= order <= MOST_ORDER:
        return order, []
    return None, [Note("infant-value", f"{node.place}/multipleBirthInteger", "multipleBirthInteger", "order")]


def read_birth(node: Node) -> tuple[str | None, list[Note]]:
    """Time or date of birth, or why neither is used."""
    date, time = node.text("birthDate"), _birth_time(node)
    if date and time and not _agree(date, time):
        return None, [Note("birth-conflict", f"{node.place}/birthDate", "birthDate, patient-birthTime", "birth")]
    birth = time or date
    if birth and "T" not in birth and not is_day(birth):
        return None, [Note("birth-partial", f"{node.place}/birthDate", "birthDate", "birth")]
    return birth, []


def _birth_time(node: Node) -> str | None:
    for url, extension in node.part("_birthDate").extensions():
        if url == BIRTH_TIME:
            return extension.text("valueDateTime")
    return None


def _agree(date: str, time: str) -> bool:
    day, moment = read_when(date), read_when(time)
    if day is None or moment is None:
        return False
    # A system may write the date of birth in another zone than the time: neighbouring days agree.
    first, last = day.moment.dates[0].toordinal() - 1, day.moment.dates[1].toordinal() + 1
    return first <= moment.moment.dates[0].toordinal() <= last


def _sex(node: Node, codes: Codes) -> tuple[str | None, list[Note]]:
    gender = node.text("gender")
    words = [_SEXES[gender]] if gender else []
    notes: list[Note] = []
    for url, extension in node.extensions():
        if url in codes.on_patient:
            mapped = said(extension, codes.on_patient[url].values)
            words += mapped
            notes += [] if mapped else [Note("code-unmapped", extension.place, clip(name_value(extension)), "sex")]
    named = set(words) - {"unknown"}
    if len(named) > 1:
        return "unknown", [*notes, Note("sex-conflict", node.place, "gender and a mapped extension", "sex")]
    return (named.pop() if named else words[0] if words else None), notes
