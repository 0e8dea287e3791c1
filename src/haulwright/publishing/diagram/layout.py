"""Lay a rig out on a sheet: from the arrangement along and across the pull to places on the page."""

from __future__ import annotations

import math

from haulwright.publishing.diagram.arrangement import Arrangement
from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, Knot, centre_line, inside, towards
from haulwright.publishing.diagram.plan import EYE, Arrow, Hub, PlacedBlock, Plan, Strand
from haulwright.publishing.diagram.scheme import DrawnBody, DrawnLine, Scheme, Stop
from haulwright.publishing.diagram.sizes import Size


def make_plan(scheme: Scheme, size: Size, *, roomy: float = 1.0, keyed: bool = False) -> Plan:
    """Lay the rig out on a sheet of one size.

    Parameters
    ----------
    scheme : Scheme
    size : Size
    roomy : float
        Factor on the room between parts and round them, raised where figures find no place.
    keyed : bool
        Every figure stands in the key below the sheet, so that the parts may lie nearer to its edges.

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX`` if the rig does not fit.
    """
    return _Layout(scheme, size, roomy, keyed).plan()


class _Layout(Arrangement):
    """The arrangement turned into x and y."""

    def plan(self) -> Plan:
        lanes_px = self.gap * max(self.lanes)
        wide = {n: self.vehicle * 1.2 if self._half(n) else 0.0 for n in self.v}
        low = min(0.0, *(v - wide[n] for n, v in self.v.items()))
        high = max(lanes_px, *(v + wide[n] for n, v in self.v.items()))
        if self.size.upright:
            shift = (self.size.width - lanes_px) / 2.0
            sheet = Box(self.size.edge, 6.0, self.size.width - self.size.edge, 6.0 + self.extent)
        else:
            above = self._arrow_at(self._rows() - 1) + (18.0 if self.size.strip else 15.0)
            below = self._beside() * self.roomy + max(0.0, high - lanes_px) * 0.6
            spare = max(0.0, self.size.least - above - lanes_px - below)
            shift = 1.0 + max(above, 8.0 - low) + spare / 2.0
            sheet = Box(
                self.size.edge, 1.0, self.size.width - self.size.edge, shift + lanes_px + below + spare / 2.0
            )
        self.shift, self.sheet = shift, sheet
        strands = tuple(self._strand(line) for line in self.scheme.lines)
        hubs = {name: self._hub(name) for name in self.columns}
        straps, rings = self._straps()
        return Plan(
            self.size, self.scheme, self.scale, self.vehicle, sheet, hubs, strands, tuple(self._blocks()), straps, rings,
            tuple(self._hatched(strands)), tuple(self._arrows()),
        )  # fmt: skip

    def _hub(self, name: str) -> Hub:
        body = self.scheme.bodies[name]
        side = float(-self._side(name))
        away = (0.0, side) if self.size.upright else (side, 0.0)
        return Hub(body, *self.xy(self.u[name], self.v[name]), self._glyph(body), away)

    def xy(self, u: float, v: float) -> XY:
        """Turn along and across into a place on the page."""
        return (v + self.shift, u) if self.size.upright else (u, v + self.shift)

    def _knot(self, line: DrawnLine, stop: Stop) -> Knot:
        if not stop.turns:
            floating = self.scheme.bodies[stop.body].role == "floating"
            at_hub = stop.drum or (floating and self._reach(stop) == 0.0)
            v = self.v[stop.body] if at_hub else self._stop_v(stop)
            return Knot(*self.xy(self._stop_u(stop), v))
        at = self._first(line.name) + stop.index
        sense = -stop.side * math.copysign(1.0, self.lanes[at] - self.lanes[at - 1])
        turn = int(-sense if self.size.upright else sense)
        return Knot(*self.xy(self._stop_u(stop), self._stop_v(stop)), self.radius, turn)

    def _strand(self, line: DrawnLine) -> Strand:
        knots = tuple(self._knot(line, stop) for stop in line.stops)
        expected = centre_line(knots, [part.tension_N for part in line.parts])
        stall = (
            centre_line(knots, [part.stall_N or 0.0 for part in line.parts]) if line.parts[0].stall_N else []
        )
        return Strand(line, knots, tuple(expected), tuple(stall))

    def _blocks(self) -> list[PlacedBlock]:
        blocks = []
        for stop in self.stops:
            if not stop.turns:
                continue
            x, y = self.xy(self._stop_u(stop), self._stop_v(stop))
            hub = self.xy(*self._fast(stop))
            far = math.dist((x, y), hub) or 1.0
            toward = ((hub[0] - x) / far, (hub[1] - y) / far)
            blocks.append(PlacedBlock(stop.point, stop.body, x, y, toward, self.radius))
        return blocks

    def _fast(self, stop: Stop) -> XY:
        """Where on its body the strap of a block or of a made-fast end begins, as u and v."""
        half, hub, v = self._half(stop.body), self.v[stop.body], self._stop_v(stop)
        return self.u[stop.body] + self._face(stop.body, stop.side), min(max(v, hub - half), hub + half)

    def _straps(self) -> tuple[tuple[tuple[XY, XY], ...], tuple[XY, ...]]:
        straps, rings = [], []
        for stop in self.stops:
            start = self.xy(*self._fast(stop))
            centre = self.xy(self._stop_u(stop), self._stop_v(stop))
            if stop.turns:
                far = math.dist(start, centre)
                straps.append((start, towards(centre, start, min(self.radius * (EYE - 0.15), far))))
            elif self._reach(stop) > 0.0:
                straps.append((start, centre))
                rings.append(centre)
            elif not stop.drum and self._glyph(self.scheme.bodies[stop.body]) != "ring":
                rings.append(centre)
        return tuple(straps), tuple(rings)

    def _hatched(self, strands: tuple[Strand, ...]) -> list[tuple[XY, ...]]:
        """The ground inside each bend: between its two parts as far as the nearer of their other ends."""
        out = []
        for strand in strands:
            for i, knot in enumerate(strand.knots):
                if knot.turn:
                    out.append(inside(strand.knots[i - 1], knot, strand.knots[i + 1]))
        return out

    # --- load arrows -------------------------------------------------------------------------------------------
    def _anchors(self) -> list[DrawnBody]:
        anchors = (b for b in self.scheme.bodies.values() if b.role == "anchor" and b.name in self.columns)
        return sorted(anchors, key=lambda b: b.station)

    def _rows(self) -> int:
        return len(self._anchors())

    def _beside(self) -> float:
        """Room for one row of figures beside an outer part [px]."""
        half = self.scheme.greatest * self.scale / 2.0
        return half + self.size.figure + (18.0 if self.size.strip else 12.0)

    def _arrow_at(self, row: int) -> float:
        """How far from the outer lane the arrow of a row lies [px]."""
        step = 34.0 if self.size.vehicle > 30 else 25.0
        if self.size.upright:
            return 26.0 + row * step
        return self._beside() * self.roomy + (13.0 if self.size.vehicle > 30 else 9.0) + row * step

    def _arrows(self) -> list[Arrow]:
        loads = [b.stall_N or b.load_N for b in self._anchors()]
        room = 0.2 * self.extent if self.size.upright else 0.3 * self.size.width
        scale = min(self.size.arrow_px_per_kN / 1000.0, room / max(loads))
        arrows = []
        for row, body in enumerate(self._anchors()):
            u, v, side = self.u[body.name], self.v[body.name], float(self._side(body.name))
            away = self._arrow_at(row)
            tail = self.xy(u, self.gap * max(self.lanes) + away if self.size.upright else -away)
            along = (0.0, side) if self.size.upright else (side, 0.0)
            lengths = (body.load_N * scale, (body.stall_N or 0.0) * scale)
            arrows.append(Arrow(body, tail, along, *lengths, (self.xy(u, v), tail)))
        return arrows
