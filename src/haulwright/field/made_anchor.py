"""Made anchors: what a buried log or a row of pickets holds by published tables.

Such a figure is where the ground is printed to give way, not a rating: only an own proof pull or an engineer rates one.
"""

from __future__ import annotations

import math

from haulwright.errors import PlanRefusal
from haulwright.field.anchor import Holding
from haulwright.field.inputs import between, one_of, positive
from haulwright.field.published import Number
from haulwright.field.published_gear import deadman_longest, deadman_soil, deadman_table, pickets_table

_SAME = 1e-9


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
    NAVEDTRA 14251 for single, 1-1-1 and 3-2-1; US Army FM 5-125 from memory for 1-1 and 2-1: catalogue, anchors,
    ``pickets-single`` and on.

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
