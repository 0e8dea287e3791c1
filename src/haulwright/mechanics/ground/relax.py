"""The frictionless place from any start: lines without a drum as stiff springs that only pull, the winch line pulled by 1.

The energy ``length of the winch line + sum of K/2 (stretch beyond the given length)²`` is convex in the places of the
blocks, so its least value is found from anywhere, and it tells slack lines and legs that cannot meet. The stretch left
over goes as 1/K; Newton's method on the exact equations starts from here. Where two blocks meet a length has a kink, in
which a search that goes downhill stays although the least value lies beside it: lengths are first taken as
``sqrt(l² + blur²)``, which is as convex and has none, and the blur then goes to nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulwright.mechanics import linear
from haulwright.mechanics.geometry import add, dot, times
from haulwright.mechanics.ground.net import Net, NetLine, length_of, steps
from haulwright.mechanics.rig import Vec

STIFF = 1e6
STAGES = ((1e2, 1e-1), (1e4, 1e-2), (STIFF, 1e-3), (STIFF, 1e-5), (STIFF, 1e-8))  # stiffness and blur
PASSES = 80
AGAIN = 4  # passes in which the stiffness of lines that stretch and the pull on the load come to agree
NEVER = 1e-6  # pull on the load that counts as none
FURTHEST = (
    0.5  # a step goes, of the mean part: beyond a line that hangs slack nothing tells how far it should be
)
RIDGE = 1e-6  # keeps the step finite where a block can slide freely


@dataclass(frozen=True)
class Relaxed:
    """Places of least energy, spring tension of every line for a pull of 1 at the drum, and the pull on the load.

    ``pull`` is along the load's direction; ``excess`` is how far each line is stretched beyond its length.
    """

    where: tuple[Vec, ...]
    tensions: tuple[float, ...]
    pull: float
    excess: tuple[float, ...]


def relax(net: Net, where: Sequence[Vec]) -> Relaxed:
    """Return the frictionless places of least energy, whatever the start."""
    places, pull = list(where), 1.0
    again = STAGES[-1:] * AGAIN if any(line.EA for line in net.lines) else ()
    for stiffness, blur in (*STAGES, *again):
        springs = _springs(net, stiffness, pull)
        places = _least(net, places, springs, blur)
        beyond = [0.0 if line.length is None else length_of(line, places) - line.length for line in net.lines]
        tensions = tuple(
            1.0 if line.drum else k * max(x, 0.0)
            for line, k, x in zip(net.lines, springs, beyond, strict=True)
        )
        pull = _pull(net, places, tensions)
    excess = tuple(x if line.EA is None else 0.0 for line, x in zip(net.lines, beyond, strict=True))
    return Relaxed(tuple(places), tensions, pull, excess)


def _springs(net: Net, stiffness: float, pull: float) -> tuple[float, ...]:
    """Return the stiffness of every line for a pull of 1 at the drum; a line that stretches has its own."""
    return tuple(
        stiffness
        if line.EA is None or not line.length
        else min(stiffness, line.EA * max(pull, NEVER) / line.length)
        for line in net.lines
    )


def _pull(net: Net, where: Sequence[Vec], tensions: Sequence[float]) -> float:
    """Return the pull of all lines on the load along its direction."""
    load, direction, pull = len(net.free), net.rig.direction, 0.0
    for line, t in zip(net.lines, tensions, strict=True):
        for i, (u, _) in enumerate(steps(line, where)):
            pull += t * dot(u, direction) * ((line.points[i][0] == load) - (line.points[i + 1][0] == load))
    return pull


def _parts(line: NetLine, where: Sequence[Vec], blur: float) -> list[tuple[Vec, float]]:
    """Return the slope of every part's blurred length by its end, and that length."""
    found = []
    for u, length in steps(line, where):
        blurred = math.hypot(length, blur)
        found.append((times(u, length / blurred), blurred))
    return found


def _least(net: Net, where: list[Vec], springs: Sequence[float], blur: float) -> list[Vec]:
    """Minimise the energy at given stiffnesses: Newton steps, shortened until the energy falls."""
    energy = _energy(net, where, springs, blur)
    for _ in range(PASSES):
        gradient, hessian = _derivatives(net, where, springs, blur)
        if max(abs(x) for x in gradient) < 1e-11 * max(springs):
            break
        solved, _, _ = linear.solve_many(hessian, [[-x for x in gradient]])
        if not solved:
            break
        step = solved[0]
        share = min(1.0, FURTHEST / max(abs(x) for x in step))
        falls = sum(a * b for a, b in zip(gradient, step, strict=True))
        for _ in range(40):
            there = net.moved(where, step, share)
            then = _energy(net, there, springs, blur)
            if then <= energy + 1e-4 * share * falls:
                break
            share /= 2.0
        else:
            break
        where, energy = there, then
    return where


def _energy(net: Net, where: Sequence[Vec], springs: Sequence[float], blur: float) -> float:
    total = 0.0
    for line, stiffness in zip(net.lines, springs, strict=True):
        length = sum(x for _, x in _parts(line, where, blur))
        total += length if line.length is None else 0.5 * stiffness * max(length - line.length, 0.0) ** 2
    return total


def _derivatives(
    net: Net, where: Sequence[Vec], springs: Sequence[float], blur: float
) -> tuple[list[float], list[list[float]]]:
    """Return gradient and matrix of second derivatives of the energy by the coordinates."""
    n = net.coordinates
    gradient = [0.0] * n
    hessian = [[RIDGE * (a == b) for b in range(n)] for a in range(n)]
    for line, stiffness in zip(net.lines, springs, strict=True):
        parts = _parts(line, where, blur)
        stretch = 0.0 if line.length is None else max(sum(x for _, x in parts) - line.length, 0.0)
        tension = 1.0 if line.length is None else stiffness * stretch
        if tension == 0.0:
            continue
        slope = _add_parts(net, line, parts, tension, hessian)
        for c, x in slope.items():
            gradient[c] += tension * x
        if line.length is not None:
            for a, x in slope.items():
                for b, y in slope.items():
                    hessian[a][b] += stiffness * x * y
    return gradient, hessian


def _add_parts(
    net: Net, line: NetLine, parts: list[tuple[Vec, float]], tension: float, hessian: list[list[float]]
) -> dict[int, float]:
    """Add the bending of every part of a line to the second derivatives; return the slope of the line's length."""
    slope: dict[int, float] = {}
    for i, (u, length) in enumerate(parts):
        (start, _), (end, _) = line.points[i], line.points[i + 1]
        if start == end:
            continue
        ends = [(c, times(axis, -1.0)) for c, axis in net.moves[start] if c < net.coordinates]
        ends += [(c, axis) for c, axis in net.moves[end] if c < net.coordinates]
        across = [(c, axis, add(axis, u, -dot(u, axis))) for c, axis in ends]
        for c, axis, _ in across:
            slope[c] = slope.get(c, 0.0) + dot(u, axis)
        for a, _, x in across:
            for b, axis, _ in across:
                hessian[a][b] += tension * dot(x, axis) / length
    return slope
