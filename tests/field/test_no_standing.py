"""The ground where nobody may stand: the places at which people were killed are inside it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulwright.errors import QuantityRefusal
from haulwright.field.no_standing import Bend, Part, no_standing
from haulwright.field.zone import stand_clear

WAGON, OAK, HELPER = (0.0, 0.0), (20.0, 0.0), (20.0, -15.0)
CORNER = [Part("wagon to oak", (WAGON, OAK)), Part("oak to helper", (OAK, HELPER))]
BEND = [Bend("oak", OAK, (WAGON, HELPER))]
REACH = st.floats(-200.0, 200.0)


def zone(radius=None):
    radius = radius or stand_clear(line_m=35.0, paid_out_m=35.0, spread_m=25.0).radius_m
    return no_standing(radius, CORNER, BEND)


@pytest.mark.parametrize(
    ("case", "spot"),
    [
        # Workplace Health and Safety Queensland, incident alert 2018: the driver stood in the V of a snatch block's line.
        ("in the V of the redirected line", (14.0, -6.0)),
        ("in the V, far from the block", (-60.0, -80.0)),
        # Coroners' and news reports of recoveries, 2005 to 2018: hardware flew along the line.
        ("10 m behind the recovering vehicle", (0.0 - 10.0, 0.0)),
        ("in the recovering vehicle, in line, 60 m off", (-60.0, 2.0)),
        ("behind the anchor, in line", (95.0, 1.0)),
        # WorkSafe alerts, Western Australia 2017 and 2019: crushed between the vehicles.
        ("between the vehicles", (10.0, 0.5)),
        ("astride the line", (5.0, 0.0)),
    ],
)
def test_places_of_known_accidents_are_forbidden(case, spot):
    assert zone().why_not(spot), case


def test_the_spots_given_are_allowed_and_square_to_the_longest_part():
    alone = no_standing(30.0, CORNER[:1], [])
    left, right = alone.clear_spots()
    assert left == pytest.approx((10.0, 30.0))
    assert right == pytest.approx((10.0, -30.0))
    for spot in zone().clear_spots():
        assert zone().why_not(spot) == ()


@given(REACH, REACH)
def test_the_inside_of_a_bend_is_the_wedge_between_its_parts(x, y):
    """Against the other way to say it: a sum of the two directions with no negative share."""
    (bend,) = BEND
    to_wagon, to_helper = (-1.0, 0.0), (0.0, -1.0)
    a, b = (x - OAK[0]) * to_wagon[0], (y - OAK[1]) * to_helper[1]
    if min(abs(a), abs(b)) > 1e-6:
        assert bend.holds((x, y)) == (a > 0.0 and b > 0.0)


@given(REACH, REACH, st.floats(1.0, 80.0))
def test_a_place_without_a_reason_is_as_far_as_the_rule_asks(x, y, radius):
    if not zone(radius).why_not((x, y)):
        steps = [i / 200.0 for i in range(201)]
        for part in CORNER:
            (ax, ay), (bx, by) = part.ends_m
            nearest = min(math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)) for t in steps)
            assert nearest >= radius - 1e-5


def test_parts_that_run_back_on_themselves_have_no_inside():
    assert not Bend("oak", OAK, (WAGON, WAGON)).turns
    assert not Bend("oak", OAK, (WAGON, (40.0, 0.0))).turns


def test_a_radius_that_is_none_is_refused():
    with pytest.raises(QuantityRefusal) as refused:
        no_standing(0.0, CORNER, BEND)
    assert refused.value.code == "NOT_POSITIVE"
