"""One invented pull as plain mappings: all line on the first drum layer, so that stall is the rated pull itself."""

from __future__ import annotations

import copy
from typing import Any

import pytest

DEVICE = {"u": 0.01, "interval95": [1.05, 1.09], "valid_N": [1e3, 60e3], "source": "own trial"}

PULL: dict[str, Any] = {
    "pull": "test pull",
    "vehicle": {
        "name": "wagon",
        "mass": "2.6 t",
        "load": "480 kg",
        "sunk": "rim",
        "points": [
            {"name": "left", "rating": "55 kN", "basis": "WLL"},
            {"name": "right", "rating": "55 kN", "basis": "WLL"},
        ],
    },
    "ground": {"surface": "road", "slope": "4 deg", "direction": "up"},
    "site": {
        "anchors": [
            {"name": "oak", "kind": "tree", "distance": "10 m", "limit": "150 kN", "source": "proof pull"}
        ]
    },
    "winch": "W-1",
    "want": {"travel": "5 m"},
    "friction": {"puck-A": {"k": 1.07, **DEVICE}, "puck-B": {"k": 1.07, **DEVICE}},
    "kit": {
        "items": [
            {
                "id": "L-1",
                "kind": "rope",
                "rating": "98 kN",
                "basis": "MBS",
                "factor": 2,
                "diameter": "11 mm",
                "length": "60 m",
            },
            {
                "id": "B-1",
                "kind": "block",
                "rating": "10 t",
                "basis": "WLL",
                "becket": True,
                "device": "puck-A",
            },
            {"id": "B-2", "kind": "block", "rating": "8 t", "basis": "WLL", "device": "puck-B"},
            {"id": "S-1", "kind": "shackle", "rating": "9.5 t", "basis": "WLL"},
            {"id": "S-2", "kind": "shackle", "rating": "8.5 t", "basis": "WLL"},
            {"id": "S-3", "kind": "soft shackle", "rating": "130 kN", "basis": "MBS", "factor": 2},
            {"id": "T-1", "kind": "strap", "rating": "12 t", "basis": "WLL"},
        ],
        "winches": [
            {
                "id": "W-1",
                "line_pull": "42 kN",
                "drum": {"barrel": "300 mm", "width": "1 m"},
                "rope": "L-1",
                "least_wraps": 5,
                "mount": {"rating": "60 kN", "basis": "WLL"},
            }
        ],
    },
}


@pytest.fixture
def pull() -> dict[str, Any]:
    """Return the pull; each test may change its own copy."""
    return copy.deepcopy(PULL)
