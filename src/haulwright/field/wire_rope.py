"""Strength of a steel wire rope from its class, diameter and wire grade."""

from __future__ import annotations

from haulwright import catalogue
from haulwright.field.inputs import between, positive

GRADES_MPa = (1370.0, 2160.0)
"""Rope grades in use, lowest and highest [N/mm²]; catches a slipped unit (common practice, no source)."""


def breaking_force(diameter_m: float, grade_Pa: float, construction: str, core: str) -> float:
    """Return the minimum breaking force of a steel wire rope [N].

    Parameters
    ----------
    diameter_m : float
        Nominal diameter [m].
    grade_Pa : float
        Rope grade (tensile strength of the wires) [Pa], e.g. 1770e6.
    construction : str
        Class, e.g. ``"6x19"``, ``"6x36"``.
    core : {"fibre", "steel"}
        Kind of core.

    Returns
    -------
    float
        ``K d^2 R_r`` [N]. It is a breaking strength (MBS), never a working limit, and holds for a new rope with a
        sound termination.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` for the grade, ``NOT_POSITIVE`` for the diameter.
    CatalogueRefusal
        ``UNKNOWN`` if the class is not in the catalogue.

    Notes
    -----
    ``F_min = K d^2 R_r``, K by class and core.

    References
    ----------
    EN 12385-4; factors K in the catalogue, table wire_rope.

    Examples
    --------
    >>> round(breaking_force(0.010, 1770e6, "6x36", "steel") / 1e3, 1)
    63.0
    """
    low, high = (grade * 1e6 for grade in GRADES_MPa)
    between(grade_Pa, low, high, "rope grade [Pa]")
    factor = catalogue.wire_rope_strength_factor(construction, core)
    return factor * positive(diameter_m, "rope diameter [m]") ** 2 * grade_Pa
