"""Glyphs from above: tree, vehicle, block, ring, drum, arrow. Each returns SVG for a place, a direction and a size."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from haulwright.publishing.diagram.geometry import XY, path, px
from haulwright.publishing.diagram.svg import tag
from haulwright.publishing.look import Light

_BODY = (
    "M3.4 -19.2Q0.6 -17.9 0 -11.2L0 11.2Q0.6 17.9 3.4 19.2L13.5 21L104.9 21Q112.8 20.5 112.8 15.6"
    "L112.8 -15.6Q112.8 -20.5 104.9 -21L13.5 -21Z"
)
_LINES = (
    "M35 -17.4Q30.5 0 35 17.4L44 13.8Q40.6 0 44 -13.8ZM97 -13.8L103.8 -16.1Q106.6 0 103.8 16.1L97 13.8Z"
    "M44 -13.8L97 -13.8M44 13.8L97 13.8M7.9 -10L31.6 -11.6M7.9 10L31.6 11.6M109.4 -7.8L109.4 7.8"
)
_WHEELS = ((14.1, -24.1), (14.1, 17.4), (80.7, -24.1), (80.7, 17.4))
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
VEHICLE_HALF = 21.0


def _scaled(data: str, by: float) -> str:
    return _NUMBER.sub(lambda m: px(float(m.group()) * by), data)


def _turned(at: XY, along: XY) -> str:
    angle = math.degrees(math.atan2(along[1], along[0]))
    return f'transform="translate({px(at[0])} {px(at[1])}) rotate({px(angle)})"'


def canopy(at: XY, radius: float, light: Light) -> str:
    """Return the crown of a tree."""
    n = 17
    points = []
    for k in range(n):
        a = 2.0 * math.pi * k / n
        r = radius * (1.0 + 0.05 * math.sin(3.0 * k + 1.0) - 0.04 * math.cos(5.0 * k))
        points.append((at[0] + r * math.cos(a), at[1] + r * math.sin(a)))
    data = f"M{px(points[0][0])} {px(points[0][1])}"
    for k in range(n):
        (x1, y1), (x2, y2) = points[k], points[(k + 1) % n]
        r = 0.56 * math.hypot(x2 - x1, y2 - y1)
        data += f"A{px(r)} {px(r)} 0 0 1 {px(x2)} {px(y2)}"
    return f'<path d="{data}Z" fill="{light.paper}" fill-opacity="0.55" stroke="{light.ink}" stroke-width="1.2" opacity="0.85"/>'


def trunk(at: XY, radius: float, light: Light) -> str:
    """Return the stem of a tree with its rings."""
    rings = "".join(_uneven(at, radius * share) for share in (0.5, 0.24))
    return (
        f'<path d="{_uneven(at, radius)}" fill="{light.paper}" stroke="{light.ink}" stroke-width="2.4"/>'
        f'<path d="{rings}" fill="none" stroke="{light.ink}" stroke-width="1"/>'
    )


def _uneven(at: XY, radius: float) -> str:
    points = []
    for k in range(20):
        a = 2.0 * math.pi * k / 20
        r = radius * (0.97 + 0.03 * math.sin(4.0 * a + 1.0))
        points.append((at[0] + r * math.cos(a), at[1] + r * math.sin(a)))
    return path(points, closed=True)


def vehicle(
    at: XY, along: XY, half: float, light: Light, *, chocked: bool = False, drum: bool = False
) -> str:
    """Return a vehicle whose front middle is at a place; ``along`` is the way from its front to its tail."""
    by = half / VEHICLE_HALF
    parts = [
        tag("rect", x=x * by, y=y * by, width=16.9 * by, height=6.7 * by, rx=1.2, fill=light.ink)
        for x, y in _WHEELS
    ]
    parts.append(tag("path", d=_scaled(_BODY, by), fill=light.paper, stroke=light.ink, stroke_width=1.8))
    parts.append(tag("path", d=_scaled(_LINES, by), fill="none", stroke=light.ink, stroke_width=1.1))
    if chocked:
        parts.append(tag("path", d=_scaled("M6 -32l8 7l-8 7ZM6 18l8 7l-8 7Z", by), fill=light.ink))
    if drum:
        parts.append(_drum(by, light))
    return f"<g {_turned(at, along)}>{''.join(parts)}</g>"


def _drum(by: float, light: Light) -> str:
    high, wide = 8.2 * by, 5.4 * by
    turns = "".join(
        path([(4.5, -high + 2 + 3 * k), (1.5 + wide, -high + 3.5 + 3 * k)])
        for k in range(int((2 * high - 4) / 3))
    )
    return tag(
        "rect",
        x=3,
        y=-high,
        width=wide,
        height=2 * high,
        rx=2,
        fill=light.paper,
        stroke=light.ink,
        stroke_width=1.4,
    ) + tag("path", d=turns, stroke=light.ink, stroke_width=1.1, fill="none")


def block(at: XY, toward: XY, cheek: float, eye: float, light: Light) -> str:
    """Return a pulley block with its eye at a distance in the direction of its strap [px]."""
    flank, low, small = 0.527 * cheek, 0.843 * cheek, 0.316 * cheek
    tip = eye + small * 0.9
    data = (
        f"M{px(-tip)} 0A{px(small)} {px(small)} 0 0 1 {px(-tip + 0.4 * small)} {px(-0.86 * small)}"
        f"L{px(-flank)} {px(-low)}A{px(cheek)} {px(cheek)} 0 1 1 {px(-flank)} {px(low)}"
        f"L{px(-tip + 0.4 * small)} {px(0.86 * small)}A{px(small)} {px(small)} 0 0 1 {px(-tip)} 0Z"
    )
    parts = (
        tag("path", d=data, fill=light.paper, stroke=light.ink, stroke_width=1.8),
        tag("circle", r=0.66 * cheek, fill=light.paper, stroke=light.ink, stroke_width=1.4),
        tag("circle", r=0.17 * cheek, fill=light.ink),
        tag("circle", cx=-eye, r=0.13 * cheek, fill=light.ink),
    )
    return f"<g {_turned(at, (-toward[0], -toward[1]))}>{''.join(parts)}</g>"


def ring(at: XY, radius: float, light: Light) -> str:
    """Return the ring or shackle in which a line is made fast."""
    return tag("circle", cx=at[0], cy=at[1], r=radius, fill=light.paper, stroke=light.ink, stroke_width=1.6)


def strap(start: XY, end: XY, width: float, light: Light) -> str:
    """Return a strap between two points."""
    return tag("path", d=path([start, end]), stroke=light.ink, stroke_width=width, fill="none")


def arrow_outline(tail: XY, along: XY, length: float, shaft: float) -> list[XY]:
    """Return the outline of an arrow; one shorter than its head keeps its length and narrows."""
    head = min(shaft * 1.05, length)
    half, neck = shaft / 2.0, length - head
    side = (-along[1], along[0])
    top = [(0.0, half), (neck, half), (neck, head)]
    profile = [*top, (length, 0.0), *((a, -c) for a, c in reversed(top))]
    return [(tail[0] + along[0] * a + side[0] * c, tail[1] + along[1] * a + side[1] * c) for a, c in profile]


def arrow(outline: Sequence[XY], light: Light, *, solid: bool) -> str:
    """Return an arrow: solid is expected, an outline is at stall."""
    data = path(outline, closed=True)
    if solid:
        return tag("path", d=data, fill=light.ink)
    return tag("path", d=data, fill=light.paper, stroke=light.ink, stroke_width=1.4)
