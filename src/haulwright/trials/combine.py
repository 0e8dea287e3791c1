"""Repeats of one configuration combined: scatter pooled over the campaign, class of the cells counted once.

Everything is done on ln R. A run has a repeatability u_i (noise, zero) and a between-run scatter tau (set-up,
warmth, rope); the class of the cells is common to all runs and does not average down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from haulwright.notices import Code, Notice
from haulwright.quantities.measured import Measured
from haulwright.trials.budget import coverage_factor, effective_dof
from haulwright.trials.result import Configuration, TrialResult

HOUSE_SCATTER = 0.0025  # scatter of ln R between set-ups before anything is known; common practice, no source
HOUSE_WEIGHT = 4  # degrees of freedom it counts for


@dataclass(frozen=True)
class Pooled:
    """Between-run variance of ln R, pooled over a campaign: tau² and its degrees of freedom."""

    tau2: float
    dof: int

    @property
    def expected_tau2(self) -> float:
        """tau² to reckon with where runs differ in set-up.

        A few repeats often show no scatter by chance (tau² = 0), and one of each never does. The pooled
        value is weighed with a house number, 0.25 % counted as 4 degrees of freedom, which a campaign with
        many repeats outweighs.
        """
        return (self.dof * self.tau2 + HOUSE_WEIGHT * HOUSE_SCATTER**2) / (self.dof + HOUSE_WEIGHT)


@dataclass(frozen=True)
class LogMean:
    """Mean of repeats of ln R: value, standard uncertainty from repeatability, tau² used, degrees of freedom of u."""

    value: float
    u: float
    tau2: float
    dof: float


def log_of(result: TrialResult) -> tuple[float, float, float]:
    """Return ln of a run's advantage, its repeatability and what the cells' class adds (all relative)."""
    value = result.advantage.value
    u = result.u_repeatability / value
    total = result.advantage.u / value
    return math.log(value), u, math.sqrt(max(total**2 - u**2, 0.0))


def pooled_between_run(groups: Sequence[Sequence[tuple[float, float]]]) -> Pooled:
    """Return the between-run variance pooled over configurations.

    Parameters
    ----------
    groups : sequence of sequence of (y, u)
        For each configuration, ln R and repeatability of its runs.

    Returns
    -------
    Pooled
        tau² (0 at least) and the degrees of freedom, the sum of n - 1; no repeats at all give (0, 0).

    Notes
    -----
    Moment estimate: sum of squares about each configuration's mean, less what the repeatabilities explain,
    sum (1 - 1/n) u², divided by the sum of n - 1. For pairs it is the mean of (d² - u1² - u2²) / 2. Two
    repeats alone cannot give a variance; a campaign's worth can.

    Examples
    --------
    >>> pooled_between_run([[(0.650, 0.0), (0.654, 0.0)], [(0.588, 0.0), (0.590, 0.0)]]).tau2
    5.0e-06
    """
    excess, dof = 0.0, 0
    for group in groups:
        if len(group) < 2:
            continue
        y, u = (np.array(column) for column in zip(*group, strict=True))
        excess += float(((y - y.mean()) ** 2).sum() - (1.0 - 1.0 / len(group)) * (u**2).sum())
        dof += len(group) - 1
    return Pooled(max(excess / dof, 0.0) if dof else 0.0, dof)


def moment_variance(y: Sequence[float], u: Sequence[float]) -> float:
    """Return the between-run variance of one set by moments (DerSimonian–Laird).

    References
    ----------
    DerSimonian R., Laird N., Meta-analysis in clinical trials, Controlled Clinical Trials 7 (1986) 177. From memory.
    """
    w = 1.0 / np.square(u)
    mean = float((w * np.asarray(y)).sum() / w.sum())
    q = float((w * (np.asarray(y) - mean) ** 2).sum())
    return max((q - (len(y) - 1)) / float(w.sum() - (w**2).sum() / w.sum()), 0.0)


def paule_mandel(y: Sequence[float], u: Sequence[float]) -> float:
    """Return the between-run variance that makes the weighted sum of squares equal to n - 1 (0 at least).

    References
    ----------
    Paule R. C., Mandel J., Consensus values and weighting factors, J. Res. NBS 87 (1982) 377. From memory.
    """

    def excess(tau2: float) -> float:
        return weighted_mean(y, u, tau2)[2] - (len(y) - 1)

    if excess(0.0) <= 0.0:
        return 0.0
    top = max(moment_variance(y, u), float(np.var(y, ddof=1)), 1e-12)
    while excess(top) > 0.0:
        top *= 2.0
    return float(brentq(excess, 0.0, top, xtol=1e-15, rtol=1e-10))


def weighted_mean(y: Sequence[float], u: Sequence[float], tau2: float) -> tuple[float, float, float]:
    """Return mean, its standard uncertainty and the weighted sum of squares, with weights 1/(u² + tau²)."""
    w = 1.0 / (np.square(u) + tau2)
    mean = float((w * np.asarray(y)).sum() / w.sum())
    return mean, float(1.0 / math.sqrt(w.sum())), float((w * (np.asarray(y) - mean) ** 2).sum())


def combine_logs(y: Sequence[float], u: Sequence[float], pooled: Pooled) -> LogMean:
    """Return the mean of repeats.

    Parameters
    ----------
    y, u : sequence of float
        ln R and repeatability of each run.
    pooled : Pooled
        Between-run variance of the campaign; used for one or two repeats.

    Notes
    -----
    Three repeats or more: own variance by Paule–Mandel, uncertainty by Hartung–Knapp with the scale not
    below 1. Fewer: the pooled variance, normal interval.

    References
    ----------
    Hartung J., Knapp G., Statistics in Medicine 20 (2001) 3875. From memory.
    """
    if len(y) >= 3:
        tau2 = paule_mandel(y, u)
        mean, se, q = weighted_mean(y, u, tau2)
        dof = len(y) - 1
        return LogMean(mean, se * math.sqrt(max(q / dof, 1.0)), tau2, dof)
    mean, se, _ = weighted_mean(y, u, pooled.tau2)
    return LogMean(mean, se, pooled.tau2, math.inf)


def combine(runs: Sequence[TrialResult], pooled: Pooled) -> Configuration:
    """Combine the runs of one configuration.

    Parameters
    ----------
    runs : sequence of TrialResult
        Same rig, same devices in the same order, same kind of cells.
    pooled : Pooled
        From :func:`pooled_between_run` over the whole campaign.

    Returns
    -------
    Configuration
        Advantage with its total uncertainty: scatter and noise averaged, class of the cells counted once.
    """
    y, u, common = (list(column) for column in zip(*(log_of(run) for run in runs), strict=True))
    mean = combine_logs(y, u, pooled)
    class_u = max(common)
    total = math.hypot(mean.u, class_u)
    dof = effective_dof([(mean.u, mean.dof), (class_u, math.inf)])
    value, spread = math.exp(mean.value), coverage_factor(dof) * total
    advantage = Measured(value, value * total, value * math.exp(-spread), value * math.exp(spread))
    share = Measured(1.0 / value, total / value, 1.0 / advantage.hi, 1.0 / advantage.lo)
    first = runs[0]
    return Configuration(
        rig=first.rig,
        devices=first.devices,
        n=len(runs),
        advantage=advantage,
        winch_share=share,
        between_run_sd=value * math.sqrt(mean.tau2),
        frictionless=first.frictionless,
        runs=tuple(run.run for run in runs),
    )


def trend(groups: Sequence[Sequence[tuple[float, float]]]) -> Notice | None:
    """Return a notice if ln R drifts with the run's number beyond two standard errors.

    Parameters
    ----------
    groups : sequence of sequence of (number of the run, ln R)
        For each configuration, its runs; means are taken off each, so that devices do not make the trend.

    Returns
    -------
    Notice or None
        None also with fewer than three degrees of freedom left.
    """
    several = [np.array(group) for group in groups if len(group) > 1]
    dof = sum(len(group) - 1 for group in several) - 1
    if dof < 3:
        return None
    number = np.concatenate([group[:, 0] - group[:, 0].mean() for group in several])
    y = np.concatenate([group[:, 1] - group[:, 1].mean() for group in several])
    span = float((number**2).sum())
    slope = float((number * y).sum()) / span
    se = math.sqrt(float(((y - slope * number) ** 2).sum()) / dof / span)
    if abs(slope) <= 2.0 * se:
        return None
    text = (
        f"The advantage drifts by {100.0 * slope:+.2f} % a run (± {200.0 * se:.2f} %) over the session: warming, "
        "wetting or bedding in. Its scatter is not all random; repeat in mirrored order."
    )
    return Code.TREND.notice((), text=text)
