"""The winch motor against a table worked out by hand (invented winch)."""

from __future__ import annotations

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.drum import layers, spans
from haulwright.field.motor import MotorRow, MotorTable, winch_work, working_point

# invented table: line pull kN, line speed m/min, current A
ROWS = [(0, 10.0, 60), (9, 5.2, 150), (18, 3.8, 220), (27, 2.9, 290), (36, 2.2, 360), (45, 1.6, 430)]
TABLE = MotorTable(tuple(MotorRow(pull * 1e3, speed / 60, current) for pull, speed, current in ROWS))


def test_two_compounded_two_parts() -> None:
    # by hand: 9.00 kN over 28 m: 28 / 5.2 min = 323 s, 150 A -> 13.5 Ah, at 12 V 582 kJ
    work = winch_work(TABLE, 9e3, 28.0, voltage_V=12.0)
    assert work.time_s == pytest.approx(323, abs=0.5)
    assert work.charge_Ah == pytest.approx(13.5, abs=0.05)
    assert work.energy_J == pytest.approx(582e3, rel=2e-3)
    assert work.line_work_J == pytest.approx(252e3)
    assert work.greatest_current_A == 150


def test_single_line() -> None:
    # by hand: 34 kN -> 2.36 m/min, 344 A; 7 m take 178 s and 17.1 Ah
    point = working_point(TABLE, 34e3)
    assert point.speed_m_s * 60 == pytest.approx(2.36, abs=0.005)
    assert point.current_A == pytest.approx(344, abs=0.5)
    work = winch_work(TABLE, 34e3, 7.0)
    assert work.time_s == pytest.approx(178, abs=0.5)
    assert work.charge_Ah == pytest.approx(17.1, abs=0.1)
    assert work.energy_J is None


def test_third_layer() -> None:
    # by hand: ratio 1.443 at 20 kN: entry 28.86 kN -> 3.98 m/min, 304 A
    ratio = layers(0.102, 0.224, 0.0127, 30.0, 75e3)[2].speed_ratio
    point = working_point(TABLE, 20e3, ratio)
    assert point.table_pull_N / 1e3 == pytest.approx(28.86, abs=0.005)
    assert point.speed_m_s * 60 == pytest.approx(3.98, abs=0.01)
    assert point.current_A == pytest.approx(304, abs=0.6)


def test_pull_split_at_the_layer_end() -> None:
    drum = layers(0.102, 0.224, 0.0127, 30.0, 45e3)
    parts = spans(drum, 4.0, 8.0)
    work = winch_work(TABLE, 20e3, parts)
    alone = [winch_work(TABLE, 20e3, [part]) for part in parts]
    assert work.time_s == pytest.approx(sum(part.time_s for part in alone))
    assert work.charge_Ah == pytest.approx(sum(part.charge_Ah for part in alone))
    assert [point.table_pull_N for point, _ in work.points] == pytest.approx(
        [20e3, 20e3 * drum[1].speed_ratio]
    )


def test_more_parts_draw_less_current_and_take_longer() -> None:
    one, two = winch_work(TABLE, 30e3, 7.0), winch_work(TABLE, 16e3, 14.0)
    assert two.greatest_current_A < one.greatest_current_A
    assert one.time_s < two.time_s < 2 * one.time_s


def test_rows_are_met_exactly() -> None:
    for pull, speed, current in ROWS:
        point = working_point(TABLE, pull * 1e3)
        assert [point.speed_m_s * 60, point.current_A] == pytest.approx([speed, current])


def test_beyond_the_last_row_is_a_stall() -> None:
    with pytest.raises(PlanRefusal, match="stalls") as caught:
        working_point(TABLE, 45.1e3)
    assert caught.value.code == "STALL"
    with pytest.raises(PlanRefusal):
        working_point(TABLE, 40e3, 1.2)
    standing = MotorTable((MotorRow(0.0, 0.1, 60.0), MotorRow(40e3, 0.0, 400.0)))
    with pytest.raises(PlanRefusal, match="stands still"):
        winch_work(standing, 40e3, 1.0)


def test_below_the_first_row_is_refused() -> None:
    with pytest.raises(PlanRefusal, match="no-load row"):
        working_point(MotorTable(TABLE.rows[1:]), 1e3)


@pytest.mark.parametrize(
    "rows",
    [
        [(0, 10, 60)],
        [(0, 10, 60), (0, 9, 70)],
        [(0, 10, 60), (9, 10, 70)],
        [(0, 10, 60), (9, 5, 50)],
        [(0, 10, 60), (9, -5, 70)],
    ],
)
def test_a_table_that_is_no_winch_is_refused(rows: list[tuple[float, float, float]]) -> None:
    with pytest.raises(QuantityRefusal):
        MotorTable(tuple(MotorRow(*row) for row in rows))
