"""The ground where nobody may stand, as shapes on a sheet: in line with parts, inside bends, the distance as an outline."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from haulwright.planning.result import Zone
from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, hatching, path, unit_to
from haulwright.publishing.diagram.plan import Ruler
from haulwright.publishing.diagram.svg import tag
from haulwright.publishing.look import HATCH_LINE_PX, Light

Place = Callable[[XY], XY]
_STEPS = 180  # directions in which the outline is sought
_CROSSED_PX = 11.0


@dataclass(frozen=True)
class Wedge:
    """Ground on which no distance is safe: its shape [px], cut at the edge of the sheet, and the middle line of it."""

    shape: tuple[XY, ...]
    apex: XY
    along: XY


def onto(ruler: Ruler) -> Place:
    """Return what turns a place in metres into one on a sheet with this ruler.

    Examples
    --------
    >>> onto(Ruler(10.0, ("x", 1.0, -2.0), ("y", -1.0, 5.0)))((0.0, 1.0))
    (20.0, 40.0)
    """
    (level, right, first), (_, down, top) = ruler.level, ruler.upright
    scale = ruler.px_per_m

    def place(at: XY) -> XY:
        x, y = at if level == "x" else (at[1], at[0])
        return (x - first) * right * scale, (y - top) * down * scale

    return place


def clipped(shape: Sequence[XY], box: Box) -> tuple[XY, ...]:
    """Return the part of a convex shape that lies in a box.

    Examples
    --------
    >>> clipped([(-5, 0), (5, 0), (5, 4), (-5, 4)], Box(0, 0, 10, 10))
    ((0.0, 0.0), (5, 0), (5, 4), (0.0, 4.0))
    """
    kept = list(shape)
    for axis, edge, sign in ((0, box.x0, 1.0), (0, box.x1, -1.0), (1, box.y0, 1.0), (1, box.y1, -1.0)):
        kept = _cut(kept, axis, edge, sign)
    return tuple(kept)


def _cut(shape: Sequence[XY], axis: int, edge: float, sign: float) -> list[XY]:
    kept: list[XY] = []
    for a, b in zip(shape, (*shape[1:], *shape[:1]), strict=True):
        da, db = (a[axis] - edge) * sign, (b[axis] - edge) * sign
        if da >= 0.0:
            kept.append(a)
        if (da > 0.0 > db) or (da < 0.0 < db):
            t = da / (da - db)
            kept.append((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
    return kept


def in_line(zone: Zone, place: Place, box: Box) -> list[Wedge]:
    """Return the ground in line with every part, beyond either end of it."""
    far = 4.0 * max(box.x1 - box.x0, box.y1 - box.y0)
    found: dict[tuple[XY, XY], Wedge] = {}
    for part in zone.parts:
        for start, end in (part.ends_m, part.ends_m[::-1]):
            apex, along = place(end), unit_to(place(start), place(end))
            arms = [_turned(along, sign * zone.in_line_rad) for sign in (1.0, -1.0)]
            shape = clipped([apex, *((apex[0] + x * far, apex[1] + y * far) for x, y in arms)], box)
            if any(along) and len(shape) > 2:
                found[_near(apex), _near(along)] = Wedge(shape, apex, along)
    return list(found.values())


def inside_bends(zone: Zone, place: Place, box: Box) -> list[Wedge]:
    """Return the inside of every bend, without an end."""
    far = 4.0 * max(box.x1 - box.x0, box.y1 - box.y0)
    found = []
    for bend in zone.bends:
        apex = place(bend.corner_m)
        arms = [unit_to(apex, place(arm)) for arm in bend.arms_m]
        shape = clipped([apex, *((apex[0] + x * far, apex[1] + y * far) for x, y in arms)], box)
        along = unit_to((0.0, 0.0), (arms[0][0] + arms[1][0], arms[0][1] + arms[1][1]))
        if len(shape) > 2:
            found.append(Wedge(shape, apex, along))
    return found


def _near(at: XY) -> XY:
    return round(at[0], 2), round(at[1], 2)


def _turned(way: XY, by: float) -> XY:
    c, s = math.cos(by), math.sin(by)
    return way[0] * c - way[1] * s, way[0] * s + way[1] * c


def outline(zone: Zone) -> list[XY]:
    """Return the outline of all places nearer than the largest distance rule to any part [m]; empty where it has none.

    Notes
    -----
    Every part with the distance round it is convex; where all of them hold one place, what they cover together is seen
    from there without a fold, and its edge is found in every direction by halving.
    """
    ends = [end for part in zone.parts for end in part.ends_m]
    if not ends:
        return []
    middle = (sum(x for x, _ in ends) / len(ends), sum(y for _, y in ends) / len(ends))
    if any(_off(middle, part.ends_m) > zone.radius_m for part in zone.parts):
        return []
    most = 2.0 * zone.radius_m + max(math.dist(middle, end) for end in ends)
    return [_edge(zone, middle, 2.0 * math.pi * n / _STEPS, most) for n in range(_STEPS)]


def _edge(zone: Zone, middle: XY, turn: float, most: float) -> XY:
    low, high = 0.0, most
    for _ in range(40):
        half = (low + high) / 2.0
        at = (middle[0] + half * math.cos(turn), middle[1] + half * math.sin(turn))
        low, high = (half, high) if away_m(zone, at) <= zone.radius_m else (low, half)
    return middle[0] + low * math.cos(turn), middle[1] + low * math.sin(turn)


def away_m(zone: Zone, spot: XY) -> float:
    """Return how far a place is from the nearest part of any line [m]."""
    return min(_off(spot, part.ends_m) for part in zone.parts)


def nearest(zone: Zone, spot: XY) -> XY:
    """Return the place on any part that is nearest to a place [m]."""
    return min((_foot(spot, part.ends_m) for part in zone.parts), key=lambda foot: math.dist(foot, spot))


def _off(spot: XY, ends: tuple[XY, XY]) -> float:
    return math.dist(spot, _foot(spot, ends))


def _foot(spot: XY, ends: tuple[XY, XY]) -> XY:
    (ax, ay), (bx, by) = ends
    dx, dy = bx - ax, by - ay
    length = dx * dx + dy * dy
    share = 0.0 if length <= 0.0 else min(1.0, max(0.0, ((spot[0] - ax) * dx + (spot[1] - ay) * dy) / length))
    return ax + share * dx, ay + share * dy


def draw_in_line(shapes: Iterable[Sequence[XY]], step_px: float, light: Light) -> str:
    """Return hatching of the ground in line; what lies in two shapes is hatched once."""
    data = "".join(hatching(shape, step_px) for shape in shapes)
    return tag(
        "path", class_="in-line", d=data, stroke=light.hatch, stroke_width=HATCH_LINE_PX,
        opacity=light.hatch_opacity(0.75), fill="none",
    ) if data else ""  # fmt: skip


def draw_bends(shapes: Iterable[Sequence[XY]], light: Light) -> str:
    """Return the inside of bends: shaded and crossed, so that it differs from hatching without any shade."""
    rows = [list(shape) for shape in shapes if len(shape) > 2]
    if not rows:
        return ""
    shade = "".join(path(shape, closed=True) for shape in rows)
    flipped = [[(-x, y) for x, y in shape] for shape in rows]
    one = "".join(hatching(shape, _CROSSED_PX) for shape in rows)
    other = "".join(hatching(shape, _CROSSED_PX) for shape in flipped)
    return (
        tag("path", class_="inside-bend", d=shade, fill=light.paper_shade)
        + _crossed(one, light)
        + f'<g transform="scale(-1 1)">{_crossed(other, light)}</g>'
    )


def _crossed(data: str, light: Light) -> str:
    return tag(
        "path", class_="no-standing", d=data, stroke=light.hatch, stroke_width=0.9,
        opacity=light.hatch_opacity(0.6), fill="none",
    )  # fmt: skip
