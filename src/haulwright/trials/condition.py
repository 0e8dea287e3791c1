"""Spikes out, zero off, clipping seen: one channel made fit to be averaged.

References
----------
F. R. Hampel, "The influence curve and its role in robust estimation", J. Amer. Statist. Assoc. 69 (1974) 383
(from memory): rejection by the distance from a running median.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d

from haulwright.errors import TrialRefusal
from haulwright.quantities.measured import Measured
from haulwright.quantities.unit_table import G0
from haulwright.trials.log import Channel, Floats

KGF = G0  # newtons of a kilogram-force: the house limits of a channel are stated in these
SPIKE_SHARE, SPIKE_FLOOR_N, SPIKE_RUN = 0.35, 25.0 * KGF, 2
LOADED_SHARE = 0.6  # loaded: above this share of the 97th percentile
UNLOADED_SHARE = 0.05  # unloaded: below this share of the working level
FASTEST_HZ = 50.0  # nothing a rope does to a ratio is faster; a faster log goes on as means (house rule)
_QUANTUM_OF = 200_000  # readings the resolution is taken from
CLIPPED_REFUSED, CLIPPED_TOLD = 0.08, 0.03
_SETTLED_S = 3.0  # after the release the cell is given this long to come to rest [s]


@dataclass(frozen=True)
class Conditioned:
    """One channel after conditioning.

    Attributes
    ----------
    channel : Channel
        Readings without spikes, zero taken off [N]; of a log faster than 50 Hz its means over 20 ms.
    n : int
        Readings that are left.
    zero_N : Measured or None
        The zero that was taken off; None if there is no unloaded stretch.
    spikes : int
        Readings rejected as spikes.
    working_N : float
        Working level [N].
    quantum_N : float
        Smallest step between readings [N].
    clipped_share : float
        Share of the loaded readings that equal the greatest one.
    zero_end_s : float or None
        End of the unloaded stretch at the start [s].
    zero_start_s : float or None
        Start of the unloaded stretch at the end [s].
    """

    channel: Channel
    zero_N: Measured | None
    n: int
    spikes: int
    working_N: float
    quantum_N: float
    clipped_share: float
    zero_end_s: float | None
    zero_start_s: float | None


def condition(channel: Channel) -> Conditioned:
    """Return the channel without spikes and with its zero taken off.

    Raises
    ------
    TrialRefusal
        If the channel carries no load, or over 8 % of its loaded readings equal the greatest one.
    """
    keep = ~spike_mask(channel.force_N)
    time, force = channel.time_s[keep], channel.force_N[keep]
    working = working_level(force)
    if working <= 20.0 * KGF:
        message = (
            f"{channel.file}: {channel.label} never carries a load (working level {working / KGF:.0f} kgf)."
        )
        raise TrialRefusal("NO_LOAD", message, (channel.file, channel.place))
    share = clipped_share(force, working)
    if share > CLIPPED_REFUSED:
        message = (
            f"{channel.file}: {channel.label} is clipped: {100 * share:.0f} % of its loaded readings equal the greatest "
            f"({force.max() / KGF:.0f} kgf). The ratio would be too low; use a larger cell or a finer resolution."
        )
        raise TrialRefusal("CLIPPED", message, (channel.file, channel.place))
    quantum = quantum_of(force)
    count = force.size
    slower = replace(channel, time_s=time, force_N=force).thinned(1.0 / FASTEST_HZ)
    time, force = slower.time_s, slower.force_N
    head, tail = unloaded_ends(time, force, working)
    zero = _zero([force[head], force[tail]], quantum)
    clean = Channel(
        channel.place,
        channel.label,
        channel.file,
        channel.unit_read,
        time,
        force - (zero.value if zero else 0.0),
    )
    return Conditioned(
        channel=clean,
        zero_N=zero,
        n=count,
        spikes=int(np.count_nonzero(~keep)),
        working_N=working - (zero.value if zero else 0.0),
        quantum_N=quantum,
        clipped_share=share,
        zero_end_s=float(time[head][-1]) if head.any() else None,
        zero_start_s=float(time[tail][0]) if tail.any() else None,
    )


def spike_mask(force_N: Floats) -> NDArray[np.bool_]:
    """Tell which readings are spikes: far from the running median of seven, at most two in a row.

    Examples
    --------
    >>> force = np.full(30, 8000.0); force[10] = 18000.0
    >>> np.flatnonzero(spike_mask(force)).tolist()
    [10]
    """
    middle = median_filter(force_N, size=7, mode="nearest")
    far = np.abs(force_N - middle) > SPIKE_SHARE * np.abs(middle) + SPIKE_FLOOR_N
    edges = np.flatnonzero(np.diff(np.concatenate(([0], far.astype(np.int8), [0]))))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start > SPIKE_RUN:
            far[start:end] = False
    return np.asarray(far, dtype=np.bool_)


def working_level(force_N: Floats) -> float:
    """Return the median of the readings above 60 % of the 97th percentile [N]."""
    top = float(np.percentile(force_N, 97.0))
    loaded = force_N[force_N > LOADED_SHARE * top]
    return float(np.median(loaded)) if loaded.size and top > 0.0 else 0.0


def clipped_share(force_N: Floats, working_N: float) -> float:
    """Return the share of the loaded readings that equal the greatest one, 0 where that is no heap.

    Notes
    -----
    A coarse display repeats its greatest value by chance; then the step below is shown about as often or more. A heap
    is at least five readings, and more than one step below by twice the standard deviation of both counts.

    Examples
    --------
    >>> clipped_share(np.minimum(np.linspace(500.0, 1000.0, 101), 900.0), 700.0)
    0.21
    """
    loaded = force_N[force_N > LOADED_SHARE * working_N]
    if not loaded.size:
        return 0.0
    top = loaded.max()
    step = quantum_of(loaded)
    at_top = int(np.count_nonzero(loaded == top))
    below = int(np.count_nonzero((loaded < top - 0.5 * step) & (loaded > top - 1.5 * step)))
    heap = at_top >= 5 and at_top - below > 2.0 * math.sqrt(at_top + below)
    return at_top / loaded.size if heap else 0.0


def quantum_of(force_N: Floats) -> float:
    """Return the resolution of a channel [N]: the usual smallest step between different readings."""
    steps = np.diff(np.unique(np.round(force_N[:: max(1, force_N.size // _QUANTUM_OF)], 6)))
    steps = steps[steps > 1e-3]
    return float(np.percentile(steps, 10.0)) if steps.size else 0.0


def robust_sd(values: Floats) -> float:
    """Return 1.4826 times the median absolute deviation."""
    return 1.4826 * float(np.median(np.abs(values - np.median(values)))) if values.size else 0.0


def unloaded_ends(
    time_s: Floats, force_N: Floats, working_N: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return which readings belong to the unloaded start, and which to the unloaded end."""
    smooth = median_filter(force_N, size=5, mode="nearest")
    heavy = np.flatnonzero(smooth > UNLOADED_SHARE * working_N)
    first, last = (int(heavy[0]), int(heavy[-1])) if heavy.size else (0, force_N.size - 1)
    head = np.arange(force_N.size) < first
    tail = time_s > time_s[last] + _SETTLED_S
    return _quiet(force_N, head, working_N, from_start=True), _quiet(
        force_N, tail, working_N, from_start=False
    )


