"""Views of invented entries under the shipped rules, for tests that ask one part of the judge."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from cds.entry.model import Entry
from cds.entry.read import read_entry, read_json
from cds.judge.view import View
from tests.verdicts.golden import rule_set

Data = dict[str, Any]
BIRTH = "2025-11-10T09:00:00+00:00"
NOW = "2025-11-12T09:30:00+00:00"
TERM = {"weeks": 39, "days": 4}


def entry_of(observations: list[Data], *earlier: tuple[str, list[Data]], **more: Any) -> Entry:
    """The entry of an infant of two days born at 39 weeks 4 d; `infant` changes that, None leaves a key out."""
    infant = {"birth": BIRTH, "gestation": TERM, **more.pop("infant", {})}
    known = {key: value for key, value in infant.items() if value is not None}
    past = [{"event": {"measured": at}, "observations": charted} for at, charted in earlier]
    data = {"infant": known, "event": {"measured": NOW}, "observations": observations, "earlier": past, **more}
    return read_entry(read_json(json.dumps(data)))


def view_of(observations: list[Data], *earlier: tuple[str, list[Data]], **more: Any) -> View:
    """The view of such an entry."""
    return View(entry_of(observations, *earlier, **more), rule_set())


def in_care(observations: list[Data], care: Mapping[str, object]) -> View:
    """The view of such an entry with care as it may come from another reader."""
    return View(replace(entry_of(observations), care=care), rule_set())


def counted(code: str, value: int, state: str = "quiet-alert", **context: Any) -> Data:
    """A full count."""
    return {"code": code, "value": value, "unit": "/min", "counted_seconds": 60, "state": state, **context}


def saturation(value: int, **context: Any) -> Data:
    """A saturation."""
    return {"code": "oxygen-saturation", "value": value, "unit": "%", **context}


def temperature(value: float, **context: Any) -> Data:
    """A temperature by axilla, unless the context says another route."""
    return {"code": "body-temperature", "value": value, "unit": "Cel", "route": "axillary", **context}
