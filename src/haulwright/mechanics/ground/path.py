"""How a balanced rig moves on as the load advances: the signs of flow and the travel ratio come from this path.

The path is differentiated exactly: ``J dz = -dF/dx`` for a travel dx of the load; no difference of two solutions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.mechanics import linear, winch_stated, winches
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
        Line the drum takes in: the travel ratio; of several winches without a stated pull, that of the fastest.
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
    """Return the path through a balanced state, None where it is singular.

    A free load goes the way the stated speeds of the winches take it, or along its direction where they are not stated.
    """
    equations = state.equations
    sides = [[-x for x in column] for column in equations.by_travel]
    solved, _, _ = linear.solve_many(equations.jacobian, sides)
    if not solved:
        return None
    ways = [[*one, *(1.0 * (k == way) for k in range(net.ways))] for way, one in enumerate(solved)]
    if net.ways == 1:
        return _path(net, state, ways[0])
    along = _load_velocity(net, [_path(net, state, way) for way in ways])
    return (
        None
        if along is None
        else _path(net, state, [winches.dot_row(along, list(x)) for x in zip(*ways, strict=True)])
    )


def _path(net: Net, state: State, along: Sequence[float]) -> Path:
    """Return the path for given rates of every unknown and of the load."""
    velocities = []
    for moves in net.moves:
        v: Vec = (0.0, 0.0, 0.0)
        for column, axis in moves:
            v = add(v, axis, along[column])
        velocities.append(v)
    flows = tuple(_flows(net, r, state.where, velocities) for r in range(len(net.lines)))
    rates = _hauling_rates(net, flows)
    return Path(tuple(velocities), flows, rates[0] if len(rates) == 1 else max(map(abs, rates)))


def _hauling_rates(net: Net, flows: Sequence[tuple[float, ...]]) -> list[float]:
    rate_of = {line.name: q[-1] for q, line in zip(flows, net.lines, strict=True)}
    return [rate_of[net.rig.drums[drum].name] for drum in winch_stated.hauling(net.rig)]


def _stay_rates(net: Net, flows: Sequence[tuple[float, ...]]) -> list[float]:
    """Return the rates at which the stays would get shorter, which they cannot."""
    rate_of = {line.name: q[-1] for q, line in zip(flows, net.lines, strict=True)}
    return [rate_of[line.name] for line in net.stays]


def _load_velocity(net: Net, ways: list[Path]) -> list[float] | None:
    """Return the unit velocity of a free load from the paths along each axis, None where its winches cannot give it."""
    speeds = winch_stated.unit_speeds(net.rig)
    if speeds is None:
        if net.stays:
            raise winch_stated.no_speed(net.rig)
        return [dot(net.rig.direction, axis) for axis in net.rig.load_axes]
    columns = [[*_hauling_rates(net, path.flows), *_stay_rates(net, path.flows)] for path in ways]
    found = linear.solve([list(row) for row in zip(*columns, strict=True)], speeds + [0.0] * len(net.stays))
    if found is None:
        return None
    length = math.sqrt(winches.dot_row(found, found))
    return [x / length for x in found]


def _flows(net: Net, r: int, where: Sequence[Vec], velocities: Sequence[Vec]) -> tuple[float, ...]:
    line = net.lines[r]
    q = [0.0]
    for i, (u, _) in enumerate(steps(line, where)):
        (start, _), (end, _) = line.points[i], line.points[i + 1]
        q.append(q[-1] - dot(u, add(velocities[end], velocities[start], -1.0)))
    return tuple(q)
