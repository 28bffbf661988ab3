"""What a checked rule set is: frozen data that the judge reads.

Built by `rules.load` from files or from a frozen rule set; every number is exact. Places (`file:line`) ride along
for provenance and take no part in meaning.
Long, as what the files hold is read here in one place, from an edge of age to the whole set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from cds.values import Limit

Level = Literal["note", "recheck", "discuss", "contact"]
LEVELS: tuple[Level, ...] = ("note", "recheck", "discuss", "contact")
AgeKind = Literal["chronological", "corrected", "postmenstrual", "either"]
Comparator = Literal["at-or-above", "above", "at-or-below", "below"]
EdgeUnit = Literal["min", "h", "d", "wk", "mo"]


@dataclass(frozen=True, slots=True)
class Edge:
    """An age at which a band begins or ends: a whole amount of min, h, d, wk or calendar months."""

    amount: int
    unit: EdgeUnit


@dataclass(frozen=True, slots=True)
class Band:
    """A half-open range of ages [start, end) of one scheme."""

    id: str
    scheme: str
    start: Edge
    end: Edge
    words: str

    def __hash__(self) -> int:
        # An id is one band; to hash all of it costs at every gate.
        return hash(self.id)


@dataclass(frozen=True, slots=True)
class SourceAt:
    """Where a figure or rule comes from: a listed source, the place in it, how the figure was seen."""

    ref: str
    at: str
    figure_from: str | None = None


@dataclass(frozen=True, slots=True)
class Source:
    """A publication: body, title, edition, year."""

    id: str
    body: str
    title: str
    edition: str
    year: int
    url: str | None = None


@dataclass(frozen=True, slots=True)
class SiteMaySet:
    """The bounds within which a site may move a limit, ends included, and the direction."""

    start: Limit
    end: Limit
    towards: Literal["lower", "higher"]


@dataclass(frozen=True, slots=True)
class BandLimit:
    """The limit of one band of a threshold, or why there is none; who set it and where it is written.

    Without `may_set` it is locked.
    """

    threshold: str
    reached: Comparator
    band: Band
    limit: Limit | None
    no_limit: str | None
    source: SourceAt | None
    place: str
    set_by: str = "base"
    may_set: SiteMaySet | None = None


@dataclass(frozen=True, slots=True)
class Threshold:
    """A limit per age band: the only number that informatics tunes.

    `agreed` says whether a limit agreed for one infant may stand in its place.
    """

    id: str
    title: str
    quantity: str
    unit: str
    reached: Comparator
    age: AgeKind
    bands: tuple[BandLimit, ...]
    remarks: str
    place: str
    agreed: bool = True


@dataclass(frozen=True, slots=True)
class Filter:
    """Which observations a criterion looks at, by one context key.

    `is_` selects; `not_` excludes (None: everything else that is charted); what is neither, or not charted, may be.
    The state words settled, unsettled, asleep and awake are already expanded to states.
    """

    key: str
    is_: frozenset[str]
    not_: frozenset[str] | None
    uncharted: Literal["unknown", "selected", "excluded"]


@dataclass(frozen=True, slots=True)
class Reach:
    """A threshold to reach, or one threshold for each value of a context key, as pairs.

    `bands` narrows what is shown as expected to some bands of the threshold; conditions leave it empty.
    """

    threshold: str | None = None
    by: str | None = None
    each: tuple[tuple[str, str], ...] = ()
    bands: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Before:
    """What the last earlier entry that tells must have answered, and how many seconds back it may lie.

    `was`: any of met, not-met, untold (no such entry). `key` is that of the same criterion without it.
    """

    was: frozenset[str]
    within: int
    key: str


@dataclass(frozen=True, slots=True)
class Unanswered:
    """That the last earlier reading met, more than `after` and at most `within` seconds ago, with none since.

    `key` is that of the same criterion without it.
    """

    after: int
    within: int
    key: str


@dataclass(frozen=True, slots=True)
class Criterion:
    """One question to an entry. `kind` says which of the other fields count.

    observed: `subject` a code; `reach` or `grades` or `has`; `where`; `repeated_within` seconds, `repeated_times`
              readings, the earlier ones at least `repeated_after` seconds before; `unanswered`.
    derived:  `subject` a derived value; `reach` or `grades` (its words); `before`.
    score:    `subject` a score; `reach`.
    care:     `subject` a care key; `grades`; `uncharted` says whether care that is not charted could be one of them.
    band:     `bands` of ages, by `age`.
    blank:    an item of a scale that an entry cannot represent; `why`.
    """

    key: str
    kind: Literal["observed", "derived", "score", "care", "band", "blank"]
    subject: str = ""
    reach: Reach | None = None
    grades: frozenset[str] = frozenset()
    ungraded: Literal["unknown", "not-met"] = "unknown"
    uncharted: Literal["possible", "missing"] = "possible"
    has: tuple[str, frozenset[str]] | None = None
    where: tuple[Filter, ...] = ()
    repeated_within: int | None = None
    repeated_times: int = 2
    repeated_after: int = 0
    unanswered: Unanswered | None = None
    before: Before | None = None
    bands: tuple[Band, ...] = ()
    age: AgeKind = "chronological"
    why: str = ""
    item: str | None = None


@dataclass(frozen=True, slots=True)
class FindingIs:
    """Met where any rule raises this finding code. Only inside `all` and `any`."""

    finding: str
    item: str | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """all, any, none or at-least `n` of its parts; `title` where it came from a named group.

    `chained` says that a finding is asked for somewhere inside. `codes` are the observation codes that it reads, where
    it reads nothing else.
    """

    how: Literal["all", "any", "none", "at-least"]
    parts: tuple[Condition, ...]
    n: int = 0
    title: str | None = None
    item: str | None = None
    chained: bool = False
    codes: frozenset[str] = frozenset()


Condition = Criterion | FindingIs | Group


@dataclass(frozen=True, slots=True)
class Gate:
    """Whom a rule applies to: age bands of one kind, and the breathing support under which it is not evaluated.

    `scoped` rules are not evaluated under the postmenstrual age of the setting `scope_from`; red flags, what people
    state (worry, looks ill) and rules on quality, growth and weight are not scoped.
    """

    bands: tuple[Band, ...]
    age: AgeKind
    outside_care: frozenset[str]
    scoped: bool = True


@dataclass(frozen=True, slots=True)
class NextStep:
    """A step code with the seconds within which it is due, where stated."""

    step: str
    within: int | None = None


@dataclass(frozen=True, slots=True)
class Confirm:
    """How a second count confirms: seconds back, the level then, and the steps that come before the rule's own."""

    within: int
    level: Level
    next: tuple[NextStep, ...] = ()


