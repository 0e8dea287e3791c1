"""Experiments over repeats: class of the cells, two repeats."""

from __future__ import annotations

import math

import numpy as np

from haulwright.publishing.charts import Chart
from haulwright.quantities.measured import Z95
from haulwright.trials.combine import Pooled, combine, combine_logs, pooled_between_run
from statistics_page.found import Found, percent
from statistics_page.picture import DOTS, SQUARES, THIRD, TRIANGLES, TRUTH, WITH, WITHOUT, Plot
from statistics_page.pools import TAU, Pulls, drawn_gain, drawn_pairs
from statistics_page.runs import rms, share, t95


def repeats_class(pulls: Pulls) -> Found:
    """Compare the class of the cells averaged over repeats with the class counted once."""
    draw_of, pool = np.random.default_rng(31), pulls["a2"]
    counts, trials = (1, 2, 4, 8, 16), 400
    once, averaged, real = [], [], []
    held: dict[int, tuple[float, float]] = {}
    quiet = Pooled(0.0, 30)
    for n in counts:
        errors, halves, wrong = [], [], []
        for _ in range(trials):
            gain = drawn_gain(draw_of)
            chosen = [pool[i] for i in draw_of.choice(len(pool), n, replace=False)]
            runs = [p.seen(gain - math.log(p.truth / pool[0].truth), f"r{i}") for i, p in enumerate(chosen)]
            found = combine(runs, quiet).advantage
            errors.append(found.value / pool[0].truth - 1.0)
            halves.append(found.half95 / found.value)
            totals = [run.advantage.u / run.advantage.value for run in runs]
            wrong.append(Z95 * rms(totals) / math.sqrt(n))
        size = np.abs(errors)
        once.append(100 * float(np.median(halves)))
        averaged.append(100 * float(np.median(wrong)))
        real.append(100 * float(np.percentile(size, 95)))
        held[n] = share(size <= np.array(wrong)), share(size <= np.array(halves))

    def draw() -> Chart:
        plot = Plot(
            "The class of the cells does not average down",
            "pulls with the same two cells, logarithmic",
            "half width of the 95 % interval [%]",
            f"{trials} campaigns a point from {len(pool)} simulated pulls, cells within class 0.5 %.",
        ).start(
            ("class counted once", WITH),
            ("class averaged with the rest", WITHOUT),
            ("95 % of the true errors lie below", THIRD),
        )
        plot.axes.set_xscale("log")
        plot.axes.minorticks_off()
        plot.axes.set_xlim(1, 16)
        plot.axes.set_ylim(0, 1.2)
        plot.ticks(counts, (0, 0.2, 0.4, 0.6, 0.8, 1.0, 1.2))
        for values, style in ((averaged, WITHOUT), (real, THIRD), (once, WITH)):
            plot.series(counts, values, style)
        return plot.chart()

    text = (
        f"Cells drawn within class 0.5 %, four pulls with the same two cells: 95 % of the errors were below {real[2]:.2f} "
        f"%. Class counted once: half width {once[2]:.2f} %, held in {percent(held[4][1], 0)} of {trials} campaigns. Class "
        f"averaged with the rest: {averaged[2]:.2f} %, held in {percent(held[4][0], 0)}; with sixteen pulls "
        f"{averaged[-1]:.2f} %, held in {percent(held[16][0], 0)}."
    )
    alt = (
        "Half width against number of pulls: true errors and the interval with the class counted once stay level, the "
        "interval that averages the class shrinks far below them."
    )
    return Found("class", text, alt, draw)


def two_repeats(pulls: Pulls) -> Found:
    """Compare three intervals for two repeats: their own scatter with z and with t, and the pooled one."""
    draw_of, campaigns, size = np.random.default_rng(32), 200, 6
    names = ("s ÷ √2, factor 1.96", "s ÷ √2, t of 1 degree", "pooled over the campaign")
    halves: dict[str, list[float]] = {name: [] for name in names}
    errors = []
    for _ in range(campaigns):
        groups = drawn_pairs(pulls["a2"], size, draw_of)
        pooled = pooled_between_run(groups)
        for group in groups:
            y, u = zip(*group, strict=True)
            own = abs(y[0] - y[1]) / 2.0
            found = combine_logs(y, u, pooled)
            errors.append(found.value)
            for name, half in zip(names, (Z95 * own, t95(1.0) * own, found.half95()), strict=True):
                halves[name].append(half)
    held = {name: share(np.abs(errors) <= np.array(values)) for name, values in halves.items()}
    width = {name: float(np.mean(values)) for name, values in halves.items()}

    def draw() -> Chart:
        plot = Plot(
            "Two repeats cannot tell their own scatter; a campaign can",
            "mean half width of the interval [%]",
            "intervals that held the truth [%]",
            f"{campaigns} campaigns of {size} pairs; {100 * TAU:.2f} % scatter between set-ups; exact cells.",
        ).start((names[2], DOTS), (names[0], SQUARES), (names[1], TRIANGLES), ("95 %", TRUTH))
        plot.axes.set_xlim(0, 3)
        plot.axes.set_ylim(60, 100)
        plot.ticks((0, 0.5, 1, 1.5, 2, 2.5, 3), (60, 70, 80, 90, 100))
        plot.trace([0, 3], [95, 95], TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        for name, style in zip(names, (SQUARES, TRIANGLES, DOTS), strict=True):
            plot.series([100 * width[name]], [100 * held[name]], style, markersize=10)
        return plot.chart()

    text = (
        f"{campaigns} campaigns of {size} configurations with two pulls each, {100 * TAU:.2f} % scatter between set-ups: s/√2 "
        f"with 1.96 held the truth in {percent(held[names[0]], 0)} (mean half width {percent(width[names[0]], 2)}), with the "
        f"t factor of one degree, 12.7, in {percent(held[names[1]], 0)} ({percent(width[names[1]], 2)}), pooled in "
        f"{percent(held[names[2]], 0)} ({percent(width[names[2]], 2)})."
    )
    alt = (
        "Share held against mean half width: scatter of two with factor 1.96 narrow but far too low, with t of one degree "
        "held but several times as wide, pooled near 95 percent and narrow."
    )
    return Found("two-repeats", text, alt, draw)
