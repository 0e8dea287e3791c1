"""The angle at which a line runs onto the drum: at the fairlead, and between fairlead and drum."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.errors import QuantityRefusal
from haulwright.field.inputs import between, not_negative
from haulwright.field.published import house


@dataclass(frozen=True)
class FleetLimits:
    """Published limits of the fleet angle [rad]: good, greatest; what they hold for, and who says so."""

    good_rad: float
    greatest_rad: float
    valid: str
    source: str


def fleet_limits() -> FleetLimits:
    """Return the published limits of the fleet angle.

    Returns
    -------
    FleetLimits

    Raises
    ------
    CatalogueRefusal
        If the catalogue has lost its rows.

    References
    ----------
    Catalogue, rules, ``fleet-angle-good`` and ``fleet-angle-greatest``: NAVEDTRA 14081.

    Examples
    --------
    >>> [round(math.degrees(x), 3) for x in (fleet_limits().good_rad, fleet_limits().greatest_rad)]
    [1.5, 2.0]
    """
    good, greatest = house("fleet-angle-good"), house("fleet-angle-greatest")
    return FleetLimits(good.value, greatest.value, "wire rope winding on a drum", greatest.source)


def line_angle(line: tuple[float, float], ahead: tuple[float, float]) -> float:
    """Return the angle between the line as it leaves the fairlead and straight ahead of the winch [rad].

    Parameters
    ----------
    line, ahead : (float, float)
        Directions on the ground, any length above 0.

    Returns
    -------
    float
        0 to pi.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` for a direction without a length.

    References
    ----------
    Plane geometry.

    Examples
    --------
    >>> round(math.degrees(line_angle((10.0, 3.0), (1.0, 0.0))), 2)
    16.7
    """
    for x, y in (line, ahead):
        if not math.isfinite(math.hypot(x, y)) or math.hypot(x, y) == 0.0:
            raise QuantityRefusal(
                "RANGE", f"direction ({x:g}, {y:g}): expected one with a length.", ("direction",)
            )
    cross = ahead[0] * line[1] - ahead[1] * line[0]
    return abs(math.atan2(cross, ahead[0] * line[0] + ahead[1] * line[1]))


def fairlead_load(pull_N: float, angle_rad: float) -> float:
    """Return the force a line puts on the fairlead that turns it [N].

    Parameters
    ----------
    pull_N : float
        Line pull [N].
    angle_rad : float
        From :func:`line_angle` [rad].

    Returns
    -------
    float
        ``2 T sin(angle / 2)``, the fairlead without friction.

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for the pull, ``RANGE`` for the angle.

    References
    ----------
    Triangle of forces.

    Examples
    --------
    >>> round(fairlead_load(40e3, math.radians(30.0)))
    20706
    """
    not_negative(pull_N, "line pull [N]")
    between(angle_rad, 0.0, math.pi, "angle at the fairlead [rad]")
    return 2.0 * pull_N * math.sin(angle_rad / 2.0)
