"""The shape of an advice, for callers that read one: typed, closed, documented field by field.

`Advice.model_validate(data)` takes what `Adviser.advise` gives or what its JSON parses to. The schema that other
languages use, `schemas/advice.schema.json`, is made from these classes (`python -m tools.advice_schema`).
The adviser itself answers plain data and does not pass through here.
Long, as the schema is made from this one module, in the order of the answer.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Level = Literal["note", "recheck", "discuss", "contact"]
Status = Literal["raised", "provisional", "confirmed", "closed-by-repeat", "held", "withdrawn"]
Verdict = Literal["met", "not-met", "cannot-tell"]
Count = Annotated[int, Field(ge=0)]


class Part(BaseModel):
    """Closed and frozen: an unknown key is an error."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Event(Part):
    """The charting event, times as sent."""

    id: str | None = None
    measured: str | None = None
    charted: str | None = None
    care_unit: str | None = None
    status: str


class Gestation(Part):
    """Gestation at birth in days; a span where only the weeks are known."""

    from_days: Count
    to_days: Count


class Infant(Part):
    """Whom the entry is about: no name, no date of birth."""

    id: str | None = None
    sex: str | None = None
    gestation: Gestation | None = None
    order: int | None = None


class RulesInForce(Part):
    """Which rules answered."""

    id: str
    version: str
    digest: Annotated[str, Field(pattern="^sha256:[0-9a-f]{64}$")]
    mode: Literal["trial", "silent", "live"]
    policies: list[str]


class Evaluators(Part):
    """Which evaluators answered; `agree` is null where only one did."""

    answered: list[Literal["plain", "durable"]]
    agree: bool | None
    differ_on: list[str] | None = None
    why: str | None = None


class Days(Part):
    """Completed days, a span."""

    from_: Annotated[int, Field(alias="from")]
    to: int


class Age(Part):
    """One kind of age in words and days, or the reasons why it cannot be told."""

    words: str | None = None
    days: Days | None = None
    missing: list[str] | None = None


class Ages(Part):
    """The three ages at which an entry is judged."""

    chronological: Age
    corrected: Age
    postmenstrual: Age


class FigureSource(Part):
    """Where a figure or rule comes from; `said` is the publication in full."""

    ref: str
    at: str | None = None
    figure_from: str | None = None
    said: str | None = None


class ShownLimit(Part):
    """A threshold and band shown as expected, and who set it."""

    threshold: str
    band: str
    set_by: str


class Previous(Part):
    """The value of the same sign before, by the same route and at the same site."""

    value: str
    change: str
    ago: str


class Charted(Part):
    """A charted sign or value, and what is expected of it at this age and state.

    `z` is its place in the growth reference, a span where sex or age are not certain. `before` is the value before.
    """

    code: str
    value: str
    context: dict[str, str] | None = None
    status: str | None = None
    expected: str
    centile: str | None = None
    z: str | None = None
    before: Previous | None = None
    limits: list[ShownLimit] | None = None
    sources: list[FigureSource]


class Derived(Part):
    """A value computed from the entry."""

    name: str
    value: str


class Step(Part):
    """What to do next, in the unit's words, and by when (`within` in seconds)."""

    step: str
    words: str
    within: Count | None = None
    by: str | None = None


class LimitHeld(Part):
    """A limit that a value was held against, who set it and where it is written.

    `cut_off` is the limit in charted units, given where a z to two decimals is the limit.
    """

    threshold: str
    band: str
    words: str
    limit: str
    cut_off: str | None = None
    source: FigureSource | None = None
    set_by: str
    place: str


class Reading(Part):
    """What one observation or derived value answered; `calm` is false for unsettled or short counts."""

    value: str
    verdict: Verdict
    reasons: list[str] | None = None
    context: dict[str, str] | None = None
    calm: Literal[False] | None = None
    comparator: Literal["at-or-above", "above", "at-or-below", "below"] | None = None
    limits: list[LimitHeld] | None = None


class EarlierReading(Reading):
    """What a derived value answered at the last earlier entry that tells."""

    entry: str


class Unanswered(Part):
    """After how long a reading was due again, how far back is looked, and the earlier entry with the last one."""

    after: str
    within: str
    entry: str | None = None


