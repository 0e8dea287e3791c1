"""Repeats of one configuration combined: scatter pooled over the campaign, class of the cells counted once.

Everything is done on ln R. A run has a repeatability u_i (noise, zero) and a between-run scatter tau (set-up,
warmth, rope); the class of the cells is common to all runs and does not average down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.optimize import brentq
from scipy.stats import chi2 as chi_squared

from haulwright.quantities.measured import Measured
from haulwright.trials.between_run import (
    ScatterPosterior,
    likelihood_of_groups,
    likelihood_of_mean_square,
    posterior_of,
)
from haulwright.trials.budget import coverage_factor, effective_dof
from haulwright.trials.result import Configuration, RunScatter, TrialResult

RUN_DOF = 6  # degrees of freedom of one run's repeatability: 5 to 10 batches


@dataclass(frozen=True)
class Pooled:
    """Between-run variance of ln R, pooled over a campaign.

    Attributes
    ----------
    tau2 : float
        Moment estimate, 0 at least.
    dof : int
        Its degrees of freedom: repeats beyond the first of each configuration.
    noise2 : float
        Mean square of the repeatabilities it had to look through.
    groups : tuple
        The repeats themselves, (y, u) of the runs of each configuration; without them the three numbers above tell.
    """

    tau2: float
    dof: int
    noise2: float = 0.0
    groups: tuple[tuple[tuple[float, float], ...], ...] = field(default=(), repr=False)

    @cached_property
    def posterior(self) -> ScatterPosterior:
        """What the repeats and the house value together say of tau².

        Notes
        -----
        A few repeats often show no scatter by chance (tau² = 0), and one of each never does; see
        :func:`haulwright.trials.between_run.posterior_of`. A campaign with many repeats outweighs the house value.
        """
        if self.groups:
            return posterior_of(likelihood_of_groups(self.groups))
        return posterior_of(likelihood_of_mean_square(self.tau2 + self.noise2, self.noise2, self.dof))

    @property
    def expected_tau2(self) -> float:
        """tau² to reckon with: its expectation."""
        return self.posterior.mean

    @property
    def upper_tau2(self) -> float:
        """Upper 95 % bound of tau² from the repeats alone; infinite without any.

        Notes
        -----
        The mean square of the repeats, (tau² + noise²), is a variance of ``dof`` degrees of freedom: its upper bound
        is that × dof / chi²(0.05; dof), less the noise. Where the estimate was floored at 0 the bound holds still.
        """
        if not self.dof:
            return math.inf
        total = (self.tau2 + self.noise2) * self.dof / float(chi_squared.ppf(0.05, self.dof))
        return max(total - self.noise2, 0.0)


@dataclass(frozen=True)
class LogMean:
    """Mean of repeats of ln R.

    Attributes
    ----------
    value : float
    u : float
        Standard uncertainty without the class of the cells.
    tau2 : float
        Between-run variance reckoned with.
    dof : float
        Degrees of freedom of the part of u that is not the campaign's scatter.
    scatter : float
        The part of u that rests on the campaign's scatter; 0 where these repeats have their own.
    posterior : ScatterPosterior, optional
        What is known of that scatter.
    """

    value: float
    u: float
    tau2: float
    dof: float
    scatter: float = 0.0
    posterior: ScatterPosterior | None = None

    @property
    def own_u(self) -> float:
        """The part of u that is not the campaign's scatter."""
        return math.sqrt(max(self.u**2 - self.scatter**2, 0.0))

    @property
    def share(self) -> float:
        """How much of the campaign's tau² is in the variance."""
        return self.scatter**2 / self.tau2 if self.scatter else 0.0

    def half95(self, known: float = 0.0) -> float:
        """Return half the 95 % interval, with a further standard uncertainty that counts as known.

        Parameters
        ----------
        known : float
            For example what the class of the cells adds.

        Notes
        -----
        Repeats with a scatter of their own: Student's t with Welch–Satterthwaite degrees of freedom. Otherwise averaged
        over what is known of the campaign's scatter.
        """
        if self.posterior is None or not self.scatter:
            dof = effective_dof([(self.u, self.dof), (known, math.inf)])
            return coverage_factor(dof) * math.hypot(self.u, known)
        return self.posterior.half_width(known**2, self.share, self.own_u**2, self.dof)


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
    excess, noise, dof = 0.0, 0.0, 0
    repeated = [group for group in groups if len(group) > 1]
    for group in repeated:
        y, u = (np.array(column) for column in zip(*group, strict=True))
        explained = (1.0 - 1.0 / len(group)) * float((u**2).sum())
        excess += float(((y - y.mean()) ** 2).sum()) - explained
        noise += explained
        dof += len(group) - 1
    if not dof:
        return Pooled(0.0, 0)
    return Pooled(max(excess / dof, 0.0), dof, noise / dof, tuple(map(tuple, repeated)))


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
        Between-run variance of the campaign.

    Notes
    -----
    One or two repeats: the expected variance of the campaign, and an interval averaged over what is known of it
    and of the noise (:meth:`LogMean.half95`). Three or more: own variance by Paule–Mandel and the interval of
    Hartung and Knapp with the scale not below 1, except where the other configurations tell more of the scatter
    than these repeats do (more degrees of freedom) and these do not scatter more than those (chi² at 1 %).

    References
    ----------
    Hartung J., Knapp G., Statistics in Medicine 20 (2001) 3875. From memory.
    """
    own = len(y) - 1
    tau2 = pooled.expected_tau2
    mean, se, q = weighted_mean(y, u, tau2)
    if own >= 2 and (pooled.dof <= 2 * own or chi_squared.sf(q, own) < 0.01):
        tau2 = paule_mandel(y, u)
        mean, se, q = weighted_mean(y, u, tau2)
        return LogMean(mean, se * math.sqrt(max(q / own, 1.0)), tau2, own)
    scatter = se**2 * math.sqrt(tau2) * math.sqrt(float((1.0 / (np.square(u) + tau2) ** 2).sum()))
    return LogMean(mean, se, tau2, float(RUN_DOF * len(y)), scatter, pooled.posterior)


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
        ``between_run_sd`` is the scatter reckoned with. Advantage with its total uncertainty:
        scatter and noise averaged, class of the cells counted once.
    """
    y, u, common = (list(column) for column in zip(*(log_of(run) for run in runs), strict=True))
    mean = _series_mean(y, u) if _is_series(runs[0]) else combine_logs(y, u, pooled)
    class_u = max(common)
    total = math.hypot(mean.u, class_u)
    value, spread = math.exp(mean.value), mean.half95(class_u)
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


def _is_series(run: TrialResult) -> bool:
    """Return whether both cells hung in one line: no device, so no set-up that could scatter."""
    return not run.devices and run.frictionless == 1.0


def _series_mean(y: Sequence[float], u: Sequence[float]) -> LogMean:
    tau2 = paule_mandel(y, u) if len(y) >= 3 else 0.0
    mean, se, q = weighted_mean(y, u, tau2)
    own = len(y) - 1
    if own < 2:
        return LogMean(mean, se, tau2, float(RUN_DOF * len(y)))
    return LogMean(mean, se * math.sqrt(max(q / own, 1.0)), tau2, own)


def run_scatter(pooled: Pooled) -> RunScatter:
    """Return the record of the scatter between runs: what the repeats show, its bound, what is reckoned with."""
    if not pooled.dof:
        return RunScatter(None, None, 0, math.sqrt(pooled.expected_tau2))
    return RunScatter(
        math.sqrt(pooled.tau2), math.sqrt(pooled.upper_tau2), pooled.dof, math.sqrt(pooled.expected_tau2)
    )
