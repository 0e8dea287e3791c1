"""Angles against printed rigging tables and textbook statics."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.line_angle import bend_factor, bend_load, bridle_leg, sling_leg_factor

LEAST = math.radians(30.0)

# Printed alike in several rigging catalogues; three entries there are cut, not rounded, hence 0.01.
PRINTED_BEND = {
    0: 2.00, 10: 1.99, 20: 1.97, 30: 1.93, 40: 1.87, 45: 1.84, 50: 1.81, 60: 1.73, 70: 1.64, 80: 1.53, 90: 1.41,
    100: 1.29, 110: 1.15, 120: 1.00, 130: 0.84, 135: 0.76, 140: 0.68, 150: 0.52, 160: 0.35, 170: 0.17, 180: 0.00,
}  # fmt: skip

# Sling charts after ASME B30.9 (65° prints 1.104 for 1.1034, 35° prints 1.742 for 1.7434).
PRINTED_LEG = {
    90: 1.000, 85: 1.004, 80: 1.015, 75: 1.035, 70: 1.064, 65: 1.104, 60: 1.155, 55: 1.221, 50: 1.305, 45: 1.414,
    40: 1.555, 35: 1.742, 30: 2.000,
}  # fmt: skip


@pytest.mark.parametrize(("degrees", "printed"), PRINTED_BEND.items())
def test_bend_factor_is_the_printed_one(degrees: int, printed: float) -> None:
    assert bend_factor(math.radians(degrees)) == pytest.approx(printed, abs=0.01)


def test_bend_worked_examples() -> None:
    # rigging catalogue: 1000 lb line, 50° between the parts -> 1810 lb; 135° -> 760 lb
    assert 1000 * bend_factor(math.radians(50)) == pytest.approx(1810, abs=5)
    assert 1000 * bend_factor(math.radians(135)) == pytest.approx(760, abs=6)


@pytest.mark.parametrize(("degrees", "load"), [(0, 1.9), (90, 1.3454), (120, 0.9539), (180, 0.1)])
def test_bend_load_with_friction(degrees: int, load: float) -> None:
    # law of cosines, T1 = 1, T2 = 0.9
    assert bend_load(1.0, 0.9, math.radians(degrees)) == pytest.approx(load, abs=5e-5)


@pytest.mark.parametrize(("degrees", "share"), [(0, 0.5), (60, 0.5774), (90, 0.7071), (120, 1.0)])
def test_bridle_leg(degrees: int, share: float) -> None:
    # statics; 120° between the legs puts the whole load in each
    assert bridle_leg(10.0, math.radians(degrees)) == pytest.approx(10 * share, abs=5e-4)


@pytest.mark.parametrize(("degrees", "printed"), PRINTED_LEG.items())
def test_sling_leg_factor_is_the_printed_one(degrees: int, printed: float) -> None:
    assert sling_leg_factor(math.radians(degrees), LEAST) == pytest.approx(printed, abs=0.002)


def test_sling_worked_example() -> None:
    # sling chart: 2 legs, 500 lb each, length 10, height 5 -> factor 2 -> 1000 lb in each leg
    assert 500 * sling_leg_factor(math.asin(5 / 10), LEAST) == pytest.approx(1000)


def test_flat_angles_are_refused() -> None:
    with pytest.raises(PlanRefusal, match="straight line"):
        bridle_leg(1.0, math.pi)
    with pytest.raises(PlanRefusal, match="flatter"):
        sling_leg_factor(math.radians(29.0), LEAST)
    with pytest.raises(QuantityRefusal):
        bend_factor(math.radians(181))
    with pytest.raises(QuantityRefusal):
        bend_load(-1.0, 1.0, 0.0)
