"""Propagation of uncertainty: JCGM 100:2008 (GUM) example H.2 and closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulwright.quantities.measured import Measured
from haulwright.quantities.propagate import propagate

# JCGM 100:2008, H.2: five simultaneous readings (the rows from memory; their means, uncertainties and
# correlation
# coefficient agree with the printed ones).
VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
AMPERES = (0.019663, 0.019639, 0.019640, 0.019685, 0.019678)


def _mean(xs: tuple[float, ...]) -> Measured:
    mean = sum(xs) / len(xs)
    return Measured.normal(mean, math.sqrt(sum((x - mean) ** 2 for x in xs) / (len(xs) - 1) / len(xs)))


def _correlation() -> float:
    a, b = _mean(VOLTS), _mean(AMPERES)
    total = sum((x - a.value) * (y - b.value) for x, y in zip(VOLTS, AMPERES, strict=True))
    return total / (len(VOLTS) * (len(VOLTS) - 1) * a.u * b.u)


def _ratio(a: float, b: float) -> float:
    return a / b


def test_gum_h2_ratio() -> None:
    volts, amperes, r = _mean(VOLTS), _mean(AMPERES), _correlation()
    assert (volts.u, amperes.u, r) == pytest.approx((0.0032, 0.0000095, -0.36), rel=0.02)
    impedance = propagate(_ratio, [volts, amperes], correlation=[[1, r], [r, 1]])
    assert impedance.value == pytest.approx(254.260, abs=0.0005)
    assert impedance.u == pytest.approx(0.236, abs=0.0005)
    assert propagate(_ratio, [volts, amperes]).u == pytest.approx(
        0.204, abs=0.0005
    )  # correlation ignored: too small


@given(st.floats(1.0, 100.0), st.floats(1.0, 100.0), st.floats(0.001, 0.02), st.floats(-0.95, 0.95))
def test_relative_variances_of_a_ratio_add(a: float, b: float, share: float, r: float) -> None:
    result = propagate(
        _ratio, [Measured.normal(a, share * a), Measured.normal(b, share * b)], correlation=[[1, r], [r, 1]]
    )
    assert result.u / result.value == pytest.approx(share * math.sqrt(2 - 2 * r), rel=1e-5)


def test_steps_stay_inside_the_interval() -> None:
    def only_from_one(k: float) -> float:
        if k < 1:
            raise ValueError(k)
        return 1 + 1 / k

    result = propagate(only_from_one, [Measured(1.0, 0.01, 1.0, 1.02)])
    assert result.u == pytest.approx(0.01, rel=1e-3)


def test_exact_inputs_add_nothing() -> None:
    assert propagate(_ratio, [Measured.exact(3.0), Measured.exact(2.0)]).u == 0.0


@pytest.mark.parametrize("matrix", [[[1]], [[1, 0.5], [0.4, 1]], [[2, 0], [0, 1]], [[1, 1.5], [1.5, 1]]])
def test_impossible_correlations_are_refused(matrix: list[list[float]]) -> None:
    with pytest.raises(ValueError, match="correlation"):
        propagate(_ratio, [Measured.normal(1, 0.1), Measured.normal(1, 0.1)], correlation=matrix)


def test_an_interval_without_width_is_refused() -> None:
    with pytest.raises(ValueError, match="without width"):
        propagate(_ratio, [Measured(1.0, 0.1, 1.0, 1.0), Measured.exact(2.0)])
