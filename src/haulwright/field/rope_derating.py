"""What ends, knots, water, heat and tight bends leave of a rope, strap or soft shackle.

A printed share is taken at the low end of its range. Where nothing is printed nothing is taken off, and the words say
so: unknown is not the same as fine.
"""

from __future__ import annotations

from haulwright.errors import PlanRefusal
from haulwright.field.derating import Derating
from haulwright.field.inputs import one_of, positive
from haulwright.field.published_rope import (
    bend_least,
    coldest,
    hottest,
    knot,
    terminations,
    wet_fibre,
)

_FIBRES = {
    "polyamide": ("polyamide", "nylon"),
    "polyester": ("polyester",),
    "polypropylene": ("polypropylene",),
    "HMPE": ("hmpe", "uhmwpe", "hppe", "polyethylene"),
    "aramid": ("aramid",),
}
WIRE_ENDS = ("socket", "swaged", "sleeve", "hand splice", "wedge", "clips")
FIBRE_ENDS = ("spliced", "sewn", "knotted")


def fibre_of(material: str) -> str | None:
    """Return which fibre a material's words name; None where they name none.

    Parameters
    ----------
    material : str
        As written in the kit.

    Returns
    -------
    str or None

    Raises
    ------
    Nothing
        Words that name no fibre are none.

    References
    ----------
    Names of the trade.

    Examples
    --------
    >>> fibre_of("Nylon webbing"), fibre_of("fibre")
    ('polyamide', None)
    """
    words = material.lower()
    return next((name for name, known in _FIBRES.items() if any(word in words for word in known)), None)


def wire_end(end: str, core: str) -> Derating:
    """Return what an end fitting leaves of a wire rope's breaking force.

    Parameters
    ----------
    end : str
        ``socket``, ``swaged``, ``sleeve``, ``hand splice``, ``wedge`` or ``clips``.
    core : {"steel", "fibre"}

    Returns
    -------
    Derating
        The low end of what is printed.

    Raises
    ------
    PlanRefusal
        ``DERATING`` if that fitting is not printed for this core.
    QuantityRefusal
        ``END`` for another word.

    References
    ----------
    U.S. Army TM 5-3810-305-10, table 4 (approximate efficiencies).

    Examples
    --------
    >>> wire_end("clips", "steel").share, wire_end("wedge", "fibre").share
    (0.8, 0.75)
    """
    one_of(end, WIRE_ENDS, "end of the wire rope", "END")
    number = terminations().get((end, core))
    if number is None:
        raise PlanRefusal(
            "DERATING", f"Nothing is printed for a {end} end on a rope with {core} core.", (end,)
        )
    return Derating(number.low, f"end: {end}", number.source)


def knotted() -> Derating:
    """Return what a knot leaves of a fibre rope: the low end of what is printed for common knots.

    Returns
    -------
    Derating

    Raises
    ------
    CatalogueRefusal
        If the row is not there.

    References
    ----------
    Catalogue, fibre, ``knot``: 40 to 80 %.

    Examples
    --------
    >>> knotted().share
    0.4
    """
    number = knot()
    return Derating(number.low, "knot", number.source)


def wet(fibre: str | None) -> Derating | None:
    """Return what water leaves of a fibre; None where nothing is printed for it.

    Parameters
    ----------
    fibre : str or None
        As :func:`fibre_of` names it.

    Returns
    -------
    Derating or None
        The low end of what is printed.

    Raises
    ------
    Nothing
        An unknown fibre is None.

    References
    ----------
    Catalogue, fibre, ``wet-nylon`` and ``wet-polyester``.

    Examples
    --------
    >>> wet("polyamide").share, wet("polyester").share, wet("HMPE") is None
    (0.75, 1.0, True)
    """
    number = wet_fibre(fibre) if fibre is not None else None
    return None if number is None else Derating(number.low, f"wet {fibre}", number.source)


def textile_heat(fibre: str, temperature_C: float) -> Derating | None:
    """Return that a fibre keeps its mark at this temperature; None where nothing is printed for the fibre.

    Parameters
    ----------
    fibre : str
        As :func:`fibre_of` names it.
    temperature_C : float
        Its temperature [°C].

    Returns
    -------
    Derating or None

    Raises
    ------
    PlanRefusal
        ``DERATING`` beyond what is printed: not to be used so.

    References
    ----------
    EN 1492-1 and -2, scope; HMPE from memory.

    Examples
    --------
    >>> textile_heat("polyester", 60.0).share, textile_heat("aramid", 60.0) is None
    (1.0, True)
    """
    hot, cold = hottest(fibre), coldest()
    if hot is None:
        return None
    if not cold.value <= temperature_C <= hot.value:
        raise PlanRefusal(
            "DERATING",
            f"{fibre} at {temperature_C:g} °C: it is for {cold.value:g} to {hot.value:g} °C ({hot.source}). "
            "Do not use it so.",
            (fibre,),
        )
    return Derating(1.0, f"{fibre} at {temperature_C:g} °C", hot.source)


def tight_bend(bend_m: float, rope_m: float) -> str:
    """Return the note on a tight bend in fibre rope; empty where the bend is wide enough.

    Parameters
    ----------
    bend_m, rope_m : float
        Diameter it is bent to, diameter of the rope [m].

    Returns
    -------
    str

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` for a diameter.

    References
    ----------
    Catalogue, fibre, ``bend-least``: common practice, no source.

    Examples
    --------
    >>> tight_bend(0.09, 0.011), tight_bend(0.025, 0.011)[:30]
    ('', 'bent to D/d 2.3, below 8 (Comm')
    """
    ratio = positive(bend_m, "bend diameter [m]") / positive(rope_m, "rope diameter [m]")
    least = bend_least()
    if ratio >= least.value:
        return ""
    return (
        f"bent to D/d {ratio:.1f}, below {least.value:g} ({least.source}): it loses strength there, "
        "and no open table says how much"
    )
