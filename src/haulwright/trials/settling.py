"""Where settling ends: an exponential tail under coloured noise, averaged over its own uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulwright.trials.log import Floats

WINDOW_S = 90.0  # settling is looked for in this much of a run [s]
RESIDUAL = 0.005  # steady from where settling adds less than this share of the load
_TAUS_S = (1.5, 2.2, 3.2, 4.6, 6.8, 10.0, 15.0, 22.0)
_RAMP_ENDS_S = tuple(float(second) for second in range(26))
# how large drift [1/s] and settling may be before anything is seen (standard deviations): keeps one from posing as the other
_DRIFT_SD, _SETTLING_SD = 0.0008, 0.08
_RAMP_NOISE = 3.0  # a ramp is no straight line: its residuals count for this many times less
# colours of noise that are tried: share of the variance that lasts, and for how long [s]
_COLOURS = ((0.0, 1.0), (0.2, 4.0), (0.5, 4.0), (0.2, 12.0), (0.5, 12.0))
_NODES = np.array([-1.645, -1.036, -0.674, -0.385, -0.126, 0.126, 0.385, 0.674, 1.036, 1.645])


@dataclass(frozen=True)
class Settled:
    """End of the ramp and end of settling of one run [s]."""

    ramp_end_s: float
    steady_from_s: float


def find_settled(time_s: Floats, log_load: Floats) -> Settled:
    """Return the instants at which the ramp ends and from which settling adds less than 0.5 % of the load.

    Parameters
    ----------
    time_s : array
        Instants of one run [s], rising.
    log_load : array
        Logarithm of the load there.

    Notes
    -----
    ``a + b t + c exp(-(t - tr)+/tau) + h (tr - t)+`` is fitted for each end of the ramp tr, time constant tau and
    colour of the noise of a fixed table, by generalised least squares. The fits are weighed by their evidence; the
    answer is the start whose stretch is expected, over all of them and over what each leaves open of c, to overlap most
    with the true one. The drift b is common to both forces
    and harmless to their ratio, so it is not held against the run.
    """
    start = float(time_s[0])
    t, y = _seconds(time_s - start, log_load)
    if t.size < 20:
        return Settled(start, start)
    table = [(tr, tau) for tr in _RAMP_ENDS_S if tr < 0.5 * t[-1] for tau in _TAUS_S]
    fits = [_fits(t, y, table, share, lasts) for share, lasts in _COLOURS]
    size, spread, evidence = (np.stack([fit[i] for fit in fits]) for i in range(3))
    weight = np.exp(evidence - evidence.max())
    ramp_ends, taus = (np.array([row[i] for row in table]) for i in (0, 1))
    left = np.abs(size[..., None] + spread[..., None] * _NODES)
    lag = taus[:, None] * np.log(np.maximum(left / RESIDUAL, 1.0))
    ends = np.minimum(ramp_ends[:, None] + lag, t[-1])
    length = float(time_s[-1]) - start
    weights = np.broadcast_to(weight[..., None], ends.shape)
    ramp_end = float(np.average(np.broadcast_to(ramp_ends, weight.shape), weights=weight))
    return Settled(start + ramp_end, start + _best_start(ends.ravel(), weights.ravel(), length))


def _seconds(t: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return one value a second of the first part of a run."""
    second = np.floor(t + 1e-6).astype(np.int64)
    near = second < WINDOW_S
    _, index, counts = np.unique(second[near], return_inverse=True, return_counts=True)
    return np.bincount(index, weights=t[near]) / counts, np.bincount(index, weights=y[near]) / counts


def _fits(
    t: Floats, y: Floats, table: list[tuple[float, float]], share: float, lasts_s: float
) -> tuple[Floats, Floats, Floats]:
    """Return size of the settling, its standard deviation and the log evidence of each fit, for one colour of noise."""
    colour = (1.0 - share) * np.eye(t.size) + share * np.exp(-np.abs(t[:, None] - t) / lasts_s)
    root = np.linalg.cholesky(colour)
    ramp_ends, taus = (np.array([row[i] for row in table])[:, None] for i in (0, 1))
    after, before = np.maximum(t - ramp_ends, 0.0), np.maximum(ramp_ends - t, 0.0)
    noise = np.where(before > 0.0, _RAMP_NOISE, 1.0)
    ones = np.ones_like(after)
    columns = np.stack((ones, (t - t.mean()) * ones, np.exp(-after / taus), before, y * ones), axis=-1)
    columns /= noise[..., None]  # (fits, instants, columns)
    flat = columns.transpose(1, 0, 2).reshape(t.size, -1)
    white = (np.linalg.inv(root) @ flat).reshape(t.size, len(table), 5).transpose(1, 0, 2)
    design, target = white[..., :4], white[..., 4]
    gram = design.transpose(0, 2, 1) @ design
    moment = np.einsum("fij,fi->fj", design, target)
    prior = np.diag([1e-9, 1.0 / _DRIFT_SD**2, 1.0 / _SETTLING_SD**2, 1e-9])
    power = np.einsum("fi,fi->f", target, target)
    log_det = np.log(noise).sum(axis=1) + np.log(np.diag(root)).sum()
    variance = _variance(gram, moment, power, log_det, t.size)
    precision = gram / variance + prior
    inverse = np.linalg.inv(precision)
    solution = np.einsum("fij,fj->fi", inverse, moment / variance)
    misfit = power / variance - np.einsum("fi,fi->f", solution, moment / variance)
    evidence = -0.5 * (misfit + np.linalg.slogdet(precision)[1] + t.size * np.log(variance)) - log_det
    return solution[:, 2], np.sqrt(inverse[:, 2, 2]), evidence


def _variance(gram: Floats, moment: Floats, power: Floats, log_det: Floats, count: int) -> float:
    """Return the variance of the noise by the likeliest fit without priors."""
    ridge = 1e-9 * np.trace(gram, axis1=1, axis2=2)[:, None, None] * np.eye(4)
    free = power - np.einsum("fi,fi->f", np.linalg.solve(gram + ridge, moment[..., None])[..., 0], moment)
    variance = np.maximum(free / (count - 4.0), 1e-10)
    return float(variance[int(np.argmin(0.5 * count * np.log(variance) + log_det))])


def _best_start(ends: Floats, weights: Floats, length: float) -> float:
    """Return the start whose stretch is expected to have most in common with the true one, as a share of their union."""
    edges = np.arange(0.0, WINDOW_S + 1.0, 0.5)
    share, _ = np.histogram(ends, bins=edges, weights=weights)
    true = 0.5 * (edges[:-1] + edges[1:])
    tried = true[true < max(length - 1.0, 1.0)]
    both = np.maximum(length - np.maximum(tried[:, None], true), 0.0)
    overlap = both / np.maximum(length - np.minimum(tried[:, None], true), 1e-9)
    return float(tried[int(np.argmax(overlap @ share))])
