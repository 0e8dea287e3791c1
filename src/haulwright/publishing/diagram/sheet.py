"""The survey sheet of a rig: draws the plan and, under it, the line unrolled."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from html import escape

from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.arranging import arranged
from haulwright.publishing.diagram.boxes import bar
from haulwright.publishing.diagram.geometry import hatching, path, plait, px, ribbon, tangent, turned_back
from haulwright.publishing.diagram.glyphs import (
    arrow,
    arrow_outline,
    block,
    canopy,
    ring,
    strap,
    trunk,
    vehicle,
)
from haulwright.publishing.diagram.labels import Placed, draw_labels
from haulwright.publishing.diagram.notes import draw_key, draw_notes, notes_height
from haulwright.publishing.diagram.obstacles import obstacles
from haulwright.publishing.diagram.plan import EYE, Plan, Strand
from haulwright.publishing.diagram.rulers import axes_box, draw_axes, draw_grid, draw_ticks
from haulwright.publishing.diagram.scheme import NOTHING_N
from haulwright.publishing.diagram.sizes import find_size
from haulwright.publishing.diagram.svg import find_light, sheet_head, tag
from haulwright.publishing.diagram.unrolled import draw_unrolled
from haulwright.publishing.look import HATCH_LINE_PX, HATCH_STEP_PX, STRAND_MIN_PX, Light
from haulwright.publishing.wording import check_units


def rig_svg(
    solution: RigSolution,
    *,
    stall: RigSolution | Sequence[RigSolution] | None = None,
    units: str = "kN",
    light: str = "paper",
    size: str = "laptop",
    over: Collection[str] = (),
    limits_N: Mapping[str, float] | None = None,
) -> str:
    """Draw a rig as a plan of the ground, and under it the line unrolled from the drum to its made-fast end.

    Parameters
    ----------
    solution : RigSolution
        The rig at the expected load; its parts must run along the pull.
    stall : RigSolution or sequence of them, optional
        The same rig with the winch at stall; every figure then carries its stall twin. Given once with friction and
        once without, the greatest of each is shown, since friction never excuses smaller gear. Without it the sheet
        says that stall is not known.
    units : str
        ``kN``, ``kgf``, ``lbf``, ``t`` or ``N``.
    light : str
        ``paper``, ``sun``, ``night`` or ``print``.
    size : str
        ``laptop`` (1008 px wide), ``phone`` (360 px wide, the pull runs down) or ``card`` (365 px wide, no strip).
    over : collection of str
        ``body:NAME``, ``block:NAME`` and ``line:NAME`` of what is over its limit at stall: its stall figure is a filled
        block with the word in it.
    limits_N : mapping line -> float, optional
        Working limit of each line [N], drawn above it in the strip.

    Returns
    -------
    str
        A complete SVG document; the same input gives the same bytes. Every part carries ``data-of="part:LINE:INDEX"``
        in both drawings.

    Raises
    ------
    RigRefusal
        ``NOT_PARALLEL``, ``TOO_COMPLEX``, ``NO_LAYOUT`` or ``OTHER_RIG``: nothing is drawn then.
    UsageRefusal
        ``UNITS``, ``LIGHT`` or ``SIZE``.

    Notes
    -----
    A strand is tension × scale wide, from zero; expected core and stall sheath share the scale. A core that would be
    under 3 px is drawn 3 px wide and the sheet says so.
    """
    inks, measures, units = find_light(light), find_size(size), check_units(units)
    stalls = () if stall is None else (stall,) if isinstance(stall, RigSolution) else tuple(stall)
    found = arranged(solution, stalls, measures, units, frozenset(over))
    plan, placed = found.plan, found.placed
    body = draw_ground(plan, placed, inks) + draw_notes(plan, units, inks, known=bool(stalls))
    foot = plan.sheet.y1 + notes_height(plan, units, known=bool(stalls))
    key, high = draw_key(measures, placed, foot, inks)
    body += key
    foot += high
    if measures.strip:
        strips, foot = draw_unrolled(plan, solution, foot + 8.0, units, inks, limits_N or {})
        body += strips
    words = f"Plan of the rig {solution.rig}. {solution.sentence}"
    return sheet_head(measures.width, foot + 2.0, words, inks) + body + "</svg>"


def draw_ground(
    plan: Plan, placed: list[Placed], light: Light, *, kept_clear: str | None = None, above: str = ""
) -> str:
    """Return the sheet with its rig and its figures.

    Parameters
    ----------
    plan : Plan
    placed : list of Placed
    light : Light
    kept_clear : str, optional
        What is drawn of the ground where nobody stands, in place of the hatching inside the bends; the file's axes are
        then left out, since a pull has its own.
    above : str
        What is drawn over the gear and under the figures.
    """
    out = [draw_grid(plan, plan.ruler, light) if plan.ruler else _grid(plan, light)]
    out.append(_hatched(plan, light) if kept_clear is None else kept_clear)
    hubs = list(plan.hubs.values())
    crown = plan.size.canopy * (0.5 if plan.ground else 1.0)
    out += [canopy((h.x, h.y), crown, light) for h in hubs if h.glyph == "tree"]
    out += [_glyph(f"body:{hubs[i].body.name}", _hub(plan, i, light)) for i in range(len(hubs))]
    out.append(_straps(plan, light))
    out += [_strand(plan, strand, light) for strand in plan.strands]
    out += [ring(at, 5.0 if plan.size.vehicle > 30 else 3.6, light) for at in plan.rings]
    for b in plan.blocks:
        cheek = b.radius - 0.5 * _core_px(plan, b.name) - 1.5
        out.append(_glyph(f"block:{b.name}", block((b.x, b.y), b.toward, cheek, b.radius * EYE, light)))
    out += [_glyph(f"arrow:{a.body.name}", _arrow(plan, i, light)) for i, a in enumerate(plan.arrows)]
    out.append(above)
    s = plan.sheet
    wide, high = s.x1 - s.x0, s.y1 - s.y0
    view = f"{px(s.x0)} {px(s.y0)} {px(wide)} {px(high)}"
    ground = tag("svg", "".join(out), x=s.x0, y=s.y0, width=wide, height=high, viewBox=view)
    neat = tag("path", d=path(s.corners, closed=True), fill="none", stroke=light.ink, stroke_width=2)
    rulers = _rulers(plan, placed, light, axes=kept_clear is None)
    return ground + neat + rulers + draw_labels(plan, placed, light)


def _rulers(plan: Plan, placed: list[Placed], light: Light, *, axes: bool) -> str:
    """Metres along the edges, and which way the file's x and y grow where a corner is free."""
    if plan.ruler is None:
        return ""
    box = axes_box(plan, [p.box.grown(4.0) for p in placed], list(obstacles(plan))) if axes else None
    drawn = draw_axes(plan, plan.ruler, box, light) if box else ""
    return (draw_ticks(plan, plan.ruler, light) if plan.size.strip else "") + drawn


