"""Limits agreed for one infant, standing in place of a threshold's own for as long as they hold.

Takes `care.agreed_limits`: a range, the role that agreed it, until when. It holds up to the moment it names, and that
moment may lie at most 24 h ahead. Thresholds marked `agreed: never` keep their own limit.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from cds.entry.model import AgreedLimit
from cds.judge.view import View
from cds.rules.model import Comparator, Threshold
from cds.values import Limit, Quantity

MOST_AHEAD = 24 * 3600


def with_agreed(threshold: Threshold, code: str, view: View) -> Threshold:
    """The threshold, or the same with the limit agreed for this infant."""
    agreed = in_force(code, view) if threshold.agreed else None
    if agreed is None:
        return threshold
    is_upper = threshold.reached in ("at-or-above", "above")
    end = agreed.range.high if is_upper else agreed.range.low
    return threshold if end is None else _replaced(threshold, end, agreed)


def in_force(code: str, view: View) -> AgreedLimit | None:
    """The agreed limit that holds for a code at the time of measuring."""
    limits = view.entry.care.get("agreed_limits", ())
    assert isinstance(limits, tuple)
    return next((limit for limit in limits if limit.code == code and not why_not(limit, view)), None)


def why_not(limit: AgreedLimit, view: View) -> str:
    """Why an agreed limit does not hold; empty where its end lies ahead of the measuring by at most 24 h."""
    now = view.entry.event.measured
    if now is None or limit.until is None:
        return "no time of measuring" if limit.until else "it names no end"
    ahead = limit.until.seconds.high - now.seconds.low
    if ahead < 0:
        return "its end has passed"
    return "its end lies more than 24 h ahead" if ahead > MOST_AHEAD else ""


def _replaced(threshold: Threshold, end: Quantity, agreed: AgreedLimit) -> Threshold:
    reached: Comparator = "above" if threshold.reached in ("at-or-above", "above") else "below"
    limit = Limit(Decimal(end.text), end.unit, end.position)
    until = agreed.until.text if agreed.until else ""
    words = f"agreed for this infant by {agreed.by} until {until}"
    bands = tuple(
        replace(band, reached=reached, limit=limit, no_limit=None, source=None, set_by=words)
        for band in threshold.bands[:1]
    )
    return replace(threshold, reached=reached, bands=bands)
