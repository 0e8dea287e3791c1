"""Rests of the winch motor by its maker's duty: when they fall in a pull, and how long the pull takes with them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulwright.field.inputs import not_negative, positive

_SAME_s = 1e-6


@dataclass(frozen=True)
class Rests:
    """Running times at which the motor rests [s], and the time of the whole pull with those rests [s]."""

    after_s: tuple[float, ...]
    total_s: float


def rests(running_s: float, run_s: float, rest_s: float) -> Rests:
    """Return the rests of a pull by the maker's duty.

    Parameters
    ----------
    running_s : float
        Running time of the motor over the whole pull [s].
    run_s, rest_s : float
        Maker's duty: how long the motor may run at rated pull, and how long it then rests [s].

    Returns
    -------
    Rests

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` for the running time, ``NOT_POSITIVE`` for the duty.

    Notes
    -----
    The duty is told for rated pull. Below it a motor warms more slowly; how much more slowly is not counted, so the
    rests come early rather than late. A motor that is warm at the start needs them sooner.

    References
    ----------
    Arithmetic on the maker's figures; no other source.

    Examples
    --------
    >>> rests(500.0, 240.0, 600.0)
    Rests(after_s=(240.0, 480.0), total_s=1700.0)
    """
    not_negative(running_s, "running time [s]")
    positive(run_s, "run of the duty [s]")
    positive(rest_s, "rest of the duty [s]")
    count = max(math.ceil((running_s - _SAME_s) / run_s) - 1, 0)
    return Rests(tuple(run_s * n for n in range(1, count + 1)), running_s + count * rest_s)
