"""Step tables of deratings against the printed figures, at the edges."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import Refusal
from haulwright.field.derating import choker, shackle_heat, shackle_side_load, wire_bend


@pytest.mark.parametrize(
    ("degrees", "share"), [(0, 1.0), (1, 0.7), (45, 0.7), (45.1, 0.5), (89.9, 0.5), (90, 0.5)]
)
def test_shackle_side_load_steps_down(degrees: float, share: float) -> None:
    # printed in three rigging sheets after ASME B30.26: 0° 100 %, 45° 70 %, 90° 50 % of WLL; no value between
    assert shackle_side_load(math.radians(degrees)).share == share


def test_shackle_backwards_is_refused() -> None:
    with pytest.raises(Refusal):
        shackle_side_load(math.radians(91))


@pytest.mark.parametrize(
    ("degrees", "share"),
    [
        (180, 1.00),
        (120.1, 1.00),
        (120, 0.87),
        (119.9, 0.87),
        (90, 0.87),
        (89.9, 0.74),
        (60, 0.74),
        (59.9, 0.62),
        (30, 0.62),
        (29.9, 0.49),
        (0, 0.49),
    ],
)
def test_choker_steps(degrees: float, share: float) -> None:
    # synthetic-sling leaflet after ASME B30.9: over 120° 1.00, 90 to 120 0.87, 60-89 0.74, 30-59 0.62, 0-29 0.49
    assert choker(math.radians(degrees)).share == share


PRINTED_BEND = {40: 95, 30: 93, 20: 91, 15: 89, 10: 86, 8: 83, 6: 79, 4: 75, 2: 65, 1: 50}


@pytest.mark.parametrize(("ratio", "percent"), PRINTED_BEND.items())
def test_wire_bend_table(ratio: int, percent: int) -> None:
    # wire rope catalogue, strength efficiency bent over a pin or sheave
    assert wire_bend(ratio * 0.01, 0.01).share == pytest.approx(percent / 100)


def test_wire_bend_between_steps_takes_the_lower() -> None:
    assert wire_bend(0.039, 0.01).share == pytest.approx(0.65)
    assert wire_bend(1.0, 0.01).share == pytest.approx(0.95)
    with pytest.raises(Refusal, match="starts at 1"):
        wire_bend(0.009, 0.01)


def test_shackle_heat() -> None:
    # shackle sheet: to 200 °C 1.00, 201 to 300 0.90, 301 to 400 0.75, above 400 not to be used
    assert [shackle_heat(t).share for t in (20.0, 200.0, 201.0, 300.0, 301.0, 400.0)] == [
        1,
        1,
        0.9,
        0.9,
        0.75,
        0.75,
    ]
    with pytest.raises(Refusal, match="ends at 400"):
        shackle_heat(401.0)


def test_every_derating_names_its_source() -> None:
    for derating in (choker(1.0), shackle_side_load(1.0), wire_bend(0.1, 0.01), shackle_heat(20.0)):
        assert derating.source
        assert derating.reason
