"""Experiments over devices: friction and gains, prediction of a rig not tested."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from haulwright.mechanics.tackles import named_rig
from haulwright.publishing.charts import Chart
from haulwright.trials.combine import Pooled, pooled_between_run
from haulwright.trials.fit import fit_friction
from haulwright.trials.fit_problem import FitRun
from haulwright.trials.friction import friction_of_run
from haulwright.trials.prediction import FrictionFit
from haulwright.trials.simulate.forces import run_rig
from statistics_page.found import Found, percent
from statistics_page.picture import DOTS, SQUARES, THIRD, TRUTH, WITH, WITHOUT, Plot
from statistics_page.pools import KINDS, SHOWN, TAU, TWO_A, TWO_B, Pulls, drawn_gain
from statistics_page.runs import Kind, Pull, rms, share


def _fit_run(pull: Pull, kind: Kind, shift: float, name: str) -> FitRun:
    return FitRun(pull.seen(shift, name), kind.model)


def gains(pulls: Pulls) -> Found:
    """Show a gain error as a friction change, and what frees the friction of it."""
    ratios = (-0.01, -0.005, 0.0, 0.005, 0.01)
    designs = {"two-part": ("a2",), "two-part + series": ("a2", "s"), "two-part + three-part": ("a2", "aa3")}
    found: dict[str, list[float]] = {name: [] for name in designs}
    for gain in ratios:
        shift = math.log1p(gain)
        for name, parts in designs.items():
            runs = [
                _fit_run(p, KINDS[part][0], shift, f"{part}{i}")
                for part in parts
                for i, p in enumerate(pulls[part][:4])
            ]
            if name == "two-part":
                ks = [friction_of_run(run.result, run.model).friction["puck"].k.value for run in runs]
                found[name].append(float(np.mean(ks)))
            else:
                found[name].append(fit_friction(runs, Pooled(0.0, 6)).devices["puck"].k.value)
    slope = {name: (ks[-1] - ks[0]) / (100 * (ratios[-1] - ratios[0])) for name, ks in found.items()}

    def draw() -> Chart:
        plot = Plot(
            "A gain error and a friction change look alike",
            "gain of anchor cell over line cell, off by [%]",
            "k found",
            "Four pulls of each rig with the same device, true k 1.15; cells stated as class 0.5 %.",
        ).start(
            ("two-part and series check, fitted together", WITH),
            ("two-part alone", WITHOUT),
            ("two-part and three-part, same device, fitted together", THIRD),
            ("true k", TRUTH),
        )
        plot.axes.set_xlim(-1, 1)
        plot.axes.set_ylim(1.11, 1.19)
        plot.ticks((-1, -0.5, 0, 0.5, 1), (1.12, 1.14, 1.16, 1.18))
        plot.trace([-1, 1], [1.15, 1.15], TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        x = [100 * ratio for ratio in ratios]
        for name, style in zip(designs, (WITHOUT, WITH, THIRD), strict=True):
            plot.series(x, found[name], style)
        return plot.chart()

    text = (
        f"A gain of the anchor cell 1 % too high changed k (true 1.15) by {_signed(slope['two-part'])} from two-part pulls "
        f"alone, by {_signed(slope['two-part + series'])} with a series check of four pulls fitted together, and by "
        f"{_signed(slope['two-part + three-part'])} with three-part pulls of the same device fitted together."
    )
    alt = (
        "k found against gain error: from two-part pulls alone it falls steeply through the true value; fitted with a "
        "series check, or with three-part pulls, it stays nearly level."
    )
    return Found("gains", text, alt, draw)


def _signed(value: float) -> str:
    return f"{value:+.4f}".replace("-", "−")


def prediction(pulls: Pulls) -> Found:
    """Compare predictions of an untested rig with the full covariance and with variances only."""
    draw_of, campaigns, rig = np.random.default_rng(34), 120, "stacked two-parts/on-load"
    truth = run_rig(rig, (TWO_A.ratios[0], TWO_B.ratios[0])).long_run_advantage(0.012)
    full, apart, errors = [], [], []
    for _ in range(campaigns):
        gain, runs = drawn_gain(draw_of), []
        for part in ("a2", "b2"):
            for n, i in enumerate(draw_of.choice(40, 2, replace=False)):
                shift = gain + TAU * float(draw_of.normal())
                runs.append(_fit_run(pulls[part][i], KINDS[part][0], shift, f"{part}{n}"))
        pooled = pooled_between_run([[_y(run) for run in runs[:2]], [_y(run) for run in runs[2:]]])
        fit = fit_friction(runs, pooled)
        one, other = (f.predict(named_rig(rig), ("puck", "hoop")) for f in (fit, _variances_only(fit)))
        setup = TAU * float(draw_of.normal())  # the rig would be pulled once, in a set-up of its own
        errors.append(one.value / (truth * math.exp(setup)) - 1.0)
        full.append(one.half95 / one.value)
        apart.append(other.half95 / other.value)
    size = np.abs(errors)
    held = share(size <= np.array(full)), share(size <= np.array(apart))

    def draw() -> Chart:
        plot = Plot(
            "Predicting a rig: errors of two devices go together",
            "error of the prediction, without sign [%]",
            "half width of its 95 % interval [%]",
            f"Two-part pulls, two of each device; stacked two-parts predicted; "
            f"{SHOWN} of {campaigns} campaigns shown.",
            high=250.0,
        ).start(("full covariance", DOTS), ("variances only", SQUARES), ("below: the interval misses", TRUTH))
        plot.axes.set_xlim(0, 3)
        plot.axes.set_ylim(0, 3)
        plot.ticks((0, 1, 2, 3), (0, 1, 2, 3))
        plot.trace([0, 3], [0, 3], TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        for widths, style in ((apart, SQUARES), (full, DOTS)):
            near = [(100 * e, 100 * w) for e, w in zip(size, widths, strict=True)][:SHOWN]
            plot.series([e for e, _ in near], [w for _, w in near], style, markersize=5, clip_on=True)
        return plot.chart()

    text = (
        f"Stacked two-parts predicted from two-part pulls of each device, {campaigns} campaigns with cells within class 0.5 "
        f"%: error {percent(rms(errors), 2)} (root mean square); 95 % intervals held {percent(held[0], 0)} with the full "
        f"covariance (median half width {percent(float(np.median(full)), 2)}), {percent(held[1], 0)} with the variances alone "
        f"({percent(float(np.median(apart)), 2)})."
    )
    alt = (
        "Half width of the predicted interval against its error: with the full covariance nearly all dots lie above the "
        "line where the interval just reaches; with variances only more squares lie below it."
    )
    return Found("prediction", text, alt, draw)


def _y(run: FitRun) -> tuple[float, float]:
    a = run.result.advantage.value
    return math.log(a), run.result.u_repeatability / a


def _variances_only(fit: FrictionFit) -> FrictionFit:
    def diagonal(matrix: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
        return tuple(tuple(row) for row in np.diag(np.diag(np.array(matrix))).tolist())

    return replace(fit, covariance=diagonal(fit.covariance), of_scatter=diagonal(fit.of_scatter))
