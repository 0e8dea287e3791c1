"""The line itself: elastic stretch, stored energy and the recoil it can drive."""

from __future__ import annotations

import math

from haulwright.errors import RigRefusal


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise RigRefusal("INPUT", f"{name} = {value:g}: give a number above 0.", (name,))


def stretch(tension_N: float, length_m: float, EA_N: float) -> float:
    """Return the elastic stretch of a line under even tension.

    Parameters
    ----------
    tension_N : float
        Tension [N], >= 0.
    length_m : float
        Unloaded length [m].
    EA_N : float
        Axial stiffness: modulus × metallic (or fibre) area [N].

    Returns
    -------
    float
        Stretch [m].

    Raises
    ------
    RigRefusal
        INPUT for a length or stiffness that is not positive, or a negative tension.

    Notes
    -----
    ``dL = T L / EA``; for a bedded-in line within its working range.

    References
    ----------
    Hooke's law. Trade figure: 16 mm 6x19 wire rope stretches tonnes/10 percent, that is EA about 9807 kN.

    Examples
    --------
    >>> round(stretch(40e3, 30.0, 46.0e-6 * 100e9), 4)
    0.2609
    """
    _positive(length_m=length_m, EA_N=EA_N)
    if tension_N < 0.0:
        raise RigRefusal("INPUT", f"tension_N = {tension_N:g}: a line cannot push.", ("tension_N",))
    return tension_N * length_m / EA_N


def stored_energy(tension_N: float, length_m: float, EA_N: float) -> float:
    """Return the elastic energy in a line under even tension [J].

    Parameters
    ----------
    tension_N, length_m, EA_N : float
        As in :func:`stretch` [N], [m], [N].

    Returns
    -------
    float
        ``T² L / (2 EA)`` [J].

    Raises
    ------
    RigRefusal
        INPUT as in :func:`stretch`.

    References
    ----------
    Work of a linear spring.

    Examples
    --------
    >>> round(stored_energy(40e3, 30.0, 46.0e-6 * 100e9))
    5217
    """
    return 0.5 * tension_N * stretch(tension_N, length_m, EA_N)


def recoil_speed_bound(energy_J: float, mass_kg: float) -> float:
    """Return an upper bound of the speed of a fitting flung by a parted line.

    Parameters
    ----------
    energy_J : float
        Elastic energy that is released [J].
    mass_kg : float
        Mass of the fitting [kg].

    Returns
    -------
    float
        ``sqrt(2 U / m)`` [m/s]; the mass of the line itself is left out, so the true speed is lower.

    Raises
    ------
    RigRefusal
        INPUT for an energy or mass that is not positive.

    References
    ----------
    Conservation of energy.

    Examples
    --------
    >>> round(recoil_speed_bound(5217.0, 2.0), 1)
    72.2
    """
    _positive(energy_J=energy_J, mass_kg=mass_kg)
    return math.sqrt(2.0 * energy_J / mass_kg)
