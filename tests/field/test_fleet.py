"""The angle of the line at the winch: naval limits, plane geometry and the triangle of forces."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import QuantityRefusal
from haulwright.field.fleet import fairlead_load, fleet_limits, line_angle


def test_limits_are_the_published_ones() -> None:
    # US Navy NAVEDTRA 14081: not over 2 degrees, 1.5 good
    limits = fleet_limits()
    assert [math.degrees(x) for x in (limits.good_rad, limits.greatest_rad)] == pytest.approx([1.5, 2.0])
    assert "NAVEDTRA 14081" in limits.source


def test_line_angle() -> None:
    assert line_angle((5.0, 5.0), (2.0, 0.0)) == pytest.approx(math.pi / 4)
    assert line_angle((-3.0, 0.0), (1.0, 0.0)) == pytest.approx(math.pi)
    assert line_angle((0.0, -1.0), (0.0, -7.0)) == 0.0
    with pytest.raises(QuantityRefusal):
        line_angle((0.0, 0.0), (1.0, 0.0))


def test_fairlead_load_is_the_triangle_of_forces() -> None:
    # parts at right angles: sqrt(2) T; parts parallel, straight through: none
    assert fairlead_load(10e3, math.pi / 2) == pytest.approx(math.sqrt(2.0) * 10e3)
    assert fairlead_load(10e3, 0.0) == 0.0
