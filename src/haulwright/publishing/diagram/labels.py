"""A label: a name with its bold expected figure and its boxed stall figure, measured and drawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from haulwright.publishing.diagram.boxes import Box, box_meets
from haulwright.publishing.diagram.geometry import XY, path
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.svg import tag, text
from haulwright.publishing.diagram.type_size import text_px
from haulwright.publishing.look import Light


@dataclass(frozen=True)
class Label:
    """A name with its bold expected figure and its boxed stall figure (None: stall not known).

    A ``tag`` stands in the drawing instead where there is no room; the label is then a row of the key below. A label
    without an expected figure is a name alone.
    """

    key: str
    name: str
    expected: str
    stall: str | None
    over: bool = False
    tag: str = ""

    def tagged(self) -> Label:
        """Return what stands in the drawing for a row of the key."""
        return Label(self.key, self.tag, "", None)


@dataclass(frozen=True)
class Placed:
    """A label with the box it fills and, where it stands off, the leader to what it names; the number of its place."""

    label: Label
    box: Box
    stacked: bool
    leader: tuple[XY, XY] | None = None
    keyed: bool = False
    spot: int = -1


def short_name(name: str) -> str:
    """Return a part's name for a narrow sheet, in two rows where it names its line.

    Examples
    --------
    >>> short_name("standing part, line 2")
    'standing\\nline 2'
    """
    return name.replace("standing part", "standing").replace("middle part", "middle").replace(", ", "\n")


def body_name(name: str, role: str) -> str:
    """Return a body's name for a label; a bare letter gets its role before it.

    Examples
    --------
    >>> body_name("X", "anchor"), body_name("M", "floating"), body_name("oak", "anchor")
    ('anchor X', 'block M', 'oak')
    """
    words = {"floating": "block"}.get(role, role)
    return f"{words} {name}" if len(name.rstrip("0123456789")) == 1 else name


def with_height(name: str, height_m: float | None) -> str:
    """Return a name with its height above the ground of the drawing in words.

    Examples
    --------
    >>> with_height("oak", 1.5), with_height("oak", None), with_height("pit", -0.4)
    ('oak +1.5 m', 'oak', 'pit −0.4 m')
    """
    if height_m is None:
        return name
    return f"{name} {'−' if round(height_m, 1) < 0 else '+'}{abs(height_m):.1f} m"


def block_name(name: str, body: str) -> str:
    """Return a block's name for a label; one named after its body is told apart from it.

    Examples
    --------
    >>> block_name("X", "X"), block_name("X 2", "X"), block_name("B1", "oak"), block_name("M", "M")
    ('block on X', 'block 2 on X', 'B1', 'block on M')
    """
    if name == body:
        return f"block on {body}"
    number = name.removeprefix(f"{body} ")
    return f"block {number} on {body}" if number.isdigit() else name


def block_words(name: str, body: str, *, floating: bool) -> str:
    """Return a block's name on the ground; one that hangs free has its own.

    Examples
    --------
    >>> block_words("corner", "corner", floating=True), block_words("X", "X", floating=False)
    ('corner', 'block on X')
    """
    return body_name(name, "floating") if floating and name == body else block_name(name, body)


class Setter:
    """Measures and draws labels of one size."""

    def __init__(self, size: Size) -> None:
        self.size = size

    def _boxed(self, label: Label) -> str:
        return f"{label.stall} over" if label.over else label.stall or ""

    def _box_px(self, label: Label) -> float:
        weight = 700 if label.over else 600
        return text_px(self._boxed(label), self.size.stall, weight) + 11.0 if label.stall is not None else 0.0

    def measure(self, label: Label, *, stacked: bool) -> tuple[float, float]:
        """Return width and height [px]."""
        s = self.size
        rows_of_name = label.name.split("\n") if label.name else []
        of_name = max([text_px(row, s.name, 600) for row in rows_of_name], default=0.0)
        if not label.expected and label.tag:
            return of_name, len(rows_of_name) * (s.name + 3.0)
        if not label.expected:
            return text_px(label.name, s.figure, 700), s.figure * 0.9
        widths = [of_name, text_px(label.expected, s.figure, 700), self._box_px(label)]
        if stacked:
            rows = [len(rows_of_name) * (s.name + 3.0), s.figure * 0.98, bool(widths[2]) * (s.stall + 8.0)]
            return max(widths), sum(rows)
        return sum(widths) + 8.0 * bool(label.name) + 9.0 * bool(widths[2]), max(s.figure, s.stall + 5.0)

    def draw(self, placed: Placed, light: Light, *, patch: bool) -> str:
        """Return the label as SVG, on a patch of paper where it stands on hatched ground."""
        b, label, s = placed.box, placed.label, self.size
        parts = []
        if patch:
            p = b.grown(4.0)
            parts.append(tag("rect", x=p.x0, y=p.y0, width=p.x1 - p.x0, height=p.y1 - p.y0, fill=light.paper))
        if placed.keyed:
            at = (b.centre[0], b.centre[1] + s.figure * 0.345)
            parts.append(text(label.tag, *at, s.figure, light, weight=700, anchor="middle"))
        elif placed.stacked:
            x, y = b.centre[0], b.y0
            for row in label.name.split("\n") if label.name else ():
                parts.append(text(row, x, y + s.name * 0.82, s.name, light, weight=600, anchor="middle"))
                y += s.name + 3.0
            if label.expected:
                at = (x, y + s.figure * 0.79)
                words = text(
                    label.expected, *at, s.figure, light, weight=700, anchor="middle", figure="expected"
                )
                parts.append(words)
            y += s.figure * 0.98
            parts.append(self._draw_box(label, x - self._box_px(label) / 2.0, y + 2.0, light))
        else:
            x, y = b.x0, b.centre[1]
            if label.name:
                parts.append(text(label.name, x, y + s.name * 0.33, s.name, light, weight=600))
                x += text_px(label.name, s.name, 600) + 8.0
            if label.expected:
                at = (x, y + s.figure * 0.345)
                parts.append(text(label.expected, *at, s.figure, light, weight=700, figure="expected"))
            x += text_px(label.expected, s.figure, 700) + 9.0
            parts.append(self._draw_box(label, x, y - (s.stall + 5.0) / 2.0, light))
        halo = f'stroke="{light.paper}" stroke-width="4" stroke-linejoin="round" paint-order="stroke"'
        return f'<g data-of="{escape(label.key)}" {halo}>{"".join(parts)}</g>'

    def _draw_box(self, label: Label, x: float, y: float, light: Light) -> str:
        if label.stall is None:
            return ""
        wide, high = self._box_px(label), self.size.stall + 5.0
        fill, ink, weight = (light.over, light.on_over, 700) if label.over else (light.paper, light.ink, 600)
        edge = light.over if label.over else light.ink
        rect = tag("rect", x=x, y=y, width=wide, height=high, fill=fill, stroke=edge, stroke_width=1.2)
        words = text(
            self._boxed(label), x + wide / 2.0, y + high / 2.0 + self.size.stall * 0.345, self.size.stall, light,
            weight=weight, anchor="middle", fill=ink, bare=True, figure="" if label.over else "stall",
        )  # fmt: skip
        return rect + words


def draw_labels(plan: Plan, placed: Iterable[Placed], light: Light) -> str:
    """Return all leaders, then all labels."""
    setter = Setter(plan.size)
    rows = list(placed)
    lines = "".join(
        f'<path d="{path(p.leader)}" stroke="{light.ink}" stroke-width="1" fill="none"/>'
        for p in rows
        if p.leader
    )
    return lines + "".join(
        setter.draw(p, light, patch=any(box_meets(p.box, list(polygon)) for polygon in plan.hatched))
        for p in rows
    )
