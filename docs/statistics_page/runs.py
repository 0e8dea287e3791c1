"""Simulated runs, put on one grid with their true clock offset, or measured end to end and kept small."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from multiprocessing import get_context
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from haulwright.mechanics.tackles import named_rig
from haulwright.quantities.measured import Measured
from haulwright.trials.budget import coverage_factor, ratio_of_means
from haulwright.trials.cells import CellSpec
from haulwright.trials.condition import condition
from haulwright.trials.estimate import measure
from haulwright.trials.friction import RigModel, rig_model
from haulwright.trials.grid import Grid, make_grid
from haulwright.trials.log import Floats
from haulwright.trials.result import TrialResult
from haulwright.trials.simulate import (
    RunPlan,
    SimulatedRun,
    draw_plan,
    iid_interval,
    overlap,
    simulate_run,
)
from haulwright.trials.steady import select

_Asked = TypeVar("_Asked")
_Made = TypeVar("_Made")
CAPACITY_N = 60_000.0
EXACT = RunPlan(accuracy=0.0, zero_kgf=0.0)  # two cells without a fault
PROCESSES = 2


def gridded(run: SimulatedRun, *, zero: bool = True, offset_s: float | None = None) -> Grid:
    """Return both forces on one grid: zeros taken off or not, clocks set by the truth or as told."""
    channels = {p: condition(c).channel if zero else c for p, c in run.log.channels.items()}
    offset = run.clock_offset_s if offset_s is None else offset_s
    return make_grid(channels["line"], channels["anchor"], offset)


def steady_forces(grid: Grid, run: SimulatedRun) -> tuple[Floats, Floats]:
    """Return line and anchor force in the true steady stretch [N]."""
    inside = select(grid, run.steady)
    return grid.line_N[inside], grid.anchor_N[inside]


def truth_as_read(run: SimulatedRun) -> float:
    """Return the ratio that these cells would read without any other error."""
    return run.advantage * run.gain_ratio


@dataclass(frozen=True)
class Mixed:
    """One run of a mixed season: errors are relative, gains of the cells taken off unless ``total``."""

    rate_Hz: float
    error: float
    total: float
    u: float
    u95: float
    u95_total: float
    terms: tuple[tuple[str, float], ...]  # relative standard uncertainties
    factor: float  # coverage factor of the total
    overlap: float
    by_level_error: float
    by_level_overlap: float
    stop: bool
    iid_error: float
    iid_u: float
    apart_u: float  # both means propagated as independent
    apart_error: float


def mixed(seed: int) -> Mixed:
    """Make and measure one run of the season."""
    plan = draw_plan(seed)
    run = simulate_run(plan, seed)
    found = _measure(run, plan.accuracy)
    read, value = truth_as_read(run), found.advantage.value
    low, high = found.interval95_repeatability
    spans = [(s.start_s, s.end_s) for s in found.steady]
    grid = gridded(run)
    line, anchor = steady_forces(grid, run)
    ratio, u_iid = iid_interval(line, anchor)
    means = ratio_of_means(grid, run.steady)
    apart = math.hypot(means.line_scatter.u / means.line_N, means.anchor_scatter.u / means.anchor_N)
    naive = by_level(grid)
    cut = select(grid, [naive])
    return Mixed(
        rate_Hz=plan.rate_Hz,
        error=value / read - 1.0,
        total=value / run.advantage - 1.0,
        u=found.u_repeatability / value,
        u95=0.5 * (high - low) / value,
        u95_total=found.advantage.half95 / value,
        terms=tuple((t.term, t.u / value) for t in found.budget),
        factor=found.advantage.half95 / found.advantage.u,
        overlap=overlap(spans, run.steady),
        by_level_error=float(grid.anchor_N[cut].mean() / grid.line_N[cut].mean()) / read - 1.0,
        by_level_overlap=overlap([naive], run.steady),
        stop=plan.stop_s > 0.0,
        iid_error=ratio / read - 1.0,
        iid_u=u_iid / ratio,
        apart_u=apart,
        apart_error=means.ratio / read - 1.0,
    )


def by_level(grid: Grid) -> tuple[float, float]:
    """Return the time from the first to the last moment above half the greatest line force [s]."""
    loaded = np.flatnonzero(grid.line_N > 0.5 * np.nanmax(grid.line_N))
    return float(grid.time_s[loaded[0]]), float(grid.time_s[loaded[-1]])


def _measure(run: SimulatedRun, accuracy: float, devices: Sequence[str] = ()) -> TrialResult:
    cells = {place: CellSpec(place, CAPACITY_N, accuracy) for place in ("line", "anchor")}
    found = measure(
        run.log,
        run=f"{run.plan.rig} {run.seed}",
        rig_name=run.plan.rig,
        frictionless=run.frictionless,
        lowest=0.1,
        devices=devices,
        cells=cells,
    )
    return replace(found, _traces=None)


@dataclass(frozen=True)
class Kind:
    """A kind of pull that is repeated: rig, devices and their ratios."""

    rig: str
    devices: tuple[str, ...]
    ratios: tuple[float, ...]

    @property
    def model(self) -> RigModel:
        """The rig with its devices."""
        return rig_model(named_rig(self.rig), self.devices)


@dataclass(frozen=True)
class Pull:
    """A measured pull with exact cells, and its true advantage; the budget carries class 0.5 % cells."""

    result: TrialResult
    truth: float

    @property
    def error(self) -> float:
        """Error of ln A."""
        return math.log(self.result.advantage.value / self.truth)

    @property
    def u(self) -> float:
        """Repeatability, relative."""
        return self.result.u_repeatability / self.result.advantage.value

    def seen(self, shift: float, name: str) -> TrialResult:
        """Return the result under another name, ln A moved by ``shift`` (gains of cells, another set-up)."""
        factor = math.exp(shift)
        a = self.result.advantage
        low, high = self.result.interval95_repeatability
        moved = Measured(a.value * factor, a.u * factor, a.lo * factor, a.hi * factor)
        return replace(
            self.result,
            run=name,
            advantage=moved,
            ratio=moved,
            u_repeatability=self.result.u_repeatability * factor,
            interval95_repeatability=(low * factor, high * factor),
        )


ACCURACY = 0.005


def pull(asked: tuple[Kind, int]) -> Pull:
    """Make and measure one pull of a kind, both cells exact."""
    kind, seed = asked
    plan = RunPlan(
        rig=kind.rig,
        ratios=kind.ratios or (1.0,),
        load_kgf=800.0 * named_rig_ideal(kind.rig),
        steady_s=90.0,
        accuracy=0.0,
        zero_kgf=1.5,
        light_s=20.0,
    )
    run = simulate_run(plan, seed)
    return Pull(_measure(run, ACCURACY, kind.devices), run.advantage)


def named_rig_ideal(name: str) -> float:
    """Return the frictionless advantage of a named rig."""
    return _IDEAL[name]


_IDEAL = {"series": 1.0, "two-part": 2.0, "three-part": 3.0, "stacked two-parts/on-load": 4.0}


def season(count: int, first: int = 7000) -> list[Mixed]:
    """Return a mixed season of runs."""
    return _side_by_side(mixed, list(range(first, first + count)))


def pulls(kind: Kind, count: int, first: int) -> list[Pull]:
    """Return pulls of one kind."""
    return _side_by_side(pull, [(kind, seed) for seed in range(first, first + count)])


def _side_by_side(work: Callable[[_Asked], _Made], asked: Sequence[_Asked]) -> list[_Made]:
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads would wait for each other
    with get_context("spawn").Pool(PROCESSES) as pool:
        return pool.map(work, asked, chunksize=5)


def rms(values: Sequence[float] | Floats) -> float:
    """Return the root mean square."""
    return float(np.sqrt(np.mean(np.square(values))))


def share(hits: Sequence[bool] | NDArray[Any]) -> float:
    """Return the share that is true."""
    return float(np.mean(np.asarray(hits, dtype=float)))


def t95(dof: float) -> float:
    """Return the coverage factor of 95 %."""
    return coverage_factor(dof)
