"""Motor models against rows made by the textbook relations of direct-current motors, and a table worked out by hand."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import QuantityRefusal
from haulwright.field.motor import MotorRow, MotorTable, working_point
from haulwright.field.motor_model import PERMANENT, SERIES, SparseRow, check_power, motor_curve

# invented table: line pull kN, line speed m/min, current A
ROWS = [(0, 10.0, 60), (9, 5.2, 150), (18, 3.8, 220), (27, 2.9, 290), (36, 2.2, 360), (45, 1.6, 430)]
TABLE = [SparseRow(pull * 1e3, speed / 60, current) for pull, speed, current in ROWS]


def series(pull_N: float, shift_A: float = 0.0) -> SparseRow:
    """A series motor by the textbook: torque c (I + I_r) I, speed (V - I R) / (c (I + I_r)); 12 V, 8 mohm, 1 kN drag."""
    torque = (pull_N + 1000.0) / 0.25
    current = (math.sqrt(shift_A**2 + 4.0 * torque) - shift_A) / 2.0
    return SparseRow(pull_N, 2.0 * (12.0 - 0.008 * current) / (current + shift_A), current)


def magnet(pull_N: float) -> SparseRow:
    """A permanent-magnet motor by the textbook: torque k I, speed (V - I R) / k; 12 V, 12 mohm."""
    current = 50.0 + pull_N / 110.0
    return SparseRow(pull_N, 0.014 * (12.0 - 0.012 * current), current)


@pytest.mark.parametrize("shift_A", [0.0, 120.0])
def test_a_series_motor_is_found_again(shift_A: float) -> None:
    rows = [series(pull, shift_A) for pull in (0.0, 10e3, 25e3, 40e3)]
    curve = motor_curve(rows, SERIES, 12.0)
    assert curve.fit is not None
    assert curve.fit.resistance_ohm == pytest.approx(0.008, rel=0.05)
    assert (curve.fit.speed_residual or 0.0) < 0.01
    for pull in (3e3, 17e3, 33e3):
        found, true = working_point(curve.table, pull), series(pull, shift_A)
        assert found.current_A == pytest.approx(true.current_A, rel=0.02)
        assert found.speed_m_s == pytest.approx(true.speed_m_s, rel=0.05)


def test_a_permanent_magnet_motor_is_found_again() -> None:
    curve = motor_curve([magnet(0.0), magnet(20e3), magnet(40e3)], PERMANENT, 12.0)
    assert curve.fit is not None
    assert curve.fit.resistance_ohm == pytest.approx(0.012)
    assert curve.fit.speed_residual == pytest.approx(0.0, abs=1e-9)
    assert working_point(curve.table, 31e3).current_A == pytest.approx(50 + 31e3 / 110)


def test_torque_of_a_series_motor_goes_with_the_square_of_its_current() -> None:
    # textbook, unsaturated: twice the torque at 1.41 times the current
    rows = [series(0.0), series(40e3)]
    curve = motor_curve(rows, SERIES)
    one, two = (working_point(curve.table, pull).current_A for pull in (10e3 - 1000, 20e3 - 1000))
    assert two / one == pytest.approx(math.sqrt(2.0), rel=5e-3)
    assert curve.fit is not None
    assert curve.fit.speed_residual is None  # two rows, two unknowns: nothing is left to check with


def test_the_makers_own_rows_stand_as_they_are() -> None:
    curve = motor_curve(TABLE, SERIES, 12.0)
    for row in TABLE:
        point = working_point(curve.table, row.pull_N)
        assert [point.speed_m_s, point.current_A] == pytest.approx([row.speed_m_s, row.current_A])
    assert curve.fit is not None
    assert 0.0 < (curve.fit.speed_residual or 0.0) < 0.05
    assert 0.0 < (curve.fit.current_residual or 0.0) < 0.10
    assert set(curve.filled_N).isdisjoint(row.pull_N for row in TABLE)
    # known only to the table's own worth: nothing beyond the last row
    assert curve.table.stall_N == TABLE[-1].pull_N


def test_without_a_kind_of_motor_only_what_is_missing_is_filled() -> None:
    assert motor_curve(TABLE).fit is None
    assert motor_curve(TABLE).table == MotorTable(tuple(MotorRow(p * 1e3, v / 60, i) for p, v, i in ROWS))
    gappy = [TABLE[0], TABLE[1], SparseRow(18e3, TABLE[2].speed_m_s), TABLE[3], TABLE[4], TABLE[5]]
    curve = motor_curve(gappy)
    assert curve.filled_N == (18e3,)
    assert working_point(curve.table, 18e3).current_A == pytest.approx(
        220, rel=0.05
    )  # the row that was taken out
    assert curve.fit is not None
    assert curve.fit.current_rows == 5


def test_ends_must_be_the_makers() -> None:
    with pytest.raises(QuantityRefusal, match="first and the last row") as caught:
        motor_curve([*TABLE[:-1], SparseRow(45e3, 1.6 / 60)])
    assert (caught.value.code, caught.value.where) == ("MOTOR_TABLE", ("row 6",))


@pytest.mark.parametrize("motor", [PERMANENT, SERIES])
def test_a_table_of_no_such_motor_is_refused(motor: str) -> None:
    rows = [SparseRow(0.0, 0.10, 60.0), SparseRow(20e3, 0.099, 400.0), SparseRow(40e3, 0.001, 402.0)]
    with pytest.raises(QuantityRefusal, match=f"not that of a {motor} motor") as caught:
        motor_curve(rows, motor)
    assert caught.value.code == "MOTOR_TABLE"


def test_a_winch_that_gives_more_than_it_takes_is_refused() -> None:
    # 36 kN at 22 m/min are 13.2 kW; 360 A at 12 V are 4.3 kW
    rows = (MotorRow(0.0, 1.0, 60.0), MotorRow(36e3, 22 / 60, 360.0))
    with pytest.raises(QuantityRefusal, match="13200 W, but 360 A at 12 V are only 4320 W"):
        check_power(MotorTable(rows), 12.0)
    with pytest.raises(QuantityRefusal):
        motor_curve([SparseRow(row.pull_N, row.speed_m_s, row.current_A) for row in rows], voltage_V=12.0)


@pytest.mark.parametrize(
    "rows",
    [
        TABLE[:1],
        [TABLE[0], TABLE[2], TABLE[1]],
        [SparseRow(0.0, -0.1, 60.0), TABLE[3]],
        [SparseRow(0.0, 0.1, 0.0), SparseRow(10e3, None, 100.0), TABLE[3]],
    ],
)
def test_nonsense_rows_are_refused(rows: list[SparseRow]) -> None:
    with pytest.raises(QuantityRefusal):
        motor_curve(rows, SERIES)


def test_an_unknown_motor_names_the_nearest() -> None:
    with pytest.raises(QuantityRefusal, match="did you mean 'series wound'"):
        motor_curve(TABLE, "serie wound")
