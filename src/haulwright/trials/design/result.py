"""Records of a campaign before its day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from haulwright.records import Record


@dataclass(frozen=True)
class PlannedRun:
    """One line of the run sheet.

    ``role``: ``test``, or ``series`` for both cells in one line, which checks the cells and is the lane's reference.
    ``block``: number of the block of a full set of configurations; 0 for a series pull.
    """

    run: str
    rig: str
    devices: tuple[str, ...]
    repeat: int
    block: int
    role: str


@dataclass(frozen=True)
class ExpectedFriction:
    """What the sheet will tell of a device: assumed k, its expected standard uncertainty and half 95 % interval.

    Both are None where the sheet cannot tell.
    """

    k: float
    u: float | None
    half95: float | None = None


@dataclass(frozen=True)
class PullsNeeded:
    """Pulls of each of two devices: to show a difference, to show that they are alike within a margin.

    ``power_difference`` and ``power_equivalent``: chance to show it with the repeats on the sheet.
    """

    scatter: float
    difference: float
    margin: float
    to_differ: int
    to_equal: int
    power_difference: float
    power_equivalent: float


@dataclass(frozen=True, kw_only=True)
class CampaignDesign(Record):
    """A run sheet and what it will tell."""

    kind: ClassVar[str] = "campaign-design"
    name: str
    seed: int
    repeats: int
    runs: tuple[PlannedRun, ...]
    devices: Mapping[str, ExpectedFriction]
    pulls: PullsNeeded


@dataclass(frozen=True)
class RehearsedPair:
    """Two configurations over all rehearsed campaigns: true quotient and the share of each verdict."""

    a: str
    b: str
    ratio: float
    different: float
    equivalent: float
    small_but_real: float
    undecided: float


@dataclass(frozen=True)
class RehearsedValue:
    """A value over all rehearsed campaigns: truth, root mean square error, median half interval, share that held it."""

    true: float
    rmse: float
    half95: float
    held: float


@dataclass(frozen=True, kw_only=True)
class CampaignRehearsal(Record):
    """Campaigns of known truth made up on a run sheet: will it answer the question?"""

    kind: ClassVar[str] = "campaign-simulation"
    name: str
    seed: int
    campaigns: int
    from_logs: bool
    pairs: tuple[RehearsedPair, ...]
    devices: Mapping[str, RehearsedValue]
    advantages: Mapping[str, RehearsedValue]
