"""Records of how far a verdict holds over likely conditions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulwright.quantities.measured import Measured


@dataclass(frozen=True)
class Driver:
    """What the tightest margin of a rig hangs on, and its share of the spread of that margin (all shares make 1)."""

    what: str
    share: float


@dataclass(frozen=True)
class Assumed:
    """How one uncertain number is drawn: in words, and where its width comes from."""

    what: str
    drawn: str
    source: str


@dataclass(frozen=True)
class Likely:
    """A rig over likely conditions.

    Attributes
    ----------
    draws, seed : int
    at_stall : Measured
        Share of the draws in which every rated piece is also within its limit at winch stall.
    tightest : mapping str -> float
        What has the least margin, and in which share of the draws.
    inputs : tuple of Assumed
    left_out : tuple of str
        What the shares say nothing of.
    checked, off_by : int, float
        Draws for which the rig was solved anew; greatest difference of its tightest margin found there, relative.
    """

    draws: int
    seed: int
    at_stall: Measured
    tightest: Mapping[str, float]
    inputs: tuple[Assumed, ...]
    left_out: tuple[str, ...]
    checked: int
    off_by: float
