"""Friction laws on arrays: the same ratios as :mod:`haulwright.mechanics.sheave`, for many samples of their numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from haulwright.errors import RigRefusal
from haulwright.mechanics.sheave import Bearing, ByWrap, Capstan, Efficiency, Frictionless, Law, PerContact
from haulwright.mechanics.uncertain import LIMITS, plain_law

Array = Any  # a float where all samples have one value, else an array of floats
Numbers = Mapping[str, Array]
BENDS = 1e-9  # below this wrap a line does not bend [rad]


def numbers_of(law: Law | None) -> dict[str, float]:
    """Return the numbers of a law by name, none for no friction.

    Parameters
    ----------
    law : Law or None

    Raises
    ------
    RigRefusal
        UNSUPPORTED for a law that is not one ratio of one contact.

    Examples
    --------
    >>> numbers_of(Bearing(0.03, 0.01))
    {'f': 0.03, 'c': 0.01}
    """
    law = plain_law(law)
    if law is None or isinstance(law, Frictionless):
        return {}
    for kind, names in (
        (PerContact, "k"),
        (ByWrap, "k"),
        (Efficiency, "e"),
        (Capstan, ("mu",)),
        (Bearing, "fc"),
    ):
        if isinstance(law, kind):
            return {name: float(getattr(law, name)) for name in names}
    raise RigRefusal(
        "UNSUPPORTED", f"The law '{law.words}' is not known on arrays. Solve it sample by sample."
    )


def log_ratio(law: Law | None, numbers: Numbers, wrap_rad: Array) -> tuple[Array, Array]:
    """Return ln k of a contact and its rise with the wrap [1/rad].

    Parameters
    ----------
    law : Law or None
    numbers : mapping name -> float or array (samples)
        In place of those of the law.
    wrap_rad : float or array (samples)

    Returns
    -------
    log_k, slope : float or array (samples)
        A slope of exactly 0.0 means that the ratio does not know the wrap.

    Notes
    -----
    ``ln k``: per contact; ``(wrap/pi) ln k``: by wrap; ``-ln e``; ``mu (wrap + 2 pi turns)``; bearing: ln of the larger
    root, as :func:`haulwright.mechanics.sheave.bearing_ratio` has it.

    Examples
    --------
    >>> log_ratio(ByWrap(1.08), {"k": np.array([1.0, 1.08])}, math.pi / 2)[0].round(5)
    array([0.     , 0.03848])
    """
    law = plain_law(law)
    x = {**numbers_of(law), **numbers}
    if isinstance(law, PerContact):
        return np.log(x["k"]), 0.0
    if isinstance(law, ByWrap):
        slope = np.log(x["k"]) / math.pi
        return slope * wrap_rad, slope
    if isinstance(law, Efficiency):
        return -np.log(x["e"]), 0.0
    if isinstance(law, Capstan):
        return x["mu"] * (wrap_rad + 2.0 * math.pi * law.turns), x["mu"]
    return _bearing(x["f"], x["c"], wrap_rad) if isinstance(law, Bearing) else (0.0, 0.0)


def knows_wrap(law: Law | None) -> bool:
    """Return whether the ratio of a law depends on the wrap."""
    return isinstance(plain_law(law), ByWrap | Capstan | Bearing)


def check_numbers(name: str, values: Array) -> None:
    """Refuse numbers that no sheave has.

    Raises
    ------
    RigRefusal
        RATIO for a ratio below 1, an efficiency above 1, a negative coefficient, or a number that is missing.

    Examples
    --------
    >>> check_numbers("k", np.array([1.0, 1.2]))
    """
    least, most = LIMITS[name]
    values = np.asarray(values)
    if values.size and not (values.min() >= least and values.max() <= most):
        raise RigRefusal(
            "RATIO",
            f"{name} of some samples is out of {least:g} to {most:g} or missing: a sheave cannot give back more than it "
            "gets.",
            (name,),
        )


def _bearing(f: Array, c: Array, wrap_rad: Array) -> tuple[Array, Array]:
    bend = np.where(np.asarray(wrap_rad) > BENDS, c, 0.0)
    half, sine = np.sin(wrap_rad / 2.0), np.sin(wrap_rad)
    inside = bend * bend + 4.0 * (1.0 + bend) * half * half - f * f * sine * sine
    root = f * np.sqrt(np.maximum(inside, 0.0))
    k = ((1.0 + bend) - f * f * np.cos(wrap_rad) + root) / (1.0 - f * f)
    slope = np.where(root > 1e-12, f * f * sine / np.maximum(root, 1e-300), f)
    return np.log(k), slope
