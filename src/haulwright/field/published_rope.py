"""The catalogue as ropes, straps and soft shackles read it: which row stands for which word."""

from __future__ import annotations

from haulwright import catalogue
from haulwright.field.published import Number, number_of

_HOTTEST = {
    "polyester": ("slings", "hottest-polyester"),
    "polyamide": ("slings", "hottest-polyester"),
    "polypropylene": ("slings", "hottest-polypropylene"),
    "HMPE": ("fibre", "hottest-hmpe"),
}


def terminations() -> dict[tuple[str, str], Number]:
    """Return what an end fitting leaves of a wire rope's strength, by fitting and core; the range's low end counts.

    Examples
    --------
    >>> terminations()["clips", "steel"].value
    0.8
    """
    rows = [row for row in catalogue.load("wire_rope").values() if row.family == "termination"]
    return {(str(row.extra["termination"]), str(row.extra["core"])): number_of(row) for row in rows}


def knot() -> Number:
    """Return what a knot leaves of a fibre rope's strength.

    Examples
    --------
    >>> knot().low
    0.4
    """
    return number_of(catalogue.row("fibre", "knot"))


def wet_fibre(fibre: str) -> Number | None:
    """Return what water leaves of a fibre's strength; None where nothing is printed.

    Examples
    --------
    >>> wet_fibre("polyamide").low, wet_fibre("HMPE")
    (0.75, None)
    """
    rows = catalogue.load("fibre").values()
    return next((number_of(row) for row in rows if row.extra.get("material") == fibre), None)


def hottest(fibre: str) -> Number | None:
    """Return the greatest temperature a fibre may have [°C]; None where nothing is printed.

    Examples
    --------
    >>> hottest("polyester").value
    100.0
    """
    return number_as_printed(catalogue.row(*_HOTTEST[fibre])) if fibre in _HOTTEST else None


def coldest() -> Number:
    """Return the least temperature of textile slings [°C].

    Examples
    --------
    >>> coldest().value
    -40.0
    """
    return number_as_printed(catalogue.row("slings", "coldest"))


def number_as_printed(row: catalogue.Row) -> Number:
    """Return a row's number in its own unit, for temperatures, which are spoken of in °C."""
    value = row.value if row.value is not None else row.si
    return Number(value, value, value, row.source.cite())


def bend_least() -> Number:
    """Return the D/d below which a bend in fibre rope is noted.

    Examples
    --------
    >>> bend_least().value
    8.0
    """
    return number_of(catalogue.row("fibre", "bend-least"))


def strength_source(construction: str, core: str) -> str:
    """Return the citation of the factor a wire rope's breaking force is worked out with.

    Examples
    --------
    >>> strength_source("6x36", "steel")[:10]
    'EN 12385-4'
    """
    return catalogue.row("wire_rope", f"strength-{construction}-{core}").source.cite()
