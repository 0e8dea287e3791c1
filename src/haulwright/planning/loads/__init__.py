"""What every piece of a rig carries, expected and at winch stall, against what it may carry."""

from __future__ import annotations

from haulwright.planning.loads.result import LoadRow
from haulwright.planning.loads.rows import load_rows

__all__ = ["LoadRow", "load_rows"]
