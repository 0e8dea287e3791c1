"""What is left of a rating when the gear is used another way than straight: shares by published step tables.

No standard gives values between the printed steps, so the next *lower* share is taken, never an interpolation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import between, not_negative, one_of, positive
from haulwright.field.published_gear import Steps, sling_modes, steps

_SAME = 1e-9


@dataclass(frozen=True)
class Derating:
    """What is left of a rating.

    Attributes
    ----------
    share : float
        Usable limit ÷ rating.
    reason : str
        In words, with the step of the table that was taken.
    source : str
        Citation of the table.
    """

    share: float
    reason: str
    source: str


def shackle_side_load(angle_rad: float) -> Derating:
    """Return what is left of a shackle's WLL when the load leaves its axis, in the plane of the bow.

    Parameters
    ----------
    angle_rad : float
        Angle of the load from the axis of the shackle, 0 to pi / 2 [rad].

    Returns
    -------
    Derating
        The share printed for the next greater angle.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` if the angle is outside 0 to pi / 2: a shackle is never loaded backwards.

    Notes
    -----
    Anything off the axis takes the 45° step at once; no standard prints a value between.

    References
    ----------
    Catalogue, shackles, ``side-load``: sheets after ASME B30.26.

    Examples
    --------
    >>> [shackle_side_load(math.radians(angle)).share for angle in (0, 10, 45, 46, 90)]
    [1.0, 0.7, 0.7, 0.5, 0.5]
    """
    between(angle_rad, 0.0, math.pi / 2.0 + _SAME, "side angle at the shackle [rad]")
    return _up_to(steps("shackle side load"), math.degrees(angle_rad), "side load", "°")


def choker(angle_rad: float) -> Derating:
    """Return what is left of a sling's *choker* rating at a choke angle.

    Parameters
    ----------
    angle_rad : float
        Angle of choke: 0 for a tight fold back, pi for a straight sling [rad].

    Returns
    -------
    Derating
        The share of the band the angle lies in.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` if the angle is outside 0 to pi.

    References
    ----------
    Catalogue, slings, ``choker-angle``: leaflet after ASME B30.9.

    Examples
    --------
    >>> [choker(math.radians(angle)).share for angle in (121, 120, 90, 89, 60, 30, 29)]
    [1.0, 0.87, 0.87, 0.74, 0.74, 0.62, 0.49]
    """
    between(angle_rad, 0.0, math.pi, "angle of choke [rad]")
    table = steps("choker angle")
    degrees = math.degrees(angle_rad)
    if abs(degrees - table.steps[-1][0]) <= _SAME:  # the last step is printed as "over 120", not "from 120"
        table = replace(table, steps=table.steps[:-1])
    return _from_on(table, degrees, "choke angle", "°")


def wire_bend(bend_m: float, rope_m: float) -> Derating:
    """Return what is left of a steel wire rope's breaking strength where it is bent.

    Parameters
    ----------
    bend_m : float
        Diameter it is bent to: pin, sheave tread, thimble [m].
    rope_m : float
        Rope diameter [m].

    Returns
    -------
    Derating
        The share printed for the next smaller D/d.

    Raises
    ------
    PlanRefusal
        ``DERATING`` if D/d is below the table.
    QuantityRefusal
        ``NOT_POSITIVE`` for a diameter.

    Notes
    -----
    Steel wire rope only; no open table for fibre rope was found, so none is given. Two published curves disagree
    (0.96 against about 0.92 at D/d 27); this is the lower.

    References
    ----------
    Catalogue, wire_rope, ``bend-strength``.

    Examples
    --------
    >>> wire_bend(0.0254, 0.0127).share, wire_bend(0.12, 0.0127).share
    (0.65, 0.83)
    """
    ratio = positive(bend_m, "bend diameter [m]") / positive(rope_m, "rope diameter [m]")
    return _from_on(steps("wire bend"), ratio, "bend D/d", "")


def shackle_heat(temperature_C: float) -> Derating:
    """Return what is left of a shackle's WLL when it is hot.

    Parameters
    ----------
    temperature_C : float
        Temperature [°C].

    Returns
    -------
    Derating

    Raises
    ------
    PlanRefusal
        ``DERATING`` beyond the last step of the table: not to be used.
    QuantityRefusal
        ``NEGATIVE`` if the temperature is below zero or not a number.

    References
    ----------
    Catalogue, shackles, ``temperature``.

    Examples
    --------
    >>> [shackle_heat(temperature_C).share for temperature_C in (20, 200, 201, 301, 400)]
    [1.0, 1.0, 0.9, 0.75, 0.75]
    """
    not_negative(temperature_C, "temperature [°C]")
    return _up_to(steps("shackle heat"), temperature_C, "heat", " °C")


def sling_mode(mode: str) -> Derating:
    """Return the factor on a textile sling's straight WLL for the way it is used.

    Parameters
    ----------
    mode : str
        ``straight``, ``basket`` (parallel legs), ``choke``, ``basket-45``, ``basket-60``, ``two-leg-45``,
        ``two-leg-60``, ``four-leg-45``, ``four-leg-60``; the number is the greatest angle from the vertical.

    Returns
    -------
    Derating
        Above 1 where several legs carry.

    Raises
    ------
    QuantityRefusal
        ``MODE`` for another word.

    Notes
    -----
    Lifting ratings: recovery is outside the scope of the standard.

    References
    ----------
    EN 1492-1 and -2, mode factors.

    Examples
    --------
    >>> sling_mode("choke").share
    0.8
    """
    modes = sling_modes()
    number = modes[one_of(mode, modes, "mode of the sling", "MODE")]
    return Derating(number.value, f"sling used {mode}", number.source)


def _up_to(table: Steps, value: float, what: str, unit: str) -> Derating:
    """Take the first printed step at or above ``value`` (the table falls with its argument)."""
    for bound, share in table.steps:
        if value <= bound + _SAME:
            return Derating(share, f"{what} {value:.3g}{unit}, printed for {bound:g}{unit}", table.source)
    raise _beyond(what, value, unit, f"ends at {table.steps[-1][0]:g}{unit}")


def _from_on(table: Steps, value: float, what: str, unit: str) -> Derating:
    """Take the last printed step at or below ``value`` (the table rises with its argument)."""
    for bound, share in reversed(table.steps):
        if value >= bound - _SAME:
            return Derating(share, f"{what} {value:.3g}{unit}, printed for {bound:g}{unit}", table.source)
    raise _beyond(what, value, unit, f"starts at {table.steps[0][0]:g}{unit}")


def _beyond(what: str, value: float, unit: str, end: str) -> PlanRefusal:
    return PlanRefusal(
        "DERATING",
        f"{what} {value:.3g}{unit}: the published table {end}. Do not use the gear this way.",
        (what,),
    )
