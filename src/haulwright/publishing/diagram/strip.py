"""One strip of the line, unrolled: a line from the drum to its made-fast end, height is tension from zero."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulwright.mechanics.solution import ContactSolution
from haulwright.publishing.diagram.geometry import XY, hatching, path, px
from haulwright.publishing.diagram.labels import block_name, block_words, body_name
from haulwright.publishing.diagram.scheme import DrawnLine, DrawnPart, Scheme
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import cut, text_px
from haulwright.publishing.look import Light
from haulwright.publishing.wording import force


@dataclass(frozen=True)
class Frame:
    """What all strips of a drawing share: size, scale of the height [px/N], unit, inks, the lines' limits [N]."""

    scheme: Scheme
    size: Size
    px_per_N: float
    units: str
    light: Light
    limits_N: Mapping[str, float]
    ground: bool = False

    def foot(self) -> float:
        """Height of the words under a strip [px]."""
        return 2.0 * (self.size.note + 5.0) + 8.0

    def low(self, line: DrawnLine) -> bool:
        """Tell whether the figures of a strip stand above it, because some part is too low to hold them."""
        least = min(part.stall_N or part.tension_N for part in line.parts)
        return least * self.px_per_N < self.size.figure + self.size.stall + 20.0

    def height(self, line: DrawnLine) -> float:
        """Height of a strip above its ground [px]: tensions, limit, and the words above them."""
        own = max(part.stall_N or part.tension_N for part in line.parts)
        above = self.size.figure + (self.size.stall + 4.0 if self.size.upright else 0.0) + 8.0
        limit = self.limits_N.get(line.name)
        tall = max(own, limit or 0.0) * self.px_per_N + 4.0
        return tall + (above if self.low(line) else 0.0) + (0.0 if limit is None else self.size.note + 8.0)


