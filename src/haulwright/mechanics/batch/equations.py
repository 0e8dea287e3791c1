"""The equations of a rig with free blocks, as :mod:`haulwright.mechanics.ground.equations` has them, on arrays of samples.

A matrix is a list of rows, a row maps columns to arrays: what is nothing in every sample is left out. It is eliminated
along pivots found once; a sample for which they are bad does not converge and is found out by that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haulwright.mechanics.batch.laws import Array, Numbers, knows_wrap, log_ratio
from haulwright.mechanics.ground.equations import STRAIGHT
from haulwright.mechanics.ground.net import Net, NetLine
from haulwright.mechanics.sheave import Law

Floats = NDArray[np.float64]
Row = dict[int, Array]
Axis = tuple[tuple[int, float], ...]  # the components of a direction that are not 0


@dataclass(frozen=True)
class Friction:
    """The law of every block, its numbers in every sample, and per line and contact the power of its ratio."""

    laws: Mapping[str, Law | None]
    numbers: Mapping[str, Numbers]
    powers: tuple[tuple[float, ...], ...]


@dataclass
class Part:
    """One part: unit vector, length, ``(I - u u^T) / l``, and the columns that turn it, with side and direction."""

    u: list[Array]
    length: Array
    turning: list[list[Array]]
    columns: list[tuple[int, float, Axis]]


@dataclass
class Grown:
    """Tension of a part over that of the first part of its line, and the slope of its logarithm by column."""

    growth: Array
    slope: Row


@dataclass
class System:
    """Residuals and derivatives, column ``size`` being the travel of the load; the parts, growths, wraps and ratios."""

    residual: list[Array]
    rows: list[Row]
    parts: list[list[Part]]
    grown: list[list[Grown]]
    wraps: list[list[Array]]
    ratios: list[list[Array]]


def assemble(net: Net, state: Floats, travel: Array, friction: Friction) -> System:
    """Return the equations at many states.

    Parameters
    ----------
    net : Net
        One winch, a guided load, no line that stretches.
    state : array (unknowns, samples)
        Coordinates of the free bodies, then the tension of each line's first part, in the units of the net.
    travel : float or array (samples)
        Travel of the load, in the lengths of the net.
    friction : Friction

    Returns
    -------
    System
    """
    places = _places(net, state, travel)
    found = System([0.0] * net.size, [{} for _ in range(net.size)], [], [], [], [])
    found.residual[net.coordinates] = -1.0
    length_row = net.coordinates + 1
    for r, line in enumerate(net.lines):
        base = state[net.coordinates + r]
        parts = [_part(net, line, i, places) for i in range(len(line.points) - 1)]
        grown, wraps, ratios = _growth(line, parts, friction, r)
        for i, (part, grows) in enumerate(zip(parts, grown, strict=True)):
            for end, sign in ((i, 1.0), (i + 1, -1.0)):
                _add_pull(found, net, line.points[end][0], sign, part, grows, base, net.coordinates + r)
        if line.length is not None:
            found.residual[length_row] = sum(part.length for part in parts) - line.length
            for part in parts:
                for column, side, axis in part.columns:
                    _add(found.rows[length_row], column, side * _along(axis, part.u))
            length_row += 1
        found.parts.append(parts)
        found.grown.append(grown)
        found.wraps.append(wraps)
        found.ratios.append(ratios)
    return found


def _places(net: Net, state: Floats, travel: Array) -> list[list[Array]]:
    load = len(net.free)
    places: list[list[Array]] = [list(at[: net.axes]) for at in net.start]
    for body in range(load):
        places[body] = [state[column] for column, _ in net.moves[body]]
    for k, d in enumerate(net.rig.direction[: net.axes]):
        places[load][k] = places[load][k] + d * travel
    return places


def _part(net: Net, line: NetLine, i: int, places: list[list[Array]]) -> Part:
    (start, a), (end, b) = line.points[i], line.points[i + 1]
    step = [
        (there + y) - (here + x)
        for here, there, x, y in zip(places[start], places[end], a[: net.axes], b[: net.axes], strict=True)
    ]
    length = np.sqrt(sum(x * x for x in step))
    u = [x / length for x in step]
    if start == end:
        return Part(u, length, [], [])
    turning = [[(float(j == k) - u[j] * u[k]) / length for k in range(net.axes)] for j in range(net.axes)]
    columns = [
        (column, side, _axis(axis))
        for body, side in ((start, -1.0), (end, 1.0))
        for column, axis in net.moves[body]
    ]
    return Part(u, length, turning, columns)


def _growth(
    line: NetLine, parts: list[Part], friction: Friction, r: int
) -> tuple[list[Grown], list[Array], list[Array]]:
    log: Array = 0.0
    found, wraps, ratios, slope = [Grown(1.0, {})], [], [], Row()
    for j, (block, power) in enumerate(zip(line.blocks, friction.powers[r], strict=True)):
        before, after = parts[j], parts[j + 1]
        along = sum(x * y for x, y in zip(before.u, after.u, strict=True))
        across = [y - along * x for x, y in zip(before.u, after.u, strict=True)]
        sine = np.sqrt(sum(x * x for x in across))
        law = friction.laws.get(block)
        wraps.append(np.arctan2(sine, along))
        log_k, rise = log_ratio(law, friction.numbers.get(block, {}), wraps[-1])
        ratios.append(np.exp(log_k))
        if power and law is not None:
            log = log + power * log_k
            if knows_wrap(law):
                factor = np.where(sine > STRAIGHT, -power * rise / np.maximum(sine, STRAIGHT), 0.0)
                slope = dict(slope)
                for part, other in ((before, after), (after, before)):
                    bends = [
                        factor * sum(x * y for x, y in zip(row, other.u, strict=True)) for row in part.turning
                    ]
                    for column, side, axis in part.columns:
                        _add(slope, column, side * _along(axis, bends))
        found.append(Grown(np.exp(log), slope))
    return found, wraps, ratios


def _add_pull(
    found: System,
    net: Net,
    body: int,
    sign: float,
    part: Part,
    grows: Grown,
    base: Array,
    tension_column: int,
) -> None:
    """Add the force of one part on one of its bodies to the balance of that body."""
    pull = base * grows.growth
    for own, direction in net.moves[body]:
        row = net.row_of(own)
        if row is None:
            continue
        axis = _axis(direction)
        unit = sign * _along(axis, part.u)
        force = unit * pull
        found.residual[row] = found.residual[row] + force
        target = found.rows[row]
        _add(target, tension_column, unit * grows.growth)
        for column, side, other in part.columns:
            turned = sum(a * b * part.turning[j][k] for j, a in axis for k, b in other)
            _add(target, column, (sign * side) * pull * turned)
        for column, x in grows.slope.items():
            _add(target, column, force * x)


def _axis(direction: Sequence[float]) -> Axis:
    return tuple((k, x) for k, x in enumerate(direction) if x)


def _along(axis: Axis, vector: Sequence[Array]) -> Array:
    if len(axis) == 1 and axis[0][1] == 1.0:
        return vector[axis[0][0]]
    return sum(x * vector[k] for k, x in axis)


def _add(row: Row, column: int, x: Array) -> None:
    row[column] = row[column] + x if column in row else x


def pivots(rows: Sequence[Row], size: int) -> list[tuple[int, int]]:
    """Return rows and columns in the order in which to eliminate: full pivoting at one sample.

    Parameters
    ----------
    rows : sequence of Row
        Of one sample.
    size : int
        Columns from here on are right-hand sides.
    """
    left = [{c: float(np.ravel(x)[0]) for c, x in row.items() if c < size} for row in rows]
    order: list[tuple[int, int]] = []
    open_rows = set(range(len(rows)))
    for _ in range(len(rows)):
        _, row, column = max((abs(x), r, c) for r in open_rows for c, x in left[r].items())
        open_rows.remove(row)
        order.append((row, column))
        for other in open_rows:
            share = left[other].pop(column, 0.0) / left[row][column]
            for c, x in left[row].items():
                if c != column and share:
                    left[other][c] = left[other].get(c, 0.0) - share * x
    return order


def solve(
    rows: Sequence[Row], sides: Sequence[Array], order: Sequence[tuple[int, int]]
) -> tuple[list[Array], Array]:
    """Return the solution of every sample and its least pivot as a share of its greatest; rows are used up."""
    right = list(sides)
    for n, (row, column) in enumerate(order):
        for other, _ in order[n + 1 :]:
            if column not in rows[other]:
                continue
            share = rows[other].pop(column) / rows[row][column]
            for c, x in rows[row].items():
                if c != column:
                    rows[other][c] = rows[other][c] - share * x if c in rows[other] else -share * x
            right[other] = right[other] - share * right[row]
    found: list[Array] = [0.0] * len(order)
    for row, column in reversed(order):
        rest = right[row]
        for c, x in rows[row].items():
            if c != column:
                rest = rest - x * found[c]
        found[column] = rest / rows[row][column]
    sizes = [np.abs(rows[row][column]) for row, column in order]
    least, greatest = sizes[0], sizes[0]
    for size in sizes[1:]:
        least, greatest = np.minimum(least, size), np.maximum(greatest, size)
    return found, least / greatest
