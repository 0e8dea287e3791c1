"""One made-up run: its logs as if read from files, and the truth behind them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulwright.trials.log import Channel, Floats, ForceLog
from haulwright.trials.simulate.cells import Logged, newtons, read_cells
from haulwright.trials.simulate.forces import make_forces
from haulwright.trials.simulate.plan import RunPlan

_TICK_S = 0.02


@dataclass(frozen=True)
class SimulatedRun:
    """A made-up run and its truth. Seconds on the line cell's clock, from its first stamp.

    Attributes
    ----------
    plan : RunPlan
    seed : int
    log : ForceLog
        As if read from files.
    advantage : float
        The true long-run mean load over mean effort while the rope moves.
    frictionless : float
        Ideal advantage of the rig.
    steady : tuple of (float, float)
        The true steady stretches [s].
    phases : tuple of (str, float, float)
        All that happened: name, start, end [s].
    clock_offset_s : float
        The anchor's stamp minus the line's stamp of the same instant, at mid-test, age of held values included [s].
    clock_rate : float
        By how much the anchor's clock runs faster than the line's.
    gain_ratio : float
        Gain of the anchor cell over that of the line cell at working load.
    zero_kgf : tuple of (float, float)
        Zero errors of line and anchor cell in the middle of the run [kgf].
    """

    plan: RunPlan
    seed: int
    log: ForceLog
    advantage: float
    frictionless: float
    steady: tuple[tuple[float, float], ...]
    phases: tuple[tuple[str, float, float], ...]
    clock_offset_s: float
    clock_rate: float
    gain_ratio: float
    zero_kgf: tuple[float, float]


def simulate_run(plan: RunPlan, seed: int) -> SimulatedRun:
    """Return a made-up run; the same plan and seed give the same run.

    Parameters
    ----------
    plan : RunPlan
    seed : int

    Returns
    -------
    SimulatedRun

    Raises
    ------
    RigRefusal
        A rig that is not known or cannot be compiled.
    TrialRefusal
        DEVICES: ratios that do not fit the rig.

    Examples
    --------
    >>> run = simulate_run(RunPlan(rig="three-part", ratios=(1.1, 1.25)), seed=3)
    >>> sorted(run.log.channels), run.frictionless, run.advantage
    (['anchor', 'line'], 3.0, 2.636)
    """
    draw = np.random.default_rng((seed, 2))
    tick = min(_TICK_S, 1.0 / plan.rate_Hz)
    forces = make_forces(plan, tick, draw)
    logged = read_cells(plan, tick, {"line": forces.line_kgf, "anchor": forces.anchor_kgf}, draw)
    line, anchor = logged["line"], logged["anchor"]
    steady = forces.course.spans("steady")
    lag = {place: _lag(one, steady) for place, one in logged.items()}
    origin = float(line.stamp_s[0])
    moved = lag["line"] - origin
    return SimulatedRun(
        plan=plan,
        seed=seed,
        log=_log(logged, origin, seed),
        advantage=forces.advantage,
        frictionless=forces.rig.program.ideal_advantage,
        steady=tuple((a + moved, b + moved) for a, b in steady),
        phases=tuple((name, a + moved, b + moved) for name, a, b in forces.course.phases),
        clock_offset_s=lag["anchor"] - lag["line"],
        clock_rate=(1.0 + anchor.rate) / (1.0 + line.rate) - 1.0,
        gain_ratio=anchor.gain / line.gain,
        zero_kgf=(line.zero_kgf, anchor.zero_kgf),
    )


def _lag(one: Logged, steady: tuple[tuple[float, float], ...]) -> float:
    """Return by how much the stamps are late on the instants, on average over the steady pull [s]."""
    inside = (one.instant_s > steady[0][0]) & (one.instant_s < steady[-1][1])
    return float(np.mean(one.stamp_s[inside] - one.instant_s[inside]))


def _log(logged: dict[str, Logged], origin: float, seed: int) -> ForceLog:
    channels = {
        place: Channel(place, place, "simulated", "kgf", one.stamp_s - origin, newtons(one))
        for place, one in logged.items()
    }
    return ForceLog(
        files=({"path": f"simulated run {seed}", "sha256": ""},),
        format={"layout": "simulated"},
        channels=channels,
        rows={"used": sum(int(c.time_s.size) for c in channels.values())},
    )


def readings_kgf(run: SimulatedRun, place: str) -> tuple[Floats, Floats]:
    """Return stamps [s] and displayed forces [kgf] of one cell."""
    channel = run.log.channels[place]
    step = run.plan.step_kgf
    return channel.time_s, np.round(channel.force_N / 9.80665 / step) * step
