"""What the verbs take in many shapes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

Given = str | Path | Mapping[str, Any]


def newtons(force: str | float, what: str) -> float:
    """Return a force given as text with its unit, or in newtons."""
    from haulwright.quantities.units import parse_force

    return parse_force(force, default_unit=None if isinstance(force, str) else "N", what=what)
