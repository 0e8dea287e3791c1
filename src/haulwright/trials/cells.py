"""What is known of a load cell, from plain words or from a campaign."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from haulwright.errors import TrialRefusal
from haulwright.quantities.units import parse_force, parse_fraction
from haulwright.trials.log import ForceLog

ASSUMED_CLASS = 0.005  # of reading, where none is stated
PLACES = ("line", "anchor")
_KEYS = {"class", "of", "capacity", "cell", "factor", "expanded"}
_GREATEST_FACTOR = 1.25  # a calibration factor beyond this, or below its inverse, is a slip (house limit)
_OF = ("reading", "range")


@dataclass(frozen=True)
class CellSpec:
    """What is known of a load cell.

    Attributes
    ----------
    cell : str
        Its name.
    capacity_N : float or None
        Range [N].
    accuracy : float or None
        Class as a fraction, a limit of the total error; None if not known (0.5 % of reading is then assumed).
    of : str
        What the class is a fraction of: ``reading`` or ``range``.
    factor : float
        From a calibration certificate: true force ÷ reading.
    expanded : float or None
        From a certificate: expanded uncertainty (k = 2) as a fraction of reading. It stands in place of the class.
    """

    cell: str = ""
    capacity_N: float | None = None
    accuracy: float | None = None
    of: str = "reading"
    factor: float = 1.0
    expanded: float | None = None

    def __post_init__(self) -> None:
        if self.of not in _OF:
            raise self._wrong(f"Class of cell {self.cell!r} is of {self.of!r}: expected reading or range.")
        if self.accuracy is not None and not 0.0 < self.accuracy < 0.2:
            raise self._wrong(
                f"Class of cell {self.cell!r} is {self.accuracy:g}: expected a fraction above 0 and below 0.2, "
                "as 0.005 for 0.5 %."
            )
        if self.capacity_N is not None and not 0.0 < self.capacity_N < math.inf:
            raise self._wrong(
                f"Capacity of cell {self.cell!r} is {self.capacity_N:g} N: expected a force above 0, as 3 t."
            )
        if self.accuracy is not None and self.of == "range" and not self.capacity_N:
            raise self._wrong(
                f"Class of cell {self.cell!r} is of its range, but no capacity is given: add it."
            )
        if not 1.0 / _GREATEST_FACTOR < self.factor < _GREATEST_FACTOR:
            raise self._wrong(
                f"Calibration factor of cell {self.cell!r} is {self.factor:g}: expected true force ÷ reading, near 1."
            )
        if self.expanded is not None and not 0.0 < self.expanded < 0.2:
            raise self._wrong(
                f"Expanded uncertainty of cell {self.cell!r} is {self.expanded:g}: expected a fraction above 0 and "
                "below 0.2, as 0.003 for 0.3 %."
            )

    def _wrong(self, message: str) -> TrialRefusal:
        return TrialRefusal("CELL", message, (self.cell,))

    def limit_at(self, reading_N: float) -> float:
        """Return the limit of the relative error at a reading.

        Examples
        --------
        >>> CellSpec("c1", capacity_N=30000.0, accuracy=0.001, of="range").limit_at(6000.0)
        0.005
        """
        share = ASSUMED_CLASS if self.accuracy is None else self.accuracy
        if self.of == "range" and self.capacity_N:
            return share * self.capacity_N / reading_N
        return share

    @property
    def known(self) -> bool:
        """Whether anything is stated of its error."""
        return self.accuracy is not None or self.expanded is not None

    @property
    def error_word(self) -> str:
        """What its error is known from: ``class`` or ``certificate``."""
        return "class" if self.expanded is None else "certificate"

    def standard_at(self, reading_N: float) -> float:
        """Return the relative standard uncertainty of a reading.

        Notes
        -----
        From a certificate, half its expanded uncertainty (k = 2); from a class, its limit ÷ √3 (rectangular).

        References
        ----------
        JCGM 100:2008 (GUM), 4.3.3 and 4.3.7.

        Examples
        --------
        >>> CellSpec("c1", accuracy=0.005, expanded=0.003).standard_at(6000.0)
        0.0015
        >>> CellSpec("c1", accuracy=0.005).standard_at(6000.0)
        0.0029
        """
        if self.expanded is not None:
            return self.expanded / 2.0
        return self.limit_at(reading_N) / math.sqrt(3.0)


def calibrated(log: ForceLog, cells: Mapping[str, CellSpec] | None) -> ForceLog:
    """Return a log with the calibration factor of each cell applied to its readings.

    Parameters
    ----------
    log : ForceLog
    cells : mapping place -> CellSpec, or None
    """
    scaled = {place: spec.factor for place, spec in (cells or {}).items() if spec.factor != 1.0}
    if not scaled:
        return log
    channels = {
        place: replace(one, force_N=one.force_N * scaled[place]) if place in scaled else one
        for place, one in log.channels.items()
    }
    return replace(log, channels=channels)


def cell_specs(given: Mapping[str, Any] | None) -> dict[str, CellSpec] | None:
    """Return cells from plain words, as a command line or a script gives them.

    Parameters
    ----------
    given : mapping place -> CellSpec or mapping, or None
        Places ``line`` and ``anchor``; keys ``class``, ``of``, ``capacity``, ``cell``, its name, and from a certificate
        ``factor`` and ``expanded``.

    Returns
    -------
    dict of CellSpec, or None

    Raises
    ------
    TrialRefusal
        CELL for a place, key or word that is not known, or a class or capacity that is out of range.
    QuantityRefusal
        A class or capacity that cannot be read.

    Examples
    --------
    >>> cell_specs({"line": {"class": "0.5 %", "capacity": "20 kN"}})["line"].capacity_N
    20000.0
    """
    if given is None:
        return None
    return {
        place: cell if isinstance(cell, CellSpec) else _spec(place, cell) for place, cell in given.items()
    }


def _spec(place: str, cell: Any) -> CellSpec:
    if place not in PLACES or not isinstance(cell, Mapping):
        raise TrialRefusal(
            "CELL",
            f"cell {place}: expected line or anchor, with class, of and capacity, as class=0.5%.",
            (place,),
        )
    unknown = set(cell) - _KEYS
    if unknown or cell.get("of", "reading") not in _OF:
        raise TrialRefusal(
            "CELL",
            f"cell {place}: {', '.join(sorted(unknown)) or 'of=' + str(cell['of'])} is not known. "
            "Give class=0.5%, of=reading or of=range, capacity=3t, factor=1.004, expanded=0.3%.",
            (place,),
        )
    capacity, class_, expanded = cell.get("capacity"), cell.get("class"), cell.get("expanded")
    return CellSpec(
        cell=str(cell.get("cell", "")),
        capacity_N=None if capacity is None else parse_force(capacity, what=f"capacity of the {place} cell"),
        accuracy=None if class_ is None else parse_fraction(class_, what=f"class of the {place} cell"),
        of=cell.get("of", "reading"),
        factor=_factor(place, cell.get("factor", 1.0)),
        expanded=None
        if expanded is None
        else parse_fraction(expanded, what=f"expanded uncertainty of the {place} cell"),
    )


def _factor(place: str, given: Any) -> float:
    try:
        return float(given)
    except (TypeError, ValueError):
        raise TrialRefusal(
            "CELL",
            f"cell {place}: factor={given} is no number; expected true force ÷ reading, as 1.004.",
            (place,),
        ) from None
