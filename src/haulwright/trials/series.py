"""Both cells in one line: their ratio at every load the check went through, standing still or moving.

In one line both cells carry the same force whether the rope moves or not, so here a hold is as good as a pull.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import maximum_filter1d, median_filter, minimum_filter1d

from haulwright.errors import TrialRefusal
from haulwright.quantities.measured import Measured
from haulwright.trials.align import clock_offset
from haulwright.trials.condition import quantum_of, spike_mask, unloaded_ends, working_level
from haulwright.trials.grid import Grid, filled, make_grid
from haulwright.trials.log import Channel, Floats, ForceLog
from haulwright.trials.result import CheckStep, TrialResult
from haulwright.trials.scatter import scatter_of_mean

_SMOOTH_S, _FLAT_S, _LEAST_S, _TRIM_S = 5.0, 8.0, 10.0, 2.0
_STILL = (
    0.35  # a stretch standing still for more than this share is no pull (ends of holds are cut generously)
)
_FLAT_SHARE, _LOW_SHARE = 0.02, 0.06  # of the top level: range of a level, least level


@dataclass(frozen=True)
class SeriesGain:
    """Gain of the anchor cell over that of the line cell, from the levels of a series check.

    Attributes
    ----------
    ratio : Measured
    nonlinearity, hysteresis : float or None
        As :class:`haulwright.trials.result.CellCheck`.
    """

    ratio: Measured
    nonlinearity: float | None
    hysteresis: float | None


def series_steps(log: ForceLog, result: TrialResult | None) -> tuple[CheckStep, ...]:
    """Return the levels of a series check: every hold, and the steady pull where there is one.

    Parameters
    ----------
    log : ForceLog
        With the channels ``line`` and ``anchor``.
    result : TrialResult or None
        The same log measured as a pull; its steady stretch is one level, unless most of it was standing still.
    """
    holds = _holds(log)
    pulled = [(one.start_s, one.end_s) for one in result.steady] if result else []
    seconds = math.fsum(end - start for start, end in pulled)
    held = math.fsum(max(0.0, min(b, end) - max(a, start)) for start, end in pulled for a, b, _ in holds)
    if result is None or held > _STILL * seconds:
        return tuple(step for _, _, step in holds)
    apart = [step for start, end, step in holds if all(end < a or start > b for a, b in pulled)]
    ratio = Measured.normal(result.ratio.value, result.u_repeatability)
    return (*apart, CheckStep(result.mean_N["line"].value, ratio, "pull"))


def series_gain(steps: Sequence[CheckStep], u_zero_N: float) -> SeriesGain:
    """Return the gain ratio the levels of a series check have in common.

    Parameters
    ----------
    steps : sequence of CheckStep
        At least one.
    u_zero_N : float
        Standard uncertainty of the zero that is common to all levels [N].

    Notes
    -----
    ``anchor = g × line + b`` with the zero b known to be 0 ± u_zero, by least squares weighted with each level's own
    scatter; u(g) is widened by chi² ÷ degrees of freedom where above 1. One level gives its own ratio.

    References
    ----------
    JCGM 100:2008 (GUM), H.3, a calibration curve by least squares; R. T. Birge, Phys. Rev. 40 (1932) 207, from memory.

    Examples
    --------
    >>> levels = [CheckStep(x, Measured.normal(1.004, 0.001), "up") for x in (3000.0, 6000.0, 9000.0)]
    >>> series_gain(levels, 10.0).ratio.value
    1.0040
    """
    if len(steps) == 1:
        return SeriesGain(steps[0].ratio, None, None)
    x = np.array([step.line_N for step in steps])
    ratio = np.array([step.ratio.value for step in steps])
    sd = np.maximum(np.array([step.ratio.u for step in steps]), 1e-5) * x
    rows = np.vstack(
        [np.column_stack([x, np.ones_like(x)]) / sd[:, None], [[0.0, 1.0 / max(u_zero_N, 1e-3)]]]
    )
    target = np.concatenate([ratio * x / sd, [0.0]])
    (gain, zero), *_ = np.linalg.lstsq(rows, target, rcond=None)
    chi2, dof = float(((rows @ np.array([gain, zero]) - target) ** 2).sum()), len(steps) - 1
    u = math.sqrt(float(np.linalg.inv(rows.T @ rows)[0, 0]) * max(chi2 / dof, 1.0))
    off = np.abs(ratio * x / (gain * x + zero) - 1.0)
    up, down = (ratio[[step.direction == way for step in steps]] for way in ("up", "down"))
    return SeriesGain(
        Measured.normal(float(gain), u),
        float(off.max()) if len(steps) > 2 else None,
        float(down.mean() - up.mean()) if up.size and down.size else None,
    )


def _holds(log: ForceLog) -> list[tuple[float, float, CheckStep]]:
    """Return start, end and level of every stretch of even load, in order."""
    try:
        line, anchor = (_without_zero(log.channels[place]) for place in ("line", "anchor"))
        grid = make_grid(line, anchor, clock_offset(line, anchor).value)
    except TrialRefusal:
        return []
    smooth = median_filter(filled(grid.line_N), size=_odd(_SMOOTH_S / grid.step_s), mode="nearest")
    width = _odd(_FLAT_S / grid.step_s)
    top = float(np.percentile(smooth, 98.0))
    flat = maximum_filter1d(smooth, width) - minimum_filter1d(smooth, width) < _FLAT_SHARE * top
    flat &= (smooth > _LOW_SHARE * top) & np.isfinite(grid.line_N) & np.isfinite(grid.anchor_N)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], flat.astype(np.int8), [0]))))
    floor = math.hypot(*(quantum_of(one.force_N) / math.sqrt(12.0) for one in (line, anchor)))
    found: list[tuple[float, float, CheckStep]] = []
    trim = round(_TRIM_S / grid.step_s)
    peak = int(np.argmax(smooth))
    for a, b in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        a, b = a + trim, b - trim
        if (b - a) * grid.step_s >= _LEAST_S - 2.0 * _TRIM_S:
            way = "up" if a <= peak else "down"
            found.append((float(grid.time_s[a]), float(grid.time_s[b - 1]), _level(grid, a, b, way, floor)))
    return found


def _level(grid: Grid, a: int, b: int, direction: str, floor_N: float) -> CheckStep:
    x, y = grid.line_N[a:b], grid.anchor_N[a:b]
    mean = float(x.mean())
    ratio = float(y.mean()) / mean
    difference = (y - ratio * x) / mean
    size = max(1, round(1.0 / grid.step_s))
    seconds = difference[: difference.size // size * size].reshape(-1, size).mean(axis=1)
    still = seconds.size < 5 or float(seconds.std()) == 0.0
    scatter = float(difference.std()) if still else scatter_of_mean(seconds).u
    return CheckStep(mean, Measured.normal(ratio, math.hypot(scatter, floor_N / mean)), direction)


def _without_zero(channel: Channel) -> Channel:
    """Return a channel without spikes and zero; a hold at the display's greatest reading is no clipping here."""
    keep = ~spike_mask(channel.force_N)
    time, force = channel.time_s[keep], channel.force_N[keep]
    unloaded = np.logical_or(*unloaded_ends(time, force, working_level(force)))
    zero = float(force[unloaded].mean()) if unloaded.any() else 0.0
    return Channel(channel.place, channel.label, channel.file, channel.unit_read, time, _floats(force - zero))


def _floats(values: Floats) -> Floats:
    return np.asarray(values, dtype=np.float64)


def _odd(size: float) -> int:
    return max(3, 2 * (round(size) // 2) + 1)
