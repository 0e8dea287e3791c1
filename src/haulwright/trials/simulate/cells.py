"""What two load cells make of the true forces: gain, zero, display step, own clock, own instants, faults."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.ndimage import uniform_filter1d

from haulwright.trials.simulate.forces import KGF
from haulwright.trials.simulate.noise import Floats
from haulwright.trials.simulate.plan import RunPlan

_JITTER, _STAMP_JITTER = 0.02, 0.01  # of a period: when a reading is taken, and how well its stamp tells it


@dataclass(frozen=True)
class Logged:
    """Readings of one cell.

    Attributes
    ----------
    stamp_s : array
        As the cell's clock tells them [s].
    instant_s : array
        When they were really taken [s].
    force_kgf : array
        As displayed [kgf].
    gain : float
        Reading over truth at working load, zero apart.
    zero_kgf : float
        Zero error in the middle of the run [kgf].
    rate : float
        By how much its clock runs fast.
    """

    stamp_s: Floats
    instant_s: Floats
    force_kgf: Floats
    gain: float
    zero_kgf: float
    rate: float = 0.0


def read_cells(
    plan: RunPlan, tick_s: float, forces_kgf: dict[str, Floats], draw: np.random.Generator
) -> dict[str, Logged]:
    """Return what each cell logs of its force."""
    end = tick_s * min(force.size for force in forces_kgf.values())
    period = 1.0 / plan.rate_Hz
    own_rate = 1.0 if draw.uniform() < 0.5 else draw.uniform(0.75, 1.05)
    shared = _instants(end, period * own_rate, draw) if plan.held else None
    logged = {}
    for place, force in forces_kgf.items():
        instants = _instants(end, period, draw)
        shown, gain, zero = _shown(plan, tick_s, force, instants, draw)
        rate = 0.0
        if shared is None:
            offset_s, rate = draw.uniform(-0.5, 0.5) * plan.clock_s, 1e-6 * plan.clock_ppm * draw.normal()
            stamps = _stamped(plan, instants, offset_s, rate, draw)
        else:  # a table on a clock of its own: each cell's last value
            last = np.searchsorted(instants, shared, side="right") - 1
            rows = last >= 0
            instants, shown, stamps = instants[last[rows]], shown[last[rows]], shared[rows]
        keep = np.concatenate(([True], np.diff(stamps) > 0.0))
        logged[place] = Logged(stamps[keep], instants[keep], shown[keep], gain, zero, rate)
    return _with_faults(plan, logged, end, draw)


def _instants(end_s: float, period_s: float, draw: np.random.Generator) -> Floats:
    count = int((end_s - 2.0 * period_s) / period_s)
    even = draw.uniform(0.0, period_s) + period_s * np.arange(count)
    return np.asarray(even + period_s * np.clip(_JITTER * draw.normal(size=count), -0.2, 0.2))


def _shown(
    plan: RunPlan, tick_s: float, force: Floats, instants: Floats, draw: np.random.Generator
) -> tuple[Floats, float, float]:
    """Return the displayed values, the gain at working load and the zero error in the middle [kgf]."""
    slow = uniform_filter1d(force, max(1, round(draw.uniform(0.03, 0.12) / tick_s)), mode="nearest")
    true = np.interp(instants, tick_s * np.arange(force.size), slow)
    working = float(np.percentile(force, 70.0))
    error = plan.accuracy * draw.uniform(-1.0, 1.0)
    bend = 0.15 * plan.accuracy * draw.uniform(-1.0, 1.0)
    zero, drift = plan.zero_kgf * draw.normal(), plan.zero_kgf / 3.0 * draw.normal()
    read = true * (1.0 + error + bend * (true / working - 1.0))
    read = read + zero + drift * (instants / instants[-1] - 0.5) + 0.3 * draw.normal(size=true.size)
    return np.round(read / plan.step_kgf) * plan.step_kgf, 1.0 + error, zero


def _stamped(
    plan: RunPlan, instants: Floats, offset_s: float, rate: float, draw: np.random.Generator
) -> Floats:
    """Return the stamps of a clock that is off, drifts, jitters and may know whole seconds only."""
    jitter = _STAMP_JITTER / plan.rate_Hz * draw.normal(size=instants.size)
    stamps = np.maximum.accumulate(instants + offset_s + rate * instants + jitter)
    return np.asarray(np.floor(stamps) if plan.whole_seconds and plan.rate_Hz <= 1.0 else stamps)


def _with_faults(
    plan: RunPlan, logged: dict[str, Logged], end_s: float, draw: np.random.Generator
) -> dict[str, Logged]:
    """Return the readings with silences and wild values."""
    places = list(logged)
    for _ in range(plan.dropouts):
        place = places[int(draw.integers(len(places)))]
        one, begin = logged[place], draw.uniform(0.35, 0.85) * end_s
        there = (one.instant_s < begin) | (one.instant_s > begin + draw.uniform(3.0, 10.0))
        logged[place] = replace(
            one, stamp_s=one.stamp_s[there], instant_s=one.instant_s[there], force_kgf=one.force_kgf[there]
        )
    for _ in range(plan.spikes):
        one = logged[places[int(draw.integers(len(places)))]]
        at = int(draw.uniform(0.45, 0.85) * one.force_kgf.size)
        wild = one.force_kgf[at] * draw.choice([0.0, -0.3, 1.8, 2.6])
        one.force_kgf[at] = np.round(wild / plan.step_kgf) * plan.step_kgf
    return logged


def newtons(logged: Logged) -> Floats:
    """Return the readings in newtons."""
    return logged.force_kgf * KGF