class Reason(Part):
    """One node of the tree of reasons: a group (`how`, `parts`), a finding, or a criterion with its readings."""

    item: str | None = None
    title: str | None = None
    how: Literal["all", "any", "none", "at-least"] | None = None
    n: Count | None = None
    parts: list[Reason] | None = None
    left_out: Count | None = None
    finding: str | None = None
    observed: str | None = None
    derived: str | None = None
    score: str | None = None
    care: str | None = None
    charted: str | None = None
    band: list[str] | None = None
    not_representable: str | None = None
    wanted: list[str] | None = None
    repeats: str | None = None
    was: list[Literal["met", "not-met", "untold"]] | None = None
    before: EarlierReading | None = None
    unanswered: Unanswered | None = None
    verdict: Verdict
    reasons: list[str] | None = None
    readings: list[Reading] | None = None


class AppliesTo(Part):
    """By which kind of age a rule was judged, and the bands that the age may be in."""

    age: Literal["chronological", "corrected", "postmenstrual", "either"]
    bands: list[str]


class SetBy(Part):
    """Who set the rule: layer, file with line, digest of the rules."""

    layer: str
    file: str
    digest: str


class ScaleItem(Part):
    """One item of a published scale."""

    item: str
    verdict: Literal["met", "not met", "not charted", "not representable", "cannot tell"]


class Scale(Part):
    """The published scale and column, every item."""

    name: str
    column: str
    items: list[ScaleItem]


class Held(Part):
    """Why a finding is held, and the rules or the remark that make its input suspect."""

    reason: Literal["suspected-entry-error"]
    by: list[str]


class OtherEntry(Event):
    """The earlier entry that a status names."""

    how: Literal["repeat", "persistent"]


class Withdrawn(Part):
    """The entry whose status withdraws a finding, and what of it the finding rested on."""

    entry: Event
    what: list[str]


class Finding(Part):
    """What one rule says about the entry."""

    rule: str
    revision: Count
    finding: str
    title: str
    area: str
    level: Level
    status: Status
    red_flag: bool
    summary: Annotated[str, Field(max_length=139)]
    next: list[Step]
    by: str | None = None
    because: Reason
    numbers: dict[str, str]
    for_: Annotated[AppliesTo | None, Field(alias="for")] = None
    sources: list[FigureSource]
    set_by: SetBy
    missing: list[str]
    supersedes: list[str]
    superseded_by: list[str]
    known_limits: str
    scale: Scale | None = None
    other_entry: OtherEntry | None = None
    held: Held | None = None
    withdrawn: Withdrawn | None = None
    preterm: str | None = None


class StillOpen(Part):
    """A rate finding of an earlier entry that this entry's repeat did not close, and what keeps it open."""

    rule: str
    title: str
    entry: Event
    why: str


class Needed(Part):
    """A rule that something charted made relevant and that cannot tell, with what would settle it."""

    rule: str
    title: str
    level: Level
    reasons: list[str]
    needs: list[str]


class NotCharted(Part):
    """Rules that nothing charted touches."""

    count: Count
    rules: list[str]


class Outside(Part):
    """Rules for another age or care, each with the reason."""

    count: Count
    rules: dict[str, str]


class NotEvaluated(Part):
    """Everything that was not judged."""

    needed: list[Needed]
    not_charted: NotCharted
    outside: Outside


class Counts(Part):
    """How many rules there are, were evaluated, raised, and could not be."""

    rules: Count
    evaluated: Count
    raised: Count
    provisional: Count
    held: Count
    not_evaluated: Count


class Remark(Part):
    """What the reader noticed about the entry and did not drop."""

    code: str | None = None
    reason: str
    place: str
    found: str
    words: str


class Caution(Part):
    """A caution, and whether it fits what was charted."""

    words: str
    fits: bool


class Advice(Part):
    """The whole answer to one entry. Advice to a licensed clinician; the unit's protocol decides."""

    schema_: Annotated[Literal["infant-vitals-advice/1"], Field(alias="schema")]
    event: Event
    infant: Infant
    moment: str | None
    rules: RulesInForce
    evaluators: Evaluators
    age: Ages
    expected: list[Charted]
    derived: list[Derived]
    findings: list[Finding]
    still_open: list[StillOpen]
    not_evaluated: NotEvaluated
    counts: Counts
    quality: list[Remark]
    cautions: list[Caution]
