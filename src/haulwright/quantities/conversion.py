"""Convert between SI and the units of the trade, and print a quantity."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from haulwright.errors import QuantityRefusal
from haulwright.quantities.numerals import print_number
from haulwright.quantities.unit_table import DIMENSIONS, Unit, find_unit

_TONS = ("ton", "tons")


def quoted(text: object, what: str) -> str:
    """Return the input as a message names it."""
    return f"{what} {text!r}".strip()


def known_unit(spelling: str, dimension: str, what: str = "", value: float | None = None) -> Unit:
    """Return the unit, or refuse it with the nearest spelling and the accepted list."""
    unit = find_unit(spelling, dimension)
    if unit is not None:
        return unit
    name = (what,) if what else ()
    shown = quoted(spelling if value is None else f"{value:.10g} {spelling}", what)
    if spelling.casefold().rstrip(".") in _TONS and dimension in ("force", "mass"):
        raise QuantityRefusal(
            "AMBIGUOUS",
            f"{shown}: a ton is 2000 lb (short, 907.2 kg), 2240 lb (long, 1016.0 kg) or "
            "1000 kg (metric). Write t for 1000 kg, or short ton or long ton.",
            name,
        )
    accepted = [known.name or "(none)" for known in DIMENSIONS[dimension]]
    candidates = {s.casefold(): s for known in DIMENSIONS[dimension] for s in (known.name, *known.also)}
    near = difflib.get_close_matches(spelling.casefold(), list(candidates), n=1, cutoff=0.5)
    hint = f" Did you mean {candidates[near[0]]}?" if near else ""
    raise QuantityRefusal(
        "UNIT",
        f"{shown}: {spelling!r} is not a unit of {dimension}.{hint} Accepted: {', '.join(accepted)}.",
        name,
    )


def to_si(value: float, unit: str, dimension: str, *, what: str = "") -> float:
    """Return ``value`` in ``unit`` as SI.

    Examples
    --------
    >>> to_si(9500, "lbf", "force")
    42258.105
    """
    found = known_unit(unit, dimension, what, value)
    tangent = dimension == "slope" and found.name == "%"
    result = math.atan(value / 100) if tangent else value * found.factor + found.offset
    if not (math.isfinite(value) and math.isfinite(result)):
        raise QuantityRefusal(
            "NUMBER",
            f"{quoted(f'{value:g} {unit}'.strip(), what)} is not a finite number.",
            (what,) if what else (),
        )
    if dimension == "temperature" and result < 0:
        raise QuantityRefusal(
            "RANGE", f"{quoted(f'{value:g} {unit}', what)} is below absolute zero.", (what,) if what else ()
        )
    return result


def _find(unit: str, dimension: str | None) -> tuple[Unit, str]:
    """Return the unit and its dimension; without one, a unit's own name counts before other spellings."""
    if dimension is not None:
        return known_unit(unit, dimension), dimension
    for name, units in DIMENSIONS.items():
        for known in units:
            if known.name == unit:
                return known, name
    for name in DIMENSIONS:
        if (known_ := find_unit(unit, name)) is not None:
            return known_, name
    raise QuantityRefusal("UNIT", f"{unit!r} is not a unit known here.", (unit,))


def unit_name(unit: str, dimension: str) -> str:
    """Return the spelling a unit is shown with: a force in "kg" is shown in kgf.

    Examples
    --------
    >>> unit_name("kg", "force")
    'kgf'
    """
    return known_unit(unit, dimension).name


def from_si(value: float, unit: str, dimension: str | None = None) -> float:
    """Return the SI ``value`` in ``unit``; ``t`` without a dimension is a force, ``kg`` and ``lb`` a mass.

    Examples
    --------
    >>> from_si(9806.65, "t"), from_si(293.15, "°C")
    (1.0, 20.0)
    """
    found, of = _find(unit, dimension)
    if of == "slope" and found.name == "%":
        return 100 * math.tan(value)
    return (value - found.offset) / found.factor


