"""A pull step by step: closed forms for lines drawn in line, virtual work on the ground, and where a pull ends."""

import math

import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.travel import pull_along

LINE = {
    "units": {"force": "kN", "length": "m"},
    "anchors": {"oak": {"at": [0, 3]}},
    "load": {"name": "truck", "at": [12, 0], "direction": [-1, 0], "resistance": 20},
    "lines": {"winch line": {"standing": "truck", "fall": "winch"}},
    "winch": {"on": "oak"},
}
STACKED_IN_LINE = {
    **LINE,
    "sheaves": {"law": "per-contact", "k": 1.1},
    "anchors": {"oak": {"at": [0, 0]}},
    "blocks": {"M": {"floating": True, "at": [9, 0]}, "R": {"on": "truck"}},
    "lines": {
        "long rope": {"standing": "oak", "through": ["R"], "to": "M"},
        "winch line": {"standing": "oak", "through": ["M"], "fall": "winch"},
    },
}


def integral(y, x):
    return math.fsum((a + b) / 2.0 * (d - c) for a, b, c, d in zip(y, y[1:], x, x[1:], strict=False))


def test_a_line_at_an_angle_follows_its_triangle():
    # tension = R / cos, line taken in = what the hypotenuse shortens: any statics text
    found = pull_along(read_rig(LINE), 8.0, steps=40)
    assert len(found.travel_m) == 41
    assert found.stop is None
    for i, x in enumerate(found.travel_m):
        run = math.hypot(12.0 - x, 3.0)
        assert found.effort_N["winch"][i] == pytest.approx(20e3 * run / (12.0 - x), rel=1e-12)
        assert found.line_taken_in_m["winch"][i] == pytest.approx(math.hypot(12.0, 3.0) - run, abs=1e-12)
        assert found.travel_ratio["winch"][i] == pytest.approx((12.0 - x) / run, rel=1e-12)
        assert found.anchors_N["oak"][i] == pytest.approx((20e3, -20e3 * 3.0 / (12.0 - x), 0.0), rel=1e-12)


def test_stacked_two_parts_take_in_four_metres_for_each_and_the_block_runs_twice_as_far():
    found = pull_along(read_rig(STACKED_IN_LINE), 4.0, steps=10)
    assert found.stop is None
    for i, x in enumerate(found.travel_m):
        assert found.line_taken_in_m["winch"][i] == pytest.approx(4.0 * x, abs=1e-9)
        assert found.places_m["M"][i] == pytest.approx((9.0 - 2.0 * x, 0.0, 0.0), abs=1e-9)
        assert found.places_m["truck"][i] == pytest.approx((12.0 - x, 0.0, 0.0))
        assert sum(found.lengths_m["long rope"][i]) == pytest.approx(15.0, abs=1e-9)
        assert found.effort_N["winch"][i] == pytest.approx(found.effort_N["winch"][0], rel=1e-9)


@pytest.mark.parametrize(("least_m", "travel_m"), [(None, 4.5), (2.0, 3.5)])
def test_the_pull_ends_where_blocks_meet(least_m, travel_m):
    # M is 9 m from the oak and goes 2 m for each metre of load: (9 - gap) / 2
    found = pull_along(read_rig(STACKED_IN_LINE), 6.0, steps=20, least_gap_m=least_m)
    assert found.stop.code == "TWO_BLOCKED"
    assert set(found.stop.where) == {"M", "oak"}
    assert found.stop.travel_m == pytest.approx(travel_m, abs=1e-3)
    assert found.travel_m[-1] == found.stop.travel_m <= travel_m
    assert (
        len({len(found.travel_m), *map(len, found.effort_N.values()), *map(len, found.lengths_m.values())})
        == 1
    )


