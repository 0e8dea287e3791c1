"""Experiments on single readings: spikes, and the steps and held values of displays."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from haulwright.publishing.charts import Chart
from haulwright.trials.condition import SPIKE_FLOOR_N, SPIKE_RUN, SPIKE_SHARE
from haulwright.trials.log import Floats
from haulwright.trials.simulate import SimulatedRun, simulate_run
from statistics_page.found import Found, percent
from statistics_page.picture import THEORY, TRUTH, WITH, WITHOUT, Plot
from statistics_page.runs import EXACT, gridded, rms, steady_forces


def rejected(force_N: Floats, share: float) -> NDArray[np.bool_]:
    """Tell which readings a limit of this share of the running median would reject; the floor goes with the share."""
    middle = median_filter(force_N, size=7, mode="nearest")
    limit = share * np.abs(middle) + SPIKE_FLOOR_N * share / SPIKE_SHARE
    far = np.abs(force_N - middle) > limit
    edges = np.flatnonzero(np.diff(np.concatenate(([0], far.astype(np.int8), [0]))))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start > SPIKE_RUN:
            far[start:end] = False
    return np.asarray(far, dtype=np.bool_)


@lru_cache(maxsize=1)
def _spiky() -> tuple[SimulatedRun, ...]:
    return tuple(
        simulate_run(replace(EXACT, stick_slip=0.14, spikes=spikes, rate_Hz=1.0), seed)
        for seed in range(20)
        for spikes in (0, 4)
    )


def spikes() -> Found:
    """Try limits for wild readings, on runs with strong stick-slip, with and without wild readings in them."""
    limits = (0.02, 0.05, 0.10, 0.20, 0.35, 0.60, 1.00, 2.00)
    clean, wild, lost = [], [], []
    for limit in limits:
        errors: dict[int, list[float]] = {0: [], 4: []}
        gone = []
        for run in _spiky():
            line, anchor = _without(run, limit)
            errors[run.plan.spikes].append(anchor.mean() / line.mean() / run.advantage - 1)
            if not run.plan.spikes:
                gone.append(_share_lost(run, limit))
        clean.append(100 * rms(errors[0]))
        wild.append(100 * rms(errors[4]))
        lost.append(float(np.mean(gone)))
    here = limits.index(SPIKE_SHARE)

    def draw() -> Chart:
        plot = Plot(
            "Spike limit: too tight eats the load’s own swings, too wide lets spikes in",
            "limit, share of the running median [%], logarithmic",
            "root mean square error of the ratio [%]",
            "20 + 20 runs at 1 Hz with strong stick-slip (14 %), exact cells, true stretch and clocks.",
        ).start(("no wild reading in the log", WITH), ("four wild readings", WITHOUT))
        plot.axes.set_xscale("log")
        plot.axes.minorticks_off()
        plot.axes.set_xlim(2, 200)
        top = math.ceil(max(*clean, *wild) * 2) / 2
        plot.axes.set_ylim(0, top)
        plot.ticks((2, 5, 10, 35, 100, 200), [0.5 * i for i in range(int(2 * top) + 1)])
        plot.axes.axvline(100 * SPIKE_SHARE, color=TRUTH.color, linewidth=TRUTH.width, linestyle=TRUTH.line)
        plot.say(100 * SPIKE_SHARE * 1.06, 0.94 * top, "used here")
        plot.series([100 * limit for limit in limits], wild, WITHOUT)
        plot.series([100 * limit for limit in limits], clean, WITH)
        return plot.chart()

    text = (
        f"Strong stick-slip, no wild reading: a limit of 5 % threw {percent(lost[1])} of sound loaded readings away and "
        f"left an error of {clean[1]:.2f} %; the limit used here threw {percent(lost[here])} away, error "
        f"{clean[here]:.2f} %. Four wild readings in the log: {wild[here]:.2f} % with the limit used here, {wild[-1]:.2f} "
        "% with one of 200 %."
    )
    alt = (
        "Error against spike limit: without wild readings a tight limit does harm, with four wild readings a wide one "
        "does; near 35 percent both are small."
    )
    return Found("spikes", text, alt, draw)


def _without(run: SimulatedRun, limit: float) -> tuple[Floats, Floats]:
    """Return line and anchor readings in the true stretch, less those the limit rejects."""
    kept = []
    for place, offset in (("line", 0.0), ("anchor", run.clock_offset_s)):
        channel = run.log.channels[place]
        time = channel.time_s - offset
        inside = (time >= run.steady[0][0]) & (time <= run.steady[-1][1])
        kept.append(channel.force_N[inside & ~rejected(channel.force_N, limit)])
    return kept[0], kept[1]


def _share_lost(run: SimulatedRun, limit: float) -> float:
    channel = run.log.channels["line"]
    inside = (channel.time_s >= run.steady[0][0]) & (channel.time_s <= run.steady[-1][1])
    return float(np.mean(rejected(channel.force_N, limit)[inside]))


def display() -> Found:
    """Try display steps, on a smooth pull and on one with stick-slip; see the age of held values."""
    steps, count, load = (1.0, 5.0, 10.0, 20.0, 50.0), 10, 500.0
    calm = replace(EXACT, stick_slip=0.0, friction_wander=0.0, vibration=0.0, drift_per_min=0.0)
    found: dict[bool, list[float]] = {True: [], False: []}
    theory = []
    for step in steps:
        for smooth, errors in found.items():
            some = []
            for seed in range(count):
                plan = calm if smooth else EXACT
                plan = replace(plan, load_kgf=load * (1 + 0.013 * seed), step_kgf=step)
                run = simulate_run(plan, 900 + seed)
                line, anchor = steady_forces(gridded(run, zero=False), run)
                some.append(float(anchor.mean() / line.mean()) / run.advantage - 1)
            errors.append(100 * rms(some))
        theory.append(100 * step / 12**0.5 * math.hypot(1 / load, 1.833 / load))
    ages = [
        abs(simulate_run(replace(EXACT, held=True, clock_s=0.0), seed).clock_offset_s) for seed in range(40)
    ]

    def draw() -> Chart:
        plot = Plot(
            "A coarse display hurts where nothing moves across its steps",
            "display step [kgf], logarithmic",
            "root mean square error of the ratio [%]",
            f"{count} two-part runs a point, line force about 275 kgf, exact cells.",
        ).start(("pull with stick-slip", WITH), ("smooth pull", WITHOUT), ("q ÷ √12 on each cell", THEORY))
        plot.axes.set_xscale("log")
        plot.axes.minorticks_off()
        plot.axes.set_xlim(1, 50)
        top = math.ceil(max(*found[True], *theory))
        plot.axes.set_ylim(0, top)
        plot.ticks(steps, range(0, top + 1))
        plot.series(steps, theory, THEORY)
        plot.series(steps, found[True], WITHOUT)
        plot.series(steps, found[False], WITH)
        return plot.chart()

    text = (
        f"Display step {steps[2]:g} kgf at 275 kgf of line force: error {found[True][2]:.2f} % on a smooth pull, "
        f"{found[False][2]:.2f} % with stick-slip; q/√12 on each cell would be {theory[2]:.2f} %. At {steps[-1]:g} kgf: "
        f"{found[True][-1]:.2f}, {found[False][-1]:.2f} and {theory[-1]:.2f} %. In 40 tables of last values held, at one "
        f"reading a second, the two columns were {np.median(ages):.2f} s apart by the age of their values alone (median; "
        f"{max(ages):.2f} s at worst)."
    )
    alt = (
        "Error against display step: on a smooth pull it follows the step divided by the square root of twelve, with "
        "stick-slip it stays lower."
    )
    return Found("display", text, alt, draw)
