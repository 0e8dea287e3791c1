"""How much of a drawing lies over the rest, to choose the turns and orders that cross least."""

from __future__ import annotations

import math

from haulwright.publishing.diagram.boxes import bar, disc, outlines_meet
from haulwright.publishing.diagram.geometry import XY, Knot, shortened, tangent, unit_to
from haulwright.publishing.diagram.stations import Stations


def crossings(found: Stations) -> float:
    """How much lies over each other: parts that cross, parts over blocks, straps over parts, long ways round."""
    parts: list[tuple[str, int, XY, XY]] = []
    for line in found.scheme.lines:
        knots = found.knots[line.name]
        for i in range(len(knots) - 1):
            parts.append((line.name, i, *tangent(knots[i], knots[i + 1])))
    cost = 0.0
    thin = [
        (n, i, bar(shortened((b, a), 8.0)[1], shortened((a, b), 8.0)[1], 0.5 * found.sheath))
        for n, i, a, b in parts
    ]
    for k, (name, i, shape) in enumerate(thin):
        for other, j, shape2 in thin[:k]:
            near = name == other and abs(i - j) == 1
            cost += (4.0 if near else 10.0) * outlines_meet(shape, shape2)
    discs = [
        (key, disc(*p.centre, found.radius + 0.4 * found.sheath))
        for key, p in found.perch.items()
        if p.stop.turns
    ]
    for name, i, shape in thin:
        cost += 6.0 * sum(
            outlines_meet(shape, round_)
            for key, round_ in discs
            if not (key[0] == name and key[1] in (i, i + 1))
        )
    for start, end in found.straps():
        held = bar(start, end, 2.0)
        cost += 3.0 * sum(outlines_meet(held, shape) for _, _, shape in thin)
    for line in found.scheme.lines:
        for stop in line.stops:
            if stop.turns:
                cost += _over_round(found.knots[line.name], stop.index)
    return cost


def _over_round(knots: tuple[Knot, ...], i: int) -> float:
    """How far a line goes round a block beyond half a turn."""
    a, b = tangent(knots[i - 1], knots[i]), tangent(knots[i], knots[i + 1])
    u, v = unit_to(*a), unit_to(*b)
    turn = math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]) * knots[i].turn
    return max(0.0, (turn % (2.0 * math.pi)) - math.pi - 0.35) * 3.0
