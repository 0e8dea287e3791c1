"""The drum against a hand-computed drum, handbook capacity and naval lead rules."""

from __future__ import annotations

import math

import pytest

from haulwright.errors import PlanRefusal, QuantityRefusal
from haulwright.field.drum import (
    capacity_by_volume,
    fleet_angle,
    layer_at,
    layers,
    least_wraps,
    room,
    spans,
    usable_line,
)

DRUM = layers(0.102, 0.224, 0.0127, 30.0, 75e3)

# Drum arithmetic r_n = D/2 + d/2 + (n-1) c d, drum 64 mm, width 229 mm, rope 10 mm, worked out by hand:
# layer, radius mm, metres on the layer, metres in all, pull ratio
STACKED = [
    (1, 37.0, 5.115, 5.115, 1.0000),
    (2, 47.0, 6.497, 11.611, 0.7872),
    (3, 57.0, 7.879, 19.490, 0.6491),
    (4, 67.0, 9.261, 28.752, 0.5522),
    (5, 77.0, 10.644, 39.396, 0.4805),
]
NESTED = [
    (1, 37.00, 5.115, 1.0000),
    (2, 45.66, 11.426, 0.8103),
    (3, 54.32, 18.935, 0.6811),
    (4, 62.98, 27.641, 0.5875),
    (5, 71.64, 37.544, 0.5165),
]


def test_stacked_table() -> None:
    wound = layers(0.064, 0.229, 0.010, 39.395, 1.0)
    assert len(wound) == 5
    for layer, (number, radius_mm, on_it, in_all, pull) in zip(wound, STACKED, strict=True):
        assert (layer.number, layer.turns) == (number, 22)
        assert layer.radius_m * 1e3 == pytest.approx(radius_mm, abs=5e-3)
        assert layer.capacity_m == pytest.approx(on_it, abs=1e-3)
        assert layer.cumulative_m == pytest.approx(in_all, abs=1.5e-3)
        assert layer.pull_N == pytest.approx(pull, abs=5e-5)
        assert layer.speed_ratio == pytest.approx(1 / pull, rel=1e-4)


def test_nested_table() -> None:
    wound = layers(0.064, 0.229, 0.010, 37.543, 1.0, lay="nested")
    assert len(wound) == 5
    for layer, (number, radius_mm, in_all, pull) in zip(wound, NESTED, strict=True):
        assert layer.number == number
        assert layer.radius_m * 1e3 == pytest.approx(radius_mm, abs=6e-3)
        assert layer.cumulative_m == pytest.approx(in_all, abs=1.5e-3)
        assert layer.pull_N == pytest.approx(pull, abs=5e-5)


def test_worked_drum() -> None:
    # by hand: barrel 0.102, width 0.224, rope 0.0127, 30 m, 75 kN on layer 1
    lengths = [layer.length_m for layer in DRUM]
    assert lengths == pytest.approx([6.126, 7.482, 8.839, 7.553], abs=1e-3)
    assert [layer.pull_N / 1e3 for layer in DRUM] == pytest.approx([75.0, 61.4, 52.0, 45.1], abs=0.05)
    assert DRUM[3].capacity_m == pytest.approx(10.195, abs=1e-3)
    assert DRUM[2].speed_ratio == pytest.approx(1.443, abs=5e-4)


def test_last_layer_falls_to_about_half() -> None:
    # US Navy NAVEDTRA 14081: the rating can fall by up to 50 % on the last layer
    wound = layers(0.064, 0.229, 0.010, 30.0, 1.0)
    assert 0.45 < wound[-1].pull_N < 0.60


def test_turns_survive_floating_point() -> None:
    assert layers(1.0, 0.3, 0.1, 1.0, 1.0)[0].turns == 3


def test_layer_at_and_spans_agree() -> None:
    parts = spans(DRUM, 4.0, 20.0)
    assert [layer.number for layer, _ in parts] == [1, 2, 3, 4]
    assert sum(length for _, length in parts) == pytest.approx(20.0)
    assert layer_at(DRUM, 4.0) == parts[0][0]
    assert layer_at(DRUM, 24.0) == parts[-1][0]
    assert layer_at(DRUM, 0.0).number == 1
    assert spans(DRUM, DRUM[0].cumulative_m, 1.0)[0][0].number == 2


