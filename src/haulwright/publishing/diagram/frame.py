"""What a drawing keeps while something in it is dragged: scale, turn of the sheet, place, and what was left open."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from haulwright.errors import UsageRefusal
from haulwright.publishing.diagram.boxes import Box

KEYED = ("none", "some", "all")
GEAR = (1.0, 0.76, 0.58, 0.44, 0.34)  # how much smaller gear is drawn on a page before nothing is drawn
FARTHEST_PX = 20_000.0
LEAST_PX_PER_M, MOST_PX_PER_M = 1e-3, 200.0


@dataclass(frozen=True)
class SheetFrame:
    """How a rig lies on its sheet.

    Attributes
    ----------
    size : str
        ``laptop``, ``phone`` or ``card``.
    ground : bool
        True where the rig is drawn as it lies on the ground, false where its parts are drawn side by side.
    px_per_m : float or None
        Scale; None where the rig has no places.
    quarter : int
        Quarter turns of the sheet.
    origin_px : (float, float)
        Where the file's x = 0, y = 0 lies on the drawing.
    x_px, y_px : (float, float)
        The way on the drawing that x, and that y, grows: a unit vector each.
    sheet_px : (x0, y0, x1, y1)
        The neatline.
    width_px, height_px : float
        Of the whole drawing, the notes under the neatline with it.
    roomy : float
        Free ground round the rig as a factor.
    keyed : str
        ``none``, ``some`` or ``all``: which figures stand in a key below.
    gear : float
        How large gear and strands are drawn, of their full size.
    turns : tuple of (line, index, turn)
        The way a line turns at a contact whose parts run nearly side by side.
    orders : tuple of tuples of (line, index)
        The order across of stops that crowd.
    labels : tuple of (key, keyed, number)
        Where each figure stands, by the number of its place.
    """

    size: str
    ground: bool
    px_per_m: float | None
    quarter: int
    origin_px: tuple[float, float]
    x_px: tuple[float, float]
    y_px: tuple[float, float]
    sheet_px: tuple[float, float, float, float]
    width_px: float
    height_px: float
    roomy: float
    keyed: str
    gear: float = 1.0
    turns: tuple[tuple[str, int, int], ...] = ()
    orders: tuple[tuple[tuple[str, int], ...], ...] = ()
    labels: tuple[tuple[str, bool, int], ...] = ()

    @property
    def sheet(self) -> Box:
        """The neatline."""
        return Box(*self.sheet_px)

    @property
    def before(self) -> dict[str, tuple[bool, int]]:
        """Where each figure stands, by what it is a figure of."""
        return {key: (keyed, number) for key, keyed, number in self.labels}


def frame_of(given: Mapping[str, Any]) -> SheetFrame:
    """Return a frame that was handed out before.

    Raises
    ------
    UsageRefusal
        ``FRAME``: it is not one.
    """
    try:
        found = SheetFrame(
            size=str(given["size"]),
            ground=bool(given["ground"]),
            px_per_m=None if given["px_per_m"] is None else _scale(given["px_per_m"]),
            quarter=int(given["quarter"]) % 4,
            origin_px=_two(given["origin_px"]),
            x_px=_two(given["x_px"]),
            y_px=_two(given["y_px"]),
            sheet_px=(*_two(given["sheet_px"][:2]), *_two(given["sheet_px"][2:])),
            width_px=_pixels(given["width_px"], above=True),
            height_px=_pixels(given["height_px"], above=True),
            roomy=_pixels(given["roomy"], above=True),
            keyed=KEYED[KEYED.index(given["keyed"])],
            gear=min(max(_pixels(given["gear"], above=True), GEAR[-1]), GEAR[0]),
            turns=tuple((str(line), int(i), 1 if turn > 0 else -1) for line, i, turn in given["turns"]),
            orders=tuple(tuple((str(line), int(i)) for line, i in row) for row in given["orders"]),
            labels=tuple((str(key), bool(keyed), int(number)) for key, keyed, number in given["labels"]),
        )
    except (KeyError, ValueError, TypeError, IndexError):
        raise UsageRefusal(
            "FRAME",
            "The frame is not one that a drawing came with: send it back as it came, or none.",
            ("frame",),
        ) from None
    return found


def _pixels(given: Any, *, above: bool = False) -> float:
    value = float(given)
    if not math.isfinite(value) or abs(value) > FARTHEST_PX or (above and not value > 0.0):
        raise ValueError(given)
    return value


def _scale(given: Any) -> float:
    value = float(given)
    if not LEAST_PX_PER_M <= value <= MOST_PX_PER_M:
        raise ValueError(given)
    return value


def _two(given: Sequence[Any]) -> tuple[float, float]:
    x, y = given
    return _pixels(x), _pixels(y)
