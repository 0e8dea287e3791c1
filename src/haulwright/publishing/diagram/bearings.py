"""What a sheet of a pull says in its free ground: the way of the pull, a scale bar, the way to where one may stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from haulwright.planning.result import Zone
from haulwright.publishing.diagram.boxes import Box, Outline, box_meets
from haulwright.publishing.diagram.geometry import XY, path, px, unit_to
from haulwright.publishing.diagram.glyphs import arrow, arrow_outline
from haulwright.publishing.diagram.kept_clear import Wedge, away_m, onto
from haulwright.publishing.diagram.labels import Placed
from haulwright.publishing.diagram.obstacles import obstacles
from haulwright.publishing.diagram.plan import Plan, Ruler
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import text_px
from haulwright.publishing.diagram.zone_map import STATION_PX, draw_station
from haulwright.publishing.look import Light

_BARS_M = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
_ARROW_PX = 58.0
_STEP_PX = 12.0


@dataclass
class FreeGround:
    """Where on a sheet something more may stand: what is taken, and by what."""

    plan: Plan
    light: Light
    taken: list[Outline] = field(default_factory=list)
    shy: list[Outline] = field(default_factory=list)

    @classmethod
    def of(cls, plan: Plan, placed: Iterable[Placed], kept: Iterable[Wedge], light: Light) -> FreeGround:
        """Return the free ground of a sheet with its labels; hatched ground is taken only where nothing else is free."""
        taken: list[Outline] = [*obstacles(plan), *(p.box.grown(6.0).corners for p in placed)]
        return cls(plan, light, taken, [w.shape for w in kept])

    def take(self, boxes: Sequence[Box]) -> tuple[Box, bool] | None:
        """Take the first box that is free, on clear ground before hatched; with it whether it stands on hatched ground."""
        inner = self.plan.sheet.grown(-7.0)
        for hatched in (False, True):
            for box in boxes:
                if not inner.holds(box) or any(box_meets(box, shape) for shape in self.taken):
                    continue
                on = any(box_meets(box, shape) for shape in self.shy)
                if on and not hatched:
                    continue
                self.taken.append(box.grown(8.0).corners)
                return box, on
        return None

    def patch(self, box: Box, on_hatched: bool) -> str:
        """Return paper under what stands on hatched ground."""
        if not on_hatched:
            return ""
        b = box.grown(4.0)
        return tag("rect", x=b.x0, y=b.y0, width=b.x1 - b.x0, height=b.y1 - b.y0, fill=self.light.paper)


def draw_way(free: FreeGround, travel: XY, words: Sequence[str]) -> str:
    """Return an arrow the way the vehicle is pulled, with words beside it; a narrow sheet has one word, a full one nothing."""
    for rows in (words, ("pull",)):
        drawn = _way(free, travel, rows)
        if drawn:
            return drawn
    return ""


def _way(free: FreeGround, travel: XY, words: Sequence[str]) -> str:
    size = free.plan.size
    lying = abs(travel[0]) > abs(travel[1])
    wide = max(text_px(row, size.name, 600 if n == 0 else 400) for n, row in enumerate(words))
    step = size.name + 4.0
    high = step * len(words) - 4.0
    measures = (max(wide, _ARROW_PX), high + 28.0) if lying else (wide + 34.0, max(high, _ARROW_PX))
    found = free.take(list(_near_corners(free.plan.sheet, *measures)))
    if found is None:
        return ""
    box, on = found
    centre = (box.centre[0], box.y0 + 11.0) if lying else (box.x0 + 12.0, box.centre[1])
    tail = (centre[0] - travel[0] * _ARROW_PX / 2.0, centre[1] - travel[1] * _ARROW_PX / 2.0)
    out = free.patch(box, on) + arrow(arrow_outline(tail, travel, _ARROW_PX, 11.0), free.light, solid=False)
    x, anchor = (box.centre[0], "middle") if lying else (box.x0 + 34.0, "start")
    y = (box.y0 + 28.0 if lying else box.centre[1] - high / 2.0) + size.name * 0.8
    for n, row in enumerate(words):
        out += text(row, x, y + n * step, size.name, free.light, weight=600 if n == 0 else 400, anchor=anchor)
    return f'<g class="way">{out}</g>'


def draw_scale(free: FreeGround, ruler: Ruler) -> str:
    """Return a scale bar of a round length; nothing where the sheet has no room, since its edges carry metres too."""
    metres = next((m for m in _BARS_M if m * ruler.px_per_m >= 50.0), _BARS_M[-1])
    long, note, light = metres * ruler.px_per_m, free.plan.size.note, free.light
    words = f"{metres:g} m"
    wide = max(long, text_px(words, note))
    found = free.take(list(_near_corners(free.plan.sheet, wide, note + 12.0, low=True)))
    if found is None:
        return ""
    box, on = found
    x0, y = box.centre[0] - long / 2.0, box.y1 - 3.0
    data = f"M{px(x0)} {px(y - 5.0)}V{px(y)}H{px(x0 + long)}V{px(y - 5.0)}"
    line = tag("path", class_="scale", d=data, stroke=light.ink, stroke_width=1.8, fill="none")
    return free.patch(box, on) + line + text(words, box.centre[0], y - 9.0, note, light, anchor="middle")


def _near_corners(sheet: Box, wide: float, high: float, *, low: bool = False) -> Iterator[Box]:
    """Boxes over the whole sheet, those nearest to a corner first; with ``low`` to a lower one."""
    inner = sheet.grown(-12.0)
    across, down = max(0.0, inner.x1 - inner.x0 - wide), max(0.0, inner.y1 - inner.y0 - high)
    spots = [
        (inner.x0 + across * i / max(1, n), inner.y0 + down * j / max(1, m))
        for n, m in [(int(across / _STEP_PX), int(down / _STEP_PX))]
        for i in range(n + 1)
        for j in range(m + 1)
    ]

    def off(at: XY) -> float:
        x = min(at[0] - inner.x0, inner.x0 + across - at[0])
        y = min(at[1] - inner.y0, inner.y0 + down - at[1])
        return x + (inner.y0 + down - at[1] if low else y)

    for x, y in sorted(spots, key=lambda at: (round(off(at), 1), -at[0], at[1])):
        yield Box(x, y, x + wide, y + high)


def draw_words(free: FreeGround, words: str, shapes: Iterable[Sequence[XY]]) -> str:
    """Return what a piece of kept-clear ground is, in the first shape that has room for the words."""
    size = free.plan.size.name
    wide, high = text_px(words, size, 600), size * 0.85
    for shape in shapes:
        middle = (sum(x for x, _ in shape) / len(shape), sum(y for _, y in shape) / len(shape))
        towards = [middle, *((middle[0] * 0.6 + x * 0.4, middle[1] * 0.6 + y * 0.4) for x, y in shape)]
        boxes = [Box(x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0) for x, y in towards]
        found = free.take([box for box in boxes if box_meets(box, shape)])
        if found is not None:
            box = found[0]
            return free.patch(box, True) + text(
                words, box.x0, box.y1 - 0.08 * size, size, free.light, weight=600
            )
    return ""


def draw_stations(free: FreeGround, zone: Zone, ruler: Ruler) -> str:
    """Return the places to stand, or at the edge of the sheet the way to each and how far it is from any line."""
    out = ""
    place = onto(ruler)
    for number, spot in enumerate(zone.stand_m, start=1):
        at = place(spot)
        inside = free.plan.sheet.grown(-20.0)
        if inside.x0 < at[0] < inside.x1 and inside.y0 < at[1] < inside.y1:
            out += draw_station(at, number, free.light)
        else:
            out += _at_edge(free, at, number, f"{away_m(zone, spot):.0f} m off")
    return out


def _at_edge(free: FreeGround, at: XY, number: int, words: str) -> str:
    """A station beyond the sheet: its number, an arrow its way, and how far."""
    sheet, size, light = free.plan.sheet, free.plan.size, free.light
    way = unit_to(sheet.centre, at)
    wide, high = 2.0 * STATION_PX + 6.0 + text_px(words, size.name) + 26.0, 2.0 * STATION_PX
    found = free.take(list(_along_edge(sheet.grown(-10.0), way, wide, high)))
    if found is None:
        return ""
    box, on = found
    middle = (box.x0 + STATION_PX + 1.0, box.centre[1] + 1.0)
    tip = (box.x1 - 9.0 + way[0] * 9.0, box.centre[1] + way[1] * 9.0)
    tail = (tip[0] - way[0] * 18.0, tip[1] - way[1] * 18.0)
    neck = (tip[0] - way[0] * 7.0, tip[1] - way[1] * 7.0)
    head = [
        (neck[0] - way[1] * 3.6, neck[1] + way[0] * 3.6),
        tip,
        (neck[0] + way[1] * 3.6, neck[1] - way[0] * 3.6),
    ]
    return (
        free.patch(box, on)
        + draw_station(middle, number, light)
        + text(words, box.x0 + 2.0 * STATION_PX + 8.0, box.centre[1] + size.name * 0.345, size.name, light)
        + tag("path", d=path([tail, tip]), stroke=light.ink, stroke_width=1.4, fill="none")
        + tag("path", d=path(head, closed=True), fill=light.ink)
    )


def _along_edge(inner: Box, way: XY, wide: float, high: float) -> Iterator[Box]:
    """Boxes along the edge that lies the way of a place, nearest to the straight way first."""
    (cx, cy), across, down = inner.centre, (inner.x1 - inner.x0) / 2.0, (inner.y1 - inner.y0) / 2.0
    reach = min(across / max(abs(way[0]), 1e-9), down / max(abs(way[1]), 1e-9))
    hit = (cx + way[0] * reach, cy + way[1] * reach)
    level = abs(way[1]) * across > abs(way[0]) * down  # it leaves by the upper or the lower edge
    steps = sorted((n * 10.0 * s for n in range(60) for s in (1.0, -1.0)), key=abs)
    for inward in (0.0, high + 8.0):
        for step in steps:
            x, y = (hit[0] + step, hit[1]) if level else (hit[0], hit[1] + step)
            x0 = min(max(x - wide / 2.0, inner.x0), inner.x1 - wide)
            y0 = min(max(y - high / 2.0, inner.y0), inner.y1 - high)
            if inward:
                x0 -= 0.0 if level else math.copysign(inward, way[0])
                y0 -= math.copysign(inward, way[1]) if level else 0.0
            yield Box(x0, y0, x0 + wide, y0 + high)
