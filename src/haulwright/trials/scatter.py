"""Scatter of the mean of a series whose neighbours resemble each other.

References
----------
C. J. Geyer, "Practical Markov chain Monte Carlo", Stat. Sci. 7 (1992) 473 (initial positive sequence); J. M. Flegal and
G. L. Jones, "Batch means and spectral variance estimators", Ann. Stat. 38 (2010) 1034. Both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulwright.trials.log import Floats

_BATCH_S, _FEWEST_BATCHES, _MOST_BATCHES = 15.0, 5, 10


@dataclass(frozen=True)
class Scatter:
    """A mean of a coloured series: its standard uncertainty and what that rests on.

    Attributes
    ----------
    u : float
        Standard uncertainty of the mean, in the unit of the series.
    dof : float
        Degrees of freedom of ``u``.
    effective : float
        Number of independent values the series is worth.
    batches : int
        Number of batches.
    """

    u: float
    dof: float
    effective: float
    batches: int = 0


def scatter_of_mean(series: Floats) -> Scatter:
    """Return the standard uncertainty of the mean of one-second values.

    Notes
    -----
    The larger of two: the statistical inefficiency by Geyer's initial positive sequence, and batch means over batches
    of about 15 s. The degrees of freedom are the number of batches, or up to twice as many where the series is worth
    that many independent values.

    Examples
    --------
    >>> noise = np.random.default_rng(1).normal(size=400)
    >>> 0.04 < scatter_of_mean(noise).u < 0.08
    True
    """
    count = series.size
    effective = count / inefficiency(series)
    by_sequence = float(series.std(ddof=1)) / max(effective - 1.0, 1.0) ** 0.5
    batches = int(np.clip(round(count / _BATCH_S), _FEWEST_BATCHES, _MOST_BATCHES))
    means = np.array([part.mean() for part in np.array_split(series, batches)])
    by_batches = float(means.std(ddof=1)) / batches**0.5
    dof = float(np.clip(effective - 1.0, batches, 2.0 * batches))
    return Scatter(max(by_sequence, by_batches), dof, effective, batches)


def inefficiency(series: Floats) -> float:
    """Return how many values of a series count as one independent value, at least 1.

    Notes
    -----
    Every autocorrelation of n values about their own mean is too low by about g / n; a sum over m lags to either side
    is made good by dividing it by ``1 - (2 m + 1) / n``.
    """
    d = series - series.mean()
    power = float(d @ d)
    if power == 0.0:
        return 1.0
    count = d.size
    total, lag = 0.0, 1
    while lag + 1 < count // 2:
        pair = sum(float(d[k:] @ d[:-k]) / power for k in (lag, lag + 1))
        if pair <= 0.0:
            break
        total += pair
        lag += 2
    return max(1.0, (1.0 + 2.0 * total) / max(1.0 - (2 * lag - 1) / float(count), 0.5))
