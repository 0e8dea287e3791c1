"""Experiments over decisions: same or different, and how many pulls it takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from haulwright.publishing.charts import Chart
from haulwright.quantities.measured import Z95
from haulwright.trials.combine import combine, pooled_between_run
from haulwright.trials.compare import (
    LEVEL,
    compare,
    difference_p,
    holm,
    runs_for_difference,
    runs_for_equivalence,
)
from haulwright.trials.design.power import power_of_difference
from statistics_page.found import Found, percent
from statistics_page.picture import THEORY, TRUTH, WITH, WITHOUT, Plot
from statistics_page.pools import ROUGH, TAU, Pulls, drawn_pairs
from statistics_page.runs import Pull, share


def same(pulls: Pulls) -> Found:
    """Compare "not shown different" with a test of equivalence, and count false differences among equal devices."""
    draw_of, margin, campaigns, pool = np.random.default_rng(35), 0.02, 120, pulls["a2"]
    truths, not_different, equivalent = (0.0, 0.005, 0.01, 0.015, 0.02, 0.025, 0.03, 0.04), [], []
    for truth in truths:
        verdicts = []
        for _ in range(campaigns):
            chosen = [pool[i] for i in draw_of.choice(len(pool), 4, replace=False)]
            runs = {}
            for n, p in enumerate(chosen):
                shift = ROUGH * float(draw_of.normal()) + (math.log1p(truth) if n > 1 else 0.0)
                runs[f"r{n}"] = replace(p.seen(shift, f"r{n}"), devices=("puck",) if n < 2 else ("disc",))
            pooled = pooled_between_run([*drawn_pairs(pool, 6, draw_of, ROUGH)])
            pair = [combine([runs[f"r{n}"] for n in two], pooled) for two in ((0, 1), (2, 3))]
            verdicts.append(compare(pair, runs, pooled, margin=margin)[0].verdict)
        not_different.append(share([v in ("equivalent", "undecided") for v in verdicts]))
        equivalent.append(share([v in ("equivalent", "small_but_real") for v in verdicts]))
    false = _false_differences(pool, draw_of)

    def draw() -> Chart:
        plot = Plot(
            "“Not shown different” is not “the same”",
            "true difference of two devices [%]",
            "campaigns that call them the same [%]",
            f"{campaigns} campaigns a point, two pulls of each device, {100 * ROUGH:.1f} % scatter between set-ups, margin 2 %.",
        ).start(
            ("shown equivalent within 2 % (TOST)", WITH), ("not shown different", WITHOUT), ("margin", TRUTH)
        )
        plot.axes.set_xlim(0, 4)
        plot.axes.set_ylim(0, 100)
        plot.ticks((0, 1, 2, 3, 4), (0, 20, 40, 60, 80, 100))
        plot.axes.axvline(2.0, color=TRUTH.color, linewidth=TRUTH.width, linestyle=TRUTH.line)
        x = [100 * truth for truth in truths]
        plot.series(x, [100 * v for v in not_different], WITHOUT)
        plot.series(x, [100 * v for v in equivalent], WITH)
        return plot.chart()

    text = (
        f"Two devices truly 2 % apart, two pulls of each, {100 * ROUGH:.1f} % scatter between set-ups: "
        f"{percent(not_different[4], 0)} of {campaigns} campaigns did not show a difference, {percent(equivalent[4], 0)} "
        f"called them equivalent within 2 %. Equal devices were called equivalent in {percent(equivalent[0], 0)}. Six equal "
        f"devices, two pulls of each, 15 pairs: at least one false “different” in {percent(false[0], 0)} of 1000 campaigns "
        f"without correction, {percent(false[1], 0)} with Holm’s."
    )
    alt = (
        "Share of campaigns that call two devices the same against their true difference: not shown different stays high "
        "for real differences, shown equivalent falls to a few percent at the margin."
    )
    return Found("same", text, alt, draw)


def _false_differences(pool: Sequence[Pull], draw: np.random.Generator) -> tuple[float, float]:
    """Return the share of campaigns of six equal devices with a false difference, without and with Holm."""
    hits = []
    for _ in range(1000):
        groups = drawn_pairs(pool, 6, draw)
        means = [np.mean([y for y, _ in group]) for group in groups]
        variance = float(np.mean([(g[0][0] - g[1][0]) ** 2 / 2.0 for g in groups]))
        p = [
            difference_p(float(means[i] - means[j]), math.sqrt(variance), 6.0)
            for i in range(6)
            for j in range(i)
        ]
        hits.append((min(p) < LEVEL, min(holm(p)) < LEVEL))
    plain, corrected = zip(*hits, strict=True)
    return share(plain), share(corrected)


def size(pulls: Pulls) -> Found:
    """Compare the chance to show a difference that campaigns reach with the formula, over the number of pulls."""
    draw_of, campaigns, pool = np.random.default_rng(36), 400, pulls["a2"]
    sd = math.hypot(float(np.std([p.error for p in pool], ddof=1)), TAU)
    counts, differences = (2, 3, 4, 6, 8, 10, 12), (0.01, 0.005)
    reached: dict[float, list[float]] = {d: [] for d in differences}
    for difference, shares in reached.items():
        for n in counts:
            hits = []
            for _ in range(campaigns):
                y = np.array([pool[i].error for i in draw_of.choice(len(pool), 2 * n, replace=False)])
                y = y + TAU * draw_of.normal(size=2 * n)
                y[n:] += difference
                se = math.sqrt((y[:n].var(ddof=1) + y[n:].var(ddof=1)) / n)
                hits.append(difference_p(float(y[n:].mean() - y[:n].mean()), se, 2.0 * n - 2.0) < LEVEL)
            shares.append(share(hits))

    def draw() -> Chart:
        plot = Plot(
            "Too few pulls: a real difference stays unseen",
            "pulls of each device",
            "chance to show the difference [%]",
            f"{campaigns} campaigns a mark, sd of one pull {100 * sd:.2f} %, set-ups included; thin line: noncentral t.",
        ).start(("1 % apart", WITH), ("0.5 % apart", WITHOUT), ("80 %", TRUTH))
        plot.axes.set_xlim(1.5, 12.5)
        plot.axes.set_ylim(0, 100)
        plot.ticks((2, 4, 6, 8, 10, 12), (0, 20, 40, 60, 80, 100))
        plot.trace([1.5, 12.5], [80, 80], TRUTH.color, TRUTH.width, linestyle=TRUTH.line)
        for difference, style in zip(differences, (WITH, WITHOUT), strict=True):
            theory = [100 * power_of_difference(n, sd, difference) for n in range(2, 13)]
            plot.series(range(2, 13), theory, THEORY)
            plot.series(counts, [100 * v for v in reached[difference]], style, linestyle="none")
        return plot.chart()

    needed = [runs_for_difference(sd, d) for d in differences]
    normal = [math.ceil(2 * ((Z95 + 0.8416) * sd / d) ** 2) for d in differences]
    text = (
        f"With {100 * sd:.2f} % standard deviation of one pull, set-ups included, two pulls of each showed a difference of "
        f"1 % in {percent(reached[0.01][0], 0)} and one of 0.5 % in {percent(reached[0.005][0], 0)} of {campaigns} "
        f"campaigns. For 80 % the t quantiles ask for {needed[0]} and {needed[1]} pulls of each, normal quantiles "
        f"for {normal[0]} and {normal[1]}; equivalence within 1 % asks for {runs_for_equivalence(sd, 0.01)}."
    )
    alt = (
        "Chance to show a difference against pulls of each device: it rises with the pulls, much sooner for 1 percent than "
        "for 0.5 percent; marks of the campaigns follow the lines of the formula."
    )
    return Found("size", text, alt, draw)
