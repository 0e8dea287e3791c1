"""What a label must not cover, and whether strands cover each other."""

from __future__ import annotations

from collections.abc import Iterator

from haulwright.publishing.diagram.boxes import Shape, bar, disc
from haulwright.publishing.diagram.geometry import XY, shortened, tangent
from haulwright.publishing.diagram.plan import EYE, LONG, Hub, Plan


def strand_outlines(plan: Plan) -> Iterator[list[XY]]:
    """Yield the outlines of all straight parts and bends at their stall width."""
    scale, least = plan.px_per_N, plan.sheath_px
    for strand in plan.strands:
        for part, (a, b) in zip(
            strand.line.parts, zip(strand.knots, strand.knots[1:], strict=False), strict=True
        ):
            width = max((part.stall_N or part.tension_N) * scale, 3.0)
            yield bar(*tangent(a, b), width + 3.0)
    for block in plan.blocks:
        yield disc(block.x, block.y, block.radius + least / 2.0 + 1.0)


def block_outlines(plan: Plan) -> Iterator[list[XY]]:
    """Yield the outlines of all straps and of the cheeks of all blocks."""
    for start, end in (*plan.straps, *((s.start, s.end) for s in plan.labelled)):
        yield bar(start, end, 7.0)
    for b in plan.blocks:
        eye = (b.x + b.toward[0] * b.radius * (EYE + 0.1), b.y + b.toward[1] * b.radius * (EYE + 0.1))
        yield bar((b.x, b.y), eye, b.radius)


def strands_cross(plan: Plan) -> bool:
    """Tell whether two parts that do not follow each other lie over one another, which would draw another rig."""
    bars: list[tuple[str, int, Shape]] = []
    for strand in plan.strands:
        for i, part in enumerate(strand.line.parts):
            width = 0.8 * max((part.stall_N or part.tension_N) * plan.px_per_N, 3.0)
            ends = tangent(strand.knots[i], strand.knots[i + 1])
            drawn = bar(shortened((ends[1], ends[0]), 6.0)[1], shortened(ends, 6.0)[1], width)
            bars.append((part.line, i, Shape(drawn)))
    pairs = ((a, b) for n, a in enumerate(bars) for b in bars[n + 1 :])
    return any(a[2].meets(b[2]) for a, b in pairs if a[0] != b[0] or abs(a[1] - b[1]) > 1)


def obstacles(plan: Plan) -> Iterator[list[XY]]:
    """Yield the outline of everything a label must not cover."""
    yield from strand_outlines(plan)
    yield from block_outlines(plan)
    for hub in plan.hubs.values():
        yield hub_outline(plan, hub)
    for arrow in plan.arrows:
        shaft = 12.0 if plan.size.vehicle > 30 else 10.0
        for length in (arrow.expected_px, arrow.stall_px):
            if length:
                tip = (arrow.tail[0] + arrow.along[0] * length, arrow.tail[1] + arrow.along[1] * length)
                yield bar(arrow.tail, tip, shaft * 2.1)
        yield bar(*arrow.leader, 3.0)


def hub_outline(plan: Plan, hub: Hub) -> list[XY]:
    """Return the outline of a body's glyph."""
    if hub.glyph == "tree":
        return disc(hub.x, hub.y, (plan.trunk or plan.size.trunk) + 3.0)
    if hub.glyph == "ring":
        return disc(hub.x, hub.y, 7.0)
    far = plan.vehicle * LONG
    return bar((hub.x, hub.y), (hub.x + hub.away[0] * far, hub.y + hub.away[1] * far), plan.vehicle * 2.4)
