"""What a standard's table gives a piece when a marked size is all that is known: named *by table*, never a mark."""

from __future__ import annotations

from dataclasses import dataclass

from haulwright.errors import PlanRefusal
from haulwright.field.inputs import positive
from haulwright.field.published_gear import (
    shackle_break_factor,
    shackle_sizes,
    sling_colours,
)
from haulwright.field.published_rope import strength_source
from haulwright.field.wire_rope import breaking_force

_CLOSE_m = 0.0002  # a size in inches beside its printed millimetres


@dataclass(frozen=True)
class ByTable:
    """A figure of a table.

    Attributes
    ----------
    force_N : float
        WLL or least breaking force [N].
    basis : str
        ``WLL`` or ``MBS``.
    words : str
        Which table, and for what size.
    source : str
        Citation.
    break_N : float
        Least breaking force [N].
    """

    force_N: float
    basis: str
    words: str
    source: str
    break_N: float


def shackle(body_m: float, grade: str) -> ByTable:
    """Return the WLL of a bow or dee shackle from the diameter of its body and the grade marked on it.

    Parameters
    ----------
    body_m : float
        Nominal diameter of the body [m].
    grade : str
        Grade marked on it: ``6``.

    Returns
    -------
    ByTable

    Raises
    ------
    PlanRefusal
        ``NO_TABLE`` for a grade or a size that is not printed: sizes are never interpolated.
    QuantityRefusal
        ``NOT_POSITIVE`` for the diameter.

    References
    ----------
    Catalogue, shackles: a table that quotes RR-C-271 and EN 13889, grade 6.

    Examples
    --------
    >>> round(shackle(0.019, "6").force_N / 9806.65, 2)
    4.75
    """
    positive(body_m, "diameter of the shackle's body [m]")
    sizes = shackle_sizes(grade)
    if not sizes:
        raise PlanRefusal(
            "NO_TABLE", f"No table for shackles of grade {grade!r}; there is one for grade 6.", (grade,)
        )
    size = min(sizes, key=lambda printed: abs(printed - body_m))
    if abs(size - body_m) > _CLOSE_m:
        printed = ", ".join(f"{one * 1000.0:g}" for one in sizes)
        raise PlanRefusal(
            "NO_TABLE", f"No shackle with a {body_m * 1000.0:g} mm body; printed are {printed} mm.", (grade,)
        )
    found = sizes[size]
    words = f"grade {grade} shackle, {size * 1000.0:g} mm body"
    return ByTable(found.value, "WLL", words, found.source, found.value * shackle_break_factor().value)


def wire_rope(diameter_m: float, grade_MPa: float, construction: str, core: str) -> ByTable:
    """Return the least breaking force of a new wire rope from what is marked on its reel.

    Parameters
    ----------
    diameter_m : float
        Nominal diameter [m].
    grade_MPa : float
        Rope grade [N/mm²].
    construction, core : str
        As in :func:`haulwright.field.wire_rope.breaking_force`.

    Returns
    -------
    ByTable

    Raises
    ------
    CatalogueRefusal
        ``UNKNOWN`` for a class that is not in the catalogue.
    QuantityRefusal
        As :func:`haulwright.field.wire_rope.breaking_force`.

    References
    ----------
    EN 12385-4.

    Examples
    --------
    >>> round(wire_rope(0.010, 1770.0, "6x36", "steel").force_N / 1e3, 1)
    63.0
    """
    force_N = breaking_force(diameter_m, grade_MPa * 1e6, construction, core)
    words = f"{construction} wire rope, {core} core, {diameter_m * 1000.0:g} mm, {grade_MPa:g} N/mm²"
    return ByTable(force_N, "MBS", words, strength_source(construction, core), force_N)


def colour_words(colour: str) -> str:
    """Return what a sling's colour would mean, and that it is not to be relied on; empty for no known colour.

    Parameters
    ----------
    colour : str

    Returns
    -------
    str

    Raises
    ------
    Nothing
        An unknown colour says nothing.

    References
    ----------
    EN 1492-1 and -2, colours.

    Examples
    --------
    >>> colour_words("violet")[:52]
    'violet is the colour of 1 t in EN 1492, but a colour'
    """
    known = sling_colours().get(colour.lower())
    if known is None:
        return ""
    return (
        f"{colour.lower()} is the colour of {known.value / 9806.65:g} t in EN 1492, but a colour is no mark: "
        "read the label"
    )
