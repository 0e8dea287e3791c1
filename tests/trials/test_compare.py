"""Same or different: published two-sample tests, sample sizes, verdicts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made_results import made

from haulwright.trials.budget import effective_dof
from haulwright.trials.combine import Pooled, combine, log_of, pooled_between_run
from haulwright.trials.compare import (
    compare,
    difference_p,
    equivalence_p,
    holm,
    runs_for_difference,
    runs_for_equivalence,
)
from haulwright.trials.result import Comparison

A = [452, 874, 554, 447, 356, 754, 558, 574, 664, 682, 547, 435, 245]
B = [546, 547, 774, 465, 459, 665, 467, 365, 589, 534, 456, 651, 654, 665, 546, 537]


def test_equivalence_pooled_against_the_ncss_reference() -> None:
    # NCSS reference data as carried by the tests of the R package TOSTER: df 27, SE 51.114285, p 0.02821 and 0.01436
    pooled = pooled_between_run([[(x, 0.0) for x in A], [(x, 0.0) for x in B]])
    se = math.sqrt(pooled.tau2 * (1 / len(A) + 1 / len(B)))
    assert pooled.dof == 27
    assert se == pytest.approx(51.114285, abs=5e-7)
    lower, upper = equivalence_p(np.mean(A) - np.mean(B), se, pooled.dof, -110.0, 110.0)
    assert (lower, upper) == pytest.approx((0.02821, 0.01436), abs=5e-6)


def test_equivalence_welch_against_the_ncss_reference() -> None:
    # the same source: df 19.169, SE 53.618547, p 0.03628 and 0.02002
    terms = [(float(np.std(x, ddof=1)) / math.sqrt(len(x)), len(x) - 1.0) for x in (A, B)]
    dof, se = effective_dof(terms), math.hypot(*(u for u, _ in terms))
    assert (dof, se) == pytest.approx((19.169, 53.618547), abs=5e-4)
    assert equivalence_p(-8.1153846, se, dof, -110.0, 110.0) == pytest.approx((0.03628, 0.02002), abs=5e-6)


def test_two_sample_statistics_of_the_nist_handbook() -> None:
    # NIST/SEMATECH e-Handbook 1.3.5.3, AUTO83B: Welch T -12.94627, df 136.8750 (data summary from memory, recomputed)
    terms = [(6.41470 / math.sqrt(249), 248.0), (6.10771 / math.sqrt(79), 78.0)]
    assert effective_dof(terms) == pytest.approx(136.8750, abs=1e-3)
    assert (20.14458 - 30.48101) / math.hypot(*(u for u, _ in terms)) == pytest.approx(-12.94627, abs=1e-4)


def test_difference_p_against_the_t_table() -> None:
    # two-sided 5 % point of Student's t with 10 degrees of freedom: 2.228139
    assert difference_p(2.228139, 1.0, 10) == pytest.approx(0.05, abs=1e-7)
    assert difference_p(5.0, 1.0, 0) == 1.0


def test_holm_worked_example() -> None:
    # p = 0.01, 0.04, 0.03, 0.005 give 0.03, 0.06, 0.06, 0.02 (Holm's steps, done by hand)
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])


def test_sample_sizes_of_the_standard_table() -> None:
    # two groups, two-sided 5 %, power 80 %: 17 each for a difference of one standard deviation (common table value);
    # 9, 6 and 4 for 1.5, 2 and 3 follow from the same t iteration
    assert [runs_for_difference(1.0, d) for d in (1.0, 1.5, 2.0, 3.0)] == [17, 9, 6, 4]
    assert runs_for_equivalence(0.35, 1.0) == 4


def test_sample_size_reaches_its_power_in_simulation() -> None:
    rng = np.random.default_rng(5)
    n = runs_for_difference(1.0, 1.5)
    a, b = rng.normal(0.0, 1.0, (4000, n)), rng.normal(1.5, 1.0, (4000, n))
    se = np.sqrt((a.var(axis=1, ddof=1) + b.var(axis=1, ddof=1)) / n)
    found = np.mean(np.abs(a.mean(axis=1) - b.mean(axis=1)) / se > 2.1199)  # t table, 16 degrees of freedom
    assert 0.79 < found < 0.90


def judged(
    values: dict[str, list[float]], margin: float = 0.02, u: float = 0.002
) -> dict[tuple[str, str], Comparison]:
    """Return the comparisons of two-parts with these advantages."""
    results = {
        f"{name}{i}": made(f"{name}{i}", "two-part", [name], value, u_repeat=u)
        for name, found in values.items()
        for i, value in enumerate(found)
    }
    runs = {name: [results[f"{name}{i}"] for i in range(len(found))] for name, found in values.items()}
    pooled = pooled_between_run([[log_of(r)[:2] for r in group] for group in runs.values()])
    found = compare([combine(group, pooled) for group in runs.values()], results, pooled, margin=margin)
    return {(c.a.split(": ")[1], c.b.split(": ")[1]): c for c in found}


def test_verdicts() -> None:
    found = judged(
        {
            "puck": [1.912, 1.915, 1.913],
            "hoop": [1.800, 1.803, 1.801],
            "twin": [1.911, 1.914, 1.912],
            "near": [1.925, 1.928, 1.926],
        }
    )
    assert found["puck", "hoop"].verdict == "different"
    assert found["puck", "hoop"].ratio.value == pytest.approx(1.9133 / 1.8013, abs=2e-4)
    assert found["puck", "twin"].verdict == "equivalent"
    assert found["puck", "near"].verdict in ("small_but_real", "equivalent")
    assert all(one.runs_needed == 0 for one in found.values() if one.verdict != "undecided")


def test_undecided_says_how_many_more() -> None:
    found = judged({"puck": [1.90, 1.93], "hoop": [1.89, 1.88]}, u=0.008)
    one = found["puck", "hoop"]
    assert one.verdict == "undecided"
    assert one.runs_needed >= 1


def test_small_but_real() -> None:
    found = judged({"a": [1.9000, 1.9004, 1.9002, 1.9001], "b": [1.9100, 1.9104, 1.9101, 1.9099]}, u=0.0003)
    assert found["a", "b"].verdict == "small_but_real"


def test_one_pull_each_decides_nothing() -> None:
    assert judged({"a": [1.9], "b": [1.5]})["a", "b"].verdict == "undecided"


def test_only_rigs_with_the_same_count_are_compared() -> None:
    results = {
        "s": made("s", "series", [], 1.0),
        "t": made("t", "two-part", ["a"], 1.9),
        "u": made("u", "three-part", ["a", "b"], 2.6),
    }
    pooled = pooled_between_run([])
    assert compare([combine([r], pooled) for r in results.values()], results, pooled) == ()


def test_other_cells_bring_their_class_back() -> None:
    results = {
        f"{d}{i}": made(f"{d}{i}", "two-part", [d], v) for d, v in (("a", 1.9), ("b", 1.9)) for i in (0, 1)
    }
    pooled = Pooled(0.004**2, 200)
    pairs = [combine([results[f"{d}0"], results[f"{d}1"]], pooled) for d in "ab"]
    same = compare(pairs, results, pooled, cells=dict.fromkeys(results, ("l", "a")))
    other = compare(
        pairs, results, pooled, cells={"a0": ("l", "a"), "a1": ("l", "a"), "b0": ("l", "x"), "b1": ("l", "x")}
    )
    scatter = math.hypot(0.003, math.sqrt(pooled.expected_tau2))
    # the tail of the scatter counts for less the more else there is: within 5 %
    assert same[0].ratio.u == pytest.approx(scatter, rel=0.05)
    assert other[0].ratio.u == pytest.approx(math.hypot(scatter, math.sqrt(2.0) * 0.0041), rel=0.05)


def test_thin_evidence_is_told() -> None:
    """Single pulls beside two repeated pairs: the verdict says on how little it rests."""
    pairs = {"a": [1.920, 1.921], "b": [1.804, 1.805], "c": [1.870], "d": [1.760]}
    found = judged(pairs)
    one = found["c", "d"]
    assert one.evidence.startswith(
        "thin evidence: one pull of each; scatter between set-ups known from 2 repeats"
    )
    assert "2 against 1 pulls" in found["a", "c"].evidence
    assert one.ratio.half95 > 1.2 * 1.96 * one.ratio.u  # t with about 2 degrees of freedom, not 1.96
    near = judged({"a": [1.920, 1.921], "b": [1.804, 1.805], "c": [1.870], "d": [1.843]}, u=0.002)["c", "d"]
    assert near.ratio.lo > 1.0  # as the interval has it, but the two repeats allow a larger scatter
    assert near.verdict == "undecided"
    solid = {name: [value + 0.002 * i for i in range(4)] for name, value in (("a", 1.92), ("b", 1.80))}
    assert judged(solid)["a", "b"].evidence == ""


@pytest.mark.parametrize("tau", [0.001, 0.0025, 0.005])
def test_same_devices_are_seldom_called_different(tau: float) -> None:
    """Single pulls of two like devices, scatter known from three pairs elsewhere; nominal 5 %."""
    rng = np.random.default_rng(41)
    wrong, size = 0, 300
    for _ in range(size):
        values = {name: [1.9 * math.exp(rng.normal(0.0, math.hypot(tau, 0.0025))) for _ in range(n)]
                  for name, n in (("p", 2), ("q", 2), ("r", 2), ("a", 1), ("b", 1))}  # fmt: skip
        results = {
            f"{k}{i}": made(f"{k}{i}", "two-part", [k], v, u_repeat=0.0025)
            for k, vs in values.items()
            for i, v in enumerate(vs)
        }
        groups = [[results[f"{k}{i}"] for i in range(len(vs))] for k, vs in values.items()]
        pooled = pooled_between_run([[log_of(r)[:2] for r in group] for group in groups])
        (one,) = compare([combine(group, pooled) for group in groups[3:]], results, pooled)
        wrong += one.verdict in ("different", "small_but_real")
    assert wrong / size <= (0.10 if tau > 0.003 else 0.05)


def test_holm_against_a_general_library() -> None:
    # statsmodels.stats.multitest.multipletests, method "holm"
    multitest = pytest.importorskip("statsmodels.stats.multitest")
    rng = np.random.default_rng(8)
    for count in (1, 3, 10):
        p = rng.uniform(0.0, 0.2, count)
        assert holm(p.tolist()) == pytest.approx(multitest.multipletests(p, method="holm")[1])
