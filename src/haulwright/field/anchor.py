"""Anchors: what a parked vehicle, a buried log or a row of pickets holds.

There is no number for a tree here, and none for a rock: no formula vouches for either. Their limit is unknown until
the user enters one with its source (:func:`haulwright.field.rating.entered_limit`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import between, one_of, positive
from haulwright.field.published import GRAVITY_m_s2, Number
from haulwright.field.published import grip as published_grip
from haulwright.field.published_gear import deadman_longest, deadman_soil, deadman_table, pickets_table

_SAME = 1e-9


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
    """Return the line pull at which a vehicle with all wheels locked starts to slide [N].

    Parameters
    ----------
    weight_N : float
        Weight of the anchor vehicle [N].
    grip : float
        Friction coefficient between locked tyres and ground.
    slope_rad : float
        Slope it stands on, along the line, 0 to below pi / 2 [rad].
    pulled : {"down", "up"}
        Whether the line pulls it down or up the slope.
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
    positive(weight_N, "weight of the anchor vehicle [N]")
    positive(grip, "friction of the tyres")
    between(slope_rad, 0.0, math.pi / 2.0 - _SAME, "slope [rad]")
    alpha = between(above_ground_rad, 0.0, math.pi / 2.0, "angle of the line above the ground [rad]")
    one_of(pulled, ("down", "up"), "direction the anchor is pulled")
    along = math.sin(slope_rad) if pulled == "up" else -math.sin(slope_rad)
    held = grip * math.cos(slope_rad)
    if held <= math.sin(slope_rad):
        raise PlanRefusal(
            "SLIDES",
            f"With friction {grip:g} a vehicle slides down a {math.degrees(slope_rad):.0f}° slope by itself: "
            "it is no anchor there.",
            ("anchor",),
        )
    return weight_N * (held + along) / (math.cos(alpha) + grip * math.sin(alpha))


def parked_vehicle(
    mass_kg: float, surface: str, slope_rad: float = 0.0, pulled: str = "down", above_ground_rad: float = 0.0
) -> Holding:
    """Return what a parked vehicle with all wheels locked holds on a surface.

    Parameters
    ----------
    mass_kg : float
        Actual mass of the anchor vehicle [kg].
    surface : str
        Ground under its tyres: ``wet grass`` or ``dry road`` (``grass`` is taken as wet, ``road`` as dry).
    slope_rad, pulled, above_ground_rad : float, str, float
        As in :func:`slide_pull`.

    Returns
    -------
    Holding
        By the low, middle and high end of the catalogue's friction.

    Raises
    ------
    PlanRefusal
        ``SLIDES`` if the slope alone makes it slide at the low end.
    QuantityRefusal
        ``SURFACE`` if the surface has no friction; ``NOT_POSITIVE``, ``RANGE`` or ``WORD`` for a mass, an angle or
        a direction that is not accepted.

    References
    ----------
    Statics of :func:`slide_pull`. Friction: catalogue, friction, ``parked-wet-grass`` and ``parked-dry-road``,
    common practice, no source.

    Examples
    --------
    >>> holds = parked_vehicle(3000.0, "wet grass")
    >>> [round(force_N / 1e3, 2) for force_N in (holds.low_N, holds.likely_N, holds.high_N)]
    [8.83, 10.3, 11.77]
    """
    weight_N = positive(mass_kg, "mass of the anchor vehicle [kg]") * GRAVITY_m_s2
    grip = published_grip(surface)
    low, likely, high = (
        slide_pull(weight_N, value, slope_rad, pulled, above_ground_rad)
        for value in (grip.low, grip.value, grip.high)
    )
    note = f"all wheels locked on {surface}, friction {grip.low:g} to {grip.high:g}; chock, back-tie and watch it"
    return Holding(low, likely, high, grip.source, note)


