"""Records of the trials: what was read, one run, one campaign. Forces in newtons, seconds on the line cell's clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.quantities.measured import Measured
from haulwright.records import Record


@dataclass(frozen=True)
class Phase:
    """One phase of a run: zero, slack, light tension, ramp, settling, steady, stop, release; seconds."""

    name: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class SteadyStretch:
    """One averaged part of a run: its ends [s], who chose it (``rule`` or a name) and why."""

    start_s: float
    end_s: float
    chosen_by: str
    why: str


@dataclass(frozen=True)
class ChannelInfo:
    """What was read of one channel.

    Attributes
    ----------
    cell : str
        Name of the load cell, empty if not told.
    unit_read : str
        Unit in the file.
    rate_Hz : float
        Median sampling rate [1/s].
    n : int
        Samples used.
    gaps : int
        Silences longer than 2.6 periods.
    clock_offset_s : Measured
        This channel's stamp minus the line channel's stamp of the same instant [s].
    zero_N : Measured or None
        Zero that was subtracted [N]; None if the log has no unloaded stretch.
    """

    cell: str
    unit_read: str
    rate_Hz: float
    n: int
    gaps: int
    clock_offset_s: Measured
    zero_N: Measured | None = None


@dataclass(frozen=True)
class BudgetTerm:
    """One term of the uncertainty budget: name, standard uncertainty of the advantage, share of the variance."""

    term: str
    u: float
    share: float


@dataclass(frozen=True)
class DeviceFriction:
    """Friction of one device: tension ratio k and efficiency e = 1/k of one 180-degree pass."""

    k: Measured
    efficiency: Measured
    valid_N: tuple[float, float] | None = None


@dataclass(frozen=True)
class Traces:
    """Series for charts; never part of ``to_dict``. Seconds on the line clock, newtons, zero taken off."""

    time_s: Mapping[str, tuple[float, ...]]
    force_N: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, kw_only=True)
class LogRecord(Record):
    """A log as it was understood."""

    kind: ClassVar[str] = "log"
    files: tuple[Mapping[str, str], ...]  # {"path", "sha256"}
    format: Mapping[str, str]
    channels: Mapping[str, ChannelInfo]
    rows: Mapping[str, int]
    phases: tuple[Phase, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TrialResult(Record):
    """One run: the advantage that was really reached, and what it rests on.

    ``ratio`` is anchor ÷ line as read (zero and clock corrected); ``advantage`` is load ÷ effort of the rig.
    ``interval95_repeatability`` is what to use against runs with the same cells.
    """

    kind: ClassVar[str] = "trial-result"
    run: str
    rig: str
    path: str = ""
    devices: tuple[str, ...]
    frictionless: float
    channels: Mapping[str, ChannelInfo]
    phases: tuple[Phase, ...]
    steady: tuple[SteadyStretch, ...]
    mean_N: Mapping[str, Measured]
    ratio: Measured
    advantage: Measured
    u_repeatability: float
    interval95_repeatability: tuple[float, float]
    winch_share: Measured
    friction: Mapping[str, DeviceFriction] = field(default_factory=dict)
    budget: tuple[BudgetTerm, ...] = ()
    quality: Mapping[str, str] = field(default_factory=dict)
    files: tuple[Mapping[str, str], ...] = ()
    _traces: Traces | None = None


@dataclass(frozen=True)
class Configuration:
    """All runs of one rig with the same devices, combined; class of the cells counted once."""

    rig: str
    devices: tuple[str, ...]
    n: int
    advantage: Measured
    winch_share: Measured
    between_run_sd: float
    frictionless: float
    runs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Comparison:
    """Two configurations of one rig: quotient of their advantages and the verdict in words.

    ``verdict``: different, equivalent, small_but_real, undecided. ``runs_needed``: runs of each still needed
    (0 when decided).
    """

    a: str
    b: str
    ratio: Measured
    verdict: str
    runs_needed: int
    margin: float


@dataclass(frozen=True)
class CellResult:
    """What the series checks say of a cell: gain relative to the line cell, zero [N]."""

    gain: Measured
    zero_N: Measured | None = None
    _cell: str = ""  # the cell, where its name here also tells the session


@dataclass(frozen=True, kw_only=True)
class CampaignResult(Record):
    """A whole campaign: runs, configurations, friction of the devices, comparisons, cells."""

    kind: ClassVar[str] = "campaign-result"
    name: str
    runs: tuple[TrialResult, ...]
    configurations: tuple[Configuration, ...]
    devices: Mapping[str, DeviceFriction]
    comparisons: tuple[Comparison, ...]
    cells: Mapping[str, CellResult]
    about: Mapping[str, str] = field(
        default_factory=dict
    )  # site, laboratory, method … as given in campaign.yaml
    excluded: tuple[Mapping[str, str], ...] = ()  # {"run", "why"}
