"""The line, unrolled: all lines of a rig as strips, one under the other, joined where one hauls the other."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.geometry import path
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.scheme import NOTHING_N
from haulwright.publishing.diagram.strip import Frame, Strip
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import FACE_TITLE, cut, text_px
from haulwright.publishing.look import Light
from haulwright.publishing.wording import force

_TITLE = 34.0
_BETWEEN = 22.0


def draw_unrolled(
    plan: Plan,
    solution: RigSolution,
    top: float,
    units: str,
    light: Light,
    limits_N: Mapping[str, float],
) -> tuple[str, float]:
    """Return the strips of all lines, the hauled one first, and where they end [px].

    Parameters
    ----------
    plan : Plan
    solution : RigSolution
        For the ratio and wrap of each contact.
    top : float
        Upper edge [px].
    units : str
    light : Light
    limits_N : mapping line -> float
        Working limit of each line [N], where it is known.
    """
    scheme, size = plan.scheme, plan.size
    known = {line.name: limits_N[line.name] for line in scheme.lines if line.name in limits_N}
    scale = (size.strip - 4.0) / max(scheme.greatest, *known.values(), 0.0)
    frame = Frame(scheme, size, scale, units, light, known, plan.ground)
    edge = size.edge + 2.0
    out = [text("The line, unrolled", edge, top + 20.0, 20.0, light, weight=600, face=FACE_TITLE)]
    note = "Height is tension, from zero. Hatched: lost to friction."
    top += _TITLE
    if size.upright:
        out.append(text(note, edge, top + 4.0, size.note, light, fill=light.ink_2))
        top += 20.0
    else:
        right = size.width - edge
        out.append(text(note, right, top - 14.0, size.note, light, anchor="end", fill=light.ink_2))
    strips: list[Strip] = []
    for line in scheme.lines:
        if line.slack:
            continue
        contacts = sorted((c for c in solution.contacts if c.line == line.name), key=lambda c: -c.index)
        strip = Strip(frame, line, contacts, top)
        out.append(strip.draw())
        strips.append(strip)
        top = strip.base + frame.foot() + _BETWEEN
    out += [_join(frame, strips[:n], strips[n]) for n in range(1, len(strips))]
    top -= _BETWEEN
    if plan.labelled or any(line.slack for line in scheme.lines):
        words, top = _straps(plan, top + 14.0, units, light)
        out.append(words)
    return "".join(out), top


def _straps(plan: Plan, top: float, units: str, light: Light) -> tuple[str, float]:
    """The straps in words: a strap has no bend, so its one tension is all there is."""
    size, edge = plan.size, plan.size.edge + 2.0
    step = size.name + 5.0
    rows = [(f"{line.name} is slack", False) for line in plan.scheme.lines if line.slack]
    if plan.labelled:
        rows.append(("Straps and legs" if len(plan.labelled) > 1 else "Strap", True))
    for placed in plan.labelled:
        strap = placed.strap
        if max(strap.tension_N, strap.stall_N or 0.0) <= NOTHING_N:
            rows.append((cut(f"{strap.line} is slack", size.width - 2.0 * edge, size.name), False))
            continue
        words = f"{strap.line}: {force(strap.tension_N, units, unit=False)} {units}"
        stall = "" if strap.stall_N is None else f", {force(strap.stall_N, units, unit=False)} at stall"
        if text_px(words + stall, size.name) <= size.width - 2.0 * edge:
            rows.append((words + stall, False))
        else:
            rows += [
                (cut(words, size.width - 2.0 * edge, size.name), False),
                (stall.removeprefix(", "), False),
            ]
    out = ""
    for words, bold in rows:
        if words:
            top += step
            out += text(words, edge, top, size.name, light, weight=600 if bold else 400)
    return out, top + 8.0


def _join(frame: Frame, earlier: list[Strip], other: Strip) -> str:
    """A line to a strip from the nearest one above that meets it at a block both lie on: where one hauls the other."""
    bodies = [
        stop.body for stop in other.line.stops[::-1] if frame.scheme.bodies[stop.body].role == "floating"
    ]
    for strip in reversed(earlier):
        for body in bodies:
            here, there = strip.place_of(body), other.place_of(body)
            if here is None or there is None:
                continue
            x, y = min(max(there, other.x0 + 4.0), other.x1 - 4.0), other.top - 12.0
            points = [(here, strip.base + frame.foot() - 2.0), (here, y), (x, y), (x, other.top)]
            return tag(
                "path", class_="joined", d=path(points), stroke=frame.light.ink, stroke_width=1.6, fill="none"
            )
    return ""
