"""Records of the trials: what was read, one run, one campaign. Forces in newtons, seconds on the line cell's clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar

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
        This channel's stamp minus the line channel's stamp of the same instant, in the middle of the pull [s].
    zero_N : Measured or None
        Zero that was subtracted [N]; None if the log has no unloaded stretch.
    clock_from : str
        How the clock offset was got; empty for the line's own.
    clock_rate_ppm : Measured or None
        How much faster this clock runs than the line's (1e-6), where tugs stand before and after the pull.
    clock_rate_applied : bool
        Whether the stamps were put right by it; only if it is significant.
    """

    cell: str
    unit_read: str
    rate_Hz: float
    n: int
    gaps: int
    clock_offset_s: Measured
    zero_N: Measured | None = None
    clock_from: str = ""
    clock_rate_ppm: Measured | None = None
    clock_rate_applied: bool = False


@dataclass(frozen=True)
class BudgetTerm:
    """One term of the uncertainty budget: name, standard uncertainty of the advantage, share of the variance."""

    term: str
    u: float
    share: float


@dataclass(frozen=True)
class MovedStretch:
    """What the advantage does when the steady stretch is moved or trimmed: how, and its relative change."""

    moved: str
    change: float


@dataclass(frozen=True)
class DeviceFriction:
    """Friction of one device: tension ratio k and efficiency e = 1/k of one 180-degree pass.

    ``load_exponent`` b and ``at_N`` T0 are given where k was found to change with the load:
    k - 1 = (k(T0) - 1) (T/T0)^-b. None: no change with the load was looked for or seen.
    """

    k: Measured
    efficiency: Measured
    valid_N: tuple[float, float] | None = None
    load_exponent: Measured | None = None
    at_N: float | None = None


@dataclass(frozen=True)
class PlaceReading:
    """A further cell of a run, at a place of the rig.

    Attributes
    ----------
    ratio : Measured
        Force at the place ÷ force of the line cell, as read.
    u_repeatability : float
        Its standard uncertainty against runs with the same cells.
    frictionless : float
        What it would be without friction.
    k : Measured or None
        Tension ratio it tells by itself, where all blocks hold one device.
    """

    ratio: Measured
    u_repeatability: float
    frictionless: float
    k: Measured | None = None


@dataclass(frozen=True)
class BlockHeat:
    """Heat of one block over a run, predicted from the measured forces, beside what was measured of its surface.

    Attributes
    ----------
    device : str
    heat_J_per_m : float
        Per metre of load travel [J/m].
    heat_J : float or None
        Over the travel that was noted [J].
    heat_W : float or None
        At the line speed that was noted [W].
    rise_bound_K : float or None
        Upper bound of its warming [K]: all heat into the device, none given off; needs its mass and material.
    before_C, after_C : float or None
        Surface temperature noted before and after [°C].
    u_share : float or None
        Standard uncertainty of the heat, and so of its bound, from that of the tension ratios, as a share of it.
    """

    device: str
    heat_J_per_m: float
    heat_J: float | None = None
    heat_W: float | None = None
    rise_bound_K: float | None = None
    before_C: float | None = None
    after_C: float | None = None
    u_share: float | None = None


@dataclass(frozen=True)
class CheckStep:
    """One level of a series check: line force [N], ratio of the cells, ``up``, ``down`` or ``pull``."""

    line_N: float
    ratio: Measured
    direction: str


