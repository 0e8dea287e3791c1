"""Boxes and convex outlines on a drawing, and whether they overlap. Pixels, y downwards."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from haulwright.publishing.diagram.geometry import XY


@dataclass(frozen=True)
class Box:
    """A level rectangle by two corners [px]."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def corners(self) -> list[XY]:
        """The four corners."""
        return [(self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1)]

    @property
    def centre(self) -> XY:
        """The middle."""
        return (self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0

    def grown(self, by: float) -> Box:
        """Return the box with ``by`` pixels added on every side."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def holds(self, other: Box) -> bool:
        """Tell whether the other box lies wholly inside."""
        return self.x0 <= other.x0 and self.y0 <= other.y0 and other.x1 <= self.x1 and other.y1 <= self.y1

    def meets(self, other: Box, slack: float = 0.0) -> bool:
        """Tell whether two boxes overlap by more than ``slack`` pixels both ways.

        Examples
        --------
        >>> Box(0, 0, 10, 10).meets(Box(9, 0, 20, 10)), Box(0, 0, 10, 10).meets(Box(10, 0, 20, 10))
        (True, False)
        """
        wide = min(self.x1, other.x1) - max(self.x0, other.x0)
        high = min(self.y1, other.y1) - max(self.y0, other.y0)
        return wide > slack and high > slack


Outline = Sequence[XY]  # a convex polygon


class Shape:
    """A convex outline made ready to be asked often: its bounds, and how far it reaches across each of its edges."""

    __slots__ = ("corners", "edges", "x0", "x1", "y0", "y1")

    def __init__(self, corners: Outline) -> None:
        self.corners = corners
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        self.x0, self.x1, self.y0, self.y1 = min(xs), max(xs), min(ys), max(ys)
        self.edges: tuple[tuple[float, float, float, float], ...] | None = None

    def _reaches(self) -> tuple[tuple[float, float, float, float], ...]:
        """The normal of each edge, and between what bounds the shape lies along it."""
        if self.edges is None:
            found = []
            for (x1, y1), (x2, y2) in zip(self.corners, (*self.corners[1:], self.corners[0]), strict=True):
                ax, ay = y2 - y1, x1 - x2
                along = [x * ax + y * ay for x, y in self.corners]
                found.append((ax, ay, min(along), max(along)))
            self.edges = tuple(found)
        return self.edges

    def meets_box(self, box: Box) -> bool:
        """Tell whether the shape and a box overlap.

        Examples
        --------
        >>> shape = Shape(bar((0, 5), (5, 0), 1.0))
        >>> shape.meets_box(Box(0, 0, 2, 2)), shape.meets_box(Box(0, 0, 3, 3))
        (False, True)
        """
        if self.x1 <= box.x0 or box.x1 <= self.x0 or self.y1 <= box.y0 or box.y1 <= self.y0:
            return False
        cx, cy = (box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0
        wide, high = (box.x1 - box.x0) / 2.0, (box.y1 - box.y0) / 2.0
        for ax, ay, low, top in self._reaches():
            at, half = cx * ax + cy * ay, wide * abs(ax) + high * abs(ay)
            if at - half >= top or low >= at + half:
                return False
        return True

    def meets(self, other: Shape) -> bool:
        """Tell whether two shapes overlap (separating axes)."""
        if self.x1 <= other.x0 or other.x1 <= self.x0 or self.y1 <= other.y0 or other.y1 <= self.y0:
            return False
        return not (_apart(self, other) or _apart(other, self))


def _apart(first: Shape, second: Shape) -> bool:
    """Tell whether an edge of the first parts the two."""
    for ax, ay, low, top in first._reaches():
        along = [x * ax + y * ay for x, y in second.corners]
        if min(along) >= top or low >= max(along):
            return True
    return False


class Obstacles:
    """Shapes that are asked in turn; the one that was met last is asked first, for what is asked next lies near it."""

    def __init__(self, shapes: Iterable[Shape]) -> None:
        self.shapes = list(shapes)

    def meet_box(self, box: Box) -> bool:
        """Tell whether any of them and a box overlap."""
        for i, shape in enumerate(self.shapes):
            if shape.meets_box(box):
                self._first(i)
                return True
        return False

    def meet(self, other: Shape) -> bool:
        """Tell whether any of them and a shape overlap."""
        for i, shape in enumerate(self.shapes):
            if shape.meets(other):
                self._first(i)
                return True
        return False

    def _first(self, i: int) -> None:
        if i:
            self.shapes.insert(0, self.shapes.pop(i))


def bar(start: XY, end: XY, width: float) -> list[XY]:
    """Return the outline of a straight strand of one width [px]."""
    far = math.dist(start, end) or 1.0
    ux, uy = (end[0] - start[0]) / far, (end[1] - start[1]) / far
    h = width / 2.0
    return [
        (start[0] + uy * h, start[1] - ux * h),
        (end[0] + uy * h, end[1] - ux * h),
        (end[0] - uy * h, end[1] + ux * h),
        (start[0] - uy * h, start[1] + ux * h),
    ]


def disc(x: float, y: float, radius: float) -> list[XY]:
    """Return a twelve-sided outline round a circle."""
    r = radius / math.cos(math.pi / 12.0)
    return [(x + r * math.cos(math.pi * k / 6.0), y + r * math.sin(math.pi * k / 6.0)) for k in range(12)]


def box_meets(box: Box, outline: Outline) -> bool:
    """Tell whether a box and a convex outline overlap.

    Examples
    --------
    >>> box_meets(Box(0, 0, 2, 2), bar((0, 5), (5, 0), 1.0)), box_meets(Box(0, 0, 3, 3), bar((0, 5), (5, 0), 1.0))
    (False, True)
    """
    return Shape(outline).meets_box(box)


def outlines_meet(first: Outline, second: Outline) -> bool:
    """Tell whether two convex outlines overlap."""
    return Shape(first).meets(Shape(second))
