"""Grid, metre ticks and the two axes of a sheet that is true to scale."""

from __future__ import annotations

import math

from haulwright.publishing.diagram.boxes import Box, box_meets
from haulwright.publishing.diagram.geometry import XY, path, px
from haulwright.publishing.diagram.plan import Plan, Ruler
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import text_px
from haulwright.publishing.look import Light

_STEPS_M = (1.0, 5.0, 10.0, 50.0, 100.0, 500.0, 1000.0, 5000.0)
_AXIS_PX = 26.0
AXES_BOX = (66.0, 52.0)


def grid_step_m(ruler: Ruler, least_px: float = 11.0) -> float:
    """Return the distance between grid lines [m]: 1, 5, 10, 50 …, so that they stay apart on the page."""
    return next((step for step in _STEPS_M if step * ruler.px_per_m >= least_px), 10_000.0)


def _lines(
    axis: tuple[str, float, float], px_per_m: float, step_m: float, low: float, high: float
) -> list[tuple[float, int]]:
    """Pixels and number of each grid line between two edges of the sheet."""
    _, sense, origin = axis
    a, b = (origin + sense * edge / px_per_m for edge in (low, high))
    first, last = math.ceil(min(a, b) / step_m - 1e-9), math.floor(max(a, b) / step_m + 1e-9)
    return [((n * step_m - origin) * sense * px_per_m, n) for n in range(first, last + 1)]


def draw_grid(plan: Plan, ruler: Ruler, light: Light) -> str:
    """Return the grid: every fifth line heavier."""
    s, step = plan.sheet, grid_step_m(ruler)
    thin, heavy = "", ""
    for x, n in _lines(ruler.level, ruler.px_per_m, step, s.x0, s.x1):
        mark = f"M{px(x)} {px(s.y0)}V{px(s.y1)}"
        thin, heavy = (thin, heavy + mark) if n % 5 == 0 else (thin + mark, heavy)
    for y, n in _lines(ruler.upright, ruler.px_per_m, step, s.y0, s.y1):
        mark = f"M{px(s.x0)} {px(y)}H{px(s.x1)}"
        thin, heavy = (thin, heavy + mark) if n % 5 == 0 else (thin + mark, heavy)
    return tag("path", class_="grid", d=thin, stroke=light.grid, stroke_width=1.0, fill="none") + tag(
        "path", d=heavy, stroke=light.grid, stroke_width=2.0, fill="none"
    )


def draw_ticks(plan: Plan, ruler: Ruler, light: Light) -> str:
    """Return ticks and metres along the lower and the left edge of the neatline."""
    s, step, note = plan.sheet, grid_step_m(ruler), plan.size.note
    marks, out = "", ""
    level = _lines(ruler.level, ruler.px_per_m, step, s.x0 + 2.0, s.x1 - 2.0)
    for x, n in level:
        marks += f"M{px(x)} {px(s.y1)}v{'6' if n % 5 == 0 else '4'}"
    for x, n in _named(level, step * ruler.px_per_m, 58.0):
        words = _metres(n * step)
        half = text_px(f"{words} m", note) / 2.0
        if s.x0 - 4.0 + half <= x <= s.x1 - half:
            out += text(f"{words} m", x, s.y1 + note + 6.0, note, light, anchor="middle", fill=light.ink_2)
    if s.x0 > plan.size.edge + 10.0:
        upright = _lines(ruler.upright, ruler.px_per_m, step, s.y0 + 2.0, s.y1 - 2.0)
        for y, n in upright:
            marks += f"M{px(s.x0)} {px(y)}h{'-6' if n % 5 == 0 else '-4'}"
        for y, n in _named(upright, step * ruler.px_per_m, 34.0):
            if s.y0 + note < y < s.y1 - 4.0:
                out += text(
                    _metres(n * step),
                    s.x0 - 8.0,
                    y + note * 0.34,
                    note,
                    light,
                    anchor="end",
                    fill=light.ink_2,
                )
    return tag("path", class_="ticks", d=marks, stroke=light.ink, stroke_width=1.2, fill="none") + out


def _named(lines: list[tuple[float, int]], step_px: float, least_px: float) -> list[tuple[float, int]]:
    """The grid lines that carry their metres: every fifth, or more seldom where those would touch."""
    every = next(k for k in (1, 5, 10, 50, 100, 500) if k * step_px >= least_px)
    return [(at, n) for at, n in lines if n % every == 0]


def _metres(value: float) -> str:
    return f"{value:.0f}".replace("-", "−")


def axes_box(plan: Plan, taken: list[Box], blocked: list[list[XY]]) -> Box | None:
    """Return the first free corner for the two axes, None where there is none."""
    s, (wide, high) = plan.sheet.grown(-8.0), AXES_BOX
    for x0, y0 in ((s.x1 - wide, s.y0), (s.x0, s.y0), (s.x1 - wide, s.y1 - high), (s.x0, s.y1 - high)):
        box = Box(x0, y0, x0 + wide, y0 + high)
        if not any(box.meets(other) for other in taken) and not any(
            box_meets(box, shape) for shape in blocked
        ):
            return box
    return None


def draw_axes(plan: Plan, ruler: Ruler, box: Box, light: Light) -> str:
    """Return the two axes of the file: which way x and y grow on the page."""
    cx, cy = box.centre
    out = ""
    for (name, sense, _), (dx, dy) in ((ruler.level, (1.0, 0.0)), (ruler.upright, (0.0, 1.0))):
        dx, dy = dx * sense, dy * sense
        x0, y0 = cx - ruler.level[1] * 14.0, cy - ruler.upright[1] * 10.0
        tip = (x0 + dx * _AXIS_PX, y0 + dy * _AXIS_PX)
        neck = (tip[0] - dx * 7.0, tip[1] - dy * 7.0)
        head = [(neck[0] - dy * 3.2, neck[1] + dx * 3.2), tip, (neck[0] + dy * 3.2, neck[1] - dx * 3.2)]
        out += tag("path", d=path([(x0, y0), tip]), stroke=light.ink, stroke_width=1.4, fill="none")
        out += tag("path", d=path(head, closed=True), fill=light.ink)
        at = (tip[0] + dx * 9.0, tip[1] + dy * 9.0 + plan.size.note * 0.33)
        out += text(name, *at, plan.size.note, light, anchor="middle")
    return f'<g class="axes">{out}</g>'
