"""The sheet of a planned pull: its rig on the ground, the zone, the line unrolled, and the cautions."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from haulwright.errors import RigRefusal, UsageRefusal
from haulwright.publishing.diagram.arranging import arrange, arrange_on_ground
from haulwright.publishing.diagram.bearings import FreeGround, draw_scale, draw_stations, draw_way, draw_words
from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, path, px, tangent, unit_to
from haulwright.publishing.diagram.kept_clear import Wedge, clipped, draw_bends, draw_in_line, in_line, onto
from haulwright.publishing.diagram.labels import Placed
from haulwright.publishing.diagram.legs import with_legs
from haulwright.publishing.diagram.notes import draw_key, draw_notes, notes_height
from haulwright.publishing.diagram.plan import Plan, Strand
from haulwright.publishing.diagram.pull_words import (
    DrawnPull,
    caution_words,
    lead_words,
    slope_words,
    zone_words,
)
from haulwright.publishing.diagram.said import said
from haulwright.publishing.diagram.scheme import read_scheme, runs_along
from haulwright.publishing.diagram.sheet import draw_ground
from haulwright.publishing.diagram.sizes import Size, find_size
from haulwright.publishing.diagram.survey import read_survey
from haulwright.publishing.diagram.svg import find_light, sheet_head, tag, text
from haulwright.publishing.diagram.type_size import FACE_TITLE, text_px, wrapped
from haulwright.publishing.diagram.unrolled import draw_unrolled
from haulwright.publishing.diagram.zone_map import IN_LINE, INSIDE, draw_zone
from haulwright.publishing.look import HATCH_STEP_PX, Light
from haulwright.publishing.over import over_parts
from haulwright.publishing.wording import check_units, plain_glyphs

_SIZES = ("laptop", "phone")
_TOLD = "Hatched: in line. Crossed: inside a bend. Nobody stands there."
_EDGES = "In m at the edges: ahead of where the vehicle’s front stands, and to its left; minus is behind, and right."
_NEARLY_BACK = math.radians(170.0)


def pull_svg(
    pull: DrawnPull, *, title: str, units: str = "kN", light: str = "paper", size: str = "laptop"
) -> str:
    """Draw a planned pull: the rig where the pull begins, the ground where nobody stands, the line unrolled.

    Parameters
    ----------
    pull : DrawnPull
    title : str
        The rig in words.
    units : str
        ``kN``, ``kgf``, ``lbf``, ``t`` or ``N``.
    light : str
        ``paper``, ``sun``, ``night`` or ``print``.
    size : str
        ``laptop`` (1008 px wide) or ``phone`` (360 px wide).

    Returns
    -------
    str
        A complete SVG document; the same input gives the same bytes.

    Raises
    ------
    RigRefusal
        ``TOO_COMPLEX``, ``NO_LAYOUT``, ``OTHER_RIG`` or ``UPRIGHT``: nothing is drawn then.
    UsageRefusal
        ``UNITS``, ``LIGHT`` or ``SIZE``.
    """
    if size not in _SIZES:
        raise UsageRefusal("SIZE", f"size = {size!r}: give {' or '.join(_SIZES)}.", (size,))
    return PullSheet(pull, find_size(size), check_units(units), find_light(light)).svg(plain_glyphs(title))


@dataclass(frozen=True)
class _Type:
    """Sizes of the words of a sheet [px]: title, lead, body."""

    title: float
    section: float
    body: float

    @property
    def step(self) -> float:
        return self.body + 6.0


class PullSheet:
    """The sheet of one planned pull, part by part."""

    def __init__(self, pull: DrawnPull, size: Size, units: str, light: Light) -> None:
        self.pull, self.size, self.units, self.light = pull, size, units, light
        self.plan, self.placed = self._arranged()
        self.type = _Type(24.0, 18.0, 15.0) if size.upright else _Type(34.0, 20.0, 15.0)
        self.edge = size.edge + 4.0

    def _arranged(self) -> tuple[Plan, list[Placed]]:
        """As it lies on the ground; parts that run along the pull side by side where that is too crowded."""
        pull, over = self.pull, frozenset(over_parts(self.pull.candidate, self.pull.expected))
        words = (*said(pull.expected, pull.stalls, self.units), _EDGES)
        try:
            survey = with_legs(read_survey(pull.expected, pull.stalls), pull.bridles)
            found = arrange_on_ground(survey, self.size, self.units, over, words)
        except RigRefusal as refused:
            if refused.code != "TOO_COMPLEX" or pull.bridles or not runs_along(pull.expected):
                raise
            found = arrange(read_scheme(pull.expected, pull.stalls), self.size, self.units, over)
        return replace(found.plan, told=_TOLD), found.placed

    def svg(self, title: str) -> str:
        """Return the whole sheet."""
        head, top = self._head(title)
        rig, foot = self.rig()
        zone, zone_high = self._zone(top + foot)
        y = top + foot + zone_high
        strips, strip_foot = draw_unrolled(
            self.plan, self.pull.expected, y + 14.0, self.units, self.light, self.limits()
        )
        last, end = self._cautions(strip_foot + 12.0)
        words = f"{self.pull.plan.pull}: plan of the rig {title}, verdict {self.pull.candidate.verdict}. "
        words += " ".join(
            (
                *lead_words(self.pull, self.units),
                self.pull.expected.sentence,
                *zone_words(self.pull.plan.zone),
            )
        )
        body = head + f'<g transform="translate(0 {px(top)})">{rig}</g>' + zone + strips + last
        return sheet_head(self.size.width, end + 8.0, plain_glyphs(words), self.light) + body + "</svg>"

    # --- head -------------------------------------------------------------------------------------------------------
    def _head(self, title: str) -> tuple[str, float]:
        t, room = self.type, self.size.width - 2.0 * self.edge
        y, out = 4.0, ""
        for row in _rows(plain_glyphs(self.pull.plan.pull), room, t.title, 600, FACE_TITLE):
            y += t.title * 1.12
            out += text(row, self.edge, y, t.title, self.light, weight=600, face=FACE_TITLE)
        mark, mark_px = _verdict(self.pull.candidate.verdict, self.size.figure, self.light)
        y += 4.0
        rows = wrapped(f"{title}:", room - mark_px - 16.0, self.size.figure, 600)
        for row in rows:
            y += self.size.figure + 6.0
            out += text(row, self.edge, y, self.size.figure, self.light, weight=600)
        x = self.edge + text_px(rows[-1], self.size.figure, 600) + 10.0
        out += f'<g transform="translate({px(x)} {px(y)})">{mark}</g>'
        words, y = self._lines(lead_words(self.pull, self.units), self.edge, y + 4.0, room)
        return out + words, y + 12.0

    def _lines(
        self,
        sentences: Iterable[str],
        x: float,
        y: float,
        room: float,
        *,
        gap: float = 0.0,
        weight: int = 400,
    ) -> tuple[str, float]:
        out = ""
        for sentence in sentences:
            for row in wrapped(plain_glyphs(sentence), room, self.type.body, weight):
                y += self.type.step
                out += text(row, x, y, self.type.body, self.light, weight=weight)
            y += gap
        return out, y

    # --- the rig on the ground --------------------------------------------------------------------------------------
    def rig(self) -> tuple[str, float]:
        """Return the rig on the ground with its key, and how high that is [px]."""
        plan, light, zone = self.plan, self.light, self.pull.plan.zone
        wedges = in_line(zone, onto(plan.ruler), plan.sheet) if plan.ruler else []
        bends = self._bends() if plan.ruler else []
        step = HATCH_STEP_PX if not self.size.upright else 6.0
        kept = draw_bends([*plan.hatched, *bends], light) + draw_in_line(
            [w.shape for w in wedges], step, light
        )
        every = [*plan.hatched, *bends, *(w.shape for w in wedges)]
        out = draw_ground(replace(plan, hatched=tuple(every)), self.placed, light, kept_clear=kept)
        if plan.ruler:
            shapes = [*wedges, *(Wedge(tuple(s), s[0], (0.0, 0.0)) for s in (*plan.hatched, *bends))]
            free = FreeGround.of(plan, self.placed, shapes, light)
            out += draw_way(free, self._travel(), ("way of the pull", slope_words(self.pull)))
            out += draw_stations(free, zone, plan.ruler) + draw_scale(free, plan.ruler)
            out += draw_words(free, INSIDE, bends) + draw_words(free, IN_LINE, [w.shape for w in wedges])
        out += draw_notes(plan, self.units, light, known=bool(self.pull.stalls))
        foot = plan.sheet.y1 + notes_height(plan, self.units, known=bool(self.pull.stalls))
        key, high = draw_key(self.size, self.placed, foot, light)
        return out + key, foot + high

    def _travel(self) -> XY:
        """The way of the pull on the page."""
        ruler, way = self.plan.ruler, self.pull.candidate.ground_rig
        if ruler is None or way is None:
            return (0.0, -1.0) if self.size.upright else (-1.0, 0.0)
        place = onto(ruler)
        return unit_to(place((0.0, 0.0)), place((way.direction[0], way.direction[1])))

    def _bends(self) -> list[tuple[XY, ...]]:
        """The inside of every bend from where the strands are drawn, on past their ends; to the end of the pull too."""
        found = []
        for strand in self.plan.strands:
            for i, knot in enumerate(strand.knots):
                if knot.turn:
                    found += self._bend(strand, i)
        return [shape for shape in found if len(shape) > 2]

    def _bend(self, strand: Strand, i: int) -> list[tuple[XY, ...]]:
        ruler = self.plan.ruler
        if ruler is None:
            return []
        place, far = onto(ruler), 3.0 * self.size.width
        before, after = (
            tangent(strand.knots[i - 1], strand.knots[i]),
            tangent(strand.knots[i], strand.knots[i + 1]),
        )
        near, body = (before[1], after[0]), strand.line.stops[i].body
        ways = [(unit_to(*before[::-1]), unit_to(*after))]
        drawn = ways[0]
        for bend in self.pull.plan.zone.bends:
            if bend.at == body:
                a, b = (unit_to(place(bend.corner_m), place(arm)) for arm in bend.arms_m)
                ways.append(
                    (a, b)
                    if _dot(a, drawn[0]) + _dot(b, drawn[1]) >= _dot(b, drawn[0]) + _dot(a, drawn[1])
                    else (b, a)
                )
        if len(ways) == 1 or _dot(*drawn) > math.cos(math.pi - _NEARLY_BACK):
            return []
        return [
            clipped(
                (
                    near[0],
                    (near[0][0] + a[0] * far, near[0][1] + a[1] * far),
                    (near[1][0] + b[0] * far, near[1][1] + b[1] * far),
                    near[1],
                ),
                self.plan.sheet,
            )
            for a, b in ways
        ]

    # --- zone, limits, cautions -------------------------------------------------------------------------------------
    def _zone(self, top: float) -> tuple[str, float]:
        zone = self.pull.plan.zone
        out = text(
            "Where nobody stands",
            self.edge - 2.0,
            top + 34.0,
            self.type.section,
            self.light,
            weight=600,
            face=FACE_TITLE,
        )
        y = top + 46.0
        if not zone.parts:
            words, end = self._lines(
                zone_words(zone), self.edge, y, self.size.width - 2.0 * self.edge, gap=5.0
            )
            return out + words, end - top
        beside = not self.size.upright
        left = self.size.edge + text_px(f"−{zone.radius_m:.0f}0"[:5], self.size.note) + 6.0
        wide = 0.6 * self.size.width if beside else self.size.width - self.size.edge - left
        drawn = draw_zone(self.plan, zone, self.pull.bodies_m, (left, y, wide), self.light)
        low = drawn.frame.y1 + self.size.note + 10.0
        x = drawn.frame.x1 + 24.0 if beside else self.edge
        start = y - 8.0 if beside else low
        words, end = self._lines(zone_words(zone), x, start, self.size.width - self.edge - x, gap=7.0)
        return out + drawn.svg + words, max(low, end) - top

    def limits(self) -> dict[str, float]:
        """Return the working limit of the winch line, where its item is known."""
        known = {item.role: item.limit_N for item in self.pull.candidate.items if item.limit_N is not None}
        return {"winch line": known["winch line"]} if "winch line" in known else {}

    def _cautions(self, top: float) -> tuple[str, float]:
        light, room = self.light, self.size.width - 2.0 * self.edge
        rule = tag(
            "path",
            d=path([(self.edge - 2.0, top), (self.edge + room, top)]),
            stroke=light.ink,
            stroke_width=1.5,
        )
        first, *rest = caution_words(self.pull, self.units)
        bold, y = self._lines([first], self.edge, top + 4.0, room, weight=700)
        words, y = self._lines(rest, self.edge, y, room, gap=2.0)
        return rule + bold + words, y


def _dot(a: XY, b: XY) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _rows(words: str, room: float, size: float, weight: int, face: str) -> Sequence[str]:
    """A title in rows, measured in its own face."""
    rows = [""]
    for word in words.split():
        longer = f"{rows[-1]} {word}".strip()
        if rows[-1] and text_px(longer, size, weight, face) > room:
            rows.append(word)
        else:
            rows[-1] = longer
    return rows


def _verdict(word: str, size: float, light: Light) -> tuple[str, float]:
    """Return the verdict at (0, 0) on its baseline in the form that holds without colour, and its width [px]."""
    weight = 400 if word == "inside" else 700
    wide = text_px(word, size, weight)
    if word == "tight":
        lines = "".join(f"M0 {px(d)}H{px(wide)}" for d in (4.0, 7.5))
        return text(word, 0.0, 0.0, size, light, weight=weight) + tag(
            "path", d=lines, stroke=light.ink, stroke_width=1.4, fill="none"
        ), wide
    box = Box(0.0, -size * 0.92, wide + 14.0, size * 0.3)
    if word in ("over", "unknown"):
        fill, edge, ink = (
            (light.over, light.over, light.on_over) if word == "over" else ("none", light.ink, light.ink)
        )
        frame = tag(
            "rect", x=box.x0, y=box.y0, width=box.x1, height=box.y1 - box.y0, fill=fill, stroke=edge, stroke_width=1.2,
            stroke_dasharray="none" if word == "over" else "4 3",
        )  # fmt: skip
        return frame + text(word, 7.0, 0.0, size, light, weight=weight, fill=ink), box.x1
    return text(word, 0.0, 0.0, size, light, weight=weight), wide
