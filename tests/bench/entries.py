"""The entries that are measured: the demo entries of the invented Thornmere ward, and a well baby with three earlier.

The bare demo entry has no time of birth, and the chain of ifs needs one; it is measured as a copy with birth and time.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from cds.shipped import shipped

Data = dict[str, Any]
BIRTH = "2025-11-01T09:20:00+00:00"


def entries() -> dict[str, Data]:
    """Each entry as parsed JSON, by a short name."""
    demo = {path.stem: json.loads(path.read_text("utf-8")) for path in sorted(_demo().glob("t-*.json"))}
    for entry in demo.values():
        entry["infant"].setdefault("birth", BIRTH)
        entry.setdefault("event", {"measured": "2025-11-12T08:10:00+00:00"})
    return {**demo, "well baby": well_baby()}


def _demo() -> Path:
    return shipped("rulesets") / "demo"


def well_baby() -> Data:
    """A settled infant of 11 days with three earlier entries of the same day."""
    earlier = [_visit(f"2025-11-12T{hour:02}:00:00+00:00", rate) for hour, rate in ((0, 40), (4, 44), (8, 38))]
    return {"infant": _INFANT, **_visit("2025-11-12T12:00:00+00:00", 42), "earlier": earlier}


def weighed(earlier: int) -> Data:
    """The same infant with weight, length and head, and so many entries of the last days that chart them too."""
    visits = [
        _weighing(f"2025-11-{12 - back // 2:02}T{12 - 11 * (back % 2):02}:00:00+00:00", back)
        for back in range(earlier + 1)
    ]
    return {"infant": _INFANT | {"birth_weight": {"value": 3420, "unit": "g"}}, **visits[0], "earlier": visits[:0:-1]}


_INFANT = {"id": "T-210", "birth": BIRTH, "sex": "female", "gestation": {"weeks": 39, "days": 1}}


def _weighing(measured: str, back: int) -> Data:
    sizes: list[Data] = [
        {"code": "body-weight", "value": 3460 - 12 * back, "unit": "g", "clothing": "nude"},
        {"code": "body-length", "value": 51.5, "unit": "cm", "position": "lying"},
        {"code": "head-circumference", "value": 35.2, "unit": "cm"},
    ]
    visit = _visit(measured, 42)
    return {**visit, "observations": visit["observations"] + sizes}


def _visit(measured: str, rate: int) -> Data:
    return {
        "event": {"id": f"T-210-{measured[8:13]}", "measured": measured},
        "care": {"breathing_support": "none", "feeding_route": "breast"},
        "observations": [
            {"code": "respiratory-rate", "value": rate, "unit": "/min", "counted_seconds": 60, "state": "light-sleep"},
            {
                "code": "heart-rate",
                "value": 3 * rate,
                "unit": "/min",
                "counted_seconds": 60,
                "state": "light-sleep",
                "site": "apical",
            },
            {"code": "body-temperature", "value": 36.8, "unit": "Cel", "route": "axillary"},
            {"code": "oxygen-saturation", "value": 98, "unit": "%", "site": "foot", "oxygen": "room-air"},
            {"code": "skin-colour", "grade": ["usual"]},
            {"code": "feeding", "grade": "usual"},
            {"code": "nasal-flaring", "grade": "absent"},
            {"code": "retractions", "grade": "absent"},
        ],
    }
