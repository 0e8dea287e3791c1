"""The ground in pixels at one scale: bodies turned onto the sheet, stops on their perches, lines as knots."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, Knot, unit_to
from haulwright.publishing.diagram.perches import Guest, Key, Perch, Seat, crowds, seat_all
from haulwright.publishing.diagram.plan import EYE, LONG
from haulwright.publishing.diagram.scheme import DrawnBody, DrawnLine, Stop
from haulwright.publishing.diagram.sizes import Size, strand_scale
from haulwright.publishing.diagram.survey import Survey

HALF_VEHICLE_M = 0.88
QUARTERS = ((1.0, 0.0, 0.0, 1.0), (0.0, -1.0, 1.0, 0.0), (-1.0, 0.0, 0.0, -1.0), (0.0, 1.0, -1.0, 0.0))
LEAST_RADIUS = 0.5  # of the full size of a block, where two stand close together
PARALLEL_RAD = math.radians(165.0)


@dataclass(frozen=True)
class Choice:
    """What geometry leaves open: the way a line turns where its parts run nearly side by side; the order of crowds."""

    turns: Mapping[Key, int] = field(default_factory=dict)
    orders: Mapping[frozenset[Key], tuple[Key, ...]] = field(default_factory=dict)


class Stations:
    """A survey at one scale [px/m] and one quarter turn of the sheet."""

    def __init__(
        self, survey: Survey, size: Size, scale: float, quarter: int, choice: Choice, roomy: float
    ) -> None:
        self.survey, self.size, self.scale, self.quarter, self.choice = survey, size, scale, quarter, choice
        self.scheme = survey.scheme
        full = 0.72 * size.vehicle * (1.0 if roomy <= 1.2 else 0.85)
        self.near = self._nearest_turns()
        self.radius = max(min(full, 0.5 * self.near[0] - 4.0), LEAST_RADIUS * full)
        self.px_per_N = strand_scale(self.scheme.greatest, min(size.sheath, 1.1 * self.radius))
        self.sheath = max(self.scheme.greatest * self.px_per_N, 3.0)
        self.room = (size.figure + 8.0) if not size.upright else size.between
        half = HALF_VEHICLE_M * scale if survey.true else size.vehicle
        self.vehicle = min(max(half, 0.34 * size.vehicle), size.vehicle)
        self.trunk = self._trunk()
        self.hub = {name: self.turned(at) for name, at in survey.bodies.items()}
        self.front = {name: self._front(body) for name, body in self.scheme.bodies.items()}
        self.stops = [stop for line in self.scheme.lines for stop in line.stops]
        self.stops += [stop for strap in survey.straps for stop in strap.ends]
        self._set_floating()
        self.guests = {name: self._guests(name) for name in self.scheme.bodies}
        self.perch: dict[Key, Perch] = {}
        for name, guests in self.guests.items():
            self.perch.update(seat_all(guests, self.seat(name), self.radius, self.room, choice.orders))
        self.knots = {
            line.name: tuple(self._knot(line, stop) for stop in line.stops) for line in self.scheme.lines
        }

    # --- from metres to the page ----------------------------------------------------------------------------------
    def turned(self, at: XY) -> XY:
        """Turn a place in metres into one on the page; y grows upwards on the ground, downwards on the page."""
        a, b, c, d = QUARTERS[self.quarter]
        x, y = at[0] * self.scale, -at[1] * self.scale
        return a * x + b * y, c * x + d * y

    def way(self, vector: XY) -> XY:
        """Turn a direction on the ground into one on the page, as long as it was."""
        a, b, c, d = QUARTERS[self.quarter]
        return a * vector[0] - b * vector[1], c * vector[0] - d * vector[1]

    def _nearest_turns(self) -> tuple[float, str, str]:
        """The two bodies nearest to each other at which lines turn, and how far apart they are [px]."""
        turning = {
            s.body: self.survey.bodies[s.body] for line in self.scheme.lines for s in line.stops if s.turns
        }
        pairs = [
            (math.dist(at, other_at) * self.scale, name, other)
            for name, at in turning.items()
            for other, other_at in turning.items()
            if name < other
        ]
        return min(pairs, default=(math.inf, "", ""))

    def _trunk(self) -> float:
        anchors = [n for n, b in self.scheme.bodies.items() if b.role == "anchor"]
        places = [self.survey.bodies[n] for n in anchors]
        near = min((math.dist(a, b) for i, a in enumerate(places) for b in places[:i]), default=math.inf)
        return max(5.0, min(self.size.trunk, 0.42 * near * self.scale))

    # --- bodies ---------------------------------------------------------------------------------------------------
    def glyph(self, body: DrawnBody) -> str:
        """The glyph of a body."""
        if body.role == "floating":
            return "ring"
        if body.role == "load":
            return "vehicle"
        return "chocked" if body.winch else "tree"

    def _front(self, body: DrawnBody) -> XY | None:
        """The way a vehicle faces: the load as it travels, another towards its drum's line."""
        if self.glyph(body) not in ("vehicle", "chocked"):
            return None
        if body.role == "load" and any(self.survey.travel):
            return unit_to((0.0, 0.0), self.way(self.survey.travel))
        x = y = 0.0
        for line in self.scheme.lines:
            for stop in line.stops:
                if stop.body == body.name and (stop.drum or body.role == "load"):
                    other = line.stops[stop.index - 1 if stop.index else 1]
                    step = unit_to(self._true(stop), self._true(other))
                    x, y = x + step[0], y + step[1]
        return unit_to((0.0, 0.0), (x, y)) if math.hypot(x, y) > 1e-6 else (-1.0, 0.0)

    def seat(self, name: str) -> Seat:
        """The body for its stops."""
        body = self.scheme.bodies[name]
        glyph = self.glyph(body)
        gap = 2.2 * self.size.strap
        if glyph == "ring":
            return Seat(self.hub[name], 0.0, None, 0.0, True, 0.0)
        if glyph == "tree":
            return Seat(self.hub[name], self.trunk, None, 0.0, False, gap)
        return Seat(self.hub[name], LONG * self.vehicle, self.front[name], 0.72 * self.vehicle, False, gap)

    def _true(self, stop: Stop) -> XY:
        return self.turned(self.survey.points[stop.line, stop.index])

    def _pull(self, line: DrawnLine | None, stop: Stop) -> XY:
        """The way the parts at a stop pull together, by their tensions."""
        if line is None:
            other = next(
                s for strap in self.survey.straps if strap.line == stop.line for s in strap.ends if s != stop
            )
            return unit_to(self._true(stop), self._true(other))
        x = y = total = 0.0
        ways = []
        for j in (stop.index - 1, stop.index + 1):
            if 0 <= j < len(line.stops):
                tension = line.parts[min(j, stop.index)].tension_N or 1.0
                step = unit_to(self._true(stop), self._true(line.stops[j]))
                ways.append(step)
                x, y, total = x + tension * step[0], y + tension * step[1], total + tension
        if math.hypot(x, y) > 0.02 * total:
            return unit_to((0.0, 0.0), (x, y))
        return -ways[0][1], ways[0][0]  # straight through: to one side

    def _set_floating(self) -> None:
        """Put the eye of each free block where its straps meet it, apart from a body that stands too close."""
        for name, body in self.scheme.bodies.items():
            if body.role != "floating":
                continue
            turning = [
                (line, s) for line in self.scheme.lines for s in line.stops if s.turns and s.body == name
            ]
            at = self.hub[name]
            if len(turning) == 1:
                way = self._pull(*turning[0])
                at = (at[0] - way[0] * self.radius * EYE, at[1] - way[1] * self.radius * EYE)
            self.hub[name] = self._apart(name, at)

    def _apart(self, name: str, at: XY) -> XY:
        """Move an eye away from an anchor on a strap that would not show."""
        for strap in self.survey.straps:
            if strap.ends[1].body != name:
                continue
            held = self.turned(self.survey.points[strap.line, strap.ends[0].index])
            true = self._true(strap.ends[1])
            way = unit_to(held, true)
            least = self.trunk + 3.5 * self.size.strap
            along = (at[0] - held[0]) * way[0] + (at[1] - held[1]) * way[1]
            if along < least:
                at = (at[0] + way[0] * (least - along), at[1] + way[1] * (least - along))
        return at

    def _guests(self, name: str) -> list[Guest]:
        body = self.scheme.bodies[name]
        guests = []
        for line in self.scheme.lines:
            for stop in line.stops:
                if stop.body == name:
                    base = self.hub[name] if body.role == "floating" else self._true(stop)
                    half = self.sheath / 2.0 + (self.radius if stop.turns else 3.0)
                    guests.append(Guest(stop, base, self._pull(line, stop), half))
        for strap in self.survey.straps:
            for stop in strap.ends:
                if stop.body == name and body.role != "floating":
                    guests.append(Guest(stop, self._true(stop), self._pull(None, stop), 5.0, slim=True))
        return guests

    def crowded(self) -> list[list[Key]]:
        """The stops of each crowd, whose order across is open."""
        out = []
        for name, guests in self.guests.items():
            out += [[g.key for g in group] for group in crowds(guests, self.seat(name), self.radius)]
        return out

    # --- lines ----------------------------------------------------------------------------------------------------
    def _knot(self, line: DrawnLine, stop: Stop) -> Knot:
        centre = self.perch[stop.line, stop.index].centre
        if not stop.turns:
            return Knot(*centre)
        return Knot(*centre, self.radius, self._turn(line, stop))

    def _turn(self, line: DrawnLine, stop: Stop) -> int:
        chosen = self.choice.turns.get((stop.line, stop.index))
        return chosen or (1 if self._cross(line, stop) >= 0.0 else -1)

    def _cross(self, line: DrawnLine, stop: Stop) -> float:
        a = unit_to(self._true(line.stops[stop.index - 1]), self._true(stop))
        b = unit_to(self._true(stop), self._true(line.stops[stop.index + 1]))
        return a[0] * b[1] - a[1] * b[0]

    def open_turns(self) -> list[Key]:
        """Contacts whose parts run nearly side by side, so that the line may turn either way."""
        out = []
        for line in self.scheme.lines:
            for stop in line.stops:
                if stop.turns:
                    a = unit_to(self._true(line.stops[stop.index - 1]), self._true(stop))
                    b = unit_to(self._true(stop), self._true(line.stops[stop.index + 1]))
                    if a[0] * b[0] + a[1] * b[1] < math.cos(PARALLEL_RAD):
                        out.append((stop.line, stop.index))
        return out

    def way_of(self, line: DrawnLine, i: int) -> XY:
        """The way a part truly runs on the page."""
        return unit_to(self._true(line.stops[i]), self._true(line.stops[i + 1]))

    def straps(self) -> Iterator[tuple[XY, XY]]:
        """Yield the straps of fixed blocks, of rings that stand off their body, and of eyes beside a vehicle."""
        for perch in self.perch.values():
            if perch.stop.turns:
                eye = math.dist(perch.fast, perch.centre) - self.radius * (EYE - 0.15)
                if eye > 1.0:
                    way = unit_to(perch.fast, perch.centre)
                    yield perch.fast, (perch.fast[0] + way[0] * eye, perch.fast[1] + way[1] * eye)
            elif math.dist(perch.fast, perch.centre) > 2.0:
                yield perch.fast, perch.centre
        yield from self._outriggers()

    def _outriggers(self) -> Iterator[tuple[XY, XY]]:
        """From a vehicle to an eye that lies beyond its bumper."""
        for name, guests in self.guests.items():
            seat = self.seat(name)
            if seat.front is None:
                continue
            for guest in guests:
                off = (guest.base[0] - seat.at[0], guest.base[1] - seat.at[1])
                side = off[0] * -seat.front[1] + off[1] * seat.front[0]
                if abs(side) > seat.half + 2.0:
                    slid = math.copysign(seat.half, side)
                    yield (seat.at[0] - seat.front[1] * slid, seat.at[1] + seat.front[0] * slid), guest.base

    def box(self) -> Box:
        """Return the box round everything drawn."""
        points: list[tuple[XY, float]] = []
        for knots in self.knots.values():
            points += [((k.x, k.y), k.radius + self.sheath / 2.0 + 2.0) for k in knots]
        for name, body in self.scheme.bodies.items():
            front = self.front[name]
            points.append((self.hub[name], self.trunk + 4.0 if self.glyph(body) == "tree" else 6.0))
            if front is not None:
                x, y = self.hub[name]
                tail = (x - front[0] * LONG * self.vehicle, y - front[1] * LONG * self.vehicle)
                wide = 1.2 * self.vehicle
                for at in ((x, y), tail):
                    points += [((at[0] - front[1] * wide, at[1] + front[0] * wide), 2.0)]
                    points += [((at[0] + front[1] * wide, at[1] - front[0] * wide), 2.0)]
        return Box(
            min(p[0] - r for p, r in points), min(p[1] - r for p, r in points),
            max(p[0] + r for p, r in points), max(p[1] + r for p, r in points),
        )  # fmt: skip
