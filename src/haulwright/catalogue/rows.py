"""One number of the catalogue, with everything needed to use it honestly."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from haulwright.errors import CatalogueRefusal
from haulwright.quantities.measured import Measured
from haulwright.quantities.unit_table import G0, INCH_M, POUND_KG
from haulwright.quantities.units import to_si
from haulwright.sources import FLAGS, Source

# Unit of a row -> its dimension; None: no SI conversion, the number is used as it stands.
UNITS: dict[str, str | None] = {
    "1": None,
    "turns": None,
    "layers": None,
    "kN": "force",
    "N": "force",
    "t": "force",
    "lbf": "force",
    "kgf": "force",
    "mm": "length",
    "m": "length",
    "ft": "length",
    "in": "length",
    "deg": "angle",
    "°C": "temperature",
    "kg": "mass",
    "N/mm2": None,
    "lb/ft2": None,
}
_FACTORS = {"N/mm2": 1e6, "lb/ft2": POUND_KG * G0 / (12 * INCH_M) ** 2}


@dataclass(frozen=True)
class Row:
    """One number, or one printed table of pairs, of the catalogue.

    Attributes
    ----------
    id : str
        Unique in its file.
    name : str
        In words.
    quantity : str
        What the number is: ``k`` (tension ratio), ``e`` (efficiency), ``mu``, ``share``, ``force``,
        ``length`` …
    unit : str
        Unit of ``value``, ``lo``, ``hi`` and the second column of ``points``; ``1`` for a plain number.
    valid : str
        Where the number holds, in words.
    source : Source
        Where it is printed, or that it is common practice.
    value : float or None
        The (likely) value, in ``unit``.
    lo, hi : float or None
        Ends of the printed range, in ``unit``.
    u : float or None
        Standard uncertainty, for a measured device.
    points : tuple of (float, float)
        A printed table: first column in ``x_unit``, second in ``unit``.
    x_unit : str
        Unit of the first column.
    family : str
        Rows of one published family belong together; families are not mixed.
    valid_N : (float, float) or None
        Range of line force the number holds for [N].
    scatter : float or None
        Standard deviation of ln advantage from set-up to set-up, for a measured device.
    extra : mapping
        Further printed figures of the row, by name with unit (``pin_mm`` …).
    """

    id: str
    name: str
    quantity: str
    unit: str
    valid: str
    source: Source
    value: float | None = None
    lo: float | None = None
    hi: float | None = None
    u: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    x_unit: str = ""
    family: str = ""
    valid_N: tuple[float, float] | None = None
    scatter: float | None = None
    extra: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        """Refuse a row without unit, range, source or number."""
        if self.unit not in UNITS:
            raise self._refusal("UNIT", f"unit {self.unit!r} is not one of {', '.join(UNITS)}")
        if not self.valid.strip():
            raise self._refusal("RANGE", "no range of validity: say in `valid` where the number holds")
        if not self.source.title.strip() or self.source.flag not in FLAGS:
            raise self._refusal("SOURCE", f"a source needs a title and a flag out of {', '.join(FLAGS)}")
        numbers = [n for n in (self.value, self.lo, self.hi, self.u) if n is not None]
        numbers += [n for pair in self.points for n in pair]
        if (self.value is None) == (not self.points) or not all(math.isfinite(n) for n in numbers):
            raise self._refusal("NUMBER", "give either one finite value or a table of points")
        if (self.lo is None) != (self.hi is None):
            raise self._refusal("NUMBER", "give both ends of the range, lo and hi, or neither")
        ends = sorted(n for n in (self.lo, self.value, self.hi) if n is not None)
        if self.lo is not None and [self.lo, self.value, self.hi] != ends:
            raise self._refusal(
                "NUMBER", f"lo, value, hi = {self.lo:g}, {self.value}, {self.hi} are out of order"
            )
        if self.quantity in ("k", "e"):
            self._check_friction()

    def _check_friction(self) -> None:
        lowest = min(n for n in (self.value, self.lo) if n is not None)
        highest = max(n for n in (self.value, self.hi) if n is not None)
        if self.quantity == "k" and (self.value or 0.0) < 1.0:
            raise self._refusal("RATIO", f"k = {self.value:g}: a device cannot give back more than it gets")
        if self.quantity == "e" and not (lowest > 0.0 and highest <= 1.0):
            raise self._refusal(
                "RATIO", f"e = {lowest:g} … {highest:g}: an efficiency is above 0 and at most 1"
            )

    def _refusal(self, code: str, why: str) -> CatalogueRefusal:
        return CatalogueRefusal(code, f"Row {self.id!r}: {why}.", (self.id,))

    def _si(self, number: float) -> float:
        dimension = UNITS[self.unit]
        return (
            number * _FACTORS.get(self.unit, 1.0)
            if dimension is None
            else to_si(number, self.unit, dimension)
        )

    @property
    def si(self) -> float:
        """The value in SI (a plain number stays as it is)."""
        if self.value is None:
            raise self._refusal("TABLE", "it is a table of points, not one value")
        return self._si(self.value)

    @property
    def points_si(self) -> tuple[tuple[float, float], ...]:
        """The table with its second column in SI and angles of the first in radians."""
        return tuple((math.radians(x) if self.x_unit == "deg" else x, self._si(y)) for x, y in self.points)

    def measured(self) -> Measured:
        """Return the value with its uncertainty, in SI.

        Raises
        ------
        CatalogueRefusal
            ``NO_RANGE`` if the source prints one figure and no range.

        Notes
        -----
        A measured device keeps its own ``u``. A printed range is taken as rectangular, u = (hi − lo)/√12
        (JCGM 100:2008, 4.3.7 and, where the likely value is not in the middle, 4.3.8); the interval is the
        whole printed range.
        """
        if self.lo is None or self.hi is None:
            raise self._refusal(
                "NO_RANGE", "its source prints one figure and no range; measure, or state a range"
            )
        lo, hi = self._si(self.lo), self._si(self.hi)
        u = (hi - lo) / math.sqrt(12.0) if self.u is None else self.u
        return Measured(self.si, u, lo, hi)

    def ratio(self) -> Measured:
        """Return the tension ratio k of a friction row, whether it is printed as k or as e = 1/k.

        Raises
        ------
        CatalogueRefusal
            ``NO_RANGE`` as :meth:`measured`; ``NOT_FRICTION`` if the row is neither.

        Examples
        --------
        >>> from haulwright.catalogue.loading import row
        >>> round(row("sheaves", "ring").ratio().hi, 3)
        1.429
        """
        if self.quantity not in ("k", "e"):
            raise self._refusal(
                "NOT_FRICTION", f"it is a {self.quantity}, not a tension ratio or an efficiency"
            )
        given = self.measured()
        if self.quantity == "k":
            return given
        return Measured(1.0 / given.value, given.u / given.value**2, 1.0 / given.hi, 1.0 / given.lo)
