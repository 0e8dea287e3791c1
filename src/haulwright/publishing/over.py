"""What in the drawing of a candidate is over at winch stall."""

from __future__ import annotations

from haulwright.mechanics.solution import RigSolution
from haulwright.planning.result import Candidate


def over_parts(candidate: Candidate, solution: RigSolution) -> set[str]:
    """Return what belongs to a piece that is over: ``body:NAME``, ``block:NAME``, ``line:NAME``."""
    over = {item.item for item in candidate.items if item.verdict == "over"}
    roles = {item.role for item in candidate.items if item.verdict == "over"}
    names = {f"block:{block}" for block, item in candidate.devices.items() if item in over}
    names |= {f"body:{name}" for name in over & {*solution.bodies, *candidate.anchors}}
    for line in solution.lines:
        if ("winch line" if line == "winch line" else "second rope") in roles:
            names.add(f"line:{line}")
    return names
