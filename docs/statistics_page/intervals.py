"""Experiments over a mixed season of runs: steady stretch, memory of the noise, budget."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from haulwright.publishing.charts import Chart
from haulwright.quantities.measured import Z95
from haulwright.trials.budget import SCATTER
from haulwright.trials.condition import KGF
from haulwright.trials.simulate import RunPlan, simulate_run
from haulwright.trials.steady import find_steady
from statistics_page.found import Found, percent
from statistics_page.picture import DOTS, LIGHT, SQUARES, TRUTH, WITH, WITHOUT, Plot, dot_rows
from statistics_page.runs import Mixed, by_level, gridded, rms, share

SHOWN_SEED = 16


def steady(season: Sequence[Mixed]) -> Found:
    """Compare the stretch found with all that is above half the load."""
    own, level = [run.overlap for run in season], [run.by_level_overlap for run in season]
    shown = simulate_run(RunPlan(stop_s=30.0, steady_s=130.0, accuracy=0.0), SHOWN_SEED)
    grid = gridded(shown)

    def draw() -> Chart:
        plot = Plot(
            "A level alone takes ramp, settling and stop along",
            "time [s]",
            "line force [kgf]",
            "One two-part run with a stop; bars: what each takes.",
            high=290.0,
        ).start()
        end, top = float(grid.time_s[-1]), 1250.0
        plot.axes.set_xlim(0, end)
        plot.axes.set_ylim(-1080, top)
        plot.ticks(range(0, int(end), 60), (0, 400, 800, 1200))
        plot.trace(grid.time_s, grid.line_N / KGF, LIGHT.ink_2, 1.2)
        spans = [(s.start_s, s.end_s) for s in find_steady(grid, (KGF, KGF)).stretches]
        bars = (("true", shown.steady, TRUTH, "-"), ("found by the rule", spans, WITH, "-"))
        for n, (name, parts, style, line) in enumerate(
            (*bars, ("above half the load", [by_level(grid)], WITHOUT, "-"))
        ):
            y = -200 - 330 * n
            plot.say(0, y, name)
            for a, b in parts:
                plot.axes.plot(
                    [a, b],
                    [y - 150] * 2,
                    color=style.color,
                    linewidth=6 if style is WITH else 3,
                    linestyle=line,
                )
                for edge in (a, b):
                    plot.axes.plot([edge] * 2, [y - 195, y - 105], color=style.color, linewidth=1.5)
        return plot.chart()

    text = (
        f"Over {len(season)} mixed runs the stretch found shared {percent(float(np.mean(own)), 0)} of the time with the "
        f"true one (overlap over union, mean; worst {percent(min(own), 0)}), error of the ratio "
        f"{percent(rms([r.error for r in season]), 2)} (root mean square, gains of the cells apart). All that is above half "
        f"the load: {percent(float(np.mean(level)), 0)}, worst {percent(min(level), 0)}, error "
        f"{percent(rms([r.by_level_error for r in season]), 2)}."
    )
    alt = (
        "Line force of a run with a stop, and three bars: the true steady stretches, those the rule found, nearly the "
        "same, and one that runs from ramp to release through the stop."
    )
    return Found("steady", text, alt, draw)


def memory(season: Sequence[Mixed]) -> Found:
    """Compare coverage when every reading counts as a new witness with that of the method."""

    def covers(rate: float | None) -> tuple[float, float]:
        runs = [run for run in season if rate is None or run.rate_Hz == rate]
        iid = share([abs(run.iid_error) <= Z95 * run.iid_u for run in runs])
        return iid, share([abs(run.error) <= run.u95 for run in runs])

    found = {name: covers(rate) for name, rate in (("1 Hz", 1.0), ("10 Hz", 10.0), ("all", None))}

    def draw() -> Chart:
        plot = Plot(
            "Counting every reading as new makes intervals too small",
            "runs whose “95 %” interval held the truth [%]",
            "",
            f"{len(season)} mixed runs, repeatability interval, gains of the cells apart.",
            high=230.0,
            left=14.0,
        ).start(
            ("larger of two estimates, t", DOTS), ("s ÷ √n, every reading counted", SQUARES), ("95 %", TRUTH)
        )
        rows = []
        for name in ("1 Hz", "10 Hz"):
            iid, own = found[name]
            rows.append((f"{name}, s ÷ √n: {percent(iid, 0)}", 100 * iid, SQUARES))
            rows.append((f"{name}, method: {percent(own, 0)}", 100 * own, DOTS))
        return dot_rows(plot, rows, (0, 20, 40, 60, 80, 100), 95.0)

    text = (
        f"{len(season)} mixed runs: intervals with s/√n held the truth in {percent(found['1 Hz'][0], 0)} of the runs at "
        f"1 Hz and {percent(found['10 Hz'][0], 0)} at 10 Hz (the true stretch given); the intervals of this software in "
        f"{percent(found['1 Hz'][1], 0)} and {percent(found['10 Hz'][1], 0)} (its own stretch), "
        f"{percent(found['all'][1])} of all runs."
    )
    alt = (
        "Share of runs whose interval held the truth: every reading counted as new, far below 95 percent, worst at 10 "
        "hertz; the method, near 95 percent."
    )
    return Found("memory", text, alt, draw)


def budget(season: Sequence[Mixed]) -> Found:
    """See what coverage is left when a part of the budget is left out."""
    dropped: dict[str, tuple[str, ...]] = {
        "whole budget": (),
        "without the zeros": ("zero",),
        "without the scatter": (SCATTER,),
        "without the class": ("class", "certificate"),
    }
    found = {}
    for name, starts in dropped.items():
        hits = []
        for run in season:
            u = math.hypot(*(u for term, u in run.terms if not term.startswith(starts)))
            hits.append(abs(run.total) <= run.factor * u)
        found[name] = share(hits)
    tight = [run for run in season if run.factor > 2.05]
    plain, student = (
        share([abs(run.total) <= (Z95 / run.factor if z else 1.0) * run.u95_total for run in tight])
        for z in (True, False)
    )

    def draw() -> Chart:
        plot = Plot(
            "Leave a term out and the interval no longer holds",
            "runs whose “95 %” interval held the true advantage [%]",
            "",
            f"{len(season)} mixed runs, cells of class 0.1 to 1.",
            high=230.0,
            left=14.0,
        ).start(("whole budget", DOTS), ("a term left out", SQUARES), ("95 %", TRUTH))
        rows = [
            (f"{name}: {percent(v)}", 100 * v, DOTS if "whole" in name else SQUARES)
            for name, v in found.items()
        ]
        return dot_rows(plot, rows, (50, 60, 70, 80, 90, 100), 95.0)

    text = (
        f"{len(season)} mixed runs, total interval against the true advantage: {percent(found['whole budget'])} held; "
        f"without the class of the cells {percent(found['without the class'])}, without the scatter "
        f"{percent(found['without the scatter'])}, without the zeros {percent(found['without the zeros'])}. In the "
        f"{len(tight)} runs with a coverage factor above 2.05 the t quantile held {percent(student)}, 1.96 held "
        f"{percent(plain)}."
    )
    alt = (
        "Share of runs whose interval held the truth, one row for the whole budget and one for each term left out; "
        "leaving out the class or the scatter costs most."
    )
    return Found("budget", text, alt, draw)
