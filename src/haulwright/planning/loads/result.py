"""The record of one row of the loads of a rig."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LoadRow:
    """What one piece carries, and how that stands against its limit.

    Attributes
    ----------
    of : str
        ``drum:NAME``, ``body:NAME``, ``block:NAME``, ``becket:BLOCK`` or ``part:LINE:INDEX``.
    what : str
        ``drum``, ``anchor``, ``load``, ``block``, ``becket``, ``part`` or ``strap``.
    name : str
        Its name in words.
    expected_N : float
        As solved: with friction, at the resistance of the load [N].
    interval95_N : (float, float) or None
        95 % interval of that [N]; None where friction is taken as exact.
    stall_N : float or None
        Greatest at winch stall, with friction and without [N]; None where no stall is known.
    frictionless_N : float or None
        The same rig without friction [N].
    limit_N : float or None
        What it may carry [N]; None: nothing says so.
    basis : str
        Where the limit comes from, in words.
    utilisation, utilisation_stall : float or None
        Load ÷ limit: the greatest expected with friction and without, and at stall.
    verdict, verdict_stall : str or None
        ``inside``, ``tight``, ``over``, ``unknown``; None for what has no limit of its own, or without a stall.
    """

    of: str
    what: str
    name: str
    expected_N: float
    interval95_N: tuple[float, float] | None
    stall_N: float | None
    frictionless_N: float | None
    limit_N: float | None
    basis: str
    utilisation: float | None
    utilisation_stall: float | None
    verdict: str | None
    verdict_stall: str | None
