"""Battery, alternator and duty, worked by hand; definition of charge and Ohm's law."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import QuantityRefusal
from haulwright.field.battery import Battery, balance, time_until
from haulwright.field.duty import rests


def test_balance_by_hand() -> None:
    # 300 A for 6 min = 30 Ah, 60 A alternator gives 6 Ah: 24 of 96 Ah
    found = balance(Battery(12.0, 96.0, (0.9, 0.9), 0.5, (60.0, 60.0), 0.01), [(300.0, 360.0)])
    assert found.drawn_Ah == pytest.approx(30.0)
    assert found.from_battery_Ah == pytest.approx((24.0, 24.0))
    assert found.charge_end == pytest.approx((0.65, 0.65))
    assert found.voltage_V == pytest.approx((9.6, 9.6))  # 12 V - 10 mohm x 240 A
    assert found.least_after_s == (math.inf, math.inf)


def test_ranges_go_through_to_the_answer() -> None:
    flow = [(300.0, 360.0)]
    unsure = balance(Battery(12.0, 96.0, (0.6, 0.9), 0.5, (0.0, 60.0)), flow)
    worst = balance(Battery(12.0, 96.0, (0.6, 0.6), 0.5, (0.0, 0.0)), flow)
    best = balance(Battery(12.0, 96.0, (0.9, 0.9), 0.5, (60.0, 60.0)), flow)
    assert unsure.charge_end is not None
    assert worst.charge_end is not None
    assert best.charge_end is not None
    assert unsure.charge_end == (worst.charge_end[0], best.charge_end[1])
    # 0.1 of 96 Ah at 300 A last 9.6 / 300 h
    assert unsure.least_after_s == pytest.approx((115.2, math.inf))
    assert unsure.from_battery_Ah == pytest.approx((24.0, 30.0))


def test_a_rest_charges_and_never_overfills() -> None:
    battery = Battery(12.0, 100.0, (0.98, 0.98), None, (100.0, 100.0))
    found = balance(battery, [(300.0, 180.0), (0.0, 3600.0)])
    assert found.charge_least == pytest.approx((0.88, 0.88))
    assert found.charge_end == pytest.approx((1.0, 1.0))


def test_what_is_not_told_is_not_known() -> None:
    found = balance(Battery(), [(300.0, 60.0)])
    assert found.drawn_Ah == pytest.approx(5.0)
    assert (found.from_battery_Ah, found.charge_end, found.least_after_s, found.voltage_V) == (
        None,
        None,
        None,
        None,
    )
    assert time_until(Battery(12.0, 90.0, (0.8, 0.8)), 300.0) is None


def test_time_until_a_stated_depth() -> None:
    # 0.3 of 90 Ah at 300 - 30 A: 27 / 270 h = 360 s
    assert time_until(Battery(12.0, 90.0, (0.8, 0.8), 0.5, (30.0, 30.0)), 300.0) == pytest.approx(
        (360.0, 360.0)
    )
    assert time_until(Battery(12.0, 90.0, (0.8, 0.8), 0.5, (50.0, 90.0)), 80.0) == (
        pytest.approx(3240.0),
        math.inf,
    )


@pytest.mark.parametrize(
    "wrong",
    [
        {"voltage_V": 0.0},
        {"capacity_Ah": -1.0},
        {"charge": (0.9, 0.6)},
        {"charge": (0.5, 1.2)},
        {"alternator_A": (-5.0, 60.0)},
        {"resistance_ohm": 0.0},
    ],
)
def test_a_battery_that_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(QuantityRefusal):
        Battery(**wrong)  # type: ignore[arg-type]


def test_rests_fall_after_the_makers_minutes() -> None:
    assert rests(239.0, 240.0, 600.0).after_s == ()
    assert rests(240.0, 240.0, 600.0).total_s == 240.0  # done just when a rest would begin
    assert rests(721.0, 240.0, 600.0) == rests(721.0, 240.0, 600.0)
    assert rests(721.0, 240.0, 600.0).after_s == (240.0, 480.0, 720.0)
    assert rests(721.0, 240.0, 600.0).total_s == 721.0 + 3 * 600.0
    with pytest.raises(QuantityRefusal):
        rests(100.0, 0.0, 600.0)
