"""Combination of repeats against published statistics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made_results import made

from haulwright.trials.budget import coverage_factor, effective_dof
from haulwright.trials.combine import (
    Pooled,
    combine,
    combine_logs,
    moment_variance,
    paule_mandel,
    pooled_between_run,
    weighted_mean,
)

# BCG vaccine trials, as (cases, no cases) treated and control; Colditz et al., JAMA 271 (1994) 698, cited from memory. Ten rows
# are printed in several meta-analysis texts, three are from memory; the totals reproduce the published results below.
BCG = [
    (4, 119, 11, 128), (6, 300, 29, 274), (3, 228, 11, 209), (62, 13536, 248, 12619), (33, 5036, 47, 5761),
    (180, 1361, 372, 1079), (8, 2537, 10, 619), (505, 87886, 499, 87892), (29, 7470, 45, 7232),
    (17, 1699, 65, 1600), (186, 50448, 141, 27197), (5, 2493, 3, 2338), (27, 16886, 29, 17825),
]  # fmt: skip


def bcg() -> tuple[list[float], list[float]]:
    """Return log risk ratios and their standard errors."""
    y = [math.log((a / (a + b)) / (c / (c + d))) for a, b, c, d in BCG]
    u = [math.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)) for a, b, c, d in BCG]
    return y, u


def test_fixed_effect_mean_of_the_bcg_trials() -> None:
    # -0.4303 (-0.5097, -0.3509), Q = 152.2330: tests of the R package metafor against another program
    y, u = bcg()
    mean, se, q = weighted_mean(y, u, 0.0)
    assert mean == pytest.approx(-0.4303, abs=5e-5)
    assert (mean - 1.959964 * se, mean + 1.959964 * se) == pytest.approx((-0.5097, -0.3509), abs=5e-5)
    assert q == pytest.approx(152.2330, abs=5e-4)


def test_dersimonian_laird_mean_of_the_bcg_trials() -> None:
    # -0.7141 (-1.0644, -0.3638): the same tests; tau² = 0.30876 follows from the data (derived)
    y, u = bcg()
    tau2 = moment_variance(y, u)
    mean, se, _ = weighted_mean(y, u, tau2)
    assert tau2 == pytest.approx(0.30876, abs=5e-6)
    assert mean == pytest.approx(-0.7141, abs=5e-5)
    assert (mean - 1.959964 * se, mean + 1.959964 * se) == pytest.approx((-1.0644, -0.3638), abs=5e-5)


def test_paule_mandel_solves_its_defining_equation() -> None:
    # J. Res. NBS 87 (1982) 377 (from memory): tau² is where the weighted sum of squares is n - 1
    y, u = bcg()
    assert weighted_mean(y, u, paule_mandel(y, u))[2] == pytest.approx(len(y) - 1, rel=1e-8)
    assert paule_mandel([1.0, 1.0001, 0.9999], [0.01] * 3) == 0.0


def test_pooled_variance_of_silicon_resistivity() -> None:
    # NIST StRD one-way ANOVA, SiRstv: certified residual standard deviation 0.104076068334656, 20 degrees of freedom
    groups = [
        [196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
        [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
        [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
        [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
        [196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
    ]
    pooled = pooled_between_run([[(value, 0.0) for value in group] for group in groups])
    assert math.sqrt(pooled.tau2) == pytest.approx(0.104076068334656, rel=1e-9)
    assert pooled.dof == 20


def test_pooled_variance_takes_off_what_the_noise_explains() -> None:
    pairs = [[(0.650, 0.002), (0.660, 0.003)], [(0.588, 0.001), (0.592, 0.002)], [(0.3, 0.001)]]
    expected = ((0.010**2 - 0.002**2 - 0.003**2) / 2 + (0.004**2 - 0.001**2 - 0.002**2) / 2) / 2
    pooled = pooled_between_run(pairs)
    assert pooled.tau2 == pytest.approx(expected, rel=1e-12)
    assert pooled.dof == 2
    assert pooled_between_run([[(0.65, 0.01), (0.6501, 0.01)]]).tau2 == 0.0
    assert pooled_between_run([[(0.65, 0.01)]]) == Pooled(0.0, 0)


def test_hartung_knapp_interval_of_three_or_more() -> None:
    # Student's t with n - 1 degrees of freedom; 4.302653 is the table value for 2
    mean = combine_logs([0.60, 0.61, 0.62], [1e-3] * 3, Pooled(9.9, 4))
    assert coverage_factor(mean.dof) == pytest.approx(4.302653, abs=1e-6)
    assert mean.value == pytest.approx(0.61)
    assert mean.u == pytest.approx(0.01 / math.sqrt(3), rel=1e-6)  # here the scatter is all there is
    quiet = combine_logs([0.61, 0.61, 0.61], [0.03] * 3, Pooled(0.0, 2))
    assert quiet.u == pytest.approx(0.03 / math.sqrt(3))  # scale not below 1


@pytest.mark.parametrize("seed", range(6))
def test_paule_mandel_and_hartung_knapp_against_a_general_library(seed: int) -> None:
    # statsmodels.stats.meta_analysis.combine_effects: iterated (Paule–Mandel), chi2 (DerSimonian–Laird), scale_hksj_re
    meta = pytest.importorskip("statsmodels.stats.meta_analysis")
    rng = np.random.default_rng(seed)
    u = rng.uniform(0.001, 0.004, 5)
    y = 0.62 + rng.normal(0.0, np.sqrt(u**2 + 0.006**2))
    theirs = meta.combine_effects(y, u**2, method_re="iterated", use_t=True)
    assert paule_mandel(y, u) == pytest.approx(theirs.tau2, rel=1e-4)
    moments = meta.combine_effects(y, u**2, method_re="chi2").tau2
    assert moment_variance(y, u) == pytest.approx(max(moments, 0.0), rel=1e-9)
    ours = combine_logs(y.tolist(), u.tolist(), Pooled(0.0, 0))
    assert ours.value == pytest.approx(theirs.mean_effect_re, rel=1e-8)
    assert ours.u == pytest.approx(theirs.sd_eff_w_re * math.sqrt(max(theirs.scale_hksj_re, 1.0)), rel=1e-4)
    assert ours.dof == 4


def test_three_repeats_lean_on_the_campaign_where_it_knows_more() -> None:
    campaign = Pooled(0.002**2, 10)
    leaning = combine_logs([0.610, 0.611, 0.612], [0.002] * 3, campaign)
    assert leaning.half95() < 2.3 * leaning.u  # three alone: 4.3
    assert leaning.tau2 == campaign.expected_tau2
    wild = combine_logs([0.60, 0.62, 0.64], [0.002] * 3, campaign)  # scatters far more than the others do
    assert wild.dof == 2
    assert wild.tau2 == pytest.approx(0.02**2 - 0.002**2, rel=1e-6)


def test_upper_bound_of_the_scatter() -> None:
    # without noise it is the usual bound of a variance: s² n / chi²(0.05; n), chi²(0.05; 10) = 3.940299 (table)
    assert Pooled(0.003**2, 10).upper_tau2 == pytest.approx(0.003**2 * 10 / 3.940299, rel=1e-6)
    assert Pooled(0.0, 0).upper_tau2 == math.inf
    two = pooled_between_run([[(0.650, 0.003), (0.651, 0.003)], [(0.588, 0.003), (0.588, 0.003)]])
    assert two.tau2 == 0.0
    assert (
        0.006 < math.sqrt(two.upper_tau2) < 0.015
    )  # "none seen" says little: table value chi²(0.05; 2) = 0.102587


# chance that 600 intervals of 95 % hold in fewer than 559, or more than 588: 1 in 100 each
@pytest.mark.parametrize(
    ("tau", "least", "most"), [(0.0, 0.95, 1.0), (0.0025, 0.93, 0.985), (0.005, 0.92, 0.97)]
)
def test_combined_repeats_cover_the_truth_whatever_the_scatter(tau: float, least: float, most: float) -> None:
    # three pairs in the campaign, no class: no scatter at all gives too wide, twice the usual one slightly too narrow
    rng = np.random.default_rng(29)
    held = 0
    for _ in range(600):
        u = rng.uniform(0.0015, 0.004, (3, 2))
        y = rng.normal(0.0, np.sqrt(u**2 + tau**2))
        seen = u * np.sqrt(rng.chisquare(6, u.shape) / 6)
        pooled = pooled_between_run(
            [list(zip(a, b, strict=True)) for a, b in zip(y.tolist(), seen.tolist(), strict=True)]
        )
        mean = combine_logs(y[0].tolist(), seen[0].tolist(), pooled)
        held += abs(mean.value) <= mean.half95()
    assert least <= held / 600 <= most


def test_class_is_counted_once() -> None:
    one = combine([made("a", "two-part", ["puck"], 1.9)], Pooled(0.0, 0))
    two = combine([made(name, "two-part", ["puck"], 1.9) for name in "ab"], Pooled(0.0, 1))
    alone2, joined2 = Pooled(0.0, 0).expected_tau2, Pooled(0.0, 1).expected_tau2
    assert one.advantage.u / 1.9 == pytest.approx(math.sqrt(0.003**2 + alone2 + 0.0041**2))
    assert two.advantage.u / 1.9 == pytest.approx(math.sqrt((0.003**2 + joined2) / 2 + 0.0041**2))
    assert two.n == 2
    assert two.runs == ("a", "b")
    assert two.winch_share.value == pytest.approx(1 / 1.9)
    assert two.winch_share.lo == pytest.approx(1 / two.advantage.hi)


def test_a_series_check_has_no_set_up_to_scatter() -> None:
    check = made("s", "series", [], 1.0, frictionless=1.0)
    assert combine([check], Pooled(0.01**2, 5)).advantage.u == pytest.approx(math.hypot(0.003, 0.0041))
    assert combine([check], Pooled(0.01**2, 5)).between_run_sd == 0.0


def test_two_repeats_cover_the_truth() -> None:
    # 400 made pairs: class (a rectangle, common to both), noise 0.3 %, scatter 0.25 % pooled over three pairs
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        gain = rng.uniform(-0.005, 0.005) - rng.uniform(-0.005, 0.005)
        runs = [
            [made("r", "two-part", ["d"], 1.9 * math.exp(gain + rng.normal(0.0, math.hypot(0.003, 0.0025))))
             for _ in range(2)] for _ in range(3)
        ]  # fmt: skip
        pooled = pooled_between_run([[(math.log(r.advantage.value), 0.003) for r in pair] for pair in runs])
        found = combine(runs[0], pooled).advantage
        held += found.lo <= 1.9 <= found.hi
    assert 0.92 <= held / 400 <= 0.985


def test_welch_satterthwaite_of_the_gum() -> None:
    # JCGM 100:2008, example H.1.6, from memory: u_c = 32 nm from 25 (18 dof), 9.7 (25.6), 2.9 (50), 16.6 (2): 16 degrees of freedom
    terms = [(25.0, 18.0), (9.7, 25.6), (2.9, 50.0), (16.6, 2.0)]
    assert int(effective_dof(terms)) == 16