def test_more_line_than_the_drum_holds_is_refused() -> None:
    with pytest.raises(PlanRefusal, match="more than the line it carries"):
        layer_at(DRUM, 30.1)
    with pytest.raises(PlanRefusal):
        spans(DRUM, 25.0, 6.0)


def test_line_standing_above_the_flange_is_refused() -> None:
    outside = 2 * (DRUM[-1].radius_m + 0.0127 / 2)
    assert layers(0.102, 0.224, 0.0127, 30.0, 75e3, flange_m=outside) == DRUM
    with pytest.raises(PlanRefusal, match="does not fit") as caught:
        layers(0.102, 0.224, 0.0127, 30.0, 75e3, flange_m=outside - 1e-4)
    assert caught.value.code == "DRUM_FULL"
    with pytest.raises(PlanRefusal, match="mm wide"):
        layers(0.102, 0.010, 0.0127, 30.0, 75e3)


def test_usable_line_leaves_the_wraps() -> None:
    assert usable_line(DRUM, 5) == pytest.approx(30.0 - 5 * 2 * math.pi * 0.05735)
    # 20 wraps: 17 on layer 1, 3 on layer 2
    assert usable_line(DRUM, 20) == pytest.approx(30.0 - DRUM[0].length_m - 3 * 2 * math.pi * 0.07005)
    with pytest.raises(PlanRefusal) as caught:
        usable_line(layers(0.102, 0.224, 0.0127, 3.0, 75e3), 10)
    assert caught.value.code == "LINE_SHORT"


def test_least_wraps() -> None:
    # US Army heavy-truck manuals: 5 wraps of wire rope; fibre 8 to 10, common practice, the strictest is taken
    assert (least_wraps("wire"), least_wraps("fibre")) == (5, 10)
    with pytest.raises(QuantityRefusal):
        least_wraps("chain")


def test_capacity_by_volume() -> None:
    # wire rope handbook: L[ft] = 0.2618 W h (B + h) / d^2, inches
    inch, foot = 0.0254, 0.3048
    by_hand_ft = 0.2618 * 9 * 2 * (2.5 + 2) / 0.3125**2
    assert capacity_by_volume(2.5 * inch, 9 * inch, 2 * inch, 0.3125 * inch) / foot == pytest.approx(
        by_hand_ft, rel=1e-4
    )


def test_volume_and_layers_agree() -> None:
    # the volume rule takes full layers: within a rope diameter of width they must agree
    depth = 4 * 0.010
    full = layers(0.064, 0.220, 0.010, 28.75, 1.0)
    assert capacity_by_volume(0.064, 0.220, depth, 0.010) == pytest.approx(full[3].cumulative_m, rel=1e-3)


@pytest.mark.parametrize(("lead", "degrees"), [(40.0, 1.432), (38.19, 1.5), (28.64, 2.0)])
def test_fleet_angle(lead: float, degrees: float) -> None:
    # US Navy NAVEDTRA 14081: 40 in of lead per inch for about 1.5°; not over 2°
    assert math.degrees(fleet_angle(1.0, lead)) == pytest.approx(degrees, abs=1e-3)


@pytest.mark.parametrize("bad", [0.0, -0.1, math.nan, math.inf])
def test_bad_measures_are_refused(bad: float) -> None:
    with pytest.raises(QuantityRefusal):
        layers(bad, 0.2, 0.01, 30.0, 1.0)
    with pytest.raises(QuantityRefusal):
        layers(0.1, 0.2, 0.01, bad, 1.0)


def test_unknown_lay_names_the_nearest() -> None:
    with pytest.raises(QuantityRefusal, match="did you mean 'nested'"):
        layers(0.1, 0.2, 0.01, 30.0, 1.0, lay="nestd")


def test_an_overfull_drum_can_be_wound_and_says_how_much_fits() -> None:
    # by hand: rope edge of layer 3 at 51 + 2.5 x 12.7 + 6.35 = 89.1 mm, of layer 4 at 101.8 mm; rim at 90 mm
    wound = layers(0.102, 0.224, 0.0127, 30.0, 75e3, flange_m=0.180, strict=False)
    assert [layer.fits for layer in wound] == [True, True, True, False]
    assert room(wound) == pytest.approx(6.126 + 7.482 + 8.839, abs=2e-3)
    assert room(DRUM) == pytest.approx(30.0)
    with pytest.raises(QuantityRefusal):
        layers(0.102, 0.224, 0.0127, 30.0, 75e3, flange_m=-0.1)
