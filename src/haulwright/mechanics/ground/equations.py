"""The equations of a rig with free blocks and their exact derivatives.

Part i of a line has unit vector u and length l; its ends lie on bodies a (start) and b (end)::

    d l    = u . (dp_b - dp_a)              d u = (I - u u^T) (dp_b - dp_a) / l
    beta   = atan2(|u_i - (u_i.u_(i-1)) u_(i-1)|, u_i.u_(i-1))
    d beta = -(u_i . du_(i-1) + u_(i-1) . du_i) / sin(beta)
    t_i    = T g_i,   d ln g_i = sum over contacts up to i of  ± (d ln k / d beta) d beta
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.mechanics.geometry import add, dot, times, wrap_between
from haulwright.mechanics.ground.elastic import add_length
from haulwright.mechanics.ground.net import Moves, Net, NetLine, steps
from haulwright.mechanics.rig import Vec
from haulwright.mechanics.sheave import Law

STRAIGHT = 1e-9  # below this sine of the wrap its derivative counts as none
Slopes = dict[int, Vec]


@dataclass(frozen=True)
class Friction:
    """The law of every block, and per line and contact the power of its ratio: +1 hauled on, −1 back, 0 still."""

    laws: Mapping[str, Law | None]
    powers: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Equations:
    """Residuals at a state, their derivative by every unknown, and by the travel of the load in each of its directions."""

    residual: list[float]
    jacobian: list[list[float]]
    by_travel: list[list[float]]


def frictionless(net: Net) -> Friction:
    """Return no friction at any contact."""
    return Friction({}, tuple((0.0,) * len(line.blocks) for line in net.lines))


def assemble(net: Net, where: Sequence[Vec], bases: Sequence[float], friction: Friction) -> Equations:
    """Return the equations at given places and base tensions (of each line's first part).

    Parameters
    ----------
    net : Net
    where : sequence of Vec
        Place of every body, in the lengths of the net.
    bases : sequence of float
        Tension of the first part of every line, as a share of the resistance.
    friction : Friction

    Returns
    -------
    Equations
    """
    n, balances = net.size, net.coordinates + (0 if net.held else net.ways)
    rows = [[0.0] * (n + net.ways) for _ in range(n)]
    residual = [0.0] * n
    if not net.held:
        residual[net.coordinates : balances] = [-dot(net.rig.along, axis) for axis in net.rig.load_axes]
    length_row, pull_row = balances, balances + len(net.fixed)
    for r, line in enumerate(net.lines):
        parts = steps(line, where)
        turned = [_turn(net, line, i, u, length) for i, (u, length) in enumerate(parts)]
        grown = _growth(line, parts, turned, friction, r)
        for i, (growth, slope) in enumerate(grown):
            u = parts[i][0]
            pull = {c: times(d, bases[r] * growth) for c, d in turned[i].items()}
            for c, x in slope.items():
                pull[c] = add(pull.get(c, (0.0, 0.0, 0.0)), u, bases[r] * growth * x)
            pull[net.coordinates + r] = times(u, growth)
            for (body, _), sign in ((line.points[i], 1.0), (line.points[i + 1], -1.0)):
                _add_pull(net, net.moves[body], sign, times(u, bases[r] * growth), pull, rows, residual)
        if line.length is not None:
            residual[length_row] = add_length(net, r, parts, grown, bases[r], rows[length_row])
            length_row += 1
        if line.pull is not None:
            growth, slope = grown[-1]
            residual[pull_row] = bases[r] * growth - line.pull
            rows[pull_row][net.coordinates + r] = growth
            for c, x in slope.items():
                rows[pull_row][c] += bases[r] * growth * x
            pull_row += 1
    travels = [[row[n + k] for row in rows] for k in range(net.ways)]
    return Equations(residual, [row[:n] for row in rows], travels)


def _add_pull(
    net: Net,
    moves: Moves,
    sign: float,
    force: Vec,
    slopes: Slopes,
    rows: list[list[float]],
    residual: list[float],
) -> None:
    """Add the force of one part on one of its bodies to the balance rows of that body."""
    for column, axis in moves:
        row = net.row_of(column)
        if row is None:
            continue
        residual[row] += sign * dot(force, axis)
        target = rows[row]
        for c, d in slopes.items():
            target[c] += sign * dot(d, axis)


def _turn(net: Net, line: NetLine, i: int, u: Vec, length: float) -> Slopes:
    """Return the derivative of the unit vector of part i by every column that moves one of its ends."""
    (start, _), (end, _) = line.points[i], line.points[i + 1]
    if start == end:
        return {}
    found: Slopes = {}
    for body, sign in ((start, -1.0), (end, 1.0)):
        for column, axis in net.moves[body]:
            found[column] = times(add(axis, u, -dot(u, axis)), sign / length)
    return found


def _growth(
    line: NetLine, parts: list[tuple[Vec, float]], turned: list[Slopes], friction: Friction, r: int
) -> list[tuple[float, dict[int, float]]]:
    """Return, per part, its tension over that of the first part and the derivative of the logarithm of this."""
    log, slope = 0.0, dict[int, float]()
    found = [(1.0, slope)]
    for j, (block, power) in enumerate(zip(line.blocks, friction.powers[r], strict=True)):
        law = friction.laws.get(block)
        if law is not None and power:
            before, after = parts[j][0], parts[j + 1][0]
            wrap = wrap_between(before, after)
            log += power * math.log(law.ratio(wrap))
            rise, sine = law.log_slope(wrap), math.sin(wrap)
            if rise and sine > STRAIGHT:
                slope = dict(slope)
                for other, turns in ((after, turned[j]), (before, turned[j + 1])):
                    for c, d in turns.items():
                        slope[c] = slope.get(c, 0.0) - power * rise * dot(other, d) / sine
        found.append((math.exp(log), slope))
    return found


def part_tensions(
    net: Net, where: Sequence[Vec], bases: Sequence[float], friction: Friction
) -> tuple[tuple[float, ...], ...]:
    """Return the tension of every part of every line, as a share of the resistance."""
    found = []
    for r, line in enumerate(net.lines):
        parts = steps(line, where)
        grown = _growth(line, parts, [{} for _ in parts], friction, r)
        found.append(tuple(bases[r] * growth for growth, _ in grown))
    return tuple(found)
