"""The catalogue as the ground's resistance and grip read it: which row stands for which word.

Only this module and :mod:`~haulwright.field.published_gear` know row ids. Words are ours; numbers and sources are the
catalogue's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

from haulwright import catalogue
from haulwright.catalogue import Row
from haulwright.field.inputs import between, one_of
from haulwright.quantities.unit_table import G0, POUND_KG

GRAVITY_m_s2 = G0
"""Standard gravity."""

_MIRE = {
    "military": {"wheel": "mire-wheel", "fender": "mire-fender", "cab": "mire-cab"},
    "trade": {
        "rim": "trade-mire-tyre",
        "wheel": "trade-mire-wheel",
        "fender": "trade-mire-body",
        "body": "trade-mire-body",
    },
}
_DEPTHS = ("rim", "wheel", "fender", "body", "cab")
_ROLLING = {
    "training": ("commonwealth",),
    "trade": ("trade-sheets",),
    "handbook": ("carvill", "marks", "tables", "handbook", "gillespie"),
}
_BROADER = {"mud": ("shallow mud", "bog")}
_LOCKED = {"half locked": "trade-half-locked", "all locked": "trade-locked"}


@dataclass(frozen=True)
class Number:
    """A published number in SI with its range and citation; without a printed range all three are alike."""

    value: float
    low: float
    high: float
    source: str


def number_of(row: Row) -> Number:
    """Return a catalogue row as a number in SI with its range and citation."""
    if row.lo is None:
        return Number(row.si, row.si, row.si, row.source.cite())
    span = row.measured()
    return Number(span.value, span.lo, span.hi, row.source.cite())


def house(name: str) -> Number:
    """Return a row of the catalogue's rules by its id.

    Parameters
    ----------
    name : str
        Row id, e.g. ``tight-share``.

    Returns
    -------
    Number

    Raises
    ------
    CatalogueRefusal
        If there is no such row.

    Examples
    --------
    >>> house("tight-share").value
    0.8
    """
    return number_of(catalogue.row("rules", name))


def surface_words() -> tuple[str, ...]:
    """Return the surfaces some published resistance rule has a number for.

    Examples
    --------
    >>> "bog" in surface_words()
    True
    """
    words = (row.extra.get("surface") for row in catalogue.load("surfaces").values())
    return tuple(dict.fromkeys([*(str(word) for word in words if word), *_BROADER]))


def narrower(surface: str) -> tuple[str, ...]:
    """Return the published surfaces a word of ours stands for; the word itself where it is a published one.

    Examples
    --------
    >>> narrower("mud"), narrower("bog")
    (('shallow mud', 'bog'), ('bog',))
    """
    return _BROADER.get(surface, (surface,))


def depth_words() -> tuple[str, ...]:
    """Return the depths some published mire rule has a number for, shallow to deep.

    Examples
    --------
    >>> depth_words()
    ('rim', 'wheel', 'fender', 'body', 'cab')
    """
    return _DEPTHS


def shallower(sunk: str) -> tuple[str, ...]:
    """Return the depths above ``sunk``, the nearest first, ``none`` last.

    Examples
    --------
    >>> shallower("wheel")
    ('rim', 'none')
    """
    order = ("none", *_DEPTHS)
    return tuple(reversed(order[: order.index(one_of(sunk, order, "sunk", "DEPTH"))]))


def depth_limits() -> dict[str, float]:
    """Return how deep each word reaches, as a share of the wheel's radius: house numbers.

    Examples
    --------
    >>> depth_limits()
    {'rim': 0.5, 'wheel': 1.0, 'fender': 2.0}
    """
    return {word: house(f"depth-{word}").value for word in ("rim", "wheel", "fender")}


def grip_words() -> tuple[str, ...]:
    """Return the surfaces with a friction of parked tyres.

    Examples
    --------
    >>> grip_words()[:4]
    ('wet grass', 'grass', 'dry road', 'road')
    """
    return tuple(_grips())


def rolling(surface: str, family: str) -> Number | None:
    """Return the rolling resistance of a surface as a share of the load on the wheels, by one family.

    Parameters
    ----------
    surface : str
        One of :func:`surface_words`.
    family : {"training", "trade", "handbook"}
        Whose numbers. The handbooks print many for one surface: the middle of them is likely, their spread is the
        range, and all are cited; so too for a broad word such as mud.

    Returns
    -------
    Number or None
        None where the family prints nothing for the surface.

    Examples
    --------
    >>> rolling("grass", "training").value
    0.142...
    >>> rolling("bog", "handbook") is None
    True
    """
    found = [
        number_of(row)
        for row in catalogue.load("surfaces").values()
        if row.family in _ROLLING[family] and row.extra.get("surface") in narrower(surface)
    ]
    if not found:
        return None
    return Number(
        median(number.value for number in found),
        min(number.low for number in found),
        max(number.high for number in found),
        "; ".join(dict.fromkeys(number.source for number in found)),
    )


def mire(family: str) -> dict[str, Number]:
    """Return mire resistance as a share of the weight, by the depth words of one family.

    Parameters
    ----------
    family : {"military", "trade"}
        Whose depths.

    Returns
    -------
    dict of str to Number

    Examples
    --------
    >>> {word: number.value for word, number in mire("military").items()}
    {'wheel': 1.0, 'fender': 2.0, 'cab': 3.0}
    """
    return {word: number_of(catalogue.row("surfaces", id_)) for word, id_ in _MIRE[family].items()}


def mire_reduction(opposite_direction: bool, drive_helps: bool) -> Number | None:
    """Return the military reduction of mire resistance as a share, None when nothing helps.

    Examples
    --------
    >>> mire_reduction(True, True).value
    0.5
    """
    name = {(True, False): "opposite", (False, True): "power", (True, True): "both"}.get(
        (opposite_direction, drive_helps)
    )
    return None if name is None else number_of(catalogue.row("surfaces", f"reduction-{name}"))


def grade_per_degree() -> Number:
    """Return the training sheets' grade resistance per degree of slope, as a share of the weight.

    Examples
    --------
    >>> round(1 / grade_per_degree().value)
    60
    """
    return number_of(catalogue.row("surfaces", "commonwealth-grade"))


def locked_wheels(share: float) -> Number:
    """Return the resistance added by wheels that do not turn, as a share of the weight.

    Parameters
    ----------
    share : float
        Share of the wheels that do not turn, 0 to 1. The sheets print half and all of them: between the printed
        steps the likely value is in proportion, the step below and the step above are the range.

    Returns
    -------
    Number

    Examples
    --------
    >>> locked_wheels(0.5).value
    0.333
    >>> one_of_four = locked_wheels(0.25)
    >>> one_of_four.low, one_of_four.value, one_of_four.high
    (0.0, 0.1665, 0.333)
    """
    between(share, 0.0, 1.0, "share of the wheels that do not turn")
    half, every = (
        number_of(catalogue.row("surfaces", _LOCKED[word])) for word in ("half locked", "all locked")
    )
    for at, number in ((0.5, half), (1.0, every)):
        if math.isclose(share, at):
            return number
    start, low, end, high = (0.0, 0.0, 0.5, half.low) if share < 0.5 else (0.5, half.low, 1.0, every.low)
    value = low + (high - low) * (share - start) / (end - start)
    return Number(value, low, high, half.source)


def flat_tyre(weight_N: float) -> Number:
    """Return the resistance added by one flat tyre [N].

    Parameters
    ----------
    weight_N : float
        Weight of the vehicle [N].

    Returns
    -------
    Number

    Examples
    --------
    >>> round(flat_tyre(30e3).value), round(flat_tyre(60e3).value)
    (4448, 8896)
    """
    light = catalogue.row("surfaces", "trade-flat-light")
    limit_N = float(str(light.extra["up_to_lb"])) * POUND_KG * G0
    return number_of(light if weight_N <= limit_N else catalogue.row("surfaces", "trade-flat-heavy"))


def righting() -> Number:
    """Return the pull that rights an overturned vehicle, as a share of its weight.

    Examples
    --------
    >>> righting().value
    0.5
    """
    return number_of(catalogue.row("surfaces", "overturned"))


def best_grip() -> Number:
    """Return the greatest friction of tyres in the catalogue, whatever the surface.

    Examples
    --------
    >>> best_grip().high
    0.8
    """
    return max((grip(surface) for surface in grip_words()), key=lambda number: number.high)


def grip(surface: str) -> Number:
    """Return the friction of a parked vehicle's locked tyres.

    Parameters
    ----------
    surface : str
        One of :func:`grip_words`; ``grass`` is taken as wet, ``road`` as dry.

    Returns
    -------
    Number

    Raises
    ------
    QuantityRefusal
        ``SURFACE`` for another word: no friction is guessed.

    Examples
    --------
    >>> grip("wet grass").value
    0.35
    """
    rows = _grips()
    return number_of(rows[one_of(surface, rows, "surface under the tyres", "SURFACE")])


def _grips() -> dict[str, Row]:
    """Return the rows of parked tyres by the words for the ground under them."""
    rows = catalogue.load("friction").values()
    return {str(word): row for row in rows for word in row.extra.get("surface", ())}
