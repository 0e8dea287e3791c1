"""Scatter, effective samples and stretches against independent libraries: statsmodels, arviz_stats, ruptures."""

from __future__ import annotations

import numpy as np
import pytest
import ruptures
from arviz_stats.base import array_stats
from scipy.signal import lfilter
from statsmodels.regression.linear_model import OLS
from statsmodels.tsa.arima_process import ArmaProcess
from statsmodels.tsa.stattools import acovf

from haulwright.trials.budget import ratio_of_means
from haulwright.trials.grid import Grid
from haulwright.trials.holds import find_holds
from haulwright.trials.prepare import prepare
from haulwright.trials.scatter import inefficiency, scatter_of_mean
from haulwright.trials.simulate import RunPlan, simulate_run
from haulwright.trials.steady import find_steady


def ar1(rho: float, count: int, seed: int) -> np.ndarray:
    shocks = np.random.default_rng(seed).normal(size=count + 500)
    return np.asarray(lfilter([1.0], [1.0, -rho], shocks))[500:]


@pytest.mark.parametrize("coefficients", [(0.7,), (0.9, -0.3), (0.3, 0.4)])
def test_inefficiency_of_an_arma_process(coefficients: tuple[float, ...]) -> None:
    """statsmodels: the autocovariances of the process give 1 + 2 Σ ρ exactly."""
    process = ArmaProcess([1.0, *(-c for c in coefficients)], [1.0])
    covariance = process.acovf(400)
    theory = 1.0 + 2.0 * covariance[1:].sum() / covariance[0]
    np.random.seed(4)
    found = np.mean(
        [
            inefficiency(process.generate_sample(5000, distrvs=np.random.default_rng(s).normal))
            for s in range(8)
        ]
    )
    assert found == pytest.approx(theory, rel=0.12)


@pytest.mark.parametrize("rho", [0.0, 0.5, 0.8])
def test_effective_samples_are_those_of_a_chain(rho: float) -> None:
    """arviz_stats: effective sample size of the mean of one chain (initial positive sequence, made monotone)."""
    ours, theirs = [], []
    for seed in range(8):
        series = ar1(rho, 4000, seed)
        ours.append(series.size / inefficiency(series))
        theirs.append(float(array_stats.ess(series[None, :], method="mean")))
    assert np.mean(ours) == pytest.approx(np.mean(theirs), rel=0.12)


@pytest.mark.parametrize("rho", [0.0, 0.6])
def test_scatter_of_a_long_series_is_the_long_run_error(rho: float) -> None:
    """statsmodels: standard error of a mean by Newey and West with a lag of a twentieth of the series."""
    ours, theirs = [], []
    for seed in range(20):
        series = ar1(rho, 3000, seed)
        ours.append(float(series.std(ddof=1)) * (inefficiency(series) / series.size) ** 0.5)
        fitted = OLS(series, np.ones(series.size)).fit(cov_type="HAC", cov_kwds={"maxlags": 150})
        theirs.append(float(fitted.bse[0]))
    assert np.mean(ours) == pytest.approx(np.mean(theirs), rel=0.15)  # a Bartlett window reads a little low


def test_scatter_of_the_ratio_is_that_of_a_regression_through_the_origin() -> None:
    """statsmodels: anchor = R line with weights 1 / line has the ratio of means as its estimate (Cochran 1977, ch. 6)."""
    draw = np.random.default_rng(8)
    line = 8000.0 * (1.0 + 0.03 * ar1(0.5, 1500, 1))
    anchor = 1.8 * line * (1.0 + 0.01 * draw.normal(size=1500))
    found = ratio_of_means(Grid(np.arange(1500.0), 1.0, line, anchor), [(0.0, 1500.0)])
    from statsmodels.regression.linear_model import WLS

    fitted = WLS(anchor, line, weights=1.0 / line).fit(cov_type="HAC", cov_kwds={"maxlags": 75})
    assert found.ratio == pytest.approx(float(fitted.params[0]), rel=1e-9)
    assert found.scatter.u == pytest.approx(float(fitted.bse[0]), rel=0.5)
    d = (anchor - found.ratio * line) / line.mean()
    iid = float(np.sqrt(acovf(d, nlag=0, fft=False)[0] / d.size))
    assert found.scatter.u == pytest.approx(
        iid, rel=0.5
    )  # white noise: the larger of two estimates, near the plain one


def test_intervals_cover_where_default_lags_do_not() -> None:
    """statsmodels: at ten readings a second, the usual lag 4 (n/100)^(2/9) misses slow wander; one-second means do not."""
    ours = theirs = 0
    runs = 150
    for seed in range(runs):
        fast = 0.6 * ar1(np.exp(-0.1 / 3.0), 1200, seed) * np.sqrt(1 - np.exp(-0.2 / 3.0))
        fast = fast + 0.5 * np.random.default_rng(seed + 999).normal(size=1200)
        lag = int(4 * (fast.size / 100) ** (2 / 9))
        u = float(OLS(fast, np.ones(fast.size)).fit(cov_type="HAC", cov_kwds={"maxlags": lag}).bse[0])
        theirs += abs(fast.mean()) <= 1.96 * u
        scatter = scatter_of_mean(fast.reshape(-1, 10).mean(axis=1))
        ours += abs(fast.mean()) <= 2.1 * scatter.u
    assert theirs < 0.8 * runs
    assert ours > 0.9 * runs


def test_the_start_of_hauling_is_where_change_points_see_it() -> None:
    """ruptures (PELT, L2 cost): ramp and release of a run without a stop; change points know levels, not settling."""
    for seed in range(4):
        run = simulate_run(RunPlan(steady_s=120.0), seed)
        grid = prepare(run.log, "line", "anchor").grid
        found = find_steady(grid)
        force = np.nan_to_num(grid.line_N) / np.nanmedian(grid.line_N)
        changes = ruptures.Pelt(model="l2", min_size=3, jump=1).fit(force[:, None]).predict(pen=1.0)
        times = grid.time_s[np.array(changes[:-1])]
        assert np.min(np.abs(times - found.stretches[-1].end_s)) < 8.0
        assert np.min(np.abs(times - found.runs[0][0])) < 15.0


@pytest.mark.filterwarnings("ignore:New behaviour")  # constant segments get a small bias there
def test_holds_are_where_change_points_of_the_variance_see_them() -> None:
    """ruptures (PELT, normal cost) on the differences of the load: both ends of a stop within a few seconds."""
    for seed in range(4):
        run = simulate_run(RunPlan(stop_s=35.0, steady_s=160.0, rate_Hz=2.0), seed)
        grid = prepare(run.log, "line", "anchor").grid
        gate = grid.line_N > 0.6 * np.nanmedian(grid.line_N[grid.line_N > 3000.0])
        still = grid.time_s[find_holds(grid, gate)]
        stop = next((a, b) for name, a, b in run.phases if name == "stop")
        inside = np.flatnonzero(gate)
        rough = np.diff(np.log(grid.anchor_N[inside]))
        changes = ruptures.Pelt(model="normal", min_size=12, jump=1).fit(rough[:, None]).predict(pen=25.0)
        times = grid.time_s[inside[np.array(changes[:-1])]]
        for ours, true in ((still[0], stop[0]), (still[-1], stop[1])):
            assert ours == pytest.approx(true, abs=7.0)
            assert np.min(np.abs(times - ours)) < 8.0
