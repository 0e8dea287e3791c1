"""What a strap or fixed line that is a little longer would change on the ground: one linear solve at the balanced place."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.mechanics import linear
from haulwright.mechanics.ground.equations import Friction, part_tensions
from haulwright.mechanics.ground.net import Net
from haulwright.mechanics.ground.newton import State
from haulwright.mechanics.tension import Tensions

ALONG = 1e-5  # of the net's length: how far along the tangent part tensions are differenced


@dataclass(frozen=True)
class Lengthened:
    """Changes per metre by which one line is longer, the load where it was.

    Attributes
    ----------
    tensions : mapping line -> tuple of float
        Of every part, as shares of the resistance [1/m].
    moves : mapping block -> float
        How far each free block moves [m/m].
    """

    tensions: Tensions
    moves: Mapping[str, float]


def lengthened(net: Net, state: State, friction: Friction) -> dict[str, Lengthened]:
    """Return by line without a drum what its length changes, to first order.

    Parameters
    ----------
    net : Net
        Whose lines do not stretch.
    state : State
        Balanced.
    friction : Friction
        At that state; the way each line runs is taken to stay.

    Returns
    -------
    dict
        Empty where the equations are all but singular.

    Notes
    -----
    With residuals r(x) - e L = 0 and their Jacobian J at the balance, dx/dL solves ``J dx = e``.
    """
    first = net.size - len(net.fixed) - sum(line.pull is not None for line in net.lines)
    sides = [[float(row == first + i) for row in range(net.size)] for i in range(len(net.fixed))]
    solved, _, _ = linear.solve_many(state.equations.jacobian, sides)
    found = {}
    for line, step in zip(net.fixed, solved, strict=False):
        ahead, behind = (_pulls(net, state, friction, step, share) for share in (ALONG, -ALONG))
        per_m = 2.0 * ALONG * net.scale_m
        tensions = {
            one.name: tuple((a - b) / per_m for a, b in zip(more, less, strict=True))
            for one, more, less in zip(net.lines, ahead, behind, strict=True)
        }
        moves = {
            name: math.sqrt(sum(step[column] ** 2 for column, _ in net.moves[body]))
            for body, name in enumerate(net.free)
        }
        found[line.name] = Lengthened(tensions, moves)
    return found


def _pulls(
    net: Net, state: State, friction: Friction, step: list[float], share: float
) -> tuple[tuple[float, ...], ...]:
    bases = [t + share * step[net.coordinates + r] for r, t in enumerate(state.bases)]
    return part_tensions(net, net.moved(state.where, step, share), bases, friction)
