"""Plane geometry of a drawing: tangents, strands as ribbons, plait, hatching. Pixels, y downwards."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

XY = tuple[float, float]


@dataclass(frozen=True)
class Knot:
    """A circle a strand goes round, or (radius 0) a point where it ends.

    Attributes
    ----------
    x, y, radius : float
        Centre and radius of the strand's centre line [px].
    turn : int
        +1 where the strand turns clockwise on the page, −1 the other way round, 0 at an end.
    """

    x: float
    y: float
    radius: float = 0.0
    turn: int = 0


@dataclass(frozen=True)
class Vertex:
    """One point of a centre line: place, direction along the line, and tension there [N]."""

    x: float
    y: float
    dx: float
    dy: float
    tension_N: float


def tangent(first: Knot, second: Knot) -> tuple[XY, XY]:
    """Return the two ends of the straight part between two knots.

    Notes
    -----
    With signed radii s = turn × radius and n the unit normal on the left of the direction of travel, the tangent
    points are c + n s, so that n · (c2 − c1) = s1 − s2.

    Examples
    --------
    >>> tangent(Knot(0, 0, 1, 1), Knot(10, 0, 1, 1))
    ((0.0, -1.0), (10.0, -1.0))
    """
    dx, dy = second.x - first.x, second.y - first.y
    far = math.hypot(dx, dy) or 1.0  # of a rig that is refused two points may be one
    s1, s2 = first.turn * first.radius, second.turn * second.radius
    across = (s1 - s2) / far
    along = math.sqrt(max(0.0, 1.0 - across * across))
    # normal on the left-hand side of travel (y downwards: (uy, -ux)), tilted so that both radii are met
    ux, uy = dx / far, dy / far
    nx, ny = uy * along + ux * across, -ux * along + uy * across
    start = (first.x + nx * s1, first.y + ny * s1)
    end = (second.x + nx * s2, second.y + ny * s2)
    return start, end


def centre_line(knots: Sequence[Knot], tensions_N: Sequence[float]) -> list[Vertex]:
    """Return the centre line of one line through its knots, one tension per straight part [N].

    Round a circle the tension runs evenly from one part's to the next.
    """
    straights = [tangent(a, b) for a, b in pairwise(knots)]
    line: list[Vertex] = []
    for i, (start, end) in enumerate(straights):
        far = math.dist(start, end) or 1.0
        ux, uy = (end[0] - start[0]) / far, (end[1] - start[1]) / far
        line += [Vertex(*start, ux, uy, tensions_N[i]), Vertex(*end, ux, uy, tensions_N[i])]
        if i + 1 < len(straights):
            line += _arc(knots[i + 1], end, straights[i + 1][0], tensions_N[i], tensions_N[i + 1])
    return line


def _arc(knot: Knot, start: XY, end: XY, t1: float, t2: float) -> list[Vertex]:
    a1 = math.atan2(start[1] - knot.y, start[0] - knot.x)
    a2 = math.atan2(end[1] - knot.y, end[0] - knot.x)
    sweep = ((a2 - a1) * knot.turn) % (2.0 * math.pi)
    if sweep > 6.0:  # straight through: the two tangent points are one but for rounding
        return []
    steps = max(2, round(sweep / math.radians(6.0)))
    points = []
    for j in range(1, steps):
        share = j / steps
        a = a1 + knot.turn * sweep * share
        x, y = knot.x + knot.radius * math.cos(a), knot.y + knot.radius * math.sin(a)
        dx, dy = -math.sin(a) * knot.turn, math.cos(a) * knot.turn
        points.append(Vertex(x, y, dx, dy, t1 + (t2 - t1) * share))
    return points


def turned_back(line: Sequence[Vertex]) -> list[Vertex]:
    """Return a centre line from its other end."""
    return [Vertex(v.x, v.y, -v.dx, -v.dy, v.tension_N) for v in reversed(line)]


def towards(start: XY, end: XY, length: float) -> XY:
    """Return the place a length from a start towards an end [px]."""
    far = math.dist(start, end) or 1.0
    return (start[0] + (end[0] - start[0]) * length / far, start[1] + (end[1] - start[1]) * length / far)


def inside(before: Knot, bend: Knot, after: Knot) -> tuple[XY, ...]:
    """Return the ground inside a bend: between its two parts as far as the nearer of their other ends."""
    a_far, a_near = tangent(before, bend)
    b_near, b_far = tangent(bend, after)
    length = min(math.dist(a_far, a_near), math.dist(b_near, b_far))
    return (a_near, towards(a_near, a_far, length), towards(b_near, b_far, length), b_near)


def unit_to(start: XY, end: XY) -> XY:
    """Return the unit vector from one place to another; (0, 0) where they are one."""
    far = math.dist(start, end)
    return ((end[0] - start[0]) / far, (end[1] - start[1]) / far) if far > 1e-9 else (0.0, 0.0)


def shortened(line: tuple[XY, XY], by: float) -> tuple[XY, XY]:
    """Return a line with its end drawn back [px]."""
    (x1, y1), (x2, y2) = line
    far = math.dist(*line)
    share = max(0.0, 1.0 - by / far) if far else 0.0
    return (x1, y1), (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share)


def ribbon(line: Sequence[Vertex], px_per_N: float, least_px: float = 0.0) -> str:
    """Return the path of a strand whose width is tension × scale [px]."""
    left, right = [], []
    for v in line:
        half = max(v.tension_N * px_per_N, least_px) / 2.0
        left.append((v.x + v.dy * half, v.y - v.dx * half))
        right.append((v.x - v.dy * half, v.y + v.dx * half))
    return path(left + right[::-1], closed=True)


def plait(line: Sequence[Vertex], px_per_N: float, least_px: float) -> tuple[str, float]:
    """Return chevrons that point along the line, and their stroke width [px]."""
    marks: list[str] = []
    widths: list[float] = []
    to_go = 4.0
    for a, b in pairwise(line):
        far = math.hypot(b.x - a.x, b.y - a.y)
        at = to_go
        while at < far:
            s = at / far
            w = max((a.tension_N + (b.tension_N - a.tension_N) * s) * px_per_N, least_px)
            x, y = a.x + (b.x - a.x) * s, a.y + (b.y - a.y) * s
            dx, dy = a.dx + (b.dx - a.dx) * s, a.dy + (b.dy - a.dy) * s
            marks.append(_chevron(x, y, dx, dy, w))
            widths.append(w)
            at += max(5.2, 1.05 * w)
        to_go = at - far
    thin = max(0.9, 0.16 * (min(widths) if widths else 0.0))
    return "".join(marks), thin


def _chevron(x: float, y: float, dx: float, dy: float, w: float) -> str:
    back, out = 0.39 * w, 0.42 * w
    tip = (x + dx * back, y + dy * back)
    tails = [(x - dx * back + side * dy * out, y - dy * back - side * dx * out) for side in (1, -1)]
    return path([tails[0], tip, tails[1]])


def path(points: Sequence[XY], *, closed: bool = False) -> str:
    """Return an SVG path through points, one decimal.

    Examples
    --------
    >>> path([(0, 0), (10.04, 2)], closed=True)
    'M0 0L10 2Z'
    """
    body = "L".join(f"{px(x)} {px(y)}" for x, y in points)
    return f"M{body}Z" if closed else f"M{body}"


def px(value: float) -> str:
    """Return a coordinate with at most one decimal.

    Examples
    --------
    >>> px(-0.04), px(3.25)
    ('0', '3.2')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def hatching(polygon: Sequence[XY], step_px: float) -> str:
    """Return 45° hatching inside a polygon (any simple one) as one path."""
    root = math.sqrt(0.5)
    turned = [((x + y) * root, (y - x) * root) for x, y in polygon]
    low = math.floor(min(p[0] for p in turned) / step_px) + 1
    high = math.ceil(max(p[0] for p in turned) / step_px)
    out = []
    for k in range(low, high):
        cuts = _cuts(turned, k * step_px)
        for c1, c2 in zip(cuts[::2], cuts[1::2], strict=False):
            if c2 - c1 > 1.0:
                out.append(path([((k * step_px - c) * root, (k * step_px + c) * root) for c in (c1, c2)]))
    return "".join(out)


def _cuts(polygon: Sequence[XY], at: float) -> list[float]:
    cuts = []
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if (x1 <= at) != (x2 <= at):
            cuts.append(y1 + (y2 - y1) * (at - x1) / (x2 - x1))
    return sorted(cuts)
