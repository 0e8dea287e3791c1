"""The scatter between set-ups as a distribution, against Student's t, chi-squared and quadrature."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm
from scipy.stats import t as student

from haulwright.trials.between_run import (
    HOUSE_SCATTER,
    ScatterPosterior,
    likelihood_of_groups,
    likelihood_of_mean_square,
    posterior_of,
)
from haulwright.trials.combine import Pooled, combine_logs, pooled_between_run


def test_the_house_value_is_the_median_beforehand() -> None:
    found = Pooled(0.0, 0).posterior
    below = sum(w for tau2, w in zip(found.tau2, found.weight, strict=True) if tau2 < HOUSE_SCATTER**2)
    assert below == pytest.approx(0.5, abs=0.05)
    assert sum(found.weight) == pytest.approx(1.0)
    # half-Student-t with 4 degrees of freedom: E tau² = 2 s², s = 0.3 % / 0.740697 (quartile of t with 4, table value)
    assert found.mean == pytest.approx(2.0 * (HOUSE_SCATTER / 0.740697) ** 2, rel=0.01)


@pytest.mark.parametrize(
    ("dof", "quantile"), [(2, 4.302653), (3, 3.182446), (6, 2.446912), (12, 2.178813), (24, 2.063899)]
)
def test_noise_of_few_degrees_of_freedom_gives_students_t(dof: int, quantile: float) -> None:
    # table values of t(0.975)
    found = ScatterPosterior((0.0,), (1.0,)).half_width(0.0, 0.0, 1.0, dof)
    assert found == pytest.approx(quantile, rel=2e-3)


def test_known_variances_add() -> None:
    two = ScatterPosterior((4.0,), (1.0,))
    assert two.half_width(9.0, 0.75) == pytest.approx(1.959964 * math.sqrt(12.0), rel=1e-6)
    assert two.half_width(9.0, 0.75, level=0.9) == pytest.approx(1.644854 * math.sqrt(12.0), rel=1e-6)


def test_single_pull_against_adaptive_quadrature() -> None:
    # no repeats: the error is N(0, u² + tau²) averaged over the half-t beforehand
    scale = HOUSE_SCATTER / 0.740697
    found = Pooled(0.0, 0).posterior.half_width(0.002**2, 1.0)

    def inside(tau: float) -> float:
        weight = 2.0 * float(student.pdf(tau / scale, 4)) / scale
        return weight * (2.0 * float(norm.cdf(found / math.hypot(0.002, tau))) - 1.0)

    # in pieces, so that no peak is missed
    edges = [0.0, 0.001, 0.003, 0.01, 0.05, 1.0]
    assert sum(quad(inside, a, b)[0] for a, b in pairwise(edges)) == pytest.approx(0.95, abs=1e-3)


def test_many_repeats_outweigh_the_house_value() -> None:
    for tau in (0.0005, 0.002, 0.02):
        found = Pooled(tau**2, 400).posterior
        assert math.sqrt(found.mean) == pytest.approx(tau, rel=0.02)
        assert found.half_width(0.0, 1.0) == pytest.approx(1.96 * tau, rel=0.02)


def test_repeats_and_their_mean_square_say_the_same_where_noise_is_equal() -> None:
    pairs = [
        [(0.650, 0.002), (0.656, 0.002)],
        [(0.588, 0.002), (0.590, 0.002)],
        [(0.700, 0.002), (0.703, 0.002)],
    ]
    square = (0.006**2 + 0.002**2 + 0.003**2) / 2.0 / 3.0
    one = posterior_of(likelihood_of_groups(pairs))
    other = posterior_of(likelihood_of_mean_square(square, 0.002**2, 3))
    assert one.mean == pytest.approx(other.mean, rel=1e-6)


def test_wild_repeats_are_believed() -> None:
    """Scatter of 3 %, ten times the house value: three pairs pull the interval up to it."""
    pairs = [[(0.65, 0.002), (0.69, 0.002)], [(0.58, 0.002), (0.61, 0.002)], [(0.70, 0.002), (0.75, 0.002)]]
    pooled = pooled_between_run(pairs)
    assert math.sqrt(pooled.expected_tau2) > 0.02
    assert combine_logs([0.65, 0.69], [0.002] * 2, pooled).half95() > 0.03


def test_without_knowing_the_scatter_welch_satterthwaite_would_be_too_narrow() -> None:
    # what the mean over tau² is for: three pairs, 0.5 % scatter, 0.2 % noise, no class; seed fixed
    rng = np.random.default_rng(3)
    ours = theirs = 0
    for _ in range(800):
        y = rng.normal(0.0, math.hypot(0.002, 0.005), (3, 2))
        pooled = pooled_between_run([[(a, 0.002) for a in pair] for pair in y.tolist()])
        mean = combine_logs(y[0].tolist(), [0.002] * 2, pooled)
        known = math.sqrt((0.002**2 + pooled.tau2) / 2.0)
        theirs += abs(mean.value) <= 1.96 * known
        ours += abs(mean.value) <= mean.half95()
    assert ours / 800 >= 0.92
    assert theirs / 800 <= 0.86
