"""What is known of the stuck vehicle and of the ground under it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.inputs import between, not_negative, one_of, positive
from haulwright.field.published import GRAVITY_m_s2, depth_limits, depth_words, surface_words

WHEELS = ("rolling", "half locked", "all locked")
WHEEL_STATES = ("turns", "locked", "damaged", "flat")
LIES = ("on its wheels", "on its side", "on its roof")
DIRECTIONS = ("up", "down", "level")


@dataclass(frozen=True)
class Body:
    """One thing on wheels that is pulled: the vehicle, or its trailer.

    Attributes
    ----------
    name : str
        Empty for the vehicle.
    weight_N : float
        With its load [N].
    sunk : str
        Depth word.
    locked : float
        Share of its wheels that do not turn.
    locked_words : str
        The same in words; empty where all turn.
    flats : int
        Flat tyres.
    """

    name: str
    weight_N: float
    sunk: str
    locked: float = 0.0
    locked_words: str = ""
    flats: int = 0


@dataclass(frozen=True)
class Trailer:
    """A trailer behind the stuck vehicle.

    Attributes
    ----------
    mass_kg, load_kg : float
        Its own mass and what is on it [kg].
    wheels : {"rolling", "half locked", "all locked"}
        ``all locked`` too where its brake is on and cannot be let off.
    sunk : str
        How deep it stands, as of the vehicle.
    """

    mass_kg: float
    load_kg: float = 0.0
    wheels: str = "rolling"
    sunk: str = "none"


@dataclass(frozen=True)
class StuckVehicle:
    """The vehicle to be moved.

    Attributes
    ----------
    mass_kg : float
        Actual mass with fuel and gear, not the empty mass of the papers [kg].
    load_kg : float
        Load on top of that [kg].
    wheels : {"rolling", "half locked", "all locked"}
        Whether the wheels turn: all, those of one axle, or none.
    sunk : str
        How deep it stands, in the words of the published rules: ``none``, or a depth of the catalogue's mire
        tables (``rim``, ``wheel``, ``fender``, ``body``, ``cab``). Each rule knows its own words only.
    drive_helps : bool
        It drives with the pull on its own wheels.
    opposite_direction : bool
        It is pulled out the way it came in.
    mass_low_kg, mass_high_kg : float or None
        What the mass may be at least and at most [kg]; None: it is known.
    people_kg : float
        People who stay in it [kg].
    each_wheel : tuple of str
        State of every wheel (``turns``, ``locked``, ``damaged``, ``flat``) in place of ``wheels``. A damaged wheel
        counts as one that does not turn (common practice, no source).
    driven : float
        Share of the weight on driven wheels, for the help of its own drive.
    trailer : Trailer or None
    suction_N : float
        Suction that must be broken before it moves, as told by the trainer [N].
    lies : {"on its wheels", "on its side", "on its roof"}
    """

    mass_kg: float
    load_kg: float = 0.0
    wheels: str = "rolling"
    sunk: str = "none"
    drive_helps: bool = False
    opposite_direction: bool = False
    mass_low_kg: float | None = None
    mass_high_kg: float | None = None
    people_kg: float = 0.0
    each_wheel: tuple[str, ...] = ()
    driven: float = 1.0
    trailer: Trailer | None = None
    suction_N: float = 0.0
    lies: str = "on its wheels"

    @property
    def own_weight_N(self) -> float:  # noqa: N802
        """Weight with load and people, without the trailer [N]."""
        return (self.mass_kg + self.load_kg + self.people_kg) * GRAVITY_m_s2

    @property
    def weight_N(self) -> float:  # noqa: N802
        """Weight of all that is pulled [N]."""
        return sum(body.weight_N for body in self.bodies)

    @property
    def bodies(self) -> tuple[Body, ...]:
        """The vehicle, then its trailer."""
        own = Body("", self.own_weight_N, self.sunk, *_wheels(self.wheels, self.each_wheel))
        if self.trailer is None:
            return (own,)
        towed = self.trailer
        weight_N = (towed.mass_kg + towed.load_kg) * GRAVITY_m_s2
        return (own, Body("trailer", weight_N, towed.sunk, *_wheels(towed.wheels, ())))

    @property
    def masses(self) -> tuple[StuckVehicle, ...]:
        """The vehicle at its likely, then at its least and greatest mass, where these are told."""
        others = dict.fromkeys(m for m in (self.mass_low_kg, self.mass_high_kg) if m is not None)
        return (self, *(replace(self, mass_kg=mass, mass_low_kg=None, mass_high_kg=None) for mass in others))


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


def _wheels(word: str, each: tuple[str, ...]) -> tuple[float, str, int]:
    """Return the share of wheels that do not turn, that in words, and the number of flat tyres."""
    if not each:
        share = {"half locked": 0.5, "all locked": 1.0}.get(word, 0.0)
        return share, f"wheels {word}" if share else "", 0
    stuck = sum(state in ("locked", "damaged") for state in each)
    words = f"{stuck} of {len(each)} wheels not turning" if stuck else ""
    return stuck / len(each), words, each.count("flat")


def depth_word(depth_m: float, wheel_radius_m: float) -> str:
    """Return the word of the mire tables for a depth that was measured.

    Parameters
    ----------
    depth_m : float
        How deep the wheel stands below the ground around it [m].
    wheel_radius_m : float
        Radius of the wheel with its tyre [m].

    Returns
    -------
    str
        ``none`` for zero; ``rim`` to half the radius, ``wheel`` to the hub, ``fender`` to the top of the tyre, ``cab``
        above it.

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for the depth, ``NOT_POSITIVE`` for the radius.

    Notes
    -----
    A reading of ours: the tables print words, no centimetres.

    References
    ----------
    House numbers of the catalogue, rules, ``depth-…``; no source.

    Examples
    --------
    >>> [depth_word(depth, 0.40) for depth in (0.0, 0.15, 0.35, 0.6, 0.9)]
    ['none', 'rim', 'wheel', 'fender', 'cab']
    """
    depth = not_negative(depth_m, "depth sunk [m]")
    radius = positive(wheel_radius_m, "wheel radius [m]")
    if depth == 0.0:
        return "none"
    return next(
        (word for word, share in depth_limits().items() if depth <= share * radius * (1 + 1e-9)), "cab"
    )


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
        ``SURFACE``, ``DEPTH``, ``WHEELS``, ``LIES``, ``DIRECTION`` with the accepted words and the nearest spelling;
        ``NOT_POSITIVE``, ``NEGATIVE``, ``RANGE`` for masses, suction, slope.
    PlanRefusal
        ``SLOPE`` for a slope with direction ``level``.

    References
    ----------
    Words of surface and depth: catalogue, surfaces. Slope up to 89°: house limit, no source.

    Examples
    --------
    >>> check(StuckVehicle(3000.0), Ground("grass"))
    """
    _check_vehicle(vehicle)
    if vehicle.trailer is not None:
        positive(vehicle.trailer.mass_kg, "mass of the trailer [kg]")
        not_negative(vehicle.trailer.load_kg, "load of the trailer [kg]")
        one_of(vehicle.trailer.wheels, WHEELS, "wheels of the trailer", "WHEELS")
        one_of(vehicle.trailer.sunk, ("none", *depth_words()), "sunk (trailer)", "DEPTH")
    one_of(ground.surface, surface_words(), "surface", "SURFACE")
    one_of(ground.direction, DIRECTIONS, "direction", "DIRECTION")
    between(math.degrees(ground.slope_rad), 0.0, 89.0, "slope [deg]")
    if ground.direction == "level" and ground.slope_rad > 0.0:
        raise PlanRefusal(
            "SLOPE",
            f"A slope of {math.degrees(ground.slope_rad):.0f}° with direction level: say up or down; across a slope "
            "give the slope along the line of pull, and watch for tipping.",
            ("ground",),
        )


