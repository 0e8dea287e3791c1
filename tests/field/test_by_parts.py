"""One, two and three parts with one winch, against the table and drum worked out by hand."""

from __future__ import annotations

import pytest

from haulwright.errors import QuantityRefusal
from haulwright.field.by_parts import by_parts, in_words
from haulwright.field.drum import layers
from haulwright.field.motor import MotorRow, MotorTable

ROWS = [(0, 10.0, 60), (9, 5.2, 150), (18, 3.8, 220), (27, 2.9, 290), (36, 2.2, 360), (45, 1.6, 430)]
TABLE = MotorTable(tuple(MotorRow(pull * 1e3, speed / 60, current) for pull, speed, current in ROWS))


def test_single_line_by_hand() -> None:
    # 34 kN: 2.36 m/min, 344 A; 7 m take 178 s and 17.1 Ah; 34 kN x 7 m = 238 kJ
    one = by_parts(34e3, 7.0, 10.0, 1.1, TABLE, voltage_V=12.0)[0]
    assert one.time_s == pytest.approx(178, abs=0.5)
    assert one.charge_Ah == pytest.approx(17.1, abs=0.1)
    assert one.load_J == pytest.approx(238e3)
    assert one.current_A == pytest.approx(344, abs=0.5)


def test_without_friction_two_parts_by_hand() -> None:
    # 36 kN on two parts is 18 kN: 3.8 m/min of line, 1.9 of load, 220 A; single 2.2 m/min, 360 A
    one, two, three = by_parts(36e3, 5.0, 10.0, 1.0, TABLE, voltage_V=12.0)
    assert two.effort_N == pytest.approx(18e3)
    assert (two.load_speed_m_s or 0.0) * 60 == pytest.approx(1.9)
    assert two.current_A == pytest.approx(220)
    assert (two.time_s or 0.0) / (one.time_s or 1.0) == pytest.approx(2.2 / 1.9)
    assert (two.charge_Ah or 0.0) / (one.charge_Ah or 1.0) == pytest.approx(220 / 1.9 / (360 / 2.2))
    # not half of the current, not twice the time; more battery energy than work is done
    assert 0.5 < 220 / 360 < 1.0
    assert three.battery_J is not None
    assert three.load_J is not None
    assert three.battery_J > three.load_J == pytest.approx(36e3 * 5.0)
    assert in_words((one, two, three)).startswith(
        "Against single line, two parts draw 0.61 of the current (not half)"
    )


def test_more_line_out_means_a_lower_layer() -> None:
    # API RP 9B fast line: load / (1 + 1/k + 1/k^2); drum by hand, see test_drum: 45 kN on layer 1
    wound = layers(0.102, 0.224, 0.0127, 30.0, 45e3)
    rows = by_parts(25e3, 4.0, 8.0, 1.08, TABLE, wound, 5.0, 12.0)
    assert [row.layer for row in rows] == [4, 3, 3]
    assert rows[2].effort_N == pytest.approx(25e3 / (1 + 1 / 1.08 + 1 / 1.08**2))


def test_what_does_not_pull_says_why() -> None:
    wound = layers(0.102, 0.224, 0.0127, 30.0, 45e3)
    one, two, three = by_parts(62e3, 6.0, 12.0, 1.08, TABLE, wound, 5.0)
    assert (one.time_s, one.lacks) == (None, "the winch stalls")
    assert two.lacks == "the winch stalls"  # 32.2 kN on layer 3 is 46.5 kN on layer 1
    assert three.lacks == "needs 36.0 m of line, 28.2 m can leave the drum"
    assert in_words((one, two, three)) == ""


def test_a_travel_beyond_the_way_is_refused() -> None:
    with pytest.raises(QuantityRefusal):
        by_parts(20e3, 12.0, 10.0, 1.1, TABLE)
