"""The records of a plan in pixels: where bodies, blocks, strands, straps and load arrows lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, Knot, Vertex
from haulwright.publishing.diagram.scheme import DrawnBody, DrawnLine, Scheme
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.survey import DrawnStrap
from haulwright.publishing.look import STRAND_MIN_PX

EYE: Final = 1.42  # from the middle of a block to its eye, in radii of its bend
LONG: Final = 5.37  # length of a vehicle, in halves of its width


@dataclass(frozen=True)
class Hub:
    """Where a body is drawn: its middle, its glyph, and the way from its front to its tail."""

    body: DrawnBody
    x: float
    y: float
    glyph: str
    away: XY


@dataclass(frozen=True)
class PlacedBlock:
    """A block: name, middle, direction from there to its eye, radius of the strand's bend [px]."""

    name: str
    body: str
    x: float
    y: float
    toward: XY
    radius: float


@dataclass(frozen=True)
class Strand:
    """One line drawn: its knots and its centre lines at the expected and the stall tensions."""

    line: DrawnLine
    knots: tuple[Knot, ...]
    expected: tuple[Vertex, ...]
    stall: tuple[Vertex, ...]


@dataclass(frozen=True)
class Arrow:
    """A load arrow: tail, direction, lengths [px], and the leader from the body to its tail."""

    body: DrawnBody
    tail: XY
    along: XY
    expected_px: float
    stall_px: float
    leader: tuple[XY, XY]

    @property
    def middle(self) -> XY:
        """Half way along it."""
        half = max(self.expected_px, self.stall_px) / 2.0
        return self.tail[0] + self.along[0] * half, self.tail[1] + self.along[1] * half


@dataclass(frozen=True)
class PlacedStrap:
    """A strap with a figure: what it is, and its two ends."""

    strap: DrawnStrap
    start: XY
    end: XY


@dataclass(frozen=True)
class Ruler:
    """The grid of a sheet that is true to scale: pixels to metres along both edges.

    Attributes
    ----------
    px_per_m : float
    level, upright : (str, float, float)
        Name of the coordinate along the lower and the left edge, +1 or -1 for the way it grows on the page (to the right,
        downwards), and its value where the page begins [m].
    """

    px_per_m: float
    level: tuple[str, float, float]
    upright: tuple[str, float, float]


@dataclass(frozen=True)
class Laid:
    """What laying a rig out on the ground decided: scale, turn, room, shift on the page, and what was left open."""

    px_per_m: float
    quarter: int
    roomy: float
    shift: XY
    turns: tuple[tuple[str, int, int], ...]
    orders: tuple[tuple[tuple[str, int], ...], ...]


@dataclass(frozen=True)
class Plan:
    """The whole sheet in pixels."""

    size: Size
    scheme: Scheme
    px_per_N: float
    vehicle: float
    sheet: Box
    hubs: Mapping[str, Hub]
    strands: tuple[Strand, ...]
    blocks: tuple[PlacedBlock, ...]
    straps: tuple[tuple[XY, XY], ...]
    rings: tuple[XY, ...]
    hatched: tuple[tuple[XY, ...], ...]
    arrows: tuple[Arrow, ...]
    trunk: float = 0.0
    labelled: tuple[PlacedStrap, ...] = ()
    ruler: Ruler | None = None
    words: tuple[str, ...] = ()
    ground: bool = False
    told: str = "Hatched: nobody stands there."
    laid: Laid | None = None
    bare: bool = False

    @property
    def sheath_px(self) -> float:
        """Width of the widest strand [px]."""
        return max(self.scheme.greatest * self.px_per_N, STRAND_MIN_PX)