@pytest.mark.parametrize("spec", [CORNER, TWO_LEGS, RUNNING])
def test_on_the_ground_the_work_of_the_winch_goes_into_load_and_heat(spec):
    # virtual work along the path: line taken in is the sum of the travel ratios, winch work = R x + heat
    rig = read_rig(spec)
    found = pull_along(rig, 6.0, steps=200)
    x, taken_in = found.travel_m, found.line_taken_in_m["winch"]
    assert found.stop is None
    assert taken_in[-1] == pytest.approx(integral(found.travel_ratio["winch"], x), rel=1e-6)
    winch_J = integral(found.effort_N["winch"], taken_in)
    heat_J = 0.0
    for name, line in rig.lines.items():
        for i in line.contacts:
            # line that has run over the contact: what the parts before it have lost
            over = [
                math.fsum(found.lengths_m[name][0][:i]) - math.fsum(run[:i]) for run in found.lengths_m[name]
            ]
            heat_J += integral([t[i] - t[i - 1] for t in found.tensions_N[name]], over)
    assert winch_J == pytest.approx(20e3 * 6.0 + heat_J, rel=1e-5)
    assert heat_J > 100.0
    for name, line in rig.lines.items():
        if not line.drum:
            lengths = [math.fsum(run) for run in found.lengths_m[name]]
            assert max(lengths) - min(lengths) < 1e-9


def test_every_place_is_the_one_the_solver_finds_there():
    found = pull_along(read_rig(CORNER), 6.0, steps=3)
    for i, x in enumerate(found.travel_m):
        drawn = changed(CORNER)
        drawn["load"]["at"] = [16 - x, -2]
        there = solve_rig(read_rig(drawn))
        assert found.effort_N["winch"][i] == pytest.approx(there.effort_N["winch"], rel=1e-9)
        assert found.places_m["corner"][i] == pytest.approx(there.positions_m["corner"], abs=1e-9)
        assert found.anchors_N["oak"][i] == pytest.approx(there.bodies["oak"].vector_N, rel=1e-9, abs=1e-6)
        assert found.wraps_rad["winch line"][i] == pytest.approx([there.contacts[0].wrap_rad], rel=1e-9)


def test_the_pull_ends_where_nothing_balances_any_more():
    found = pull_along(read_rig(STACKED), 10.0, steps=50)
    assert found.stop is not None
    assert found.stop.message
    assert 3.0 < found.stop.travel_m < 3.2
    rig = changed(STACKED)
    rig["load"]["at"] = [16 - found.stop.travel_m - 2e-3, -2]
    with pytest.raises(RigRefusal):
        solve_rig(read_rig(rig))


def test_ratios_load_and_seized_blocks_are_taken_over():
    rig = read_rig(CORNER)
    found = pull_along(rig, 1.0, steps=1, ratio={"corner": 1.2}, load_N=10e3)
    assert found.resistance_N == 10e3
    assert found.effort_N["winch"][0] == pytest.approx(
        solve_rig(rig, 1.2, load_N=10e3).effort_N["winch"], rel=1e-12
    )
    seized = pull_along(rig, 1.0, steps=1, seized=("corner",))
    assert seized.effort_N["winch"][0] > 1.2 * pull_along(rig, 1.0, steps=1).effort_N["winch"][0]


@pytest.mark.parametrize(
    ("spec", "travel_m", "steps", "code"),
    [
        (CORNER, 0.0, 10, "INPUT"),
        (CORNER, math.nan, 10, "INPUT"),
        (CORNER, 1.0, 0, "INPUT"),
        ("two-part", 1.0, 10, "INPUT"),
        ({**LINE, "load": {**LINE["load"], "direction": [1, 0]}}, 1.0, 10, "BACKWARDS"),
        ({**LINE, "load": {**LINE["load"], "free": True}}, 1.0, 10, "UNSUPPORTED"),
    ],
)
def test_what_cannot_be_stepped_is_refused(spec, travel_m, steps, code):
    with pytest.raises(RigRefusal) as refused:
        pull_along(read_rig(spec), travel_m, steps)
    assert refused.value.code == code
