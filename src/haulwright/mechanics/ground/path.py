"""How a balanced rig moves on as the load advances: the signs of flow and the travel ratio come from this path.

The path is differentiated exactly: ``J dz = -dF/dx`` for a travel dx of the load; no difference of two solutions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.mechanics import linear
from haulwright.mechanics.geometry import add, dot
from haulwright.mechanics.ground.net import Net, steps
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.rig import Vec

STILL = 1e-9  # flow below this, relative to the drum's, is no flow


@dataclass(frozen=True)
class Path:
    """Rates per metre of load travel: velocity of every body, flow past every point of every line.

    Attributes
    ----------
    velocities : tuple of Vec
    flows : tuple of tuple of float
        From the standing end, positive towards the fall.
    taken_in : float
        Line the drum takes in: the travel ratio.
    """

    velocities: tuple[Vec, ...]
    flows: tuple[tuple[float, ...], ...]
    taken_in: float

    def signs(self, back: bool = False) -> tuple[tuple[float, ...], ...]:
        """Return per line and contact +1 where the line runs towards its fall, −1 away from it, 0 still."""
        least = STILL * abs(self.taken_in)
        turn = -1.0 if back else 1.0
        return tuple(
            tuple(0.0 if abs(q) <= least else turn if q > 0.0 else -turn for q in flows[1:-1])
            for flows in self.flows
        )


def path_at(net: Net, state: State) -> Path | None:
    """Return the path through a balanced state, None where it is singular."""
    equations = state.equations
    solved, _, _ = linear.solve_many(equations.jacobian, [[-x for x in equations.by_travel]])
    if not solved:
        return None
    along = [*solved[0], 1.0]
    velocities = []
    for moves in net.moves:
        v: Vec = (0.0, 0.0, 0.0)
        for column, axis in moves:
            v = add(v, axis, along[column])
        velocities.append(v)
    flows = tuple(_flows(net, r, state.where, velocities) for r in range(len(net.lines)))
    taken_in = next(q[-1] for q, line in zip(flows, net.lines, strict=True) if line.drum)
    return Path(tuple(velocities), flows, taken_in)


def _flows(net: Net, r: int, where: Sequence[Vec], velocities: Sequence[Vec]) -> tuple[float, ...]:
    line = net.lines[r]
    q = [0.0]
    for i, (u, _) in enumerate(steps(line, where)):
        (start, _), (end, _) = line.points[i], line.points[i + 1]
        q.append(q[-1] - dot(u, add(velocities[end], velocities[start], -1.0)))
    return tuple(q)
