"""Places where a label may stand, best first: beside its part, at its arrow, its body or its block, in the margin."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, shortened, tangent
from haulwright.publishing.diagram.labels import Label, Setter
from haulwright.publishing.diagram.plan import LONG, Arrow, Hub, PlacedBlock, Plan, Strand

OFF = 10.0
Spot = tuple[Box, tuple[XY, XY] | None]
Spots = Callable[[Label, bool], Iterator[Spot]]
_ALONG = (0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8, 0.15, 0.85)


@dataclass(frozen=True)
class Sheet:
    """What the search for places needs to know of a drawing: its plan, its type, where labels may stand."""

    plan: Plan
    setter: Setter
    inner: Box


def _around(x: float, y: float, wide: float, high: float) -> Box:
    return Box(x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0)


def _within(inner: Box, box: Box) -> Box:
    """Return the box moved along the page until it lies on the sheet."""
    dx = max(inner.x0 - box.x0, 0.0) + min(inner.x1 - box.x1, 0.0)
    return Box(box.x0 + dx, box.y0, box.x1 + dx, box.y1)


def beside(sheet: Sheet, strand: Strand, i: int) -> Spots:
    """Places for a part's figure: beside it, outer side first, then in the margin with a leader."""
    plan = sheet.plan
    start, end = tangent(strand.knots[i], strand.knots[i + 1])
    part = strand.line.parts[i]
    half = max((part.stall_N or part.tension_N) * plan.px_per_N, 3.0) / 2.0
    far = math.dist(start, end) or 1.0
    nx, ny = (end[1] - start[1]) / far, -(end[0] - start[0]) / far
    several = len(strand.line.parts) > 2
    middle = _middle(plan)
    mid = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    outer = 1.0 if (mid[0] - middle[0]) * nx + (mid[1] - middle[1]) * ny >= 0.0 else -1.0

    def spots(label: Label, stacked: bool) -> Iterator[Spot]:
        wide, high = sheet.setter.measure(label, stacked=stacked)
        reach = abs(nx) * wide / 2.0 + abs(ny) * high / 2.0
        for off in (OFF, 7.0, 4.5, 2.6):
            for side in (outer, -outer):
                for t in _ALONG:
                    x, y = start[0] + (end[0] - start[0]) * t, start[1] + (end[1] - start[1]) * t
                    away = side * (half + off + reach)
                    tick = _tick((x, y), (nx * side, ny * side), half + 2.0, half + off - 1.0)
                    yield _around(x + nx * away, y + ny * away, wide, high), tick if several else None
        for box, leader in _margin(plan, (start, end), wide, high):
            yield box, shortened(leader, half + 3.0)

    return spots


def _tick(at: XY, normal: XY, near: float, far: float) -> tuple[XY, XY]:
    """A short mark from a strand's edge towards its figure, so that a figure between two parts is told apart."""
    (x, y), (nx, ny) = at, normal
    return (x + nx * far, y + ny * far), (x + nx * near, y + ny * near)


def _middle(plan: Plan) -> XY:
    points = [(k.x, k.y) for strand in plan.strands for k in strand.knots]
    return (
        (min(p[0] for p in points) + max(p[0] for p in points)) / 2.0,
        (min(p[1] for p in points) + max(p[1] for p in points)) / 2.0,
    )


def _margin(plan: Plan, ends: tuple[XY, XY], wide: float, high: float) -> Iterator[tuple[Box, tuple[XY, XY]]]:
    """Rows (columns on an upright sheet) along the edges, each with a leader to the part."""
    (x1, y1), (x2, y2) = ends
    sheet = plan.sheet
    for t in _ALONG:
        x, y = x1 + (x2 - x1) * t, y1 + (y2 - y1) * t
        for slip in (0.0, 1.0, -1.0, 2.0, -2.0):
            if plan.size.upright:
                for at, edge in (
                    (sheet.x0 + 8.0 + wide / 2.0, wide / 2.0),
                    (sheet.x1 - 8.0 - wide / 2.0, -wide / 2.0),
                ):
                    yield _around(at, y + slip * 30.0, wide, high), ((at + edge, y + slip * 30.0), (x, y))
            else:
                for at, edge in (
                    (sheet.y1 - 8.0 - high / 2.0, -high / 2.0),
                    (sheet.y0 + 8.0 + high / 2.0, high / 2.0),
                ):
                    yield _around(x + slip * 40.0, at, wide, high), ((x + slip * 40.0, at + edge), (x, y))


