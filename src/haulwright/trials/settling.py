"""Where settling ends: an exponential tail under coloured noise, averaged over its own uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulwright.trials.log import Floats
from haulwright.trials.scatter import inefficiency

WINDOW_S = 90.0  # settling is looked for in this much of a run [s]
RESIDUAL = 0.005  # steady from where settling adds less than this share of the load
_TAUS_S = (2.0, 3.0, 4.5, 7.0, 10.0, 15.0, 22.0)
_RAMP_ENDS_S = tuple(float(second) for second in range(26))
# how large drift [1/s] and settling may be before anything is seen (standard deviations): keeps one from posing as the other
_DRIFT_SD, _SETTLING_SD = 0.0008, 0.1


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
    ``a + b t + c exp(-(t - tr)+/tau) + h (tr - t)+`` is fitted for each end of the ramp tr and time constant tau of a
    fixed table, and the answers are averaged by their evidence; the residuals count for as many values as they are
    worth independently. The drift b is common to both forces and harmless to their ratio, so it is not held against
    the run.
    """
    start = float(time_s[0])
    t, y = _seconds(time_s - start, log_load)
    if t.size < 20:
        return Settled(start, start)
    table = [(tr, tau) for tr in _RAMP_ENDS_S if tr < 0.5 * t[-1] for tau in _TAUS_S]
    designs = [_design(t, tr, tau) for tr, tau in table]
    variance = _noise(designs, y)
    fits = [_fit(design, y, variance) for design in designs]
    evidence = np.array([fit[1] for fit in fits])
    weight = np.exp(evidence - evidence.max())
    ends = [min(tr + _lag(size, tau), float(t[-1])) for (tr, tau), (size, _) in zip(table, fits, strict=True)]
    ramp_end = float(np.average([tr for tr, _ in table], weights=weight))
    return Settled(start + ramp_end, start + float(np.average(ends, weights=weight)))


def _seconds(t: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return one value a second of the first part of a run."""
    second = np.floor(t + 1e-6).astype(np.int64)
    near = second < WINDOW_S
    _, index, counts = np.unique(second[near], return_inverse=True, return_counts=True)
    return np.bincount(index, weights=t[near]) / counts, np.bincount(index, weights=y[near]) / counts


def _design(t: Floats, ramp_end: float, tau: float) -> Floats:
    after = np.maximum(t - ramp_end, 0.0)
    return np.stack(
        (np.ones_like(t), t - t.mean(), np.exp(-after / tau), np.maximum(ramp_end - t, 0.0)), axis=1
    )


def _noise(designs: list[Floats], y: Floats) -> float:
    """Return the variance of the residuals of the best fit, times the number of values that count as one."""
    best = min(
        (y - design @ np.linalg.lstsq(design, y, rcond=None)[0] for design in designs),
        key=lambda r: float(r @ r),
    )
    return max(float(best @ best) / y.size * inefficiency(best), 1e-10)


def _fit(design: Floats, y: Floats, variance: float) -> tuple[float, float]:
    """Return the size of the settling and the logarithm of the evidence."""
    prior = np.diag([1e-6, 1.0 / _DRIFT_SD**2, 1.0 / _SETTLING_SD**2, 1e-6])
    precision = design.T @ design / variance + prior
    solution = np.linalg.solve(precision, design.T @ y / variance)
    residual = y - design @ solution
    misfit = float(residual @ residual) / variance + float(solution @ prior @ solution)
    return abs(float(solution[2])), -0.5 * (misfit + float(np.linalg.slogdet(precision)[1]))


def _lag(size: float, tau: float) -> float:
    return tau * float(np.log(size / RESIDUAL)) if size > RESIDUAL else 0.0