@dataclass(frozen=True)
class CellCheck:
    """Two cells against each other.

    Attributes
    ----------
    how : str
        ``series``: both in one line. ``swap``: the same rig with the cells exchanged.
    runs : tuple of str
    session : str
        Day, empty if not told.
    line_cell, anchor_cell : str
    ratio : Measured
        Reading of the anchor cell ÷ reading of the line cell at the same force.
    steps : tuple of CheckStep
        Levels of a series check.
    nonlinearity : float or None
        Greatest deviation of the levels from one ratio with one zero, as a fraction; None with under three levels.
    hysteresis : float or None
        Mean ratio of the levels going down less that of those going up; None without both.
    used : bool
        False where it is so far off that it is no gain but a mistake.
    """

    how: str
    runs: tuple[str, ...]
    session: str
    line_cell: str
    anchor_cell: str
    ratio: Measured
    steps: tuple[CheckStep, ...] = ()
    nonlinearity: float | None = None
    hysteresis: float | None = None
    used: bool = True


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
    ``interval95_repeatability`` is what to use against runs with the same cells. ``grade`` is ``logged``, or ``typed``
    for forces read off the displays. ``gain`` is the ratio of the cells' gains that was taken off the advantage, known
    from series and swap checks; None where none was. ``readings`` are those of further cells, by place.
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
    choices: Mapping[str, str] = field(default_factory=dict)
    sensitivity: tuple[MovedStretch, ...] = ()
    files: tuple[Mapping[str, str], ...] = ()
    grade: str = "logged"
    gain: Measured | None = None
    readings: Mapping[str, PlaceReading] = field(default_factory=dict)
    conditions: Mapping[str, Any] = field(default_factory=dict)  # as noted on the run sheet
    heat: Mapping[str, BlockHeat] = field(default_factory=dict)
    _traces: Traces | None = None
    _before: TrialResult | None = None  # as measured, where a gain was taken off since
    _others: Mapping[str, TrialResult] = field(
        default_factory=dict
    )  # with each further cell in the anchor's place


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

    @property
    def rig_efficiency(self) -> Measured:
        """Actual advantage ÷ that without friction."""
        a, ideal = self.advantage, self.frictionless
        return Measured(a.value / ideal, a.u / ideal, a.lo / ideal, a.hi / ideal)


@dataclass(frozen=True)
class Comparison:
    """Two configurations of one rig: quotient of their advantages and the verdict in words.

    ``verdict``: different, equivalent, small_but_real, undecided. ``runs_needed``: runs of each still needed
    (0 when decided). ``evidence``: how thin the evidence is, empty where it is not.
    """

    a: str
    b: str
    ratio: Measured
    verdict: str
    runs_needed: int
    margin: float
    evidence: str = ""


@dataclass(frozen=True)
class LeftOut:
    """A configuration predicted from the runs of all the others, beside what was measured.

    ``predicted`` is the reading these cells were to give, ``inside`` whether its 95 % interval holds the measured one.
    """

    rig: str
    devices: tuple[str, ...]
    predicted: Measured
    measured: float
    inside: bool


@dataclass(frozen=True)
class RunScatter:
    """Scatter of the advantage between runs beyond their own uncertainty, as a fraction of it.

    Attributes
    ----------
    seen : float or None
        From the repeats alone; None without any.
    upper95 : float or None
        It may be up to this much, at 95 %.
    repeats : int
        Repeats beyond the first of each configuration.
    used : float
        What the results reckon with, a house value joined.
    """

    seen: float | None
    upper95: float | None
    repeats: int
    used: float


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
    scatter: RunScatter | None = None
    left_out: tuple[LeftOut, ...] = ()
    checks: tuple[CellCheck, ...] = ()
    about: Mapping[str, str] = field(
        default_factory=dict
    )  # site, laboratory, method … as given in campaign.yaml
    excluded: tuple[Mapping[str, str], ...] = ()  # {"run", "why"}


@dataclass(frozen=True)
class LogThere:
    """A log of a run: place of its channel, path from ``logs/``, whether the file is there."""

    place: str
    log: str
    there: bool


@dataclass(frozen=True)
class RunVerdict:
    """One run of the sheet.

    Attributes
    ----------
    run : str
    verdict : str
        ``pass``, ``redo``, ``missing``, or ``left_out`` by decision.
    reasons : tuple of str
    advantage : Measured or None
    rig : str
    devices : tuple of str
        From the drum.
    logs : tuple of LogThere
        None for forces typed from the displays.
    row : mapping column -> text
        The cells of its row of the run sheet as they stand, the empty ones left out.
    """

    run: str
    verdict: str
    reasons: tuple[str, ...]
    advantage: Measured | None = None
    rig: str = ""
    devices: tuple[str, ...] = ()
    logs: tuple[LogThere, ...] = ()
    row: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class CampaignCheck(Record):
    """Every run of a sheet with pass or redo, logs that are missing, files that belong to no run.

    ``next`` is the first run of the sheet without its logs, None where there is none; ``counts`` how many runs have each
    verdict.
    """

    kind: ClassVar[str] = "campaign-check"
    name: str
    runs: tuple[RunVerdict, ...]
    unmatched: tuple[str, ...] = ()
    next: str | None = None
    counts: Mapping[str, int] = field(default_factory=dict)

    @property
    def done(self) -> bool:
        """Whether nothing is to be redone and no log is missing."""
        return all(run.verdict in ("pass", "left_out") for run in self.runs)
