"""Both forces on one grid, and what is common to them once slow changes are taken out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from haulwright.errors import TrialRefusal
from haulwright.trials.condition import LOADED_SHARE
from haulwright.trials.log import GAP_PERIODS, Channel, Floats

HIGH_PASS_S = 9.0

LEAST_TOGETHER_S = 20.0  # shorter, two logs are hardly one pull (house rule)


@dataclass(frozen=True)
class Grid:
    """Line and anchor on one grid, on the line's clock.

    Attributes
    ----------
    time_s : array
        Grid instants [s].
    step_s : float
        Spacing [s].
    line_N, anchor_N : array
        Forces; not-a-number where either is missing.
    """

    time_s: Floats
    step_s: float
    line_N: Floats
    anchor_N: Floats

    @property
    def valid(self) -> NDArray[np.bool_]:
        """Instants at which both forces are known."""
        return np.isfinite(self.line_N)


def grid_step(*channels: Channel) -> float:
    """Return the spacing of the common grid: the slower period, within 0.1 … 1 s."""
    return float(np.clip(max(channel.period_s for channel in channels), 0.1, 1.0))


def on_grid(channel: Channel, offset_s: float, times: Floats, step_s: float) -> Floats:
    """Return a channel at given instants of the line's clock [N]; not-a-number inside its gaps.

    Fast readings are averaged into the cell of the grid, slow ones interpolated.
    """
    time = channel.time_s - offset_s
    if channel.period_s <= 0.5 * step_s:
        edges = np.concatenate((times - 0.5 * step_s, [times[-1] + 0.5 * step_s]))
        index = np.searchsorted(edges, time, side="right") - 1
        inside = (index >= 0) & (index < times.size)
        counts = np.bincount(index[inside], minlength=times.size)
        sums = np.bincount(index[inside], weights=channel.force_N[inside], minlength=times.size)
        means = sums / np.maximum(counts, 1)
        return np.where(counts > 0, means, np.nan)
    values = np.interp(times, time, channel.force_N, left=np.nan, right=np.nan)
    after = np.clip(np.searchsorted(time, times), 1, time.size - 1)
    silent = time[after] - time[after - 1] > GAP_PERIODS * max(channel.period_s, 1e-9)
    exact = time[after] == times
    return np.where(silent & ~exact, np.nan, values)


def make_grid(line: Channel, anchor: Channel, offset_s: float) -> Grid:
    """Return both channels on one grid, pairwise complete.

    Raises
    ------
    TrialRefusal
        If the two records do not overlap.
    """
    step = grid_step(line, anchor)
    start = max(line.time_s[0], anchor.time_s[0] - offset_s)
    end = min(line.time_s[-1], anchor.time_s[-1] - offset_s)
    if end - start < LEAST_TOGETHER_S:
        message = (
            f"{line.file} and {anchor.file} overlap by {max(0.0, end - start):.0f} s only: are they one run?"
        )
        raise TrialRefusal("NO_OVERLAP", message, (line.file, anchor.file))
    times = start + step * np.arange(int((end - start) / step) + 1)
    x, y = on_grid(line, 0.0, times, step), on_grid(anchor, offset_s, times, step)
    missing = np.isnan(x) | np.isnan(y)
    return Grid(times, step, np.where(missing, np.nan, x), np.where(missing, np.nan, y))


def filled(values: Floats) -> Floats:
    """Return a series with its gaps bridged by straight lines; zero where nothing is known.

    Examples
    --------
    >>> filled(np.array([1.0, np.nan, 3.0])).tolist()
    [1.0, 2.0, 3.0]
    """
    good = np.isfinite(values)
    index = np.arange(values.size)
    return np.interp(index, index[good], values[good]) if bool(good.any()) else np.zeros(values.size)


def high_passed(log_force: Floats, step_s: float) -> Floats:
    """Return a logarithm of force less its running mean over 9 s; not-a-number stays so."""
    size = max(3, round(HIGH_PASS_S / step_s))
    good = np.isfinite(log_force)
    weight = uniform_filter1d(good.astype(np.float64), size, mode="constant")
    mean = uniform_filter1d(np.where(good, log_force, 0.0), size, mode="constant") / np.maximum(weight, 1e-9)
    return np.where(good & (weight > 0.3), log_force - mean, np.nan)


def loaded_log(force_N: Floats) -> Floats:
    """Return the logarithm of the loaded part of a force, not-a-number elsewhere."""
    top = float(np.nanpercentile(force_N, 97.0))
    return np.log(np.where(force_N > LOADED_SHARE * top, force_N, np.nan))


def correlation(grid: Grid, inside: NDArray[np.bool_]) -> float:
    """Return the correlation of both forces inside a steady stretch, slow changes and ramps left out."""
    x, y = (high_passed(loaded_log(force), grid.step_s) for force in (grid.line_N, grid.anchor_N))
    return correlate(x[inside], y[inside])


def correlate(x: Floats, y: Floats) -> float:
    """Return the correlation of two series where both are known, 0 if that is hardly anywhere."""
    good = np.isfinite(x) & np.isfinite(y)
    if np.count_nonzero(good) < 10 or x[good].std() == 0.0 or y[good].std() == 0.0:
        return 0.0
    return float(np.corrcoef(x[good], y[good])[0, 1])
