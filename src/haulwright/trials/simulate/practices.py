"""Common shortcuts, so that it can be shown what each costs. None of them is used to measure anything.

Every function takes a made-up run and the true or an eyeballed stretch, and returns what the shortcut would report.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from haulwright.trials.log import Floats
from haulwright.trials.simulate.run import SimulatedRun

Spans = Sequence[tuple[float, float]]


def eyeballed(run: SimulatedRun, longest_s: float = 90.0) -> tuple[float, float]:
    """Return a stretch as chosen by eye: up to 90 s near the true one, its ends some seconds off.

    One stop in three is overlooked; else the longer side of it is taken.
    """
    draw = np.random.default_rng((run.seed, 3))
    begin, stop = max(run.steady, key=lambda span: span[1] - span[0])
    if draw.uniform() < 1.0 / 3.0:
        begin, stop = run.steady[0][0], run.steady[-1][1]
    start = begin + draw.normal(-2.0, 6.0)
    end = stop + draw.normal(-2.0, 2.0)
    spare = max(0.0, end - start - longest_s)
    start += spare * draw.uniform()
    return float(start), float(min(end, start + longest_s))


def side_by_side(run: SimulatedRun, span: tuple[float, float] | None = None) -> float:
    """Return mean anchor over mean line with both columns put side by side: no zero, no clocks, one stretch.

    Parameters
    ----------
    run : SimulatedRun
    span : (float, float), optional
        Stretch [s]; eyeballed without it.
    """
    x, y = _columns(run, span or eyeballed(run))
    return float(y.mean() / x.mean())


def mean_of_ratios(run: SimulatedRun, span: tuple[float, float] | None = None) -> tuple[float, float]:
    """Return the mean of row-by-row ratios of the two columns, and its s / √n."""
    x, y = _columns(run, span or eyeballed(run))
    size = min(x.size, y.size)
    there = x[:size] > 0.0
    ratios = y[:size][there] / x[:size][there]
    return float(ratios.mean()), float(ratios.std(ddof=1) / ratios.size**0.5)


def iid_interval(line: Floats, anchor: Floats) -> tuple[float, float]:
    """Return the ratio of means and its standard uncertainty as if every sample were a new witness.

    Parameters
    ----------
    line, anchor : array
        Simultaneous forces, aligned and with their zeros off.

    Examples
    --------
    >>> iid_interval(np.array([1.0, 1.1, 0.9, 1.0]), np.array([2.0, 2.1, 1.9, 2.0]))
    (2.000, 0.041)
    """
    ratio = float(anchor.mean() / line.mean())
    d = (anchor - ratio * line) / line.mean()
    return ratio, float(d.std(ddof=1) / d.size**0.5)


def overlap(one: Spans, other: Spans, step_s: float = 0.05) -> float:
    """Return the time common to two sets of stretches, as a share of their union.

    Examples
    --------
    >>> overlap([(0.0, 10.0)], [(5.0, 15.0)])
    0.33
    """
    ends = [end for spans in (one, other) for span in spans for end in span]
    t = np.arange(min(ends), max(ends), step_s) + 0.5 * step_s
    masks = [np.any([(t > a) & (t < b) for a, b in spans], axis=0) for spans in (one, other)]
    return float((masks[0] & masks[1]).sum() / (masks[0] | masks[1]).sum())


def _columns(run: SimulatedRun, span: tuple[float, float]) -> tuple[Floats, Floats]:
    """Return both columns between the same stamps."""
    found = []
    for place in ("line", "anchor"):
        channel = run.log.channels[place]
        inside = (channel.time_s >= span[0]) & (channel.time_s <= span[1])
        found.append(channel.force_N[inside])
    return found[0], found[1]
