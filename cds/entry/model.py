"""What flows from reading to judging: an entry, exact and frozen.

Times are whole seconds since 1970 in UTC, as a span: a date is a day long, a period as long as it says.
Nothing here is judged; what was not charted is None or missing, never a default.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType

from cds.values import Quantity, Span

NO_CONTEXT: Mapping[str, object] = MappingProxyType({})


def _no_context() -> Mapping[str, object]:
    return NO_CONTEXT


@dataclass(frozen=True, slots=True)
class Moment:
    """When something happened: the text as sent, seconds as a span, local dates as a span, offset in seconds.

    `dates` are the first and last local calendar date in the offset of the text (UTC where a date has none).
    """

    text: str
    seconds: Span
    dates: tuple[date, date]
    offset: int | None


@dataclass(frozen=True, slots=True)
class Observation:
    """One charted value or sign.

    Exactly one of these holds: `quantity` (a value), `grades` (a sign), `absent` (a data-absent-reason code),
    `unusable` (unit-unmapped, code-unmapped). `comparator` is <, <=, >= or > where the value is only a bound.
    `context` holds the context keys of the vocabulary with their values: text, a tuple of texts, a bool,
    a Quantity or an int (counted_seconds).
    """

    code: str
    place: str
    quantity: Quantity | None = None
    grades: tuple[str, ...] = ()
    absent: str | None = None
    unusable: str | None = None
    found: str | None = None
    comparator: str | None = None
    context: Mapping[str, object] = field(default_factory=_no_context)
    measured: Moment | None = None
    status: str = "final"


@dataclass(frozen=True, slots=True)
class Infant:
    """Who: birth as a moment, or an age in completed days for cases and teaching, or neither.

    `age_at` is the moment at which `age_days` holds (None: at the event, whenever that was).
    `gestation` is a span of days at birth (36 weeks without days is 252 to 258).
    """

    id: str | None = None
    birth: Moment | None = None
    age_days: int | None = None
    sex: str | None = None
    gestation: Span | None = None
    birth_weight: Quantity | None = None
    order: int | None = None
    age_at: Moment | None = None


@dataclass(frozen=True, slots=True)
class QuantityRange:
    """From one quantity to another of the same dimension; an end that is not stated is None."""

    low: Quantity | None
    high: Quantity | None


@dataclass(frozen=True, slots=True)
class AgreedLimit:
    """Limits agreed for one infant: observation code, range, the role that agreed them, until when."""

    code: str
    range: QuantityRange
    by: str
    until: Moment | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """The charting event: when measured, when charted, in which care unit, status."""

    id: str | None = None
    measured: Moment | None = None
    charted: Moment | None = None
    care_unit: str | None = None
    status: str = "final"


@dataclass(frozen=True, slots=True)
class Remark:
    """What the reader noticed and did not drop: a reason code, where, what was found, in words."""

    reason: str
    place: str
    found: str
    words: str
    code: str | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One charting event for one infant with its earlier ones, oldest first, and entries of siblings where sent.

    `care` holds text, a QuantityRange (cooling) or a tuple of AgreedLimit (agreed_limits). An earlier entry whose
    `infant.id` is another one is kept and not looked at.
    """

    infant: Infant = Infant()
    event: Event = Event()
    care: Mapping[str, object] = field(default_factory=_no_context)
    observations: tuple[Observation, ...] = ()
    earlier: tuple[Entry, ...] = ()
    remarks: tuple[Remark, ...] = field(default=())
    siblings: tuple[Entry, ...] = ()
