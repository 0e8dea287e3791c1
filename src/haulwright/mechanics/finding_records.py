"""Records of what a solved rig says beyond its forces: clearance, other laws, seized sheaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class LawCase:
    """The same rig by one law of friction.

    Attributes
    ----------
    law, source : str
        The law in words, and where it is printed.
    effort_N : mapping drum -> float, or None
        Tension at each drum [N]; None where the rig is refused by this law.
    advantage : float or None
    greatest_block_N, greatest_block
        Greatest load of a block, its becket's line included [N], and which; None without blocks.
    """

    law: str
    source: str
    effort_N: Mapping[str, float] | None
    advantage: float | None
    greatest_block_N: float | None
    greatest_block: str | None


@dataclass(frozen=True)
class SeizedCase:
    """Effort [N] and rise against running sheaves at one friction coefficient; None where the rig jams."""

    mu: float
    effort_N: Mapping[str, float] | None
    rise: float | None


@dataclass(frozen=True)
class SeizedSolution:
    """What seized sheaves cost.

    Attributes
    ----------
    blocks : mapping block -> mu
        Blocks whose sheave does not turn, with the friction coefficient used [-].
    running_law : str
        Law of the same rig with all sheaves running.
    running_effort_N : mapping drum -> float
        Its effort [N].
    rise : float or None
        Effort ÷ load over that of the running rig; None for several winches.
    band : tuple of SeizedCase
        Over the published range of the friction coefficient.
    """

    blocks: Mapping[str, float]
    running_law: str
    running_effort_N: Mapping[str, float]
    rise: float | None
    band: tuple[SeizedCase, ...]


@dataclass(frozen=True)
class GapSolution:
    """Two points that close on each other.

    Attributes
    ----------
    from_, to : str
    start_m, least_m : float
        Distance at the start, and the least that is left between them [m].
    meets_m : float or None
        Travel of the load at which only the least is left [m]; None where they never come so near.
    least_from : str
        ``stated``, or ``house number``.
    """

    from_: str
    to: str
    start_m: float
    least_m: float
    meets_m: float | None
    least_from: str = "stated"


@dataclass(frozen=True)
class LineNeed:
    """What line one drum needs, and what room it has [m]; None where it is not known.

    Attributes
    ----------
    parts_m : float or None
        Sum of the parts.
    sheaves_m, kept_m, tail_m : float
        Line round the sheaves, wraps that stay on the drum, hitch and tail: needed is the sum of the four.
    have_m : float or None
        Line there is.
    room_m : float or None
        Line the drum can still take in from the start on.
    """

    parts_m: float | None
    sheaves_m: float
    kept_m: float
    tail_m: float
    have_m: float | None
    room_m: float | None


@dataclass(frozen=True)
class Clearance:
    """How far one set-up goes.

    Attributes
    ----------
    wanted_m : float or None
        Travel of the load wanted [m].
    gaps : tuple of GapSolution
        Every pair that closes, the first to meet first.
    setup_m : float or None
        Travel of one set-up [m]: until the first pair meets or a drum is full; None where nothing limits it.
    limit : str
        What ends a set-up, in words; empty where nothing does.
    resets : int or None
        Times the rig is set anew for the travel wanted; None without one.
    line : mapping drum -> LineNeed
    """

    wanted_m: float | None
    gaps: tuple[GapSolution, ...]
    setup_m: float | None
    limit: str
    resets: int | None
    line: Mapping[str, LineNeed]
