"""A parked vehicle as an anchor: where friction would let it slide.

There is no number for a tree here, and none for a rock: no formula vouches for either. Their limit is unknown until
the user enters one with its source (:func:`haulwright.field.rating.entered_limit`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import between, one_of, positive
from haulwright.field.published import GRAVITY_m_s2, house
from haulwright.field.published import grip as published_grip

_SAME = 1e-9
BRAKES = ("all wheels", "parking brake", "off")


@dataclass(frozen=True)
class Holding:
    """What an anchor holds, as a range.

    Attributes
    ----------
    low_N, likely_N, high_N : float
        Force along the line at which it starts to give way [N]. Plan with the low one.
    source : str
        Citation of the numbers.
    note : str
        What it holds for.
    """

    low_N: float
    likely_N: float
    high_N: float
    source: str
    note: str


def slide_pull(
    weight_N: float, grip: float, slope_rad: float = 0.0, pulled: str = "down", above_ground_rad: float = 0.0
) -> float:
    """Return the line pull at which a vehicle with all wheels held starts to slide, pulled straight down or up a slope [N].

    Parameters
    ----------
    weight_N, grip, slope_rad : float
        As in :func:`slide_pull_towards`.
    pulled : {"down", "up"}
        Whether the line pulls it down or up the slope.
    above_ground_rad : float
        As in :func:`slide_pull_towards`.

    Returns
    -------
    float
        Line tension [N].

    Raises
    ------
    PlanRefusal
        ``SLIDES`` if the slope alone makes it slide.
    QuantityRefusal
        ``NOT_POSITIVE``, ``RANGE`` or ``WORD`` for a number or direction that is not accepted.

    Notes
    -----
    Along the slope ``T cos(alpha) = mu (W cos(theta) - T sin(alpha)) ± W sin(theta)``, minus when pulled down, plus
    when pulled up; solved for T.

    References
    ----------
    Statics of a block on a slope, Coulomb friction.

    Examples
    --------
    >>> round(slide_pull(35e3, 0.35) / 1e3, 2)
    12.25
    """
    one_of(pulled, ("down", "up"), "direction the anchor is pulled")
    return slide_pull_towards(
        weight_N, grip, slope_rad, 0.0 if pulled == "down" else math.pi, above_ground_rad
    )


def slide_pull_towards(
    weight_N: float, grip: float, slope_rad: float, from_downhill_rad: float, above_ground_rad: float = 0.0
) -> float:
    """Return the line pull at which a vehicle with all wheels held starts to slide, pulled any way on a slope [N].

    Parameters
    ----------
    weight_N : float
        Weight on the braked wheels' ground [N].
    grip : float
        Friction coefficient between held tyres and ground.
    slope_rad : float
        Slope it stands on, 0 to below pi / 2 [rad].
    from_downhill_rad : float
        Direction of the pull within the slope: 0 straight down it, pi / 2 across, pi straight up [rad].
    above_ground_rad : float
        Angle of the line above the ground [rad]; its uplift takes weight off the tyres.

    Returns
    -------
    float
        Line tension [N]. Chocks and back-ties hold more and are not counted.

    Raises
    ------
    PlanRefusal
        ``SLIDES`` if the slope alone makes it slide.
    QuantityRefusal
        ``NOT_POSITIVE`` or ``RANGE`` for a number that is not accepted.

    Notes
    -----
    It slides when the pull and its own weight along the slope together exceed what friction holds:
    ``|T cos(alpha) u + W sin(theta) d| = mu (W cos(theta) - T sin(alpha))``, u the direction of the pull, d downhill;
    the least positive T. Friction is taken alike in every direction.

    References
    ----------
    Statics of a block on a slope, Coulomb friction.

    Examples
    --------
    >>> across = slide_pull_towards(30e3, 0.5, math.radians(10.0), math.pi / 2.0)
    >>> slide_pull(30e3, 0.5, math.radians(10.0)) < across < slide_pull(30e3, 0.5, math.radians(10.0), "up")
    True
    """
    positive(weight_N, "weight of the anchor vehicle [N]")
    positive(grip, "friction of the tyres")
    between(slope_rad, 0.0, math.pi / 2.0 - _SAME, "slope [rad]")
    alpha = between(above_ground_rad, 0.0, math.pi / 2.0, "angle of the line above the ground [rad]")
    phi = between(from_downhill_rad, 0.0, math.pi, "direction of the pull [rad]")
    along, held = weight_N * math.sin(slope_rad), grip * weight_N * math.cos(slope_rad)
    if held <= along:
        raise PlanRefusal(
            "SLIDES",
            f"With friction {grip:g} a vehicle slides down a {math.degrees(slope_rad):.0f}° slope by itself: "
            "it is no anchor there.",
            ("anchor",),
        )
    level, lift = math.cos(alpha), grip * math.sin(alpha)
    # |T level u + along d|² = (held - T lift)²: a T² + 2 b T + c = 0 with c below 0
    a = level**2 - lift**2
    b = level * along * math.cos(phi) + held * lift
    c = along**2 - held**2
    return -c / (b + math.sqrt(max(b * b - a * c, 0.0)))


def parked_vehicle(
    mass_kg: float,
    surface: str,
    slope_rad: float = 0.0,
    pulled: str | float = "down",
    above_ground_rad: float = 0.0,
    brakes: str = "all wheels",
) -> Holding:
    """Return what a parked vehicle holds on a surface by friction alone.

    Parameters
    ----------
    mass_kg : float
        Actual mass of the anchor vehicle [kg].
    surface : str
        Ground under its tyres, a word of :func:`haulwright.field.published.grip_words` (``grass`` is taken as wet,
        ``road`` as dry).
    slope_rad : float
        As in :func:`slide_pull_towards`.
    pulled : {"down", "up"} or float
        Down or up the slope, or the angle from straight downhill [rad].
    above_ground_rad : float
        As in :func:`slide_pull_towards`.
    brakes : {"all wheels", "parking brake", "off"}
        What holds the wheels. The parking brake alone may hold half the weight: that is the low end then. Brakes off
        hold nothing.

    Returns
    -------
    Holding
        By the low, middle and high end of the catalogue's friction.

    Raises
    ------
    PlanRefusal
        ``SLIDES`` if the slope alone makes it slide at the high end.
    QuantityRefusal
        ``SURFACE`` if the surface has no friction; ``NOT_POSITIVE``, ``RANGE`` or ``WORD`` for a mass, an angle or
        a word that is not accepted.

    Notes
    -----
    An end of the friction at which it slides down by itself holds nothing.

    References
    ----------
    Statics of :func:`slide_pull_towards`. Friction: catalogue, friction, ``parked-wet-grass`` and on.

    Examples
    --------
    >>> holds = parked_vehicle(3000.0, "wet grass")
    >>> [round(force_N / 1e3, 2) for force_N in (holds.low_N, holds.likely_N, holds.high_N)]
    [5.88, 10.3, 11.77]
    """
    weight_N = positive(mass_kg, "mass of the anchor vehicle [kg]") * GRAVITY_m_s2
    one_of(brakes, BRAKES, "brakes of the anchor vehicle")
    number = published_grip(surface)
    if brakes == "off":
        return Holding(0.0, 0.0, 0.0, number.source, "its brakes are off: it rolls")
    if isinstance(pulled, str):
        pulled = (
            0.0 if one_of(pulled, ("down", "up"), "direction the anchor is pulled") == "down" else math.pi
        )
    share = house("parking-brake-share").value if brakes == "parking brake" else 1.0
    high = slide_pull_towards(weight_N, number.high, slope_rad, pulled, above_ground_rad)
    low, likely = (
        _or_nothing(weight_N, value, slope_rad, pulled, above_ground_rad)
        for value in (number.low * share, number.value * share)
    )
    held = "all wheels held" if brakes == "all wheels" else "parking brake only"
    note = f"{held} on {surface}, friction {number.low:g} to {number.high:g}"
    note += "" if low > 0.0 else ", at the low end it slides down by itself"
    note += "; chock, back-tie and watch it"
    return Holding(low, likely, high, number.source, note)


def _or_nothing(
    weight_N: float, grip: float, slope_rad: float, pulled: float, above_ground_rad: float
) -> float:
    try:
        return slide_pull_towards(weight_N, grip, slope_rad, pulled, above_ground_rad)
    except PlanRefusal:
        return 0.0
