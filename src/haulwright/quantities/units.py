"""Quantities as people type and read them: the one door for units.

Reading is strict (see :mod:`haulwright.quantities.parsing`), inside everything is SI, and printing follows
one rule.
"""

from __future__ import annotations

from haulwright.quantities.conversion import (
    from_si,
    show,
    speak,
    speak_kept,
    speaking,
    spoken,
    spoken_unit,
    to_si,
    unit_name,
    unspoken,
)
from haulwright.quantities.parsing import parse
from haulwright.quantities.unit_table import FORCE_UNITS

__all__ = [
    "FORCE_UNITS",
    "from_si",
    "parse",
    "parse_angle",
    "parse_force",
    "parse_fraction",
    "parse_length",
    "parse_mass",
    "parse_slope",
    "parse_speed",
    "parse_temperature",
    "parse_time",
    "show",
    "speak",
    "speak_kept",
    "speaking",
    "spoken",
    "spoken_unit",
    "to_si",
    "unit_name",
    "unspoken",
]


def parse_force(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a force [N]; see :func:`parse`."""
    return parse(text, "force", default_unit=default_unit, what=what)


def parse_mass(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a mass [kg]; see :func:`parse`."""
    return parse(text, "mass", default_unit=default_unit, what=what)


def parse_length(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a length [m]; see :func:`parse`."""
    return parse(text, "length", default_unit=default_unit, what=what)


def parse_angle(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return an angle [rad]; see :func:`parse`."""
    return parse(text, "angle", default_unit=default_unit, what=what)


def parse_slope(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a slope's angle [rad] from degrees, percent (tangent) or rise:run; see :func:`parse`."""
    return parse(text, "slope", default_unit=default_unit, what=what)


def parse_temperature(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a temperature [K]; see :func:`parse`."""
    return parse(text, "temperature", default_unit=default_unit, what=what)


def parse_time(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a duration [s]; see :func:`parse`."""
    return parse(text, "time", default_unit=default_unit, what=what)


def parse_fraction(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a fraction [1] given in percent or as a plain number; see :func:`parse`."""
    return parse(text, "fraction", default_unit=default_unit, what=what)


def parse_speed(text: str | float | int, *, default_unit: str | None = None, what: str = "") -> float:
    """Return a speed [m/s]; see :func:`parse`."""
    return parse(text, "speed", default_unit=default_unit, what=what)
