"""The line, unrolled: all lines of a rig as strips, one under the other, joined where one hauls the other."""

from __future__ import annotations

from collections.abc import Mapping

from haulwright.mechanics.solution import RigSolution
from haulwright.publishing.diagram.geometry import path
from haulwright.publishing.diagram.scheme import Scheme
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.strip import Frame, Strip
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import FACE_TITLE
from haulwright.publishing.look import Light

_TITLE = 34.0
_BETWEEN = 22.0


def draw_unrolled(
    scheme: Scheme,
    solution: RigSolution,
    size: Size,
    top: float,
    units: str,
    light: Light,
    limits_N: Mapping[str, float],
) -> tuple[str, float]:
    """Return the strips of all lines, the hauled one first, and where they end [px].

    Parameters
    ----------
    scheme : Scheme
    solution : RigSolution
        For the ratio and wrap of each contact.
    size : Size
    top : float
        Upper edge [px].
    units : str
    light : Light
    limits_N : mapping line -> float
        Working limit of each line [N], where it is known.
    """
    known = {line.name: limits_N[line.name] for line in scheme.lines if line.name in limits_N}
    scale = (size.strip - 4.0) / max(scheme.greatest, *known.values(), 0.0)
    frame = Frame(scheme, size, scale, units, light, known)
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
        contacts = sorted((c for c in solution.contacts if c.line == line.name), key=lambda c: -c.index)
        strip = Strip(frame, line, contacts, top)
        out.append(strip.draw())
        strips.append(strip)
        top = strip.base + frame.foot() + _BETWEEN
    out += [_join(frame, strips[0], strip) for strip in strips[1:]]
    return "".join(out), top - _BETWEEN


def _join(frame: Frame, first: Strip, other: Strip) -> str:
    """A line from the place where the first strip lies on a body to the end of the strip that this body hauls."""
    here = first.place_of(other.line.stops[-1].body)
    if here is None:
        return ""
    x, y = other.x0 + 4.0, other.top - 12.0
    points = [(here, first.base + frame.foot() - 2.0), (here, y), (x, y), (x, other.top)]
    return tag("path", class_="joined", d=path(points), stroke=frame.light.ink, stroke_width=1.6, fill="none")