def deadman_bearing(depth_m: float, line_slope_rad: float, soil: str = "loam") -> Number:
    """Return the holding pressure of the ground in front of a buried log [Pa].

    Parameters
    ----------
    depth_m : float
        Depth of the log's middle [m].
    line_slope_rad : float
        Slope of the line from the log to the ground, up to pi / 4 [rad].
    soil : str
        ``loam``, ``hardpan`` or ``fine wet``.

    Returns
    -------
    Number
        Pressure [Pa] with its source. Between printed depths and slopes the weaker neighbour is taken.

    Raises
    ------
    PlanRefusal
        ``DEADMAN`` if it is shallower or steeper than the table.
    QuantityRefusal
        ``NOT_POSITIVE`` for the depth, ``RANGE`` for the slope, ``SOIL`` for another word.

    References
    ----------
    TM 5-5420-278-10, table 9 (holding power of deadmen in loam; factors for other soils).

    Examples
    --------
    >>> round(deadman_bearing(5 * 0.3048, math.atan(1 / 2)).value)
    172369
    """
    positive(depth_m, "depth of the deadman [m]")
    table = deadman_table()
    run = 1.0 / math.tan(between(line_slope_rad, _SAME, math.pi / 2.0, "slope of the line [rad]"))
    printed_runs = [printed for printed in table.pressure_Pa if printed <= run * (1.0 + _SAME)]
    by_depth = table.pressure_Pa[max(printed_runs)] if printed_runs else {}
    depths = [printed for printed in by_depth if printed <= depth_m * (1.0 + _SAME)]
    if not depths:
        steepest = min(table.pressure_Pa)
        first_m = min(table.pressure_Pa[steepest])
        raise PlanRefusal(
            "DEADMAN",
            f"A deadman {depth_m:.2f} m deep with the line rising 1 in {run:.2g} is outside the published table, which "
            f"starts at {first_m:.2f} m and 1 in {steepest:g}: dig deeper, or lay the line flatter.",
            ("anchor",),
        )
    pressure_Pa = by_depth[max(depths)] * deadman_soil(soil)
    return Number(pressure_Pa, pressure_Pa, pressure_Pa, table.source)


def deadman(
    face_m: float,
    length_m: float,
    depth_m: float,
    line_slope_rad: float,
    trench_m: float,
    soil: str = "loam",
    shape: str = "log",
) -> Holding:
    """Return what a deadman (buried log or timber) holds [N].

    Parameters
    ----------
    face_m : float
        Height of its face: diameter of a log, or height of a timber's bearing face [m].
    length_m : float
        Length [m].
    depth_m : float
        Depth of its middle [m].
    line_slope_rad : float
        Slope of the line from it to the ground [rad].
    trench_m : float
        Width of the trench the line lies in, which does not bear [m].
    soil : str
        ``loam``, ``hardpan`` or ``fine wet``.
    shape : {"log", "timber"}
        Decides how long it may be before it bends.

    Returns
    -------
    Holding

    Raises
    ------
    PlanRefusal
        ``DEADMAN`` if it is too long for its thickness, shorter than the trench, or outside the table.
    QuantityRefusal
        As :func:`deadman_bearing`; ``NOT_POSITIVE`` for any measure, ``SHAPE`` for another word.

    Notes
    -----
    ``F = p (length - trench) × face``.

    References
    ----------
    TM 5-5420-278-10, table 9 and its worked method.

    Examples
    --------
    >>> foot = 0.3048
    >>> holds = deadman(1.25 * foot, 6 * foot, 5 * foot, math.atan(1 / 2), 1 * foot)
    >>> round(holds.likely_N / 1e3, 1)
    100.1
    """
    positive(face_m, "face of the deadman [m]")
    positive(length_m, "length of the deadman [m]")
    positive(trench_m, "width of the trench [m]")
    longest = deadman_longest(shape)
    if length_m > longest * face_m * (1.0 + _SAME):
        raise PlanRefusal(
            "DEADMAN",
            f"A {shape} {length_m:.2f} m long and {face_m:.2f} m thick bends: at most {longest:g} times its thickness.",
            ("anchor",),
        )
    if length_m <= trench_m:
        raise PlanRefusal(
            "DEADMAN", "The deadman is no longer than the trench is wide: nothing bears.", ("anchor",)
        )
    pressure = deadman_bearing(depth_m, line_slope_rad, soil)
    force_N = pressure.value * (length_m - trench_m) * face_m
    note = f"{shape} in {soil} by a published table for undisturbed ground; watch it, it gives no warning"
    return Holding(force_N, force_N, force_N, pressure.source, note)


def pickets(row: str) -> Holding:
    """Return what a row of pickets holds.

    Parameters
    ----------
    row : str
        Pickets one behind the other, from the line: ``single``, ``1-1``, ``1-1-1``, ``2-1``, ``3-2-1``.

    Returns
    -------
    Holding

    Raises
    ------
    QuantityRefusal
        ``PICKETS`` if the row is not in the catalogue.

    References
    ----------
    US Army FM 5-125, picket holdfasts in loamy soil, from memory: catalogue, anchors, ``pickets-single`` and on.

    Examples
    --------
    >>> round(pickets("3-2-1").likely_N / 1e3, 1)
    17.8
    """
    table = pickets_table()
    one_of(row, table, "row of pickets", "PICKETS")
    number = table[row]
    return Holding(
        number.low,
        number.value,
        number.high,
        number.source,
        f"pickets {row} in undisturbed loam; watch every one",
    )