@dataclass(frozen=True, slots=True)
class Scale:
    """The published scale and column that a rule is part of."""

    name: str
    column: str


@dataclass(frozen=True, slots=True)
class Rule:
    """Criteria and findings combined; raises one finding.

    `codes` are the observation codes its condition reads, `reads` those and what else a slip may lie in. A rule that
    `holds` makes what it reads suspect: findings below contact that read the same are held.
    """

    id: str
    revision: int
    title: str
    area: str
    gate: Gate
    when: Condition
    finding: str
    level: Level
    red_flag: bool
    say: str
    next: tuple[NextStep, ...]
    sources: tuple[SourceAt, ...]
    known_limits: str
    place: str
    reference_range: bool = False
    confirmed: Confirm | None = None
    closes_within: int | None = None
    supersedes: tuple[str, ...] = ()
    scale: Scale | None = None
    opened_by: tuple[str, ...] = ()
    codes: frozenset[str] = frozenset()
    holds: bool = False
    reads: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Cut:
    """Points from a limit on, until the next cut is reached."""

    reached: Comparator
    limit: Limit
    points: int


@dataclass(frozen=True, slots=True)
class ScoreItem:
    """One item: the sign and the points of each grade, or of each cut of a value (lowest first).

    `contexts` are (context key, word, points): they stand instead where the grade has points and the key that word.
    """

    code: str
    words: str
    points: Mapping[str, int]
    cuts: tuple[Cut, ...] = ()
    contexts: tuple[tuple[str, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Score:
    """A published score: items that must all be charted for a total."""

    id: str
    title: str
    items: tuple[ScoreItem, ...]
    most: int
    opened_by: tuple[str, ...]
    sources: tuple[SourceAt, ...]
    place: str
    known_limits: str = ""


@dataclass(frozen=True, slots=True)
class ScreenAlgorithm:
    """How a published newborn oxygen screen is read.

    `limbs` must reach the upper limit; the last of `screens` in a series fails where it does not pass. `start` is the
    least age, `apart` the time to a repeat, `series_within` how far back a series reaches, all in seconds.
    """

    id: str
    words: str
    limbs: Literal["either", "both"]
    screens: int
    start: int
    apart: int
    series_within: int
    source: SourceAt


@dataclass(frozen=True, slots=True)
class CentileRow:
    """The published centiles of one band, lowest first."""

    band: Band
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True)
class Centiles:
    """A published table of centiles of one code by chronological age; shown, never judged."""

    at: tuple[int, ...]
    rows: tuple[CentileRow, ...]
    source: SourceAt


@dataclass(frozen=True, slots=True)
class GrowthTables:
    """The growth reference that a rule set was made with: the digest of its tables, and where they come from."""

    digest: str
    words: str
    source: SourceAt


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution with the observation codes it is about; with none, it goes with every answer."""

    words: str
    about: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Expected:
    """The limits shown to the nurse for one code; of several on one side the narrowest with a limit at this age."""

    low: tuple[Reach, ...]
    high: tuple[Reach, ...]


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A versioned set of all of these, resolved and checked."""

    id: str
    version: str
    digest: str
    sources: Mapping[str, Source]
    bands: Mapping[str, Band]
    thresholds: Mapping[str, Threshold]
    scores: Mapping[str, Score]
    rules: tuple[Rule, ...]
    screens: Mapping[str, ScreenAlgorithm]
    expected: Mapping[str, Expected]
    centiles: Mapping[str, Centiles]
    settings: Mapping[str, str]
    cautions: tuple[Caution, ...]
    step_words: Mapping[str, str]
    title: str = ""
    growth: GrowthTables | None = None
