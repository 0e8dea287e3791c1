"""A planned rig as a small sign: its bodies where they stand, its lines part by part, for a row of a list."""

from __future__ import annotations

import math
from itertools import pairwise

from haulwright.planning.result import Candidate
from haulwright.publishing.diagram.geometry import XY, path
from haulwright.publishing.diagram.svg import sheet_head, tag
from haulwright.publishing.look import LIVE, Light

WIDTH, HEIGHT = 112.0, 44.0
_LOAD, _FLOATING = "load", "floating"  # roles of bodies, as the record of a rig names them
_EDGE = 10.0
_LANE = 5.0  # between parts that run side by side [px]
_LONG, _HALF = 24.0, 7.0  # a vehicle: its length, half its width [px]


def rig_glyph(candidate: Candidate, light: Light = LIVE) -> str:
    """Return a rig of a plan as a small SVG; empty where the record does not hold the rig on the ground.

    Parameters
    ----------
    candidate : Candidate
    light : Light

    Notes
    -----
    Bodies stand in their order along the pull, the way ahead to the left, and on their side of it; parts between the
    same two bodies run side by side. Nothing of it is to scale.
    """
    if candidate.ground_rig is None:
        return ""
    return _Glyph(candidate, light).svg(f"{candidate.rig}, a sign of the rig, not to scale")


class _Glyph:
    def __init__(self, candidate: Candidate, light: Light) -> None:
        rig = candidate.ground_rig
        if rig is None:
            raise ValueError(f"{candidate.rig}: the record does not hold the rig on the ground")
        self.rig, self.light = rig, light
        self.tails = {name: self._tail(name) for name in rig.bodies if self._is_vehicle(name)}
        self.at = self._places()
        self.parts: dict[frozenset[XY], int] = {}
        for line in rig.lines.values():
            for a, b in pairwise(line.points):
                pair = self._pair(a.body, b.body)
                self.parts[pair] = self.parts.get(pair, 0) + 1
        self.lanes = dict.fromkeys(self.parts, 0)

    def svg(self, words: str) -> str:
        """Return the sign without paper, so that it stands on whatever is there."""
        lines = "".join(self._line(name) for name in self.rig.lines)
        bodies = "".join(self._body(name) for name in self.rig.bodies)
        head = sheet_head(WIDTH, HEIGHT, words, self.light).partition("<rect")[0]
        return f"{head}{lines}{bodies}</svg>"

    # --- where things stand -----------------------------------------------------------------------------------------
    def _is_vehicle(self, name: str) -> bool:
        return self.rig.bodies[name].role == _LOAD or name == self.rig.winch_on

    def _tail(self, name: str) -> float:
        """Return to which side a vehicle stands with its tail: away from all else; +1 to the right."""
        others = [body.at[0] for other, body in self.rig.bodies.items() if other != name]
        middle = sum(others) / len(others) if others else 0.0
        return 1.0 if self.rig.bodies[name].at[0] <= middle else -1.0

    def _places(self) -> dict[str, XY]:
        bodies = self.rig.bodies
        along = [body.at[0] for body in bodies.values()]
        across = max(abs(body.at[1]) for body in bodies.values())
        left = _EDGE + (_LONG if -1.0 in self.tails.values() else 0.0)
        right = _EDGE + (_LONG if 1.0 in self.tails.values() else 0.0)
        scale = (WIDTH - left - right) / max(max(along) - min(along), 0.1)
        by = min(scale, (HEIGHT / 2.0 - 10.0) / across) if across > 0.0 else 0.0
        return {
            name: (left + (max(along) - body.at[0]) * scale, HEIGHT / 2.0 + body.at[1] * by)
            for name, body in bodies.items()
        }

    # --- what is drawn ----------------------------------------------------------------------------------------------
    def _line(self, name: str) -> str:
        points = self.rig.lines[name].points
        spots = [spot for a, b in pairwise(points) for spot in self._part(a.body, b.body)]
        return tag(
            "path", d=path(spots), fill="none", stroke=self.light.ink, stroke_width=2.4, stroke_linejoin="round"
        )  # fmt: skip

    def _part(self, a: str, b: str) -> tuple[XY, XY]:
        """Return one part in its lane beside those between the same two bodies."""
        pair = self._pair(a, b)
        off = (self.lanes[pair] - (self.parts[pair] - 1) / 2.0) * _LANE
        self.lanes[pair] += 1
        first, last = sorted((a, b))
        (x0, y0), (x1, y1) = self.at[first], self.at[last]
        far = math.hypot(x1 - x0, y1 - y0) or 1.0
        dx, dy = -(y1 - y0) / far * off, (x1 - x0) / far * off
        spots = {first: (x0 + dx, y0 + dy), last: (x1 + dx, y1 + dy)}
        return spots[a], spots[b]

    def _pair(self, a: str, b: str) -> frozenset[XY]:
        """Return between which places a part runs: two anchors that stand close together count as one."""
        return frozenset((_near(self.at[a]), _near(self.at[b])))

    def _body(self, name: str) -> str:
        light, at = self.light, self.at[name]
        if name in self.tails:
            return _vehicle(at, self.tails[name], light)
        most = max((count for pair, count in self.parts.items() if _near(at) in pair), default=1)
        size = 3.4 + 2.0 * most / 2.0
        if self.rig.bodies[name].role == _FLOATING:
            return _ring(at, size, 1.8, light)
        return _ring(at, size + 1.6, 2.2, light) + tag("circle", cx=at[0], cy=at[1], r=1.8, fill=light.ink)


def _near(at: XY) -> XY:
    return round(at[0] / _LANE), round(at[1] / _LANE)


def _ring(at: XY, radius: float, wide: float, light: Light) -> str:
    return tag("circle", cx=at[0], cy=at[1], r=radius, fill=light.paper, stroke=light.ink, stroke_width=wide)


def _vehicle(at: XY, tail: float, light: Light) -> str:
    x, y = at
    left = x if tail > 0.0 else x - _LONG
    glass = x + tail * 7.0
    wheels = "".join(
        tag("rect", x=left + dx, y=y + dy, width=4.6, height=2.0, fill=light.ink)
        for dx in (3.0, 16.4)
        for dy in (-_HALF - 1.4, _HALF - 0.6)
    )
    body = tag(
        "rect", x=left, y=y - _HALF, width=_LONG, height=2.0 * _HALF, rx=2.0, fill=light.paper, stroke=light.ink,
        stroke_width=1.8,
    )  # fmt: skip
    return (
        wheels
        + body
        + tag("path", d=path([(glass, y - 4.6), (glass, y + 4.6)]), stroke=light.ink, stroke_width=1.3)
    )
