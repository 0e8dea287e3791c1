"""What is known of the stuck vehicle and of the ground under it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import between, not_negative, one_of, positive
from haulwright.field.published import GRAVITY_m_s2, depth_words, surface_words

WHEELS = ("rolling", "half locked", "all locked")
DIRECTIONS = ("up", "down", "level")


@dataclass(frozen=True)
class StuckVehicle:
    """The vehicle to be moved.

    Attributes
    ----------
    mass_kg : float
        Actual mass with fuel, gear and trailer, not the empty mass of the papers [kg].
    load_kg : float
        Load and people on top of that [kg].
    wheels : {"rolling", "half locked", "all locked"}
        Whether the wheels turn: all, those of one axle, or none.
    sunk : str
        How deep it stands, in the words of the published rules: ``none``, or a depth of the catalogue's mire
        tables (``rim``, ``wheel``, ``fender``, ``body``, ``cab``). Each rule knows its own words only.
    drive_helps : bool
        It drives with the pull on its own wheels.
    opposite_direction : bool
        It is pulled out the way it came in.
    """

    mass_kg: float
    load_kg: float = 0.0
    wheels: str = "rolling"
    sunk: str = "none"
    drive_helps: bool = False
    opposite_direction: bool = False

    @property
    def weight_N(self) -> float:  # noqa: N802
        """Weight with its load [N]."""
        return (self.mass_kg + self.load_kg) * GRAVITY_m_s2


@dataclass(frozen=True)
class Ground:
    """The ground along the line of pull.

    Attributes
    ----------
    surface : str
        A word of the catalogue's surfaces.
    slope_rad : float
        Slope along the pull, 0 or more [rad].
    direction : {"up", "down", "level"}
        Whether the pull goes up or down that slope.
    """

    surface: str
    slope_rad: float = 0.0
    direction: str = "level"

    @property
    def rise_rad(self) -> float:
        """Slope with its sign: above zero uphill, below zero downhill [rad]."""
        return -self.slope_rad if self.direction == "down" else self.slope_rad


def check(vehicle: StuckVehicle, ground: Ground) -> None:
    """Refuse a vehicle or ground that is not understood.

    Parameters
    ----------
    vehicle : StuckVehicle
        The vehicle.
    ground : Ground
        The ground.

    Returns
    -------
    None
        Both are understood; whether a rule covers them is for :func:`haulwright.field.resistance.estimate`.

    Raises
    ------
    QuantityRefusal
        ``SURFACE``, ``DEPTH``, ``WHEELS``, ``DIRECTION`` with the accepted words and the nearest spelling;
        ``NOT_POSITIVE``, ``NEGATIVE``, ``RANGE`` for mass, load, slope.
    PlanRefusal
        ``SLOPE`` for a slope with direction ``level``.

    References
    ----------
    Words of surface and depth: catalogue, surfaces. Slope up to 89°: house limit, no source.

    Examples
    --------
    >>> check(StuckVehicle(3000.0), Ground("grass"))
    """
    positive(vehicle.mass_kg, "mass of the stuck vehicle [kg]")
    not_negative(vehicle.load_kg, "load of the stuck vehicle [kg]")
    one_of(vehicle.wheels, WHEELS, "wheels", "WHEELS")
    one_of(vehicle.sunk, ("none", *depth_words()), "sunk", "DEPTH")
    one_of(ground.surface, surface_words(), "surface", "SURFACE")
    one_of(ground.direction, DIRECTIONS, "direction", "DIRECTION")
    between(ground.slope_rad, 0.0, math.radians(89.0), "slope [rad]")
    if ground.direction == "level" and ground.slope_rad > 0.0:
        raise PlanRefusal(
            "SLOPE",
            f"A slope of {math.degrees(ground.slope_rad):.0f}° with direction level: say up or down; across a slope "
            "give the slope along the line of pull, and watch for tipping.",
            ("ground",),
        )
