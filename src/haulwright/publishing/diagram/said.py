"""What a plan from above cannot show, in words under it: the side pull on the load, the uplift at anchors."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.wording import force

SHARE = 0.01  # below this share of the resistance, or of the pull, nothing is said


def said(solution: RigSolution, stalls: Sequence[RigSolution], units: str) -> tuple[str, ...]:
    """Return the sentences under a plan, each force with its twin at stall where that is known."""
    load = next((name for name, role in solution._roles.items() if role == "load"), "the load")
    sentences = []
    if solution.side_pull_N > SHARE * solution.resistance_N:
        most = max((stall.side_pull_N for stall in stalls), default=None)
        sentences.append(
            f"Side pull on {load}: {_pair(solution.side_pull_N, most, units)}; its wheels must hold that."
        )
    for name, body in solution.bodies.items():
        if solution._roles.get(name) != "anchor" or body.vector_N is None or len(body.vector_N) < 3:
            continue
        up = body.vector_N[2]
        if abs(up) > SHARE * body.load_N:
            at_stall = [s.bodies[name].vector_N for s in stalls if name in s.bodies]
            most = max((abs(v[2]) for v in at_stall if v), default=None)
            way = "lifts" if up > 0.0 else "presses down"
            sentences.append(f"The pull on {name} {way} with {_pair(abs(up), most, units)}.")
    return tuple(sentences)


def _pair(expected_N: float, stall_N: float | None, units: str) -> str:
    words = force(expected_N, units, unit=False)
    return f"{words} {units}" + ("" if stall_N is None else f", {force(stall_N, units, unit=False)} at stall")