def at_arrow(sheet: Sheet, arrow: Arrow) -> Spots:
    """Places for an anchor's figures: beyond the tip of its load arrow, then before its tail."""

    def spots(label: Label, stacked: bool) -> Iterator[Spot]:
        wide, high = sheet.setter.measure(label, stacked=stacked)
        length = max(arrow.expected_px, arrow.stall_px)
        tip = (arrow.tail[0] + arrow.along[0] * length, arrow.tail[1] + arrow.along[1] * length)
        if not sheet.plan.size.upright:
            for gap in (12.0, 20.0, 40.0):
                yield _around(tip[0] + arrow.along[0] * (gap + wide / 2.0), tip[1], wide, high), None
            yield _around(arrow.tail[0] - arrow.along[0] * (10.0 + wide / 2.0), tip[1], wide, high), None
        else:
            for gap in (10.0, 16.0, 30.0):
                y = tip[1] + arrow.along[1] * (gap + high / 2.0)
                yield _within(sheet.inner, _around(tip[0], y, wide, high)), None
            yield _around(tip[0] + 18.0 + wide / 2.0, (tip[1] + arrow.tail[1]) / 2.0, wide, high), None
        yield from _rays((arrow.tail[0], arrow.tail[1]), (20.0, 40.0, 70.0, 110.0), wide, high)

    return spots


def at_hub(sheet: Sheet, hub: Hub) -> Spots:
    """Places for a body's figures: beside its glyph."""

    def spots(label: Label, stacked: bool) -> Iterator[Spot]:
        wide, high = sheet.setter.measure(label, stacked=stacked)
        size = sheet.plan.size
        back = -hub.side * sheet.plan.vehicle * LONG
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            for off in (8.0, 16.0, 30.0):
                for sign in (1.0, -1.0):
                    away = sign * (sheet.plan.vehicle * 1.2 + off + (wide if size.upright else high) / 2.0)
                    x, y = (
                        (hub.x + away, hub.y + back * share)
                        if size.upright
                        else (hub.x + back * share, hub.y + away)
                    )
                    yield _within(sheet.inner, _around(x, y, wide, high)), None
        yield from _rays((hub.x, hub.y), (60.0, 90.0, 130.0), wide, high)

    return spots


def at_block(sheet: Sheet, block: PlacedBlock) -> Spots:
    """Places for a block's figure: round it, on a leader from its rim."""
    plan = sheet.plan

    def spots(label: Label, stacked: bool) -> Iterator[Spot]:
        wide, high = sheet.setter.measure(label, stacked=stacked)
        rim = block.radius + plan.sheath_px / 2.0
        steps = [rim + d for d in (10.0, 20.0, 34.0, 50.0, 70.0, 95.0, 125.0, 160.0, 200.0)]
        for box, leader in _rays((block.x, block.y), steps, wide, high, upright=plan.size.upright):
            yield box, shortened(leader, rim + 2.0)

    return spots


def _rays(
    at: XY, steps: Iterable[float], wide: float, high: float, *, upright: bool = False
) -> Iterator[tuple[Box, tuple[XY, XY]]]:
    """Places on rays round a point, near ones first, across the pull before along it."""
    first = 0.0 if upright else 90.0
    angles = [
        first + sign * d + turn for d in (0, 20, 40, 60, 80) for sign in (1, -1) for turn in (0.0, 180.0)
    ]
    for step in steps:
        for angle in angles:
            dx, dy = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            reach = min(wide / 2.0 / max(abs(dx), 1e-6), high / 2.0 / max(abs(dy), 1e-6))
            centre = (at[0] + dx * (step + reach), at[1] + dy * (step + reach))
            edge = (at[0] + dx * (step - 2.0), at[1] + dy * (step - 2.0))
            yield _around(*centre, wide, high), (edge, at)
