"""Read a quantity as people type it, strictly.

A general unit library reads ``3,2 kN`` as 32 kN, ``2 ton`` as US short tons and ``9000 lbs`` as a mass. Here
what can be read in two ways is refused with both readings.
"""

from __future__ import annotations

import math
import re

from haulwright.errors import QuantityRefusal
from haulwright.quantities.conversion import known_unit, quoted, to_si
from haulwright.quantities.numerals import read_number
from haulwright.quantities.unit_table import COMPOUND

_NUMBER = r"(?:[0-9]|[.,][0-9])(?:[0-9.,]|[ \u00a0\u2009\u202f](?=[0-9]))*(?:[eE][+\-\u2212]?[0-9]+)?"
_PIECE = re.compile(rf"\s*([+\-\u2212]?\s*{_NUMBER})\s*([^0-9+\u2212]*?)\s*(?=[0-9]|$)")
_RATIO = re.compile(r"^\s*([^:]+?)\s*(?::|\bin\b)\s*([^:]+?)\s*$")
_EXAMPLES = {
    "force": "12 kN, 1200 kgf, 2700 lbf or 1.2 t",
    "mass": "2400 kg, 2.4 t or 5300 lb",
    "length": "11 mm, 2.5 m or 5 ft 3 in",
    "angle": "75 deg or 1.3 rad",
    "slope": "8 deg, 12 % or 1:8",
    "temperature": "20 °C, 68 °F or 293 K",
    "time": "160 s, 2 min 40 s or 1.5 h",
    "fraction": "0.5 % or 0.005",
    "speed": "2.5 m/min, 0.04 m/s or 3 km/h",
}


def parse(
    text: str | float | int, dimension: str, *, default_unit: str | None = None, what: str = ""
) -> float:
    """Return the SI value of a typed quantity.

    Parameters
    ----------
    text : str or float or int
        E.g. ``"3,2 kN"``, ``"5 ft 3 in"``, ``"2 min 40 s"``, ``"1:8"``; a plain number needs
        ``default_unit``, except for a fraction.
    dimension : str
        ``force`` [N], ``mass`` [kg], ``length`` [m], ``angle`` [rad], ``slope`` [rad], ``temperature`` [K],
        ``time`` [s], ``fraction`` [1] or ``speed`` [m/s].
    default_unit : str, optional
        Unit of a number typed without one.
    what : str
        Name of the input, for the message.

    Returns
    -------
    float
        The value in the SI unit of the dimension.

    Raises
    ------
    QuantityRefusal
        ``NUMBER`` (no finite number), ``UNIT`` (missing or unknown unit), ``AMBIGUOUS`` (two readings) or
        ``RANGE`` (below absolute zero).

    Notes
    -----
    In the dimension force, "kg", "t" and "lb" mean the weight of that mass under standard gravity, 9.80665
    m/s².

    References
    ----------
    NIST Special Publication 811 (2008), appendix B: conversion factors.

    Examples
    --------
    >>> parse("3,2 kN", "force"), parse("1 kg", "force"), parse("5 ft 3 in", "length")
    (3200.0, 9.80665, 1.6002)
    """
    name = (what,) if what else ()
    if isinstance(text, bool) or not isinstance(text, str | float | int):
        raise QuantityRefusal(
            "NUMBER", f"{quoted(text, what)} is not a quantity: write {_EXAMPLES[dimension]}.", name
        )
    if not isinstance(text, str):
        try:
            number = float(text)
        except OverflowError:  # a whole number of hundreds of digits
            number = math.inf
        if not math.isfinite(number):
            raise QuantityRefusal("NUMBER", f"{quoted(str(text), what)} is not a finite number.", name)
        return to_si(number, _default(text, dimension, default_unit, what), dimension, what=what)
    if dimension == "slope" and (ratio := _RATIO.match(text)):
        return _ratio(text, ratio[1], ratio[2], what)
    pieces = _pieces(text, dimension, what)
    if len(pieces) > 1:
        return _compound(text, pieces, dimension, what)
    number, spelling = pieces[0]
    return to_si(number, spelling or _default(text, dimension, default_unit, what), dimension, what=what)


def _default(text: object, dimension: str, default_unit: str | None, what: str) -> str:
    """Return the unit of a number typed without one, or refuse."""
    if default_unit is not None:
        return default_unit
    if dimension == "fraction":
        return ""
    raise QuantityRefusal(
        "UNIT", f"{quoted(text, what)} has no unit: write {_EXAMPLES[dimension]}.", (what,) if what else ()
    )


def _pieces(text: str, dimension: str, what: str) -> list[tuple[float, str]]:
    """Split ``text`` into numbers, each with the unit that follows it."""
    found: list[tuple[float, str]] = []
    place = 0
    while place < len(text.rstrip()):
        match = _PIECE.match(text, place)
        if match is None:
            break
        found.append((read_number(match[1], what=what), " ".join(match[2].split())))
        place = match.end()
    if not found or text[place:].strip():
        raise QuantityRefusal(
            "NUMBER",
            f"{quoted(text, what)} cannot be read as a {dimension}: write {_EXAMPLES[dimension]}.",
            (what,) if what else (),
        )
    return found


def _compound(text: str, pieces: list[tuple[float, str]], dimension: str, what: str) -> float:
    """Return the sum of e.g. ``5 ft 3 in``: whole pieces but the last, units falling in size."""
    units = [known_unit(spelling, dimension, what, n) if spelling else None for n, spelling in pieces]
    names = [unit.name if unit else "" for unit in units]
    families = COMPOUND.get(dimension, ())
    falling = any(names == [name for name in family if name in names] for family in families)
    whole = all(number == int(number) for number, _ in pieces[:-1])
    if not (falling and whole and all(number >= 0 for number, _ in pieces[1:])):
        raise QuantityRefusal(
            "NUMBER",
            f"{quoted(text, what)} cannot be read as one {dimension}: write {_EXAMPLES[dimension]}.",
            (what,) if what else (),
        )
    size = sum(abs(number) * unit.factor for (number, _), unit in zip(pieces, units, strict=True) if unit)
    if not math.isfinite(size):
        raise QuantityRefusal(
            "NUMBER", f"{quoted(text, what)} is not a finite number.", (what,) if what else ()
        )
    return math.copysign(size, pieces[0][0])


def _ratio(text: str, rise_text: str, run_text: str, what: str) -> float:
    """Return the slope angle [rad] of ``rise:run``."""
    rise, run = read_number(rise_text, what=what), read_number(run_text, what=what)
    if run <= 0 or abs(rise) > run:
        raise QuantityRefusal(
            "AMBIGUOUS",
            f"{quoted(text, what)}: a slope is written rise:run with the rise no larger, as 1:8; some trades "
            "write it the other way round. Steeper than 1:1, give degrees.",
            (what,) if what else (),
        )
    return math.atan(rise / run)
