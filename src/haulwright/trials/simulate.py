"""Made-up runs with known truth: to try a campaign before going out, and to test the estimators.

Nothing here describes a real cell, device or place. The physics: the rope moves in stick-slip, which both cells see
alike; friction wanders a little, which only the anchor sees; after the ramp the load settles; a stop is a static hold
with another ratio; each cell has its own gain, zero, zero drift, display step, clock and sampling instants.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter

from haulwright.trials.condition import KGF
from haulwright.trials.log import Channel, Floats, ForceLog

_TICK_S = 0.02


@dataclass(frozen=True)
class RunPlan:
    """What a made-up run is to be.

    Attributes
    ----------
    advantage : float
        Long-run load over effort while the rope moves.
    line_N : float
        Line force at working load [N].
    steady_s : float
        Length of the steady pull [s].
    rate_Hz : float
        Sampling rate of both cells [1/s].
    accuracy : float
        Class of the cells, as a fraction of reading: gains are drawn evenly within it.
    stop_s : float
        Length of a stop half-way, 0 for none [s].
    stick_slip, friction_noise : float
        Relative standard deviations of what is common to both cells, and of the advantage.
    zero_N : float
        Standard deviation of the zero errors [N].
    quantum_N : float
        Display step [N].
    """

    advantage: float = 1.85
    line_N: float = 900.0 * KGF
    steady_s: float = 120.0
    rate_Hz: float = 1.0
    accuracy: float = 0.005
    stop_s: float = 0.0
    stick_slip: float = 0.03
    friction_noise: float = 0.008
    zero_N: float = 2.0 * KGF
    quantum_N: float = 1.0 * KGF


@dataclass(frozen=True)
class SimulatedRun:
    """A made-up run and its truth.

    Attributes
    ----------
    log : ForceLog
        As if read from files.
    advantage : float
        The true long-run advantage.
    steady : tuple of (float, float)
        The true steady stretches, on the line's clock [s].
    clock_offset_s : float
        The anchor's stamp minus the line's stamp of the same instant [s].
    gain_ratio : float
        Gain of the anchor cell over that of the line cell.
    """

    log: ForceLog
    advantage: float
    steady: tuple[tuple[float, float], ...]
    clock_offset_s: float
    gain_ratio: float


def simulate_run(plan: RunPlan, seed: int) -> SimulatedRun:
    """Return a made-up run; the same plan and seed give the same run.

    Examples
    --------
    >>> run = simulate_run(RunPlan(advantage=1.8), seed=3)
    >>> sorted(run.log.channels), run.advantage
    (['anchor', 'line'], 1.8)
    """
    draw = np.random.default_rng(seed)
    time, shape, moving, steady = _profile(plan, draw)
    common = plan.stick_slip * (_wander(time.size, 1.2, draw) + 0.3 * _wander(time.size, 15.0, draw))
    common = common + 0.015 * (time - time.mean()) / np.ptp(time) * draw.normal()
    line = plan.line_N * shape * (1.0 + np.where(moving, common, 0.0))
    own = 0.8 * _wander(time.size, 2.0, draw) + 0.6 * _wander(time.size, 10.0, draw)
    held = 0.04 * draw.uniform(-1.0, 1.0)  # in a hold the ratio is anything between hauling and letting back
    ratio = plan.advantage * (1.0 + np.where(moving, plan.friction_noise * own, held))
    offset = float(draw.uniform(-5.0, 5.0))
    gains = 1.0 + plan.accuracy * draw.uniform(-1.0, 1.0, size=2)
    channels = {
        place: _logged(place, time, force, float(gain), shift, plan, draw)
        for place, force, gain, shift in (
            ("line", line, gains[0], 0.0),
            ("anchor", line * ratio, gains[1], offset),
        )
    }
    origin = float(channels["line"].time_s[0])
    moved = {
        p: Channel(p, c.label, c.file, c.unit_read, c.time_s - origin, c.force_N) for p, c in channels.items()
    }
    log = ForceLog(
        files=({"path": f"simulated run {seed}", "sha256": ""},),
        format={"layout": "simulated"},
        channels=moved,
        rows={"used": sum(int(c.time_s.size) for c in moved.values())},
    )
    spans = tuple((a - origin, b - origin) for a, b in steady)
    return SimulatedRun(log, plan.advantage, spans, offset, float(gains[1] / gains[0]))


def _profile(
    plan: RunPlan, draw: np.random.Generator
) -> tuple[Floats, Floats, np.ndarray, tuple[tuple[float, float], ...]]:
    """Return time [s], load as a share of the working level, where the rope moves, and the steady stretches."""
    light = float(draw.uniform(0.08, 0.2))
    pulls = [plan.steady_s] if plan.stop_s == 0.0 else [plan.steady_s / 2.0] * 2
    marks, values, steady = [0.0], [0.0], []
    settled: list[tuple[float, float, float]] = []

    def go(seconds: float, value: float) -> float:
        marks.append(marks[-1] + seconds)
        values.append(value)
        return marks[-1]

    go(draw.uniform(12.0, 30.0), 0.0)
    go(draw.uniform(10.0, 20.0), 0.005)
    go(4.0, light)
    go(draw.uniform(25.0, 60.0), 0.96 * light)
    starts = []
    for index, seconds in enumerate(pulls):
        top = go(draw.uniform(8.0, 20.0) if index == 0 else 1.5, 1.0)
        starts.append((top - 20.0, top) if index == 0 else (top - 1.5, top))
        tau, jump = draw.uniform(3.0, 9.0), draw.uniform(-0.06, 0.1)
        settle = tau * max(0.0, np.log(abs(jump) / 0.005))
        settled.append((top, tau, jump))
        end = go(settle + seconds, 1.0)
        steady.append((top + settle, end))
        if index + 1 < len(pulls):
            go(plan.stop_s, 0.9)
    last = go(draw.uniform(1.5, 5.0), 0.0)
    go(draw.uniform(10.0, 20.0), 0.0)
    time = np.arange(0.0, marks[-1], _TICK_S)
    shape = np.interp(time, marks, values)
    for top, tau, jump in settled:
        rise = jump * np.clip((time - top + 3.0) / 3.0, 0.0, 1.0)
        tail = np.where(time >= top, jump * np.exp(-np.maximum(time - top, 0.0) / tau), rise)
        shape = np.where((time > top - 3.0) & (shape > 0.2), shape * (1.0 + tail), shape)
    moving = np.zeros(time.size, dtype=np.bool_)
    for (begin, _), (_, end) in zip(starts, steady, strict=True):
        moving |= (time >= begin) & (time <= end)
    return time, shape * np.where(time > last, 0.0, 1.0), moving, tuple(steady)


def _wander(count: int, tau_s: float, draw: np.random.Generator) -> Floats:
    """Return a first-order autoregression of unit variance and correlation time ``tau_s``."""
    keep = float(np.exp(-_TICK_S / tau_s))
    shocks = draw.normal(size=count) * (1.0 - keep * keep) ** 0.5
    shocks[0] = draw.normal()
    filtered: Callable[..., Floats] = lfilter
    return filtered([1.0], [1.0, -keep], shocks)


def _logged(
    place: str,
    time: Floats,
    force: Floats,
    gain: float,
    offset: float,
    plan: RunPlan,
    draw: np.random.Generator,
) -> Channel:
    """Return what a cell would have logged."""
    period = 1.0 / plan.rate_Hz
    count = int((time[-1] - 2.0 * period) / period)
    instants = draw.uniform(0.0, period) + period * np.arange(count) + 0.03 * period * draw.normal(size=count)
    instants = np.maximum.accumulate(np.clip(instants, 0.0, time[-1]))
    zero, drift = draw.normal(0.0, plan.zero_N, size=2) * np.array([1.0, 0.5])
    noise = draw.normal(0.0, 0.4 * KGF, size=count)
    read = gain * np.interp(instants, time, force) + zero + drift * instants / time[-1] + noise
    shown = np.round(read / plan.quantum_N) * plan.quantum_N
    return Channel(place, place, "simulated", "kgf", instants + offset, shown)
