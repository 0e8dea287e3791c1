"""The zone of a pull at its own scale: the distance as an outline, in line, inside bends, and where one may stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from haulwright.planning.result import Zone
from haulwright.publishing.diagram.boxes import Box, Outline, bar, box_meets, disc
from haulwright.publishing.diagram.geometry import XY, path, px, unit_to
from haulwright.publishing.diagram.glyphs import strap, trunk, vehicle
from haulwright.publishing.diagram.kept_clear import (
    Wedge,
    away_m,
    draw_bends,
    draw_in_line,
    in_line,
    inside_bends,
    nearest,
    onto,
    outline,
)
from haulwright.publishing.diagram.plan import LONG, Plan, Ruler
from haulwright.publishing.diagram.rulers import draw_grid, draw_ticks
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import text_px
from haulwright.publishing.look import Light
from haulwright.publishing.wording import plain_glyphs

Beside = tuple[XY, XY]  # a place, and the way from it in which something stands
STATION_PX = 11.0  # from the middle of a station's triangle to its corners
IN_LINE, INSIDE = "in line: never", "inside the bend: never"
_TALLEST = 1.15  # height of the map over its width, at most
_SHARES = (0.55, 0.65, 0.45, 0.75, 0.85, 0.35, 0.92, 0.25)


@dataclass(frozen=True)
class ZoneMap:
    """The map with its frame on the page, and how it lies: its ruler."""

    svg: str
    frame: Box
    ruler: Ruler


def draw_zone(
    plan: Plan, zone: Zone, bodies: Mapping[str, XY], frame: tuple[float, float, float], light: Light
) -> ZoneMap:
    """Return the map of a zone.

    Parameters
    ----------
    plan : Plan
        The sheet of the rig, for its bodies and for the way it is turned.
    zone : Zone
    bodies : mapping name -> (x, y)
        Vehicles and anchors when the pull begins [m].
    frame : (float, float, float)
        Left edge, upper edge and width on the page [px].
    light : Light
    """
    return _Map(plan, zone, bodies, frame, light).drawn()


class _Map:
    def __init__(
        self,
        plan: Plan,
        zone: Zone,
        bodies: Mapping[str, XY],
        frame: tuple[float, float, float],
        light: Light,
    ) -> None:
        self.plan, self.zone, self.light, self.bodies_m = plan, zone, light, bodies
        self.edge = outline(zone)
        self.ruler, self.box = self._fitted(*frame)
        self.place = onto(self.ruler)
        self.taken: list[Outline] = []
        self.size = plan.size

    def _fitted(self, left: float, top: float, width: float) -> tuple[Ruler, Box]:
        """The scale at which the outline and the places to stand fit, turned as the sheet of the rig is."""
        turned = self.plan.ruler or Ruler(1.0, ("x", -1.0, 0.0), ("y", 1.0, 0.0))
        (level, right, _), (upright, down, _) = turned.level, turned.upright
        ends = [end for part in self.zone.parts for end in part.ends_m]
        spots = [*self.edge, *self.zone.stand_m, *ends]
        us = [right * (at[0] if level == "x" else at[1]) for at in spots]
        vs = [down * (at[1] if upright == "y" else at[0]) for at in spots]
        pad = 34.0
        wide, high = max(us) - min(us), max(vs) - min(vs)
        scale = min((width - 2.0 * pad) / wide, (_TALLEST * width - 2.0 * pad) / high)
        box = Box(left, top, left + width, top + high * scale + 2.0 * pad)
        middle_u, middle_v = (max(us) + min(us)) / 2.0, (max(vs) + min(vs)) / 2.0
        first = right * (middle_u - box.centre[0] / scale)
        above = down * (middle_v - box.centre[1] / scale)
        return Ruler(scale, (level, right, first), (upright, down, above)), box

    def drawn(self) -> ZoneMap:
        """Draw the map from the ground up."""
        light, box = self.light, self.box
        sheet = replace(self.plan, sheet=box, ruler=self.ruler)
        self.wedges = in_line(self.zone, self.place, box)
        self.bends = inside_bends(self.zone, self.place, box)
        out = [draw_grid(sheet, self.ruler, light)]
        out.append(draw_bends([w.shape for w in self.bends], light))
        out.append(draw_in_line([w.shape for w in self.wedges], 8.0, light))
        out += [self._outline(), self._rig()]
        out += [self._station(n, at) for n, at in enumerate(self.zone.stand_m, start=1)]
        out += [self._dimension(), *self._names(), *self._forbidden()]
        view = f"{px(box.x0)} {px(box.y0)} {px(box.x1 - box.x0)} {px(box.y1 - box.y0)}"
        ground = tag(
            "svg",
            "".join(out),
            x=box.x0,
            y=box.y0,
            width=box.x1 - box.x0,
            height=box.y1 - box.y0,
            viewBox=view,
        )
        neat = tag("path", d=path(box.corners, closed=True), fill="none", stroke=light.ink, stroke_width=2)
        return ZoneMap(ground + neat + draw_ticks(sheet, self.ruler, light), box, self.ruler)

    # --- what is drawn ----------------------------------------------------------------------------------------------
    def _outline(self) -> str:
        if not self.edge:
            return ""
        data = path([self.place(at) for at in self.edge], closed=True)
        return tag(
            "path", class_="distance", d=data, fill="none", stroke=self.light.ink, stroke_width=2.2,
            stroke_dasharray="12 6",
        )  # fmt: skip

    def _rig(self) -> str:
        """Lines as they lie when the pull begins and when it ends, bodies where they stand."""
        out = ""
        for part in self.zone.parts:
            start, end = (self.place(at) for at in part.ends_m)
            if math.dist(start, end) > 0.1:
                out += strap(start, end, 3.0, self.light)
                self.taken.append(bar(start, end, 8.0))
        half = max(0.88 * self.ruler.px_per_m, 4.6)
        for name, at in self._bodies().items():
            hub = self.plan.hubs.get(name)
            if hub is not None and hub.glyph in ("vehicle", "chocked"):
                out += vehicle(at, hub.away, half, self.light)
                far = (at[0] + hub.away[0] * LONG * half, at[1] + hub.away[1] * LONG * half)
                self.taken.append(bar(at, far, 2.6 * half))
            elif hub is None or hub.glyph == "tree":
                out += trunk(at, 5.0, self.light)
                self.taken.append(disc(*at, 7.0))
        return out

    def _bodies(self) -> dict[str, XY]:
        return {name: self.place(at) for name, at in self.bodies_m.items()}

    def _station(self, number: int, spot: XY) -> str:
        at = self.place(spot)
        self.taken.append(disc(*at, STATION_PX + 3.0))
        words = f"{away_m(self.zone, spot):.0f} m"
        return draw_station(at, number, self.light) + self._word(
            words, self.size.name, _round(at, STATION_PX + 6.0), weight=700
        )

    def _dimension(self) -> str:
        """The distance as a measure from a line to the outline, where it is most free."""
        best = min(self.edge, key=self._crowded, default=None)
        if best is None:
            return ""
        foot, tip = self.place(nearest(self.zone, best)), self.place(best)
        way = unit_to(foot, tip)
        neck = (tip[0] - way[0] * 8.0, tip[1] - way[1] * 8.0)
        head = [
            (neck[0] - way[1] * 4.0, neck[1] + way[0] * 4.0),
            tip,
            (neck[0] + way[1] * 4.0, neck[1] - way[0] * 4.0),
        ]
        self.taken.append(bar(foot, tip, 6.0))
        line = tag("path", d=path([foot, tip]), stroke=self.light.ink, stroke_width=1.2, fill="none")
        line += tag("path", d=path(head, closed=True), fill=self.light.ink)
        words = f"{self.zone.radius_m:.1f} m".replace(".0 m", " m")
        wide, high = text_px(words, self.size.figure, 700), self.size.figure * 0.8
        off = 7.0 + abs(way[1]) * wide / 2.0 + abs(way[0]) * high / 2.0
        middles = (
            (
                foot[0] + (tip[0] - foot[0]) * t - way[1] * off * side,
                foot[1] + (tip[1] - foot[1]) * t + way[0] * off * side,
            )
            for t in _SHARES
            for side in (1.0, -1.0)
        )
        return line + self._word(words, self.size.figure, middles, weight=700)

    def _crowded(self, at: XY) -> tuple[float, float]:
        """How little room a measure to a place on the outline leaves: hatched ground, things drawn, a slant."""
        foot, tip = self.place(nearest(self.zone, at)), self.place(at)
        middle = Box(
            min(foot[0], tip[0]), min(foot[1], tip[1]), max(foot[0], tip[0]), max(foot[1], tip[1])
        ).centre
        spot = Box(middle[0] - 30.0, middle[1] - 10.0, middle[0] + 30.0, middle[1] + 10.0)
        hits = sum(box_meets(spot, list(w.shape)) for w in (*self.wedges, *self.bends))
        stations = sum(math.dist(tip, self.place(spot)) < 60.0 for spot in self.zone.stand_m)
        way = unit_to(foot, tip)
        slant = min(abs(way[0]), abs(way[1]))
        return hits + 2.0 * stations + (0.5 if slant > 0.1 else 0.0), slant

    # --- words ------------------------------------------------------------------------------------------------------
    def _names(self) -> Iterator[str]:
        for name, at in self._bodies().items():
            hub = self.plan.hubs.get(name)
            if hub is None or hub.glyph != "ring":
                yield self._word(plain_glyphs(name), self.size.name, _round(at, 12.0, 24.0, 40.0), weight=600)

    def _forbidden(self) -> Iterator[str]:
        """What the hatched and the crossed ground is, once in each."""
        for wedges, words, most in ((self.bends, INSIDE, 1), (self.wedges, IN_LINE, 2)):
            written = 0
            for wedge in wedges:
                if written < most and (
                    found := self._word(words, self.size.name, self._down(wedge), weight=600)
                ):
                    written += 1
                    yield found

    def _down(self, wedge: Wedge) -> Iterator[XY]:
        far = max((math.dist(wedge.apex, corner) for corner in wedge.shape), default=0.0)
        for share in _SHARES:
            yield wedge.apex[0] + wedge.along[0] * far * share, wedge.apex[1] + wedge.along[1] * far * share

    def _word(self, words: str, size: float, middles: Iterable[XY | Beside], *, weight: int) -> str:
        wide, high = text_px(words, size, weight), size * 0.8
        boxes = (
            Box(x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0)
            for x, y in _spread(middles, wide, high)
        )
        return self._set(words, size, boxes, weight=weight)

    def _set(self, words: str, size: float, boxes: Iterable[Box], *, weight: int) -> str:
        """Write words in the first box that is free, on paper; nothing where none is."""
        for box in boxes:
            grown = box.grown(3.0)
            if self.box.grown(-5.0).holds(grown) and not any(box_meets(grown, shape) for shape in self.taken):
                self.taken.append(grown.corners)
                patch = tag(
                    "rect", x=grown.x0, y=grown.y0, width=grown.x1 - grown.x0, height=grown.y1 - grown.y0,
                    fill=self.light.paper,
                )  # fmt: skip
                return patch + text(
                    words, box.x0, box.centre[1] + size * 0.345, size, self.light, weight=weight
                )
        return ""


def _round(at: XY, *offs: float) -> list[XY | Beside]:
    """Places round a point with the way they lie from it."""
    ways = [
        (0.0, -1.0),
        (0.0, 1.0),
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.8, -0.6),
        (-0.8, -0.6),
        (0.8, 0.6),
        (-0.8, 0.6),
    ]
    return [((at[0] + dx * off, at[1] + dy * off), (dx, dy)) for off in offs for dx, dy in ways]


def _spread(spots: Iterable[XY | Beside], wide: float, high: float) -> Iterator[XY]:
    """Middles of boxes: a place with a way is moved on by half of the box, so that the box stands beside it."""
    for spot in spots:
        if isinstance(spot[0], tuple) and isinstance(spot[1], tuple):
            (x, y), (dx, dy) = spot
            yield x + dx * wide / 2.0, y + dy * high / 2.0
        elif not isinstance(spot[0], tuple) and not isinstance(spot[1], tuple):
            yield spot[0], spot[1]


def draw_station(at: XY, number: int, light: Light) -> str:
    """Return a numbered triangle: a place where one may stand."""
    x, y = at
    r = STATION_PX
    corners: Sequence[XY] = [(x, y - r), (x + 0.95 * r, y + 0.72 * r), (x - 0.95 * r, y + 0.72 * r)]
    return tag(
        "path",
        class_="stand",
        d=path(corners, closed=True),
        fill=light.paper,
        stroke=light.ink,
        stroke_width=1.8,
    ) + text(str(number), x, y + 0.55 * r, 12.0, light, weight=700, anchor="middle")
