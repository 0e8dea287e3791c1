"""Where bodies lie along and across the pull, drawn as large as fits: u along, v across, in pixels."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.errors import RigRefusal
from haulwright.publishing.diagram.lanes import Column, Span, assign_lanes, hub_lane
from haulwright.publishing.diagram.plan import EYE, LONG
from haulwright.publishing.diagram.scheme import DrawnBody, DrawnLine, Scheme, Stop
from haulwright.publishing.diagram.sizes import Size, strand_scale


@dataclass(frozen=True)
class Tightness:
    """How far a crowded sheet is drawn smaller: factors on vehicles, their drawn length, blocks, straps and parts."""

    vehicle: float
    shown: float
    block: float
    strap: float
    part: float


KEYED_MARGIN = 34.0  # where every figure stands in the key below, numbers alone need room beside the parts
TIGHTNESS = (
    Tightness(1.0, 1.0, 1.0, 0.5, 1.0),
    Tightness(1.0, 0.66, 1.0, 0.4, 0.9),
    Tightness(0.85, 0.62, 0.9, 0.3, 0.75),
    Tightness(0.72, 0.58, 0.78, 0.22, 0.6),
    Tightness(0.6, 0.5, 0.64, 0.15, 0.4),
)


class Arrangement:
    """Bodies and stops of one rig in u (along the pull) and v (across it)."""

    def __init__(self, scheme: Scheme, size: Size, roomy: float, keyed: bool = False) -> None:
        self.scheme, self.size = scheme, size
        self.margin = KEYED_MARGIN if keyed else size.margin
        self.stops = [stop for line in scheme.lines for stop in line.stops]
        self.scale = strand_scale(scheme.greatest, size.sheath)
        self.spans = [span for line in scheme.lines for span in self._line_spans(line)]
        self.columns = {b.name: self._column(b) for b in scheme.bodies.values() if self._used(b.name)}
        self.lanes = assign_lanes(self.spans, self.columns)
        self.gap = self._gap(roomy)
        self.roomy = roomy
        self.v = {name: self._hub_v(name) for name in self.columns}
        self.u, self.extent = self._fitted()

    # --- lanes -------------------------------------------------------------------------------------------------
    def _used(self, name: str) -> bool:
        return any(stop.body == name for stop in self.stops)

    def _line_spans(self, line: DrawnLine) -> list[Span]:
        spans = []
        for a, b in zip(line.stops, line.stops[1:], strict=False):
            low, high = sorted((self.scheme.bodies[a.body].station, self.scheme.bodies[b.body].station))
            free = tuple(stop.body for stop in (a, b) if not stop.turns)
            spans.append(Span(line.name, (a.body, b.body), low, high, free, b.body if b.drum else ""))
        return spans

    def _column(self, body: DrawnBody) -> Column:
        half = 0.5 if body.role == "floating" else 0.9
        return Column(body.station, half, body.role == "floating")

    def _gap(self, roomy: float) -> float:
        widest = max(self.lanes)
        if not self.size.upright or widest == 0.0:
            return self.size.gap * roomy
        room = self.size.width - 2.0 * (self.size.edge + self.margin)
        gap = min(self.size.gap, room / widest)
        if gap < self.size.gap_least:
            raise RigRefusal(
                "TOO_COMPLEX",
                f"{int(widest) + 1} parts side by side do not fit a drawing {self.size.width:g} px wide with their "
                "figures. Draw it in the laptop size.",
            )
        return gap

    def _hub_v(self, name: str) -> float:
        """Across the pull a body lies at its drum, drawn a little towards the middle of all its parts."""
        at = self.gap * hub_lane(name, self.spans, self.lanes, floating=self.columns[name].floating)
        if not any(span.drum == name for span in self.spans):
            return at
        held = [lane for span, lane in zip(self.spans, self.lanes, strict=True) if name in span.ends]
        middle = self.gap * sum(held) / len(held)
        return at + min(max(middle - at, -0.35 * self.gap), 0.35 * self.gap)

    def _stop_v(self, stop: Stop) -> float:
        """Middle of a block, or the lane of a made-fast end."""
        at = self._first(stop.line) + stop.index
        if stop.turns:
            return self.gap * (self.lanes[at - 1] + self.lanes[at]) / 2.0
        return self.gap * self.lanes[at if stop.index == 0 else at - 1]

    def _first(self, line: str) -> int:
        return next(i for i, span in enumerate(self.spans) if span.line == line)

    # --- along the pull ----------------------------------------------------------------------------------------
    def _glyph(self, body: DrawnBody) -> str:
        if body.role == "floating":
            return "ring"
        if body.role == "load":
            return "vehicle"
        return "chocked" if body.winch else "tree"

    def _side(self, name: str) -> int:
        """The side on which most parts leave a body."""
        return 1 if sum(stop.side for stop in self.stops if stop.body == name) >= 0 else -1

    def _length(self, name: str) -> float:
        """Length of a body's glyph along the pull, away from its parts [px]."""
        glyph = self._glyph(self.scheme.bodies[name])
        if glyph == "ring":
            return 6.0
        return self.size.trunk if glyph == "tree" else self.vehicle * LONG

    def _face(self, name: str, side: int) -> float:
        """From a body's hub to where the parts of one side begin [px]."""
        glyph = self._glyph(self.scheme.bodies[name])
        if glyph == "tree":
            return side * self.size.trunk
        if glyph == "ring" or side == self._side(name):
            return 0.0
        return side * self._length(name)

    def _reach(self, stop: Stop) -> float:
        """From the hub to the middle of a block or to a ring, along the pull [px]."""
        sideways = abs(self._stop_v(stop) - self.v[stop.body])
        alone = [s for s in self.stops if s.body == stop.body and s.side == stop.side and s.turns]
        floating = self.scheme.bodies[stop.body].role == "floating"
        loose = max(0.0, sideways - self._half(stop.body))
        if stop.turns:
            if floating and len(alone) == 1:
                return self.radius * EYE
            return self.radius * EYE + max(2.2 * self.size.strap, self.tight.strap * loose)
        if stop.drum:
            return 0.0
        if floating:
            return 0.0 if not alone else 8.0
        return 0.0 if loose == 0.0 and self._half(stop.body) else 8.0 + 0.9 * self.tight.strap * loose

    def _half(self, name: str) -> float:
        """Half the width on which parts may be made fast to a body's front [px]."""
        return self.vehicle * 0.72 if self._glyph(self.scheme.bodies[name]) in ("vehicle", "chocked") else 0.0

    def _stop_u(self, stop: Stop) -> float:
        return self.u[stop.body] + self._face(stop.body, stop.side) + stop.side * self._reach(stop)

    def _fitted(self) -> tuple[dict[str, float], float]:
        """Draw as large as fits; the tail of a vehicle may lie beyond the sheet."""
        for tight in TIGHTNESS[1 if self.size.upright else 0 :]:
            self.tight = tight
            self.vehicle = self.size.vehicle * tight.vehicle
            self.radius = self.gap / 2.0 * tight.block
            found = self._along()
            if found is not None:
                return found
        raise RigRefusal(
            "TOO_COMPLEX",
            f"{len(self.columns)} bodies with {len(self.spans)} parts do not fit a drawing {self.size.width:g} px wide. "
            "Read the table of forces, or draw it in the laptop size.",
        )

    def _along(self) -> tuple[dict[str, float], float] | None:
        stations = sorted({column.station for column in self.columns.values()})
        low = [self._extent(s, -1) for s in stations]
        high = [self._extent(s, 1) for s in stations]
        fixed = low[0] + high[-1] + sum(high[i] + low[i + 1] for i in range(len(stations) - 1))
        gaps = len(stations) - 1
        sheet = 0.0 if self.size.upright else self.size.width - 2.0 * self.size.edge
        least = self.size.part * self.tight.part * (1.0 if gaps == 1 else 0.55)
        part = max(least * (self.roomy if self.size.upright else 1.0), (sheet - fixed) / gaps)
        if sheet and fixed + gaps * part > sheet + 0.5:
            return None
        at, places = self.size.edge + low[0], {}
        for i, station in enumerate(stations):
            places.update({name: at for name, column in self.columns.items() if column.station == station})
            if i < gaps:
                at += high[i] + part + low[i + 1]
        return places, fixed + gaps * part

    def _extent(self, station: float, side: int) -> float:
        """Room a column needs on one side of its hubs [px]."""
        room = 0.0
        for name, column in self.columns.items():
            if column.station != station:
                continue
            away = self._length(name)
            if self._half(name):
                away = (
                    away + 14.0 if self.tight.shown == 1.0 or self._passed(name) else away * self.tight.shown
                )
            elif not column.floating:
                away += 44.0 if self.size.vehicle > 30 else 12.0
            room = max(room, away if side != self._side(name) else self.size.trunk)
            for stop in self.stops:
                if stop.body == name and stop.side == side:
                    beyond = abs(self._face(name, side)) + self._reach(stop)
                    room = max(room, beyond + (self.radius * 0.5 if stop.turns else 0.0))
        return room

    def _passed(self, name: str) -> bool:
        """Tell whether another body stands behind this one, so that its whole glyph must be shown."""
        here = self.columns[name].station
        return any((c.station - here) * self._side(name) < 0.0 for c in self.columns.values())
