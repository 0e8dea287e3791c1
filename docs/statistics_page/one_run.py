"""Experiments within one run: ratio, zero, clock, holds, covariance."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from haulwright.publishing.charts import Chart
from haulwright.trials.budget import ratio_of_means
from haulwright.trials.condition import KGF
from haulwright.trials.log import Floats
from haulwright.trials.simulate import RunPlan, SimulatedRun, mean_of_ratios, side_by_side, simulate_run
from haulwright.trials.steady import find_steady
from statistics_page.found import Found, percent
from statistics_page.picture import DOTS, LIGHT, SQUARES, THEORY, TRUTH, WITH, WITHOUT, Plot, Style
from statistics_page.runs import EXACT, gridded, rms, steady_forces, truth_as_read


def ratio() -> Found:
    """Compare the ratio of means with the mean of ratios over the scatter of the load."""
    scatters, count = (0.03, 0.08, 0.13, 0.18, 0.23), 8
    mean, means, theory, cvs = [], [], [], []
    for scatter in scatters:
        runs = [simulate_run(replace(EXACT, stick_slip=scatter), seed) for seed in range(count)]
        spans = [run.steady[0] for run in runs]
        pairs = list(zip(runs, spans, strict=True))
        mean.append(100 * float(np.mean([mean_of_ratios(r, s)[0] / truth_as_read(r) - 1 for r, s in pairs])))
        means.append(100 * float(np.mean([side_by_side(r, s) / truth_as_read(r) - 1 for r, s in pairs])))
        moments = [_moments(r, s) for r, s in pairs]
        theory.append(100 * float(np.mean([(1 - rho) * cv**2 for cv, rho in moments])))
        cvs.append(100 * float(np.mean([cv for cv, _ in moments])))

    def draw() -> Chart:
        plot = Plot(
            "Mean of ratios reads high when the load swings",
            "scatter of the line force [%]",
            "mean error of the ratio [%]",
            f"{count} runs a point, 1 Hz, exact cells, clocks up to 3 s apart, put side by side.",
        ).start(("ratio of means", WITH), ("mean of ratios", WITHOUT), ("(1 − ρ) cv²", THEORY))
        plot.axes.set_xlim(0, 25)
        plot.axes.set_ylim(-0.4, 6)
        plot.ticks((0, 5, 10, 15, 20, 25), (0, 2, 4, 6))
        plot.series(cvs, theory, THEORY)
        plot.series(cvs, mean, WITHOUT)
        plot.series(cvs, means, WITH)
        return plot.chart()

    text = (
        f"With the line force scattering by {cvs[0]:.0f} % the mean of ratios was {_signed(mean[0])} % off, by "
        f"{cvs[2]:.0f} % {_signed(mean[2])} %, by {cvs[-1]:.0f} % {_signed(mean[-1])} %; (1 − ρ) cv² foretells "
        f"{theory[0]:.2f}, {theory[2]:.2f} and {theory[-1]:.2f} %. The ratio of means stayed within "
        f"{max(map(abs, means)):.2f} %."
    )
    alt = (
        "Error against scatter of the line force: the ratio of means stays near zero, the mean of ratios rises with the "
        "square of the scatter, as (1 − ρ) cv² says."
    )
    return Found("ratio", text, alt, draw)


def _moments(run: SimulatedRun, span: tuple[float, float]) -> tuple[float, float]:
    """Return the relative scatter of the line force and the correlation of both columns, row by row."""
    columns = []
    for place in ("line", "anchor"):
        channel = run.log.channels[place]
        columns.append(channel.force_N[(channel.time_s >= span[0]) & (channel.time_s <= span[1])])
    size = min(column.size for column in columns)
    x, y = (column[:size] for column in columns)
    return float(x.std() / x.mean()), float(np.corrcoef(x, y)[0, 1])


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", "−")


def zero() -> Found:
    """Compare ratios with and without the zeros taken off, over the load."""
    loads, sd = np.geomspace(250.0, 3000.0, 24), 4.0
    x: list[float] = []
    with_zero: list[float] = []
    without: list[float] = []
    for seed, load in enumerate(loads):
        plan = RunPlan(load_kgf=float(load), accuracy=0.0, zero_kgf=sd, step_kgf=0.5, friction_wander=0.004)
        run = simulate_run(plan, 40 + seed)
        for errors, taken in ((with_zero, True), (without, False)):
            line, anchor = steady_forces(gridded(run, zero=taken), run)
            errors.append(100 * abs(float(anchor.mean() / line.mean()) / run.advantage - 1))
        x.append(float(load / run.advantage))

    def draw() -> Chart:
        plot = Plot(
            "A zero left in weighs most on a light pull",
            "line force [kgf], logarithmic",
            "error of the ratio, without sign [%]",
            f"{len(x)} runs, zeros off by {sd:g} kgf (1 sd), cells otherwise exact.",
        ).start(("zeros taken off", DOTS), ("left in", SQUARES))
        plot.axes.set_xscale("log")
        plot.axes.minorticks_off()
        plot.axes.set_xlim(100, 2000)
        plot.axes.set_ylim(0, math.ceil(max(without)))
        plot.ticks((100, 200, 500, 1000, 2000), range(0, math.ceil(max(without)) + 1))
        plot.series(x, without, SQUARES)
        plot.series(x, with_zero, DOTS)
        return plot.chart()

    light = [i for i, force in enumerate(x) if force < 500.0]
    heavy = [i for i, force in enumerate(x) if force >= 500.0]
    text = (
        f"Zeros off by {sd:g} kgf (one standard deviation): root mean square error {rms([without[i] for i in light]):.2f} "
        f"% below 500 kgf of line force and {rms([without[i] for i in heavy]):.2f} % above, left in; "
        f"{rms([with_zero[i] for i in light]):.2f} and {rms([with_zero[i] for i in heavy]):.2f} % with the zeros taken off."
    )
    alt = (
        "Error of the ratio against line force: with the zeros left in, errors grow as the load falls, up to "
        f"{max(without):.1f} percent; with the zeros taken off they stay near the scatter of the run."
    )
    return Found("zero", text, alt, draw)


def clock() -> Found:
    """Compare the scatter of the ratio with clocks set right and as logged."""
    parts = {}
    for rate in (1.0, 10.0):
        runs = [simulate_run(replace(EXACT, rate_Hz=rate), seed) for seed in range(70, 86)]
        wider = []
        for run in runs:
            u = [ratio_of_means(gridded(run, offset_s=o), run.steady).scatter.u for o in (None, 0.0)]
            wider.append(u[1] / u[0])
        parts[rate] = float(np.median(wider))
        offsets = [abs(run.clock_offset_s) for run in runs]
    shown = simulate_run(replace(EXACT, rate_Hz=10.0, steady_s=60.0, vibration=0.002), 76)
    grids = [gridded(shown, offset_s=offset) for offset in (None, 0.0)]

    def draw() -> Chart:
        plot = Plot(
            "Clocks apart: load swings leak into the ratio",
            "time [s]",
            "anchor ÷ line, moment by moment",
            f"One run at 10 Hz; the anchor cell’s clock is {abs(shown.clock_offset_s):.1f} s "
            f"{'ahead' if shown.clock_offset_s > 0 else 'behind'}.",
        ).start(
            ("offset taken off", _thin(WITH)),
            ("clocks as they were", _thin(WITHOUT)),
            ("true advantage", TRUTH),
        )
        a = shown.steady[0][0] + 8.0
        plot.axes.set_xlim(0, 30)
        plot.axes.set_ylim(1.65, 2.1)
        plot.ticks((0, 10, 20, 30), (1.7, 1.8, 1.9, 2.0), y_names=("1.7", "1.8", "1.9", "2.0"))
        for grid, (color, width, line) in zip(
            reversed(grids), ((LIGHT.terrain, 1.3, (0, (3, 2))), (LIGHT.ink, 2.0, "-")), strict=True
        ):
            inside = (grid.time_s >= a) & (grid.time_s <= a + 30)
            plot.trace(
                grid.time_s[inside] - a,
                grid.anchor_N[inside] / grid.line_N[inside],
                color,
                width,
                linestyle=line,
            )
        plot.trace([0, 30], [shown.advantage] * 2, TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        return plot.chart()

    text = (
        f"Clocks up to 3 s apart (in these runs {np.median(offsets):.1f} s, median) left as they were: the standard "
        f"uncertainty from scatter was {parts[1.0]:.2f} times as large at 1 Hz and {parts[10.0]:.2f} times at 10 Hz "
        "(medians of 16 runs)."
    )
    alt = (
        "Ratio of the two forces over 30 seconds: with the clock offset taken off it stays close to the true advantage, "
        "with the clocks as they were it swings widely."
    )
    return Found("clock", text, alt, draw)


def _thin(style: Style) -> Style:
    return replace(
        style, marker="", line="-" if style is WITH else (0, (3, 2)), width=2.0 if style is WITH else 1.3
    )


def hold() -> Found:
    """Compare the steady stretch of the method with the flattest half minute of the log."""
    errors, chain = [], []
    for seed in range(300, 324):
        run = simulate_run(RunPlan(stop_s=34.0, light_s=60.0, accuracy=0.0, zero_kgf=1.0), seed)
        grid = gridded(run)
        flat = _flattest(grid.time_s, grid.line_N)
        inside = (grid.time_s >= flat) & (grid.time_s < flat + 30.0)
        errors.append(float(grid.anchor_N[inside].mean() / grid.line_N[inside].mean()) / run.advantage - 1)
        spans = [(s.start_s, s.end_s) for s in find_steady(grid, (KGF, KGF)).stretches]
        chain.append(ratio_of_means(grid, spans).ratio / run.advantage - 1)
    shown = simulate_run(RunPlan(stop_s=34.0, light_s=60.0, accuracy=0.0, zero_kgf=1.0), 301)
    grid = gridded(shown)

    def draw() -> Chart:
        plot = Plot(
            "The calmest part of a log is where the rope stands still",
            "time [s]",
            "anchor ÷ line, moment by moment",
            "One two-part run, k = 1.18, with a hold at light tension and a stop.",
        ).start(
            ("steady stretches, both", _thin(WITH)),
            ("everything else under load", _thin(WITHOUT)),
            ("true advantage", TRUTH),
        )
        end = float(grid.time_s[-1])
        plot.axes.set_xlim(0, end)
        plot.axes.set_ylim(1.6, 2.3)
        plot.ticks(list(range(0, int(end), 60)), (1.6, 1.8, 2.0, 2.2), y_names=("1.6", "1.8", "2.0", "2.2"))
        with np.errstate(invalid="ignore"):
            loaded = grid.line_N > 0.06 * np.nanmax(grid.line_N)
        quotient = np.where(loaded, grid.anchor_N / np.where(loaded, grid.line_N, 1.0), np.nan)
        plot.trace(grid.time_s, quotient, LIGHT.terrain, 1.3, linestyle=(0, (3, 2)))
        for name, a, b in shown.phases:
            if name in ("light tension", "stop"):
                plot.axes.axvspan(a, b, facecolor=LIGHT.paper_shade, edgecolor="none", zorder=0)
                plot.say(0.5 * (a + b), 2.26, "hold" if name != "stop" else "stop", ha="center")
        for s in find_steady(grid, (KGF, KGF)).stretches:
            inside = (grid.time_s >= s.start_s) & (grid.time_s <= s.end_s)
            plot.trace(grid.time_s[inside], quotient[inside], LIGHT.ink, 2.0)
        plot.trace([0, end], [shown.advantage] * 2, TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        return plot.chart()

    text = (
        f"{len(errors)} runs with a hold of 60 s at light tension and a stop of 34 s: the flattest 30 s under load gave "
        f"a root mean square error of {percent(rms(errors))}, {percent(max(map(abs, errors)))} at worst; the stretches "
        f"this software finds, {percent(rms(chain), 2)} and {percent(max(map(abs, chain)), 2)}."
    )
    alt = (
        "Ratio over a whole run: flat but wrong in the hold and in the stop, noisy about the true advantage in the two "
        "steady stretches between them."
    )
    return Found("hold", text, alt, draw)


def _flattest(time_s: Floats, line_N: Floats) -> float:
    """Return the start of the flattest 30 s above 5 % of the greatest line force, relative to its mean [s]."""
    best, at = math.inf, float(time_s[0])
    for start in np.arange(time_s[0], time_s[-1] - 30.0, 1.0):
        part = line_N[(time_s >= start) & (time_s < start + 30.0)]
        if part.size and np.isfinite(part).all() and part.min() > 0.05 * np.nanmax(line_N):
            flatness = float(part.std() / part.mean())
            if flatness < best:
                best, at = flatness, float(start)
    return at


def covariance() -> Found:
    """Compare the uncertainty of the ratio with that of two means taken as independent."""
    joint, apart = [], []
    for seed in range(500, 540):
        run = simulate_run(replace(EXACT, rate_Hz=(1.0, 4.0)[seed % 2]), seed)
        means = ratio_of_means(gridded(run), run.steady)
        joint.append(100 * means.scatter.u / means.ratio)
        apart.append(
            100 * math.hypot(means.line_scatter.u / means.line_N, means.anchor_scatter.u / means.anchor_N)
        )
    wider = float(np.median(np.array(apart) / np.array(joint)))

    def draw() -> Chart:
        plot = Plot(
            "Both cells see the same swings: what is common drops out",
            "covariance kept [%], logarithmic",
            "standard uncertainty, means as independent [%]",
            f"{len(joint)} two-part runs, 1 and 4 Hz, exact cells, true stretch.",
        ).start(("one run", SQUARES), ("equal", TRUTH))
        plot.axes.set_xscale("log")
        plot.axes.set_yscale("log")
        plot.axes.minorticks_off()
        plot.axes.set_xlim(0.05, 0.5)
        plot.axes.set_ylim(0.05, 5)
        plot.ticks((0.05, 0.1, 0.2, 0.5), (0.1, 0.2, 0.5, 1, 2, 5))
        plot.trace([0.05, 0.5], [0.05, 0.5], TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        plot.series(joint, apart, SQUARES, markersize=6)
        return plot.chart()

    text = (
        f"Taken as independent, the two means gave a standard uncertainty {wider:.1f} times as large (median of "
        f"{len(joint)} runs): {np.median(apart):.2f} % in place of {np.median(joint):.2f} %."
    )
    alt = (
        "Each run a square: uncertainty with independent means against uncertainty with the covariance kept; nearly all "
        "lie far above the line of equality."
    )
    return Found("covariance", text, alt, draw)
