"""Where everything lies on a drawing, for a page to point at, and the rings round what was refused."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from haulwright.publishing.diagram.boxes import Box, Outline
from haulwright.publishing.diagram.geometry import XY, px, tangent
from haulwright.publishing.diagram.labels import block_words, body_name
from haulwright.publishing.diagram.obstacles import hub_outline
from haulwright.publishing.diagram.plan import EYE, Plan
from haulwright.publishing.diagram.svg import tag
from haulwright.publishing.look import Light


@dataclass(frozen=True)
class PlaceOnSheet:
    """One thing on a drawing.

    Attributes
    ----------
    of : str
        ``body:NAME``, ``block:NAME``, ``part:LINE:INDEX`` or ``arrow:BODY``, as ``data-of`` and ``data-glyph`` in the drawing.
    name : str
        Its name in words.
    on : str
        The body that moves when it is dragged; the line of a part.
    x, y : float
        Its middle on the drawing [px].
    box_px : (x0, y0, x1, y1)
        What it covers [px].
    at_m : (float, float) or None
        Place of the body it lies on [m]; None without places.
    """

    of: str
    name: str
    on: str
    x: float
    y: float
    box_px: tuple[float, float, float, float]
    at_m: XY | None


def places_of(plan: Plan, at_m: Mapping[str, XY]) -> tuple[PlaceOnSheet, ...]:
    """Return where everything lies: bodies, blocks, parts, straps, arrows.

    Parameters
    ----------
    plan : Plan
    at_m : mapping body -> (x, y)
        Places in metres, where there are some.
    """
    return (*_bodies(plan, at_m), *_blocks(plan, at_m), *_parts(plan), *_arrows(plan, at_m))


def _place(of: str, name: str, on: str, shape: Outline, at_m: XY | None) -> PlaceOnSheet:
    box = Box(
        min(x for x, _ in shape), min(y for _, y in shape), max(x for x, _ in shape), max(y for _, y in shape)
    )
    x, y = box.centre
    covered = (round(box.x0, 1), round(box.y0, 1), round(box.x1, 1), round(box.y1, 1))
    return PlaceOnSheet(of, name, on, round(x, 1), round(y, 1), covered, at_m)


def _bodies(plan: Plan, at_m: Mapping[str, XY]) -> Iterator[PlaceOnSheet]:
    turned = {block.name for block in plan.blocks}
    for name, hub in plan.hubs.items():
        if hub.glyph != "ring" or name not in turned:
            words = body_name(name, hub.body.role)
            yield _place(f"body:{name}", words, name, hub_outline(plan, hub), at_m.get(name))


def _blocks(plan: Plan, at_m: Mapping[str, XY]) -> Iterator[PlaceOnSheet]:
    seen: set[str] = set()
    for block in plan.blocks:
        if block.name in seen or block.name not in plan.scheme.blocks:
            continue
        seen.add(block.name)
        r = block.radius
        shape = [(block.x - r, block.y - r), (block.x + r, block.y + r)]
        eye = (block.x + block.toward[0] * r * EYE, block.y + block.toward[1] * r * EYE)
        floating = plan.scheme.bodies[block.body].role == "floating"
        words = block_words(block.name, block.body, floating=floating)
        yield _place(f"block:{block.name}", words, block.body, [*shape, eye], at_m.get(block.body))


def _parts(plan: Plan) -> Iterator[PlaceOnSheet]:
    for strand in plan.strands:
        for part, a, b in zip(strand.line.parts, strand.knots, strand.knots[1:], strict=False):
            yield _place(f"part:{part.line}:{part.index}", part.name, part.line, tangent(a, b), None)
    for held in plan.labelled:
        name = held.strap.line
        yield _place(f"part:{name}:0", name, name, (held.start, held.end), None)


def _arrows(plan: Plan, at_m: Mapping[str, XY]) -> Iterator[PlaceOnSheet]:
    for arrow in plan.arrows:
        long = max(arrow.expected_px, arrow.stall_px)
        tip = (arrow.tail[0] + arrow.along[0] * long, arrow.tail[1] + arrow.along[1] * long)
        name = arrow.body.name
        yield _place(f"arrow:{name}", f"pull on {name}", name, (arrow.tail, tip), at_m.get(name))


def draw_refused(plan: Plan, names: Collection[str], light: Light) -> str:
    """Return a heavy ring round every body, block or line that a refusal names.

    Parameters
    ----------
    plan : Plan
    names : collection of str
    light : Light
    """
    out = ""
    for place in places_of(plan, {}):
        kind, _, name = place.of.partition(":")
        named = name if kind in ("body", "block") else place.on
        if kind == "arrow" or named not in names:
            continue
        x0, y0, x1, y1 = place.box_px
        radius = 20.0 if kind == "part" else min(x1 - x0, y1 - y0) / 2.0 + 14.0
        out += f'<circle cx="{px(place.x)}" cy="{px(place.y)}" r="{px(radius)}"/>'
    return tag("g", out, class_="refused", fill="none", stroke=light.ink, stroke_width=4.0) if out else ""
