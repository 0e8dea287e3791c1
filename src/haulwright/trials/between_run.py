"""The scatter between set-ups as a distribution: what is believed of it beforehand, what the repeats tell.

A few repeats never fix a scatter. Every interval that rests on it is therefore averaged over all values of the
scatter, each weighted with how well it explains the repeats.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ndtr, stdtrit

Vector = NDArray[np.float64]
Groups = Sequence[Sequence[tuple[float, float]]]

HOUSE_SCATTER = 0.003  # median of the scatter of ln R between set-ups beforehand; common practice, no source
HOUSE_TAIL = 4  # degrees of freedom of its Student tail: three times the median is unlikely, not impossible

_TAU: Vector = np.geomspace(1e-5, 1.0, 1200)  # steps of 1 %
_MOST_NODES = 60


@lru_cache(maxsize=64)
def _chi_squared_nodes(dof: float) -> tuple[Vector, Vector]:
    """Return factors dof/chi² and their probabilities."""
    if dof > 200.0:
        return np.ones(1), np.ones(1)
    # of ln chi², over which the trapezium rule converges fast
    steps = np.arange(-40, 41) * 0.8 * math.sqrt(2.0 / dof)
    weight = np.exp(0.5 * dof * (steps - np.expm1(steps)))
    kept = weight > 1e-7
    return np.exp(-steps[kept]), weight[kept] / weight[kept].sum()


@dataclass(frozen=True)
class ScatterPosterior:
    """What is known of tau², the variance of ln R between set-ups.

    Attributes
    ----------
    tau2 : tuple of float
        Values.
    weight : tuple of float
        Probability of each, 1 in all.
    """

    tau2: tuple[float, ...]
    weight: tuple[float, ...]

    @property
    def mean(self) -> float:
        """Expected tau²: the variance to reckon with."""
        return float(np.dot(self.tau2, self.weight))

    def half_width(
        self, known: float, share: float, noise: float = 0.0, noise_dof: float = math.inf, level: float = 0.95
    ) -> float:
        """Return half the interval of an error of variance ``known + noise + share × tau²``.

        Parameters
        ----------
        known : float
            Variance that counts as known.
        share : float
            How much of tau² is in the error.
        noise : float
            Variance estimated with ``noise_dof`` degrees of freedom.
        noise_dof : float
        level : float

        Notes
        -----
        The error is normal for given variances; its distribution is averaged over tau² and over the variance of the
        noise (noise × dof / chi²: with ``share`` 0 and nothing known that is Student's t). No formula for effective
        degrees of freedom is used: with few repeats Welch–Satterthwaite's interval is too narrow.

        References
        ----------
        JCGM 101:2008, propagation of distributions.

        Examples
        --------
        >>> ScatterPosterior((0.0,), (1.0,)).half_width(1.0, 0.0)
        1.959...
        """
        of_noise, noise_weight = _chi_squared_nodes(noise_dof if noise else math.inf)
        variance = np.maximum(known + share * np.array(self.tau2)[:, None] + noise * of_noise, 1e-300).ravel()
        weight = (np.array(self.weight)[:, None] * noise_weight).ravel()
        sd = np.sqrt(variance)

        def outside(q: float) -> float:
            return 2.0 * float(np.dot(ndtr(-q / sd), weight)) - (1.0 - level)

        top = 3.0 * math.sqrt(float(np.dot(variance, weight)))
        while outside(top) > 0.0:
            top *= 2.0
        return float(brentq(outside, 0.0, top, xtol=1e-12, rtol=1e-9))


def posterior_of(log_likelihood: Callable[[Vector], Vector]) -> ScatterPosterior:
    """Return what is known of tau² after repeats of this likelihood.

    Parameters
    ----------
    log_likelihood : callable
        Of an array of tau².

    Notes
    -----
    Beforehand tau is half-Student-t with 4 degrees of freedom and median 0.3 %: greatest at 0, so that scatter need
    not be there; over 0.86 % in one campaign of ten; long enough in the tail that repeats which scatter by some per
    cent are believed. Two repeats or three move it little, ten decide.

    References
    ----------
    Gelman A., Prior distributions for variance parameters in hierarchical models, Bayesian Analysis 1 (2006) 515
    (half-t family). Röver C. et al., Res. Synth. Methods 12 (2021) 448 (few groups). From memory.
    """
    scale = HOUSE_SCATTER / float(stdtrit(HOUSE_TAIL, 0.75))
    log_prior = -0.5 * (HOUSE_TAIL + 1) * np.log1p((_TAU / scale) ** 2 / HOUSE_TAIL)
    density = log_prior + np.log(_TAU) + log_likelihood(_TAU**2)  # evenly spaced in ln tau
    weight = np.exp(density - density.max())
    weight /= weight.sum()
    return _gathered(np.square(_TAU)[weight > 1e-10], weight[weight > 1e-10])


def _gathered(tau2: Vector, weight: Vector) -> ScatterPosterior:
    """Return the distribution on few values: neighbours taken together at their mean."""
    starts = np.arange(0, tau2.size, -(-tau2.size // _MOST_NODES))
    mass = np.add.reduceat(weight, starts)
    mean = np.add.reduceat(weight * tau2, starts) / mass
    return ScatterPosterior(tuple(mean.tolist()), tuple((mass / mass.sum()).tolist()))


def likelihood_of_groups(groups: Groups) -> Callable[[Vector], Vector]:
    """Return ln likelihood of tau² from repeats, whatever their means (restricted likelihood).

    Parameters
    ----------
    groups : sequence of sequence of (y, u)
        For each configuration, ln R and repeatability of its runs.

    Notes
    -----
    Of each group -1/2 [sum ln v_i + ln sum 1/v_i + sum (y_i - mean)²/v_i] with v_i = u_i² + tau² and the weighted mean.

    References
    ----------
    Harville D. A., J. Amer. Statist. Assoc. 72 (1977) 320. From memory.
    """
    arrays = [np.array(group, dtype=np.float64) for group in groups]

    def log_likelihood(tau2: Vector) -> Vector:
        total = np.zeros_like(tau2)
        for y, u in ((one[:, 0], one[:, 1]) for one in arrays):
            variance = np.square(u) + tau2[:, None]
            weight = 1.0 / variance
            mean = (weight * y).sum(axis=1) / weight.sum(axis=1)
            square = (weight * np.square(y - mean[:, None])).sum(axis=1)
            total -= 0.5 * (np.log(variance).sum(axis=1) + np.log(weight.sum(axis=1)) + square)
        return total

    return log_likelihood


def likelihood_of_mean_square(mean_square: float, noise2: float, dof: int) -> Callable[[Vector], Vector]:
    """Return ln likelihood of tau² from a mean square of repeats: (tau² + noise²) chi²/dof."""

    def log_likelihood(tau2: Vector) -> Vector:
        variance = tau2 + noise2
        return -0.5 * dof * (np.log(variance) + mean_square / variance)

    return log_likelihood
