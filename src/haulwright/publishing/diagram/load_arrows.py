"""Load arrows at anchors: to scale, along the pull, where nothing else is."""

from __future__ import annotations

import math
from collections.abc import Iterator

from haulwright.errors import RigRefusal
from haulwright.publishing.diagram.boxes import Outline, Shape, bar
from haulwright.publishing.diagram.geometry import XY, towards, unit_to
from haulwright.publishing.diagram.obstacles import block_outlines, hub_outline, strand_outlines
from haulwright.publishing.diagram.plan import Arrow, Hub, Plan
from haulwright.publishing.diagram.stations import Stations
from haulwright.publishing.diagram.survey import Survey


def load_arrows(survey: Survey, found: Stations, plan: Plan) -> Iterator[Arrow]:
    """Yield the load arrow of every anchor, each clear of everything drawn before it.

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX`` if one finds no place.
    """
    anchors = [b for b in survey.scheme.bodies.values() if b.role == "anchor"]
    pulls = {b.name: survey.pulls[b.name] for b in anchors}
    most = max((math.hypot(*(stall or expected)) for expected, stall in pulls.values()), default=0.0)
    if most <= 0.0:
        return
    room = (0.13 if not plan.size.upright else 0.2) * plan.size.width
    scale = min(plan.size.arrow_px_per_kN / 1000.0, room / most)
    taken = [Shape(one) for one in (*strand_outlines(plan), *block_outlines(plan))]
    hubs = {name: Shape(hub_outline(plan, hub)) for name, hub in plan.hubs.items()}
    taken += hubs.values()
    for body in anchors:
        expected, stall = pulls[body.name]
        lengths = (math.hypot(*expected) * scale, math.hypot(*stall) * scale if stall else 0.0)
        if max(lengths) <= 0.0:
            continue
        way = unit_to((0.0, 0.0), found.way(stall or expected))
        hub = plan.hubs[body.name]
        arrow = _free_arrow(plan, hub, way, lengths, taken, hubs[body.name])
        taken.append(Shape(_arrow_bar(arrow, plan)))
        yield arrow


def _arrow_bar(arrow: Arrow, plan: Plan) -> Outline:
    long = max(arrow.expected_px, arrow.stall_px)
    tip = (arrow.tail[0] + arrow.along[0] * long, arrow.tail[1] + arrow.along[1] * long)
    return bar(arrow.tail, tip, 26.0 if plan.size.vehicle > 30 else 22.0)


def _free_arrow(
    plan: Plan, hub: Hub, way: XY, lengths: tuple[float, float], taken: list[Shape], own: Shape
) -> Arrow:
    """The nearest place for a load arrow beside its anchor, clear of everything, with a hairline from the anchor."""
    inner = plan.sheet.grown(-8.0)
    others = [shape for shape in taken if shape is not own]
    tries = [_arrow_at(hub, way, lengths, *offset) for offset in _arrow_offsets(plan, max(lengths))]
    for arrow in tries:
        shape = Shape(_arrow_bar(arrow, plan))
        line = Shape(bar(towards(*arrow.leader, plan.sheath_px / 2.0 + 7.0), arrow.leader[1], 1.0))
        held = inner.x0 <= shape.x0 and shape.x1 <= inner.x1 and inner.y0 <= shape.y0 and shape.y1 <= inner.y1
        clear = held and not any(other.meets(shape) for other in taken)
        if clear and not any(other.meets(line) for other in others):
            return arrow
    raise RigRefusal("TOO_COMPLEX", f"{hub.body.name}: its load arrow finds no place.", (hub.body.name,))


def _arrow_offsets(plan: Plan, long: float) -> Iterator[tuple[float, float]]:
    """How far a tail lies from its anchor across and along the pull: abreast first, then behind, then farther off."""
    near = 24.0 if plan.size.vehicle < 30 else 36.0
    behind = -long - (plan.trunk or plan.size.trunk) - 10.0
    for off in (near, 1.35 * near, 1.8 * near):
        yield from ((off, 3.0), (-off, 3.0))
    yield from ((0.0, behind), (0.0, behind - 14.0))
    for off in (near, 1.5 * near, 2.2 * near, 3.0 * near, 4.0 * near, 5.5 * near):
        for share in (0.0, -0.5, -1.0, 0.5, 1.0):
            yield from ((off, share * long), (-off, share * long))


def _arrow_at(hub: Hub, way: XY, lengths: tuple[float, float], across: float, along: float) -> Arrow:
    tail = (hub.x - way[1] * across + way[0] * along, hub.y + way[0] * across + way[1] * along)
    end = tail if across else (tail[0] + way[0] * max(lengths), tail[1] + way[1] * max(lengths))
    return Arrow(hub.body, tail, way, *lengths, ((hub.x, hub.y), end))