def _glyph(of: str, drawn: str) -> str:
    """A glyph that says what it is the glyph of."""
    return f'<g data-glyph="{escape(of)}">{drawn}</g>' if drawn else ""


def _core_px(plan: Plan, name: str) -> float:
    widest = 0.0
    for strand in plan.strands:
        for stop in strand.line.stops:
            if stop.turns and stop.point == name:
                widest = max(widest, *(strand.line.parts[i].tension_N for i in (stop.index - 1, stop.index)))
    return max(widest * plan.px_per_N, STRAND_MIN_PX)


def _grid(plan: Plan, light: Light) -> str:
    s, step = plan.sheet, 54.0 if plan.size.vehicle > 30 else 36.0
    cols = [s.x0 + step * k for k in range(1, int((s.x1 - s.x0) / step) + 1)]
    rows = [s.y0 + step * k for k in range(1, int((s.y1 - s.y0) / step) + 1)]
    data = "".join(f"M{px(x)} {px(s.y0)}V{px(s.y1)}" for x in cols) + "".join(
        f"M{px(s.x0)} {px(y)}H{px(s.x1)}" for y in rows
    )
    return f'<path d="{data}" stroke="{light.grid}" stroke-width="1" fill="none"/>' if plan.size.strip else ""


def _hatched(plan: Plan, light: Light) -> str:
    step = HATCH_STEP_PX if plan.size.vehicle > 30 else 5.0
    data = "".join(hatching(polygon, step) for polygon in plan.hatched)
    return tag(
        "path", class_="no-standing", d=data, stroke=light.hatch, stroke_width=HATCH_LINE_PX,
        opacity=light.hatch_opacity(), fill="none",
    )  # fmt: skip


