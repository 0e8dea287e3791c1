"""Checks of single inputs: a wrong number or word is refused with what was expected."""

from __future__ import annotations

import math
from collections.abc import Iterable
from difflib import get_close_matches

from haulwright.errors import QuantityRefusal


def positive(value: float, name: str) -> float:
    """Return ``value`` if it is a finite number above zero.

    Parameters
    ----------
    value : float
        The number given, any unit.
    name : str
        What it is, with its unit, for the message.

    Returns
    -------
    float
        The same number.

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` if it is zero, negative or not finite.

    Examples
    --------
    >>> positive(0.0127, "rope diameter [m]")
    0.0127
    """
    if not math.isfinite(value) or value <= 0.0:
        raise QuantityRefusal("NOT_POSITIVE", f"{name} is {value:g}: expected a number above zero.", (name,))
    return value


def not_negative(value: float, name: str) -> float:
    """Return ``value`` if it is a finite number, zero or above.

    Parameters
    ----------
    value : float
        The number given, any unit.
    name : str
        What it is, with its unit, for the message.

    Returns
    -------
    float
        The same number.

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` if it is below zero or not finite.

    Examples
    --------
    >>> not_negative(0.0, "load [kg]")
    0.0
    """
    if not math.isfinite(value) or value < 0.0:
        raise QuantityRefusal("NEGATIVE", f"{name} is {value:g}: expected zero or more.", (name,))
    return value


def between(value: float, low: float, high: float, name: str) -> float:
    """Return ``value`` if it lies in ``low`` to ``high``, ends included.

    Parameters
    ----------
    value, low, high : float
        The number given and its accepted range, one unit.
    name : str
        What it is, with its unit, for the message.

    Returns
    -------
    float
        The same number.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` if it lies outside or is not finite.

    Examples
    --------
    >>> between(0.5, 0.0, 1.0, "share")
    0.5
    """
    if not low <= value <= high:
        raise QuantityRefusal("RANGE", f"{name} is {value:g}: expected {low:g} to {high:g}.", (name,))
    return value


def one_of(word: str, accepted: Iterable[str], name: str, code: str = "WORD") -> str:
    """Return ``word`` if it is accepted; else refuse it with the accepted words and the nearest spelling.

    Parameters
    ----------
    word : str
        The word given.
    accepted : iterable of str
        The words there are.
    name : str
        What the word stands for, for the message.
    code : str
        Code of the refusal.

    Returns
    -------
    str
        The same word.

    Raises
    ------
    QuantityRefusal
        With ``code`` if the word is not accepted.

    Examples
    --------
    >>> one_of("rolling", ("rolling", "all locked"), "wheels")
    'rolling'
    >>> one_of("roling", ("rolling", "all locked"), "wheels")
    Traceback (most recent call last):
        ...
    haulwright.errors.QuantityRefusal: wheels is 'roling', not known; did you mean 'rolling'? Accepted: rolling, all locked.
    """
    words = tuple(accepted)
    if word in words:
        return word
    near = get_close_matches(word.lower(), words, n=1, cutoff=0.6)
    hint = f"; did you mean '{near[0]}'?" if near else "."
    raise QuantityRefusal(
        code, f"{name} is '{word}', not known{hint} Accepted: {', '.join(words)}.", (name, word)
    )
