"""Where Newton's method starts: the places given, and tensions that balance them as well as they can."""

from __future__ import annotations

from collections.abc import Sequence

from haulwright.mechanics import linear
from haulwright.mechanics.ground.equations import assemble, frictionless
from haulwright.mechanics.ground.net import Net
from haulwright.mechanics.rig import Vec

LEAST = 0.05  # no line starts with less than this share of the resistance


def first_tensions(net: Net, where: Sequence[Vec]) -> tuple[float, ...]:
    """Return positive base tensions that balance the bodies at given places in the sense of least squares."""
    lines = len(net.lines)
    now = assemble(net, where, (1.0,) * lines, frictionless(net))
    lengths = net.coordinates + (0 if net.held else net.ways)
    kept = [i for i in range(net.size) if not lengths <= i < lengths + len(net.fixed)]
    matrix = [now.jacobian[i][net.coordinates :] for i in kept]
    wanted = [sum(row) - now.residual[i] for i, row in zip(kept, matrix, strict=True)]
    columns = [[row[r] for row in matrix] for r in range(lines)]
    normal = [[sum(a * b for a, b in zip(x, y, strict=True)) for y in columns] for x in columns]
    for r in range(lines):
        normal[r][r] += 1e-6
    sides = [sum(a * b for a, b in zip(x, wanted, strict=True)) for x in columns]
    found, _, _ = linear.solve_many(normal, [sides])
    return tuple(max(t, LEAST) for t in found[0]) if found else (1.0,) * lines
