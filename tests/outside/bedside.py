"""Entries as a nurse charts them, and what the adviser raises for them.

Infants and values are invented. Ages are written as on a chart: "59 d", "6 h", "4 mo" (calendar months).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from cds.adviser import Adviser
from cds.entry.read import read_entry
from cds.rules.model import LEVELS

Data = dict[str, Any]
NOW = datetime(2026, 3, 20, 9, 0, tzinfo=UTC)


def entry(age: str, *observations: Data, **more: Any) -> Data:
    """One entry of an infant of this age, measured at `NOW`; `more` are further keys of the entry."""
    infant = {"birth": born(age).isoformat(), **more.pop("infant", {})}
    return {"infant": infant, "event": {"measured": NOW.isoformat()}, "observations": list(observations), **more}


def born(age: str) -> datetime:
    amount, unit = age.split()
    if unit == "mo":
        years, months = divmod(NOW.month - 1 - int(amount), 12)
        return NOW.replace(year=NOW.year + years, month=months + 1)
    return NOW - int(amount) * {"min": timedelta(minutes=1), "h": timedelta(hours=1), "d": timedelta(days=1)}[unit]


def before(hours: int, *observations: Data) -> Data:
    """An earlier entry of the same infant."""
    return {"event": {"measured": (NOW - timedelta(hours=hours)).isoformat()}, "observations": list(observations)}


def breathing(value: int, state: str | None = "quiet-alert", **more: Any) -> Data:
    return _counted("respiratory-rate", value, state) | more


def heart(value: int, state: str | None = "quiet-alert", **more: Any) -> Data:
    return _counted("heart-rate", value, state) | {"site": "apical"} | more


def temperature(value: str, unit: str = "Cel", route: str | None = "axillary") -> Data:
    said = {"code": "body-temperature", "value": Decimal(value), "unit": unit}
    return said | ({"route": route} if route else {})


def saturation(value: int, **more: Any) -> Data:
    return {"code": "oxygen-saturation", "value": value, "unit": "%", "oxygen": "room-air"} | more


def sign(code: str, grade: str = "present", **more: Any) -> Data:
    return {"code": code, "grade": grade, **more}


def _counted(code: str, value: int, state: str | None) -> Data:
    said = {"code": code, "value": value, "unit": "/min", "counted_seconds": 60}
    return said | ({"state": state} if state else {})


def advise(adviser: Adviser, data: Data) -> Data:
    return adviser.advise(read_entry(data, None))


def raised(adviser: Adviser, data: Data) -> dict[str, str]:
    """The highest level at which each finding is raised; superseded and withdrawn ones are left out."""
    levels: dict[str, str] = {}
    for made in advise(adviser, data)["findings"]:
        if not made["superseded_by"] and made["status"] != "withdrawn":
            known = levels.get(made["finding"], "note")
            levels[made["finding"]] = max(known, made["level"], key=LEVELS.index)
    return levels


def verdict(adviser: Adviser, data: Data, rule: str) -> str:
    """met, not-met or cannot-tell."""
    return adviser.answer(read_entry(data, None)).inference.verdicts[rule].word
