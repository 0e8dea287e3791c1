"""A rigid wheel at a step against textbook statics."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.obstacle import Step, step_pull


@pytest.mark.parametrize(
    ("radius", "height", "axle", "rim"),
    [(0.40, 0.10, 0.8819, 0.3780), (0.40, 0.20, 1.7321, 0.5774), (0.35, 0.10, 0.9798, 0.4082)],
)
def test_step_pull(radius: float, height: float, axle: float, rim: float) -> None:
    # moments about the edge; sqrt(2rh - h²)/(r - h) at the axle, sqrt(h/(2r - h)) at the rim
    assert step_pull(Step(height, radius, 1.0)) == pytest.approx(axle, abs=5e-5)
    assert step_pull(Step(height, radius, 1.0, "rim")) == pytest.approx(rim, abs=5e-5)
    assert step_pull(Step(height, radius, 1.0, "rim")) == pytest.approx(
        math.sqrt(height / (2 * radius - height))
    )


def test_least_pull_balances_moments_about_the_edge() -> None:
    radius, height, load = 0.4, 0.15, 6e3
    arm_of_weight = math.sqrt(radius**2 - (radius - height) ** 2)
    assert step_pull(Step(height, radius, load, "least")) * radius == pytest.approx(load * arm_of_weight)
    assert step_pull(Step(height, radius, load, "least")) <= step_pull(Step(height, radius, load, "axle"))


def test_step_as_high_as_the_axle_is_refused() -> None:
    with pytest.raises(PlanRefusal, match="as high as the axle"):
        step_pull(Step(0.4, 0.4, 1.0))
    with pytest.raises(QuantityRefusal):
        step_pull(Step(0.1, 0.4, 1.0, "hub"))
    with pytest.raises(QuantityRefusal):
        step_pull(Step(0.0, 0.4, 1.0))
