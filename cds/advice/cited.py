"""A source in full, as a page or a picture names it."""

from __future__ import annotations

from cds.advice.terms import SEEN
from cds.rules.model import RuleSet, SourceAt


def cited(at: SourceAt, rules: RuleSet) -> str:
    """A source in full, with the place in it and how the figure was seen."""
    source = rules.sources[at.ref]
    seen = f" ({SEEN[at.figure_from]})" if at.figure_from else ""
    return f"{source.body}: {source.title}, {source.edition}, {source.year}; {at.at}{seen}"
