"""Measures of the three drawings: laptop, phone and card. Pixels at 96 per inch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from haulwright.errors import UsageRefusal


@dataclass(frozen=True)
class Size:
    """Measures of one drawing.

    Attributes
    ----------
    width : float
        Width of the whole drawing [px].
    upright : bool
        The pull runs down the page instead of from left to right.
    sheath, gap, gap_least : float
        Widest strand; distance between neighbouring parts, and the least it may shrink to [px].
    part : float
        Least length drawn between two bodies [px].
    vehicle, trunk, canopy : float
        Half the width of a vehicle; radii of a tree [px].
    arrow_px_per_kN : float
        Length of a load arrow per kilonewton, where that fits.
    name, figure, stall, note : float
        Sizes of type [px].
    edge : float
        From the sheet's border to the drawing [px].
    margin : float
        Room across the pull on each side of the parts for figures and arrows [px].
    strip : float
        Height of the line, unrolled, at its greatest tension [px]; 0 leaves it out.
    least : float
        Least extent of the sheet: its height [px].
    between : float
        Room between strands that crowd on an upright sheet [px]; on the others a figure has room there.
    """

    width: float
    upright: bool
    sheath: float
    gap: float
    gap_least: float
    part: float
    vehicle: float
    trunk: float
    canopy: float
    arrow_px_per_kN: float
    name: float
    figure: float
    stall: float
    note: float
    edge: float
    margin: float
    strip: float
    least: float
    between: float = 8.0

    @property
    def strap(self) -> float:
        """Width of a strap [px]."""
        return 4.5 if self.vehicle > 30 else 3.5


SIZES: Final[Mapping[str, Size]] = MappingProxyType(
    {
        "laptop": Size(
            width=1008, upright=False, sheath=26, gap=66, gap_least=56, part=250, vehicle=40, trunk=17, canopy=112,
            arrow_px_per_kN=1.6, name=15, figure=20, stall=15, note=13, edge=6, margin=64, strip=112, least=300,
        ),
        "phone": Size(
            width=360, upright=True, sheath=16, gap=80, gap_least=36, part=190, vehicle=24, trunk=12, canopy=62,
            arrow_px_per_kN=0.6, name=15, figure=18, stall=15, note=13, edge=6, margin=76, strip=84, least=0,
        ),
        "card": Size(
            width=365, upright=False, sheath=12.6, gap=40, gap_least=35, part=120, vehicle=18, trunk=8.4, canopy=46,
            arrow_px_per_kN=1.15, name=13.4, figure=17, stall=13.8, note=13.4, edge=1, margin=26, strip=0, least=130,
        ),
    }
)  # fmt: skip

_SCALES: Final = (
    1.2,
    0.9,
    0.6,
    0.5,
    0.4,
    0.35,
    0.3,
    0.25,
    0.2,
    0.15,
    0.12,
    0.1,
    0.07,
    0.05,
    0.035,
    0.025,
    0.02,
    0.01,
)


def find_size(name: str) -> Size:
    """Return the measures of a drawing by its name.

    Raises
    ------
    UsageRefusal
        ``SIZE`` for any other name.

    Examples
    --------
    >>> find_size("phone").width
    360
    """
    if name not in SIZES:
        raise UsageRefusal("SIZE", f"size = {name!r}: give {', '.join(SIZES)}.")
    return SIZES[name]


def strand_scale(greatest_N: float, widest_px: float) -> float:
    """Return the weight of a strand [px/N], from a fixed series, so that the greatest tension is at most ``widest_px``.

    Examples
    --------
    >>> round(strand_scale(42_000.0, 26.0) * 1000, 3)
    0.6
    """
    for scale in _SCALES:
        if greatest_N / 1000.0 * scale <= widest_px:
            return scale / 1000.0
    return widest_px / greatest_N
