"""The units Haulwright reads and prints: spellings, factors to SI and usual decimals.

The factors are exact by definition: the international pound 0.45359237 kg, the inch 25.4 mm and the standard
acceleration 9.80665 m/s² (NIST Special Publication 811, 2008, appendix B; SI Brochure, 9th ed.).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

G0 = 9.80665
POUND_KG = 0.45359237
INCH_M = 0.0254
FORCE_UNITS = ("kgf", "kN", "lbf", "t", "N")


@dataclass(frozen=True)
class Unit:
    """One unit of one dimension.

    Attributes
    ----------
    name : str
        The spelling it is shown with.
    factor : float
        SI value of one unit.
    also : tuple of str
        Other accepted spellings.
    offset : float
        SI value of zero (temperatures only).
    decimals : int
        Decimals shown when nothing else is asked for.
    """

    name: str
    factor: float
    also: tuple[str, ...] = ()
    offset: float = 0.0
    decimals: int = 2


def _tons(per_kg: float, suffix: str) -> tuple[Unit, ...]:
    """Return the three tons that say which one they are; ``per_kg`` is the SI value of one kilogram."""
    short, long = 2000 * POUND_KG * per_kg, 2240 * POUND_KG * per_kg
    return (
        Unit(
            "t",
            1000 * per_kg,
            ("tonne", "tonnes", "metric ton", "metric tons", *((suffix,) if suffix else ())),
        ),
        Unit("short ton", short, ("short tons",)),
        Unit("long ton", long, ("long tons",)),
    )


# Order matters where a spelling stands in two dimensions and none is asked for: the first one wins.
DIMENSIONS: dict[str, tuple[Unit, ...]] = {
    "force": (
        Unit(
            "kgf", G0, ("kg", "kgs", "kilogram-force", "kilograms", "kilogram", "kilo", "kilos"), decimals=0
        ),
        Unit("kN", 1000.0, ("kilonewton", "kilonewtons")),
        Unit("daN", 10.0, ("decanewton", "decanewtons"), decimals=0),
        Unit("N", 1.0, ("newton", "newtons"), decimals=0),
        Unit("lbf", POUND_KG * G0, ("lb", "lbs", "pound", "pounds", "pound-force"), decimals=0),
        *_tons(G0, "tf"),
    ),
    "mass": (
        Unit("kg", 1.0, ("kgs", "kilogram", "kilograms", "kilo", "kilos"), decimals=0),
        Unit("lb", POUND_KG, ("lbs", "pound", "pounds"), decimals=0),
        Unit("g", 0.001, ("gram", "grams"), decimals=0),
        *_tons(1.0, ""),
    ),
    "length": (
        Unit("m", 1.0, ("metre", "metres", "meter", "meters"), decimals=1),
        Unit("mm", 0.001, ("millimetre", "millimetres", "millimeter", "millimeters"), decimals=0),
        Unit("cm", 0.01, ("centimetre", "centimetres", "centimeter", "centimeters"), decimals=0),
        Unit("km", 1000.0, ("kilometre", "kilometres", "kilometer", "kilometers")),
        Unit("ft", 12 * INCH_M, ("foot", "feet", "'", "′"), decimals=1),
        Unit("in", INCH_M, ("inch", "inches", '"', "″")),
    ),
    "angle": (
        Unit("°", math.pi / 180, ("deg", "degs", "degree", "degrees"), decimals=1),
        Unit("rad", 1.0, ("radian", "radians"), decimals=3),
    ),
    "temperature": (
        Unit("°C", 1.0, ("C", "degC", "deg C", "celsius"), offset=273.15, decimals=0),
        Unit("°F", 5 / 9, ("F", "degF", "deg F", "fahrenheit"), offset=273.15 - 32 * 5 / 9, decimals=0),
        Unit("K", 1.0, ("kelvin",), decimals=0),
    ),
    "time": (
        Unit("s", 1.0, ("sec", "secs", "second", "seconds"), decimals=0),
        Unit("min", 60.0, ("mins", "minute", "minutes"), decimals=1),
        Unit("h", 3600.0, ("hr", "hrs", "hour", "hours")),
        Unit("ms", 0.001, ("millisecond", "milliseconds"), decimals=0),
    ),
    "fraction": (
        Unit("%", 0.01, ("percent", "per cent"), decimals=1),
        Unit("", 1.0, decimals=3),
    ),
    "slope": (
        Unit("°", math.pi / 180, ("deg", "degs", "degree", "degrees"), decimals=1),
        Unit("rad", 1.0, ("radian", "radians"), decimals=3),
        Unit("%", math.nan, ("percent", "per cent"), decimals=0),  # a tangent: see units.to_si
    ),
    "speed": (
        Unit("m/min", 1 / 60, ("m/minute",)),
        Unit("m/s", 1.0, ("m/sec",)),
        Unit("km/h", 1 / 3.6, ("km/hr", "kph"), decimals=1),
        Unit("ft/min", 12 * INCH_M / 60, ("fpm",), decimals=1),
    ),
}

COMPOUND: dict[str, tuple[tuple[str, ...], ...]] = {
    "length": (("ft", "in"), ("km", "m", "cm", "mm")),
    "time": (("h", "min", "s", "ms"),),
}


def _index(units: tuple[Unit, ...]) -> dict[str, Unit]:
    spelled = {spelling: unit for unit in units for spelling in (unit.name, *unit.also)}
    folded = {spelling.casefold(): unit for spelling, unit in spelled.items()}
    return {**folded, **spelled}


SPELLINGS: dict[str, dict[str, Unit]] = {dimension: _index(units) for dimension, units in DIMENSIONS.items()}


def find_unit(spelling: str, dimension: str) -> Unit | None:
    """Return the unit of ``dimension`` written ``spelling`` (capitals do not matter), or None.

    Examples
    --------
    >>> find_unit("kg", "force").name, find_unit("kg", "mass").name, find_unit("ton", "mass")
    ('kgf', 'kg', None)
    """
    spelled = SPELLINGS[dimension]
    return spelled.get(spelling) or spelled.get(spelling.casefold())
