"""How much of a drawing lies over the rest, to choose the turns and orders that cross least."""

from __future__ import annotations

import math
from itertools import pairwise

from haulwright.publishing.diagram.boxes import Shape, bar, disc
from haulwright.publishing.diagram.geometry import XY, Knot, shortened, tangent, unit_to
from haulwright.publishing.diagram.stations import Stations


def crossings(found: Stations) -> float:
    """How much lies over each other: parts that cross, parts over blocks, straps over parts, long ways round."""
    parts: list[tuple[str, int, XY, XY]] = []
    for line in found.scheme.lines:
        knots = found.knots[line.name]
        for i in range(len(knots) - 1):
            parts.append((line.name, i, *tangent(knots[i], knots[i + 1])))
    cost = _skew(found)
    thin = [
        (n, i, Shape(bar(shortened((b, a), 8.0)[1], shortened((a, b), 8.0)[1], 0.5 * found.sheath)))
        for n, i, a, b in parts
    ]
    for k, (name, i, shape) in enumerate(thin):
        for other, j, shape2 in thin[:k]:
            near = name == other and abs(i - j) == 1
            cost += (4.0 if near else 10.0) * shape.meets(shape2)
    discs = [
        (key, Shape(disc(*p.centre, found.radius + 0.4 * found.sheath)))
        for key, p in found.perch.items()
        if p.stop.turns
    ]
    for name, i, shape in thin:
        cost += 6.0 * sum(
            shape.meets(round_) for key, round_ in discs if not (key[0] == name and key[1] in (i, i + 1))
        )
    for start, end in found.straps():
        held = Shape(bar(start, end, 2.0))
        cost += 3.0 * sum(held.meets(shape) for _, _, shape in thin)
    for line in found.scheme.lines:
        for stop in line.stops:
            if stop.turns:
                cost += _over_round(found.knots[line.name], stop.index)
    return cost


def _skew(found: Stations) -> float:
    """How far parts are drawn from the way they run: little, so that it decides only between what is else alike."""
    cost = 0.0
    for line in found.scheme.lines:
        knots = found.knots[line.name]
        for i, (a, b) in enumerate(pairwise(knots)):
            way = found.way_of(line, i)
            drawn = unit_to((a.x, a.y), (b.x, b.y))
            cost += 0.4 * abs(way[0] * drawn[1] - way[1] * drawn[0])
    return cost


def _over_round(knots: tuple[Knot, ...], i: int) -> float:
    """How far a line goes round a block beyond half a turn."""
    a, b = tangent(knots[i - 1], knots[i]), tangent(knots[i], knots[i + 1])
    u, v = unit_to(*a), unit_to(*b)
    turn = math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]) * knots[i].turn
    return max(0.0, (turn % (2.0 * math.pi)) - math.pi - 0.35) * 3.0
