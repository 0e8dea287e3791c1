"""The force a cell reads at a place of a rig: a body, a block, or a part of a line."""

from __future__ import annotations

from haulwright.errors import RigRefusal
from haulwright.mechanics.names import nearest
from haulwright.mechanics.solution import RigSolution


def force_at(solution: RigSolution, place: str) -> float:
    """Return the force at a place of a solved rig.

    Parameters
    ----------
    solution : RigSolution
    place : str
        A body (the sum of its lines), a block (what its shackle carries, becket included), or a part as
        ``line:number``, counted from the standing end: ``winch line:1``.

    Returns
    -------
    float
        Force [N].

    Raises
    ------
    RigRefusal
        UNKNOWN, with the places there are.

    Examples
    --------
    >>> from haulwright.mechanics.statics import solve_rig
    >>> from haulwright.mechanics.tackles import named_rig
    >>> solved = solve_rig(named_rig("redirect"), 1.25, effort_N=1000.0)
    >>> force_at(solved, "X"), force_at(solved, "winch line:1")
    (1800.0, 800.0)
    """
    line, _, number = place.rpartition(":")
    if line in solution.lines and number.isdigit() and 1 <= int(number) <= len(solution.lines[line].parts):
        return solution.lines[line].parts[int(number) - 1].tension_N
    if place in solution.bodies:
        return solution.bodies[place].load_N
    if place in solution.blocks:
        return solution.blocks[place].with_becket_N
    known = [*solution.bodies, *(b for b in solution.blocks if b not in solution.bodies)]
    known += [f"{name}:{i + 1}" for name, one in solution.lines.items() for i in range(len(one.parts))]
    raise RigRefusal("UNKNOWN", f"There is no place {place!r} in this rig.{nearest(place, known)}", (place,))