class Strip:
    """One line unrolled, with its upper edge and its ground [px]."""

    def __init__(
        self, frame: Frame, line: DrawnLine, contacts: Sequence[ContactSolution], top: float
    ) -> None:
        size = frame.size
        self.frame = frame
        self.scheme, self.line, self.size, self.units, self.light = (
            frame.scheme,
            line,
            size,
            frame.units,
            frame.light,
        )
        self.contacts = contacts
        self.parts = line.parts[::-1]
        self.top, self.base = top, top + frame.height(line)
        self.low, self.px_per_N, self.limit_N = frame.low(line), frame.px_per_N, frame.limits_N.get(line.name)
        self.x0, self.x1 = size.edge + 10.0, size.width - size.edge - 12.0
        bend = 90.0 if not size.upright else 30.0 if len(self.parts) < 4 else 14.0
        self.bend = bend if len(self.parts) > 1 else 0.0
        self.run = (self.x1 - self.x0 - self.bend * (len(self.parts) - 1)) / len(self.parts)

    def place_of(self, body: str) -> float | None:
        """Return where along the strip a body is met [px]."""
        stops = self.line.stops[::-1]
        for i, stop in enumerate(stops):
            if stop.body == body:
                ends = {0: self.x0, len(stops) - 1: self.x1}
                return ends.get(i, self._start(i) - self.bend / 2.0)
        return None

    def _start(self, i: int) -> float:
        return self.x0 + i * (self.run + self.bend)

    def _outline(self, heights: Sequence[float]) -> list[XY]:
        points: list[XY] = [(self.x0, self.base)]
        for i, height_N in enumerate(heights):
            y = self.base - height_N * self.px_per_N
            points += [(self._start(i), y), (self._start(i) + self.run, y)]
        return [*points, (self.x1, self.base)]

    def draw(self) -> str:
        """Return the strip as SVG."""
        light = self.light
        expected = self._outline([p.tension_N for p in self.parts])
        out = []
        if self.parts[0].stall_N is not None:
            stalled = self._outline([p.stall_N or 0.0 for p in self.parts])
            full = self.base - max(p.stall_N or 0.0 for p in self.parts) * self.px_per_N
            lost = hatching([*stalled[1:-1], (self.x1, full), (self.x0, full)], 6.0)
            out.append(tag("path", d=lost, stroke=light.hatch, stroke_width=1, opacity=light.hatch_opacity()))
            outline = path(stalled, closed=True)
            out.append(
                tag("path", class_="stall", d=outline, fill=light.paper, stroke=light.ink, stroke_width=1.4)
            )
        out.append(tag("path", class_="expected", d=path(expected, closed=True), fill=light.ink))
        ground = path([(self.x0 - 8.0, self.base), (self.x1 + 8.0, self.base)])
        out.append(tag("path", d=ground, stroke=light.ink, stroke_width=1.4))
        out += [self._figures(i, part) for i, part in enumerate(self.parts)]
        out += [self._contact(i, contact) for i, contact in enumerate(self.contacts)]
        return "".join([*out, self._limit(), self._ends()])

    def _limit(self) -> str:
        """The line's own limit: a heavy line over the whole strip, its words above everything else."""
        if self.limit_N is None:
            return ""
        y = self.base - self.limit_N * self.px_per_N
        words = f"limit of the line {force(self.limit_N, self.units, unit=False)}"
        at = self.x1 - 6.0  # at its end, beside every figure that stands above the line
        mark = path([(self.x0, y), (self.x1, y)]) + path([(at, y), (at, self.top + self.size.note + 3.0)])
        line = tag("path", class_="limit", d=mark, stroke=self.light.ink, stroke_width=2.4, fill="none")
        return line + text(
            words, self.x1, self.top + self.size.note, self.size.note, self.light, weight=600, anchor="end"
        )

    def _figures(self, i: int, part: DrawnPart) -> str:
        s, light = self.size, self.light
        middle = self._start(i) + self.run / 2.0
        solid = part.tension_N * self.px_per_N
        room = (part.stall_N or part.tension_N) * self.px_per_N
        words = force(part.tension_N, self.units, unit=False)
        if self.low:
            top = self.base - max(room, (self.limit_N or 0.0) * self.px_per_N)
            return self._figures_above(middle, top, words, part) + self._hit(i, part, room)
        inside = solid >= s.figure + 4.0
        y = self.base - (solid / 2.0 - s.figure * 0.36 if inside else solid + 5.0)
        out = text(
            words, middle, y, s.figure, light, weight=700, anchor="middle", fill=light.paper if inside else ""
        )
        if part.stall_N is not None:
            below = s.figure + 8.0 if not inside else 0.0
            free = room - solid - below
            at = self.base - room + min(free / 2.0 + s.figure * 0.36, 26.0 + s.figure * 0.36)
            out += self._stall_words(
                force(part.stall_N, self.units, unit=False), middle, self._below_limit(at), free
            )
        return out + self._hit(i, part, room)

    def _below_limit(self, y: float) -> float:
        """Move a figure under the limit line where that would strike it through."""
        if self.limit_N is None:
            return y
        line = self.base - self.limit_N * self.px_per_N
        return line + self.size.figure * 0.9 + 3.0 if y - self.size.figure < line < y + 5.0 else y

    def _hit(self, i: int, part: DrawnPart, room: float) -> str:
        x0, x1, y0 = self._start(i), self._start(i) + self.run, self.base - room
        corners = [(x0, y0), (x1, y0), (x1, self.base), (x0, self.base)]
        key = f"part:{part.line}:{part.index}"
        return tag("path", data_of=key, d=path(corners, closed=True), fill="none", pointer_events="all")

    def _figures_above(self, middle: float, y: float, words: str, part: DrawnPart) -> str:
        s, light = self.size, self.light
        if part.stall_N is None:
            return text(words, middle, y - 6.0, s.figure, light, weight=700, anchor="middle")
        stall = force(part.stall_N, self.units, unit=False)
        if s.upright:
            return text(
                words, middle, y - s.stall - 10.0, s.figure, light, weight=700, anchor="middle"
            ) + text(stall, middle, y - 6.0, s.stall, light, weight=600, anchor="middle")
        stall = f"{stall} at stall"
        first = text_px(words, s.figure, 700)
        left = middle - (first + 10.0 + text_px(stall, s.stall, 600)) / 2.0
        return text(words, left, y - 6.0, s.figure, light, weight=700) + text(
            stall, left + first + 10.0, y - 6.0, s.stall, light, weight=600
        )

    def _stall_words(self, words: str, x: float, y: float, free: float) -> str:
        s, light = self.size, self.light
        size = s.figure if free >= s.figure else s.stall
        long = f"{words} at stall"
        if text_px(long, size, 600) < self.run - 8.0:
            words = long
        return text(words, x, y, size, light, weight=600, anchor="middle")

    def _contact(self, i: int, contact: ContactSolution) -> str:
        s, light = self.size, self.light
        x = self._start(i + 1) - self.bend / 2.0
        lost = abs(self.parts[i].tension_N - self.parts[i + 1].tension_N)
        keeps = f"keeps {100.0 / contact.ratio:.1f} %"
        name = self._block_name(contact.at)
        degrees = f"{math.degrees(contact.wrap_rad):.0f}°"
        options = [
            (
                f"{name}, turned {degrees}",
                f"{keeps}, loses {force(lost, self.units, unit=False)} {self.units}",
            ),
            (f"{name}, turned {degrees}", keeps),
            (name, keeps),
            (contact.at, keeps),
            (contact.at, f"{100.0 / contact.ratio:.1f} %"),
            (contact.at, ""),
        ]
        pitch = (
            min(
                self.run + self.bend,
                2.0 * (x - self._end_px(0) - self.x0),
                2.0 * (self.x1 - self._end_px(-1) - x),
            )
            - 10.0
        )
        first, second = next(
            (o for o in options if max(text_px(o[0], s.name, 600), text_px(o[1], s.note)) <= pitch), ("", "")
        )
        y = self.base + s.name + 6.0
        tick = f'<path d="M{px(x)} {px(self.base)}v5" stroke="{light.ink}" stroke-width="1.4"/>'
        return (
            tick
            + text(first, x, y, s.name, light, weight=600, anchor="middle")
            + text(second, x, y + s.note + 5.0, s.note, light, anchor="middle", fill=light.ink_2)
        )

    def _block_name(self, at: str) -> str:
        block = self.scheme.blocks[at]
        if block.words:
            return block.words
        body = self.scheme.bodies[block.body]
        free = self.frame.ground and body.role == "floating"
        return block_words(at, body.name, floating=True) if free else block_name(at, body.name)

    def _end_words(self, i: int) -> tuple[str, str]:
        stop = self.line.stops[-1] if i == 0 else self.line.stops[0]
        name = body_name(stop.body, self.scheme.bodies[stop.body].role)
        if self.size.upright and len(self.parts) > 3:
            return "drum" if stop.drum else "end", ""
        return "drum" if stop.drum else "made fast", cut(f"on {name}", 0.3 * self.size.width, self.size.note)

    def _end_px(self, i: int) -> float:
        first, second = self._end_words(i)
        return max(text_px(first, self.size.name, 600), text_px(second, self.size.note))

    def _ends(self) -> str:
        s, light = self.size, self.light
        y = self.base + s.name + 6.0
        out = ""
        for i, x, anchor in ((0, self.x0 - 6.0, "start"), (-1, self.x1 + 8.0, "end")):
            first, second = self._end_words(i)
            out += text(first, x, y, s.name, light, weight=600, anchor=anchor)
            out += text(second, x, y + s.note + 5.0, s.note, light, anchor=anchor, fill=light.ink_2)
        if self.line.hauled:
            drum = path([(self.x0 - 3.0, self.base + 1.0), (self.x0 - 3.0, self.top)])
            out += tag("path", d=drum, stroke=light.ink, stroke_width=5)
        end = (self.x1 + 4.0, self.base - 5.0)
        return out + tag(
            "circle", cx=end[0], cy=end[1], r=4.5, fill=light.paper, stroke=light.ink, stroke_width=1.6
        )
