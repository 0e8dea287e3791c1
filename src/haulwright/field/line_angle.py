"""What angles do to forces: a bend at a block, a bridle, a sling leg.

Two angles exist and are named apart: the angle *between the parts* (0° = parallel) and the angle of a leg
*from the horizontal*.
"""

from __future__ import annotations

import math

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import between, not_negative

_SMALL_rad = 1e-9


def bend_factor(between_parts_rad: float) -> float:
    """Return the load of a block ÷ line tension when both parts carry the same.

    Parameters
    ----------
    between_parts_rad : float
        Angle between the two parts, 0 (parallel) to pi (straight through) [rad].

    Returns
    -------
    float
        ``2 cos(theta / 2)``, 2 down to 0.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` outside 0 to pi.

    References
    ----------
    Printed in rigging tables as 2.00 at 0°, 1.41 at 90°, 1.00 at 120°; exact statics.

    Examples
    --------
    >>> round(bend_factor(math.radians(90.0)), 4)
    1.4142
    """
    return 2.0 * math.cos(between(between_parts_rad, 0.0, math.pi, "angle between the parts [rad]") / 2.0)


def bend_load(one_N: float, other_N: float, between_parts_rad: float) -> float:
    """Return the load of a block whose two parts carry different tensions [N].

    Parameters
    ----------
    one_N, other_N : float
        Tensions of the parts [N].
    between_parts_rad : float
        Angle between them, 0 to pi [rad].

    Returns
    -------
    float
        ``sqrt(T1^2 + T2^2 + 2 T1 T2 cos(theta))`` [N].

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for a tension; ``RANGE`` if the angle is outside 0 to pi.

    References
    ----------
    Law of cosines.

    Examples
    --------
    >>> round(bend_load(1.0, 0.9, math.radians(90.0)), 4)
    1.3454
    """
    not_negative(one_N, "tension [N]")
    not_negative(other_N, "tension [N]")
    theta = between(between_parts_rad, 0.0, math.pi, "angle between the parts [rad]")
    square = one_N**2 + other_N**2 + 2.0 * one_N * other_N * math.cos(theta)
    return math.sqrt(max(square, 0.0))


def bridle_leg(load_N: float, between_legs_rad: float) -> float:
    """Return the tension of each leg of a symmetrical two-leg bridle [N].

    Parameters
    ----------
    load_N : float
        Load along the middle line of the bridle [N].
    between_legs_rad : float
        Angle between the legs, 0 to below pi [rad].

    Returns
    -------
    float
        ``F / (2 cos(phi / 2))`` [N]. A bridle that cannot slide shares unevenly: then one leg may take all of it.

    Raises
    ------
    PlanRefusal
        ``BRIDLE_FLAT`` at 180°, where no leg tension is large enough.
    QuantityRefusal
        ``NEGATIVE`` for the load; ``RANGE`` outside 0 to pi.

    References
    ----------
    Exact statics: 0.50, 0.58, 0.71, 1.00 of the load at 0°, 60°, 90°, 120°.

    Examples
    --------
    >>> round(bridle_leg(1.0, math.radians(120.0)), 4)
    1.0
    """
    not_negative(load_N, "load of the bridle [N]")
    phi = between(between_legs_rad, 0.0, math.pi, "angle between the legs [rad]")
    if math.pi - phi < _SMALL_rad:
        raise PlanRefusal(
            "BRIDLE_FLAT", "The two legs lie in one straight line: no tension in them holds the load."
        )
    return load_N / (2.0 * math.cos(phi / 2.0))


def sling_leg_factor(from_horizontal_rad: float, least_rad: float) -> float:
    """Return leg tension ÷ its share of the load, for a leg at an angle from the horizontal.

    Parameters
    ----------
    from_horizontal_rad : float
        Angle of the leg from the horizontal, up to pi / 2 [rad].
    least_rad : float
        Least angle the sling charts allow [rad] (catalogue row ``sling-least-angle``).

    Returns
    -------
    float
        ``1 / sin(alpha)``, which is leg length ÷ height.

    Raises
    ------
    PlanRefusal
        ``SLING_FLAT`` below ``least_rad``.
    QuantityRefusal
        ``RANGE`` above pi / 2.

    References
    ----------
    Sling charts after ASME B30.9: 1.155 at 60°, 1.414 at 45°, 2.000 at 30°.

    Examples
    --------
    >>> round(sling_leg_factor(math.radians(45.0), math.radians(30.0)), 3)
    1.414
    """
    alpha = between(from_horizontal_rad, 0.0, math.pi / 2.0, "angle from the horizontal [rad]")
    if alpha < least_rad - _SMALL_rad:
        raise PlanRefusal(
            "SLING_FLAT",
            f"A leg {math.degrees(alpha):.0f}° from the horizontal is flatter than the {math.degrees(least_rad):.0f}° "
            "sling charts allow: use longer legs.",
        )
    return 1.0 / math.sin(alpha)
