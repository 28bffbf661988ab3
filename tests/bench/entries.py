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
    infant = {"id": "T-210", "birth": BIRTH, "sex": "female", "gestation": {"weeks": 39, "days": 1}}
    earlier = [_visit(f"2025-11-12T{hour:02}:00:00+00:00", rate) for hour, rate in ((0, 40), (4, 44), (8, 38))]
    return {"infant": infant, **_visit("2025-11-12T12:00:00+00:00", 42), "earlier": earlier}


def _visit(measured: str, rate: int) -> Data:
    return {
        "event": {"id": f"T-210-{measured[11:13]}", "measured": measured},
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