def _check_vehicle(vehicle: StuckVehicle) -> None:
    mass = positive(vehicle.mass_kg, "mass of the stuck vehicle [kg]")
    if vehicle.mass_low_kg is not None:
        between(positive(vehicle.mass_low_kg, "least mass [kg]"), 0.0, mass, "least mass [kg]")
    if vehicle.mass_high_kg is not None and not mass <= vehicle.mass_high_kg < math.inf:
        raise QuantityRefusal(
            "RANGE",
            f"greatest mass [kg] is {vehicle.mass_high_kg:g}: expected the likely mass, {mass:g}, or more.",
            ("greatest mass [kg]",),
        )
    not_negative(vehicle.load_kg, "load of the stuck vehicle [kg]")
    not_negative(vehicle.people_kg, "people in the stuck vehicle [kg]")
    not_negative(vehicle.suction_N, "suction [N]")
    between(vehicle.driven, 0.0, 1.0, "share of the weight on driven wheels")
    one_of(vehicle.wheels, WHEELS, "wheels", "WHEELS")
    for state in vehicle.each_wheel:
        one_of(state, WHEEL_STATES, "state of a wheel", "WHEELS")
    if vehicle.each_wheel and vehicle.wheels != "rolling":
        raise QuantityRefusal(
            "WHEELS", "The wheels are told both together and one by one: keep one.", ("wheels",)
        )
    one_of(vehicle.lies, LIES, "lies", "LIES")
    one_of(vehicle.sunk, ("none", *depth_words()), "sunk", "DEPTH")