def _quiet(
    force_N: Floats, part: NDArray[np.bool_], working_N: float, *, from_start: bool
) -> NDArray[np.bool_]:
    """Keep the part up to where the load first departs from its outer end (slack rope being handled)."""
    index = np.flatnonzero(part)
    none = np.zeros(force_N.size, dtype=np.bool_)
    if index.size < 5:
        return none
    ordered = force_N[index] if from_start else force_N[index][::-1]
    outer = ordered[: max(5, ordered.size // 3)]
    base, sd = float(np.median(outer)), robust_sd(outer)
    limit = max(4.0 * sd, 2.5 * quantum_of(ordered), 0.0025 * working_N)
    away = np.abs(median_filter(ordered, size=3, mode="nearest") - base) > limit
    # what a single reading hides in its display step shows in the mean of five
    finer = max(2.0 * float(outer.std()), 0.3 * quantum_of(ordered), 0.0025 * working_N)
    away |= np.abs(uniform_filter1d(ordered, 5, mode="nearest") - float(outer.mean())) > finer
    stop = int(np.argmax(away)) if bool(away.any()) else ordered.size
    if stop < 5:
        return none
    none[index[:stop] if from_start else index[index.size - stop :]] = True
    return none


def _zero(parts: list[Floats], quantum_N: float) -> Measured | None:
    """Return the mean of the zeros at both ends, its spread and the drift between them as uncertainty."""
    means, variances = [], []
    for part in parts:
        if part.size < 5:
            continue
        near = part[np.abs(part - np.median(part)) <= 3.5 * max(robust_sd(part), quantum_N)]
        sd = float(near.std(ddof=1))
        # a still cell hides in one step of its display: then the step itself is the doubt
        hidden = quantum_N**2 / 12.0 if sd < 0.3 * quantum_N else 0.0
        # neighbours in time resemble each other: every third reading counts as independent (house rule)
        means.append(float(near.mean()))
        variances.append(3.0 * sd**2 / near.size + hidden)
    if not means:
        return None
    count = len(means)
    drift = (means[0] - means[-1]) / 12.0**0.5
    return Measured.normal(float(np.mean(means)), (sum(variances) / count**2 + drift**2) ** 0.5)