def show(value: float, unit: str, digits: int | None = None, dimension: str | None = None) -> str:
    """Return the SI ``value`` as text in ``unit``: figure, no-break space, unit.

    Parameters
    ----------
    value : float
        SI value; NaN is shown as a dash.
    unit : str
        Unit to show.
    digits : int, optional
        Decimals. By default a force keeps two decimals of a kN below 20 kN and one from 20 kN up, other units
        their usual decimals.
    dimension : str, optional
        Needed where the unit's spelling stands in two dimensions (``kg``, ``%``).

    Examples
    --------
    >>> show(12345.0, "kN"), show(23456.0, "kN"), show(12345.0, "kgf"), show(-1200.0, "N")
    ('12.35\u00a0kN', '23.5\u00a0kN', '1\u2009259\u00a0kgf', '−1\u2009200\u00a0N')
    """
    found, of = _find(unit, dimension)
    shown = from_si(value, found.name, of)
    decimals = digits if digits is not None else _decimals(value, found, of)
    gap = "" if found.name == "°" else "\u00a0"
    return print_number(shown, decimals) + (gap + found.name if found.name else "")


_OPEN, _CLOSE = "\ue000", "\ue001"  # private use: no reader's text has them round a number
_MARK = re.compile(f"{_OPEN}([-+.0-9e]+){_CLOSE}")
_SPOKEN: ContextVar[str] = ContextVar("unit in which forces are spoken", default="kN")


@contextmanager
def speaking(unit: str) -> Iterator[None]:
    """Speak forces in ``unit`` in every sentence that is made meanwhile.

    Parameters
    ----------
    unit : str
        A unit of force.

    Raises
    ------
    QuantityRefusal
        UNIT for one that is not known.

    Notes
    -----
    Sentences in a record are for people: they speak the reader's unit. Numbers in a record stay SI.

    Examples
    --------
    >>> with speaking("kgf"):
    ...     spoken(9806.65)
    '1\u2009000\u00a0kgf'
    >>> spoken(9806.65)
    '9.81\u00a0kN'
    """
    before = _SPOKEN.set(unit_name(unit, "force"))
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def speak(unit: str) -> None:
    """Speak forces in ``unit`` from now on in this context (:mod:`contextvars`); see :func:`speaking`."""
    _SPOKEN.set(unit_name(unit, "force"))


def spoken_unit() -> str:
    """Return the unit of force that is spoken now: kN, or that of :func:`speaking`."""
    return _SPOKEN.get()


def spoken(value: float) -> str:
    """Return a force [N] in the unit that is spoken: kN, or that of :func:`speaking`; in :func:`unspoken`, its mark."""
    unit = _SPOKEN.get()
    return show(value, unit) if unit else f"{_OPEN}{float(value)!r}{_CLOSE}"


@contextmanager
def unspoken() -> Iterator[None]:
    """Leave the forces in sentences unspoken, for sentences that are kept and told to readers of any unit.

    Examples
    --------
    >>> with unspoken():
    ...     kept = f"The cell reads {spoken(9806.65)}."
    >>> with speaking("kgf"):
    ...     speak_kept(kept)
    'The cell reads 1\u2009000\u00a0kgf.'
    """
    before = _SPOKEN.set("")
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def speak_kept(text: str) -> str:
    """Return a text that was made in :func:`unspoken` with its forces in the unit that is spoken now."""
    return _MARK.sub(lambda found: spoken(float(found[1])), text)


def _decimals(value: float, unit: Unit, dimension: str) -> int:
    """Return the usual decimals; the step at 20 kN follows the rounded figure, 19.996 kN is shown as 20.0."""
    if dimension != "force" or unit.decimals == 0:
        return unit.decimals
    extra = 1 if unit.factor > 5000 else 0  # a tonne-force is ten kN: one more decimal says as much
    return unit.decimals + extra - (1 if abs(value) >= 19995.0 else 0)
