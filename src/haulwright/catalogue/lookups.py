"""The few look-ups that need more than a row's id."""

from __future__ import annotations

from haulwright.catalogue.loading import load
from haulwright.errors import CatalogueRefusal


def shackle_wll(body_mm: float) -> float:
    """Return the working load limit of a grade 6 bow or dee shackle of this nominal body diameter.

    Parameters
    ----------
    body_mm : float
        Nominal diameter of the body [mm], as printed in the table.

    Returns
    -------
    float
        Working load limit [N].

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN`` for a size the table does not print.

    Notes
    -----
    Only for a shackle that carries this mark; the mark on the shackle comes first.

    References
    ----------
    Catalogue table quoting RR-C-271 and EN 13889, grade 6.

    Examples
    --------
    >>> round(shackle_wll(19) / 9806.65, 2)
    4.75
    """
    sizes = {float(row.extra["body_mm"]): row for row in load("shackles").values() if row.family == "grade-6"}
    if body_mm not in sizes:
        printed = ", ".join(f"{size:g}" for size in sizes)
        raise CatalogueRefusal(
            "UNKNOWN", f"No shackle with a {body_mm:g} mm body; printed are {printed} mm.", ()
        )
    return sizes[body_mm].si


def wire_rope_strength_factor(construction: str, core: str) -> float:
    """Return the breaking-force factor K of EN 12385-4 for a wire rope.

    Parameters
    ----------
    construction : str
        ``6x7``, ``6x19``, ``6x19M``, ``6x36``, ``6x37M`` or ``8x36``.
    core : str
        ``fibre`` or ``steel``.

    Returns
    -------
    float
        K of ``F_min = K d² R``.

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN``, with what is there.

    Examples
    --------
    >>> wire_rope_strength_factor("6x36", "steel")
    0.356
    """
    rows = {(row.extra["construction"], row.extra["core"]): row for row in load("wire_rope").values()
            if row.quantity == "strength-factor"}  # fmt: skip
    if (construction, core) not in rows:
        there = ", ".join(f"{name} {kind}" for name, kind in rows)
        raise CatalogueRefusal(
            "UNKNOWN", f"No factor for {construction} with {core} core; there are {there}.", ()
        )
    return rows[construction, core].si
