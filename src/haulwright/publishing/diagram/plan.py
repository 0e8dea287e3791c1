"""The records of a plan in pixels: where bodies, blocks, strands, straps and load arrows lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.geometry import XY, Knot, Vertex
from haulwright.publishing.diagram.scheme import DrawnBody, DrawnLine, Scheme
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.look import STRAND_MIN_PX

EYE: Final = 1.42  # from the middle of a block to its eye, in radii of its bend
LONG: Final = 5.37  # length of a vehicle, in halves of its width


@dataclass(frozen=True)
class Hub:
    """Where a body is drawn: its middle, the way its parts leave (+1 towards the load), its glyph."""

    body: DrawnBody
    x: float
    y: float
    glyph: str
    side: int


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

    @property
    def sheath_px(self) -> float:
        """Width of the widest strand [px]."""
        return max(self.scheme.greatest * self.px_per_N, STRAND_MIN_PX)
