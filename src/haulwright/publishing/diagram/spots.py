"""Places where a label may stand, best first: beside its part, at its arrow, its body or its block, in the margin."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, shortened, tangent
from haulwright.publishing.diagram.labels import Label, Setter
from haulwright.publishing.diagram.plan import LONG, Arrow, Hub, PlacedBlock, PlacedStrap, Plan, Strand

OFF = 10.0
Spot = tuple[Box, tuple[XY, XY] | None]
Spots = Callable[[Label, bool], Iterator[Spot]]
_SHARES = (0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8, 0.15, 0.85)


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
    part = strand.line.parts[i]
    half = max((part.stall_N or part.tension_N) * sheet.plan.px_per_N, 3.0) / 2.0
    several = len(strand.line.parts) > 2 or sheet.plan.ground
    return _along(sheet, tangent(strand.knots[i], strand.knots[i + 1]), half, several)


def beside_strap(sheet: Sheet, strap: PlacedStrap) -> Spots:
    """Places for a strap's figure: beside it, then in the margin with a leader."""
    return _along(sheet, (strap.start, strap.end), sheet.plan.size.strap / 2.0, several=True)


def _along(sheet: Sheet, ends: tuple[XY, XY], half: float, several: bool) -> Spots:
    plan = sheet.plan
    start, end = ends
    far = math.dist(start, end) or 1.0
    nx, ny = (end[1] - start[1]) / far, -(end[0] - start[0]) / far
    middle = _middle(plan)
    mid = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    outer = 1.0 if (mid[0] - middle[0]) * nx + (mid[1] - middle[1]) * ny >= 0.0 else -1.0

    def spots(label: Label, stacked: bool) -> Iterator[Spot]:
        wide, high = sheet.setter.measure(label, stacked=stacked)
        reach = abs(nx) * wide / 2.0 + abs(ny) * high / 2.0
        for off in (OFF, 7.0, 4.5, 2.6):
            for side in (outer, -outer):
                for t in _SHARES:
                    x, y = start[0] + (end[0] - start[0]) * t, start[1] + (end[1] - start[1]) * t
                    away = side * (half + off + reach)
                    box = _around(x + nx * away, y + ny * away, wide, high)
                    foot = _foot((start, end), box, (nx * side, ny * side)) if plan.ground else (x, y)
                    if foot is not None:
                        tick = _tick(foot, (nx * side, ny * side), half + 2.0, half + off - 1.0)
                        yield box, tick if several else None
        if plan.ground:
            for share in (0.5, 0.35, 0.65):
                at = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
                steps = [half + d for d in (16.0, 30.0, 48.0, 70.0, 100.0, 140.0, 190.0)]
                for box, leader in _rays(at, steps, wide, high):
                    yield box, shortened(leader, half + 3.0)
        for box, leader in _margin(plan, (start, end), wide, high):
            yield box, shortened(leader, half + 3.0)

    return spots


def _foot(ends: tuple[XY, XY], box: Box, normal: XY) -> XY | None:
    """Where a strand is nearest to a box on one side of it; None where that lies beyond the strand's ends."""
    (x, y), (ex, ey) = ends
    far = math.dist(*ends) or 1.0
    ux, uy = (ex - x) / far, (ey - y) / far
    near = box.centre if min(abs(normal[0]), abs(normal[1])) < 0.1 else min(
        box.corners, key=lambda corner: corner[0] * normal[0] + corner[1] * normal[1]
    )  # fmt: skip
    along = (near[0] - x) * ux + (near[1] - y) * uy
    return (x + ux * along, y + uy * along) if 0.04 * far <= along <= 0.96 * far else None


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
    for t in _SHARES:
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
        if sheet.plan.ground:
            yield from _round_arrow(arrow, tip, wide, high)
        elif not sheet.plan.size.upright:
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


def _round_arrow(arrow: Arrow, tip: XY, wide: float, high: float) -> Iterator[Spot]:
    """Places beyond the tip of an arrow in any direction, beside its shaft, behind its tail."""
    (dx, dy), (tx, ty) = arrow.along, arrow.tail
    reach = abs(dx) * wide / 2.0 + abs(dy) * high / 2.0
    beside = 14.0 + abs(dy) * wide / 2.0 + abs(dx) * high / 2.0
    middle = ((tip[0] + tx) / 2.0, (tip[1] + ty) / 2.0)
    for gap in (8.0, 14.0, 24.0):
        yield _around(tip[0] + dx * (gap + reach), tip[1] + dy * (gap + reach), wide, high), None
    for off in (0.0, 6.0, 14.0):
        for sign in (1.0, -1.0):
            far = sign * (beside + off)
            box = _around(middle[0] - dy * far, middle[1] + dx * far, wide, high)
            if _foot(((tx, ty), tip), box, (-dy * sign, dx * sign)) is not None:
                yield box, None
    for gap in (8.0, 16.0):
        yield _around(tx - dx * (gap + reach), ty - dy * (gap + reach), wide, high), None


def at_hub(sheet: Sheet, hub: Hub) -> Spots:
    """Places for a body's figures: beside its glyph."""

    def spots(label: Label, stacked: bool) -> Iterator[Spot]:
        wide, high = sheet.setter.measure(label, stacked=stacked)
        dx, dy = hub.away
        long = sheet.plan.vehicle * LONG
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            for off in (8.0, 16.0, 30.0):
                for sign in (1.0, -1.0):
                    reach = abs(dy) * wide / 2.0 + abs(dx) * high / 2.0
                    away = sign * (sheet.plan.vehicle * 1.2 + off + reach)
                    x, y = (
                        hub.x + dx * long * share + abs(dy) * away,
                        hub.y + dy * long * share + abs(dx) * away,
                    )
                    if sheet.plan.ground:
                        x, y = hub.x + dx * long * share - dy * away, hub.y + dy * long * share + dx * away
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
        first + sign * d + turn for d in (0, 20, 40, 60, 80, 90) for sign in (1, -1) for turn in (0.0, 180.0)
    ]
    for step in steps:
        for angle in angles:
            dx, dy = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            reach = min(wide / 2.0 / max(abs(dx), 1e-6), high / 2.0 / max(abs(dy), 1e-6))
            centre = (at[0] + dx * (step + reach), at[1] + dy * (step + reach))
            edge = (at[0] + dx * (step - 2.0), at[1] + dy * (step - 2.0))
            yield _around(*centre, wide, high), (edge, at)
