"""Slow changes over a session: told where they are clear, recovered in size, not invented out of noise."""

from __future__ import annotations

import math

import numpy as np
import pytest

from haulwright.trials.drift import common_slope, lane_drift, late_plateau, trend


def test_trend_over_the_session_is_told() -> None:
    drifting = [
        [(n, 0.64 + 0.002 * n + 1e-4 * (-1) ** n) for n in (1, 3, 5)],
        [(n, 0.6 + 0.002 * n) for n in (2, 4, 6)],
    ]
    notice = trend(drifting)
    assert notice is not None
    assert "+0.20 % a run" in notice.message
    steady = [[(1, 0.64), (3, 0.642), (5, 0.6395)], [(2, 0.60), (4, 0.599), (6, 0.6005)]]
    assert trend(steady) is None
    assert trend([[(1, 0.64), (2, 0.66)]]) is None


def test_slope_against_a_general_library() -> None:
    # scipy.stats.linregress on one group: slope and its standard error
    from scipy.stats import linregress

    rng = np.random.default_rng(4)
    number = np.arange(1.0, 9.0)
    y = 0.6 + 0.003 * number + rng.normal(0.0, 0.002, number.size)
    ours, theirs = common_slope([list(zip(number.tolist(), y.tolist(), strict=True))]), linregress(number, y)
    assert ours is not None
    assert (ours.per_run, ours.se, ours.dof) == pytest.approx((theirs.slope, theirs.stderr, 6))


def test_late_plateau_is_told_apart() -> None:
    def warmed(start: float, numbers: tuple[int, ...]) -> list[tuple[float, float]]:
        return [(float(n), start + 0.01 * (1.0 - math.exp(-n / 2.0))) for n in numbers]

    warm = [warmed(0.64, (1, 4, 5, 8)), warmed(0.5, (2, 3, 6, 7))]
    late = late_plateau(warm)
    assert late is not None
    assert 0.001 < late < 0.003
    notice = trend(warm)
    assert notice is not None
    assert "The later half of the runs alone lies +0.1" in notice.message


def test_a_worn_lane_is_found_and_its_size_recovered() -> None:
    rng = np.random.default_rng(3)
    pulls = [(float(n), 9000.0 * math.exp(0.01 * n + rng.normal(0.0, 0.004)), 0.004) for n in (1, 7, 14, 15)]
    notice = lane_drift(pulls)
    assert notice is not None
    assert notice.code == "TREND"
    told = float(notice.message.split("drift by ")[1].split(" %")[0])
    assert told == pytest.approx(14.0, abs=1.5)
    assert lane_drift(pulls[:2]) is None


def test_a_lane_that_holds_is_seldom_called_worn() -> None:
    rng = np.random.default_rng(9)
    wrong = sum(
        lane_drift([(n, 9000.0 * math.exp(rng.normal(0.0, 0.004)), 0.004) for n in (1.0, 8.0, 15.0)])
        is not None
        for _ in range(400)
    )
    assert wrong / 400 < 0.08  # two standard errors: nominally 5 %
