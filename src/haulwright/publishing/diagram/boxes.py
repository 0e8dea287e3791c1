"""Boxes and convex outlines on a drawing, and whether they overlap. Pixels, y downwards."""

from __future__ import annotations

import math
from collections.abc import Sequence
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
    return outlines_meet(box.corners, outline)


def outlines_meet(first: Outline, second: Outline) -> bool:
    """Tell whether two convex outlines overlap (separating axes)."""
    for shape in (first, second):
        for (x1, y1), (x2, y2) in zip(shape, (*shape[1:], shape[0]), strict=True):
            ax, ay = y2 - y1, x1 - x2
            a = [x * ax + y * ay for x, y in first]
            b = [x * ax + y * ay for x, y in second]
            if max(a) <= min(b) or max(b) <= min(a):
                return False
    return True