def _hub(plan: Plan, index: int, light: Light) -> str:
    hub = list(plan.hubs.values())[index]
    if hub.glyph == "tree":
        return trunk((hub.x, hub.y), plan.trunk or plan.size.trunk, light)
    if hub.glyph == "ring":
        return ""
    return vehicle(
        (hub.x, hub.y), hub.away, plan.vehicle, light, chocked=hub.glyph == "chocked", drum=hub.body.winch
    )


def _strand(plan: Plan, strand: Strand, light: Light) -> str:
    out = []
    if strand.stall:
        sheath = ribbon(strand.stall, plan.px_per_N)
        out.append(
            tag("path", class_="sheath", d=sheath, fill=light.paper, stroke=light.ink, stroke_width=1.2)
        )
    core = ribbon(strand.expected, plan.px_per_N, STRAND_MIN_PX)
    if max(part.tension_N for part in strand.line.parts) <= NOTHING_N:
        out.append(tag("path", class_="slack", d=core, fill="none", stroke=light.ink, stroke_dasharray="6 4"))
    else:
        out.append(tag("path", class_="core", d=core, fill=light.ink))
        out.append(_plait(plan, strand, light))
    for i, (a, b) in enumerate(zip(strand.knots, strand.knots[1:], strict=False)):
        data = path(bar(*tangent(a, b), plan.sheath_px), closed=True)
        key = f"part:{strand.line.name}:{i}"
        out.append(tag("path", data_of=key, d=data, fill="none", pointer_events="all"))
    return f'<g class="strand">{"".join(out)}</g>'


def _plait(plan: Plan, strand: Strand, light: Light) -> str:
    """Chevrons the way the line runs; none where it does not run."""
    if not strand.line.runs:
        return ""
    line = strand.expected if strand.line.runs > 0 else turned_back(strand.expected)
    marks, thin = plait(line, plan.px_per_N, STRAND_MIN_PX)
    return tag("path", class_="plait", d=marks, stroke=light.paper, stroke_width=f"{thin:.2f}", fill="none")


def _straps(plan: Plan, light: Light) -> str:
    """Straps of blocks and of rings, then those with a figure: dashed where slack."""
    out = [strap(a, b, plan.size.strap, light) for a, b in plan.straps]
    for placed in plan.labelled:
        drawn = placed.strap
        if max(drawn.tension_N, drawn.stall_N or 0.0) > NOTHING_N:
            out.append(strap(placed.start, placed.end, plan.size.strap, light))
        else:
            edge = path(bar(placed.start, placed.end, STRAND_MIN_PX), closed=True)
            out.append(
                tag("path", class_="slack", d=edge, fill="none", stroke=light.ink, stroke_dasharray="6 4")
            )
        hit = path(bar(placed.start, placed.end, 14.0), closed=True)
        out.append(tag("path", data_of=f"part:{drawn.line}:0", d=hit, fill="none", pointer_events="all"))
    return "".join(out)


def _arrow(plan: Plan, index: int, light: Light) -> str:
    a = plan.arrows[index]
    shaft = 12.0 if plan.size.vehicle > 30 else 10.0
    out = f'<path d="{path(a.leader)}" stroke="{light.ink}" stroke-width="1" fill="none"/>'
    if a.stall_px:
        out += arrow(arrow_outline(a.tail, a.along, a.stall_px, shaft), light, solid=False)
    return out + arrow(arrow_outline(a.tail, a.along, a.expected_px, shaft / 2.0), light, solid=True)
