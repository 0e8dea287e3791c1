"""Blocks that find their place: worked rigs to the printed digits, and what must hold in any of them.

Worked numbers: rank B, found by constrained minimisation and by root finding on one angle, no publisher; the bridle on
the vehicle is the closed form leg = F / (2 cos alpha) of any statics text.
"""

import math
import random
from collections import Counter

import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed, random_ground_rig, vee

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.statics import solve_rig
from haulwright.quantities.measured import Measured


def solved(rig, *args, **how):
    return solve_rig(read_rig(rig), *args, **how)


def kn(solution, line):
    return [part.tension_N / 1000.0 for part in solution.lines[line].parts]


def place(solution, block):
    return solution.positions_m[block]


@pytest.mark.parametrize(
    ("k", "at", "strap", "line"),
    [
        (1.00, (1.640356, 1.144216), 27.7963, (20.4738, 20.4738)),
        (1.08, (1.619814, 1.173117), 28.3424, (20.4811, 21.2442)),
        (1.25, (1.579580, 1.226754), 29.4735, (20.4946, 22.7906)),
    ],
)
def test_w5_a_corner_on_a_strap(k, at, strap, line):
    s = solved(changed(CORNER, sheaves={"law": "by-wrap", "k": k}))
    assert s.mode == "ground"
    assert place(s, "corner") == pytest.approx((*at, 0.0), abs=1e-6)
    assert kn(s, "strap corner–oak") == pytest.approx([strap], abs=5e-5)
    assert kn(s, "winch line") == pytest.approx(line, abs=5e-5)
    assert s.ideal_advantage == pytest.approx(0.976857, abs=5e-7)
    assert s.effort_N["winch"] / 1000.0 == pytest.approx(line[1], abs=5e-5)
    assert s.bodies["oak"].load_N / 1000.0 == pytest.approx(strap, abs=5e-5)
    assert s.energy_residual <= 1e-9


def test_w5_wrap_lengths_vectors_and_sentence():
    s = solved(CORNER)
    assert math.degrees(s.contacts[0].wrap_rad) == pytest.approx(85.5515, abs=5e-5)
    assert s.contacts[0].load_N == pytest.approx(s.lines["strap corner–oak"].parts[0].tension_N, rel=1e-9)
    assert s.blocks["corner"].pin_N == pytest.approx(28342.4, abs=0.1)
    assert s.lines["strap corner–oak"].parts[0].length_m == pytest.approx(2.0, abs=1e-11)
    x, y, _ = place(s, "corner")
    assert s.bodies["oak"].vector_N[:2] == pytest.approx((28342.44 * x / 2, 28342.44 * y / 2), abs=0.1)
    assert s.bodies["truck"].vector_N[0] == pytest.approx(-20e3, rel=1e-9)
    assert s.side_pull_N == pytest.approx(abs(s.bodies["truck"].vector_N[1]), rel=1e-9)
    assert s.lines["winch line"].parts[0].tension_N > s.resistance_N  # it is not along the travel
    assert s.sentence == (
        "The winch line starts at truck, goes round the block corner, on its strap, and on to the drum of the "
        "winch on helper. corner hangs on a strap of 2.0 m from oak. The load is truck."
    )


def test_w6_a_bridle_of_two_legs():
    s = solved(TWO_LEGS)
    assert place(s, "link") == pytest.approx((3.419704, 0.075, 0.0), abs=1e-6)
    assert kn(s, "strap link–left") == pytest.approx([23.7046], abs=5e-5)
    assert kn(s, "strap link–right") == pytest.approx([26.6861], abs=5e-5)
    assert kn(s, "winch line") == pytest.approx([20.0311, 21.4503], abs=5e-5)
    assert s.blocks["link"].pin_N / 1000.0 == pytest.approx(40.8585, abs=5e-5)
    assert math.degrees(s.contacts[0].wrap_rad) == pytest.approx(160.104, abs=5e-4)
    assert s.travel_ratio["winch"] == pytest.approx(0.9984, abs=5e-5)
    assert s.advantage == pytest.approx(0.93239, abs=5e-6)
    assert min(kn(s, "strap link–left") + kn(s, "strap link–right")) > s.resistance_N / 1000.0
    assert "link hangs on 2 straps: 4.0 m from left, 4.5 m from right." in s.sentence


@pytest.mark.parametrize(("alpha", "share"), [(30, 0.577), (45, 0.707), (60, 1.000)])
def test_w8_a_bridle_on_the_stuck_vehicle(alpha, share):
    s = solved(vee(alpha))
    for eye in ("left", "right"):
        leg = s.lines[f"strap link–truck.{eye}"].parts[0].tension_N / 10e3
        assert leg == pytest.approx(share, abs=5e-4)
        assert leg == pytest.approx(0.5 / math.cos(math.radians(alpha)), rel=1e-9)
    assert place(s, "link") == pytest.approx((-3.0 * math.cos(math.radians(alpha)), 0.0, 0.0), abs=1e-9)
    assert s.blocks["link"].pin_N == pytest.approx(
        10e3, rel=1e-9
    )  # the link carries the pull, line or no line
    assert s.law == "no contact, no friction"
    assert "NO_FRICTION" not in {notice.code for notice in s.notices}


def test_the_start_of_the_search_does_not_matter():
    rng = random.Random(5)
    expected = place(solved(CORNER), "corner")
    for _ in range(40):
        near = [rng.uniform(-20, 30), rng.uniform(-20, 30)]
        blocks = {"corner": {"strap": {"to": "oak", "length": 2.0}, "near": near}}
        assert place(solved(changed(CORNER, blocks=blocks)), "corner") == pytest.approx(expected, abs=1e-9)
    blocks = {"corner": {"strap": {"to": "oak", "length": 2.0}}}
    assert place(solved(changed(CORNER, blocks=blocks)), "corner") == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("rig", [CORNER, TWO_LEGS, RUNNING, STACKED], ids=lambda rig: rig["rig"])
def test_a_mirrored_rig_has_mirrored_places_and_the_same_forces(rig):
    def mirror(at):
        return [at[0], -at[1]]

    other = changed(rig)
    for anchor in other["anchors"].values():
        anchor["at"] = mirror(anchor["at"])
    other["load"]["at"] = mirror(other["load"]["at"])
    for block in other["blocks"].values():
        if "near" in block:
            block["near"] = mirror(block["near"])
    one, two = solved(rig), solved(other)
    assert two.effort_N["winch"] == pytest.approx(one.effort_N["winch"], rel=1e-9)
    for name, (x, y, z) in one.positions_m.items():
        assert place(two, name) == pytest.approx((x, -y, z), abs=1e-9)
    for name in one.lines:
        assert kn(two, name) == pytest.approx(kn(one, name), rel=1e-8)


@pytest.mark.parametrize("rig", [CORNER, STACKED], ids=lambda rig: rig["rig"])
def test_a_rig_turned_in_space_has_the_same_numbers(rig):
    # a proper rotation about a slanting axis (Rodrigues), so that no coordinate stays what it was
    axis, angle = (0.36, 0.48, 0.8), 0.7
    c, s = math.cos(angle), math.sin(angle)

    def turn(at):
        v = (*at, 0.0)[:3]
        along = sum(a * b for a, b in zip(axis, v, strict=True))
        cross = (
            axis[1] * v[2] - axis[2] * v[1],
            axis[2] * v[0] - axis[0] * v[2],
            axis[0] * v[1] - axis[1] * v[0],
        )
        return [c * v[i] + s * cross[i] + (1 - c) * along * axis[i] for i in range(3)]

    other = changed(rig)
    for anchor in other["anchors"].values():
        anchor["at"] = turn(anchor["at"])
    other["load"] |= {"at": turn(other["load"]["at"]), "direction": turn(other["load"]["direction"])}
    for block in other["blocks"].values():
        if "near" in block:
            block["near"] = turn(block["near"])
    one, two = solved(rig), solved(other)
    for name, at in one.positions_m.items():
        assert place(two, name) == pytest.approx(turn(at), abs=1e-9)
    assert two.advantage == pytest.approx(one.advantage, rel=1e-10)
    assert two.travel_ratio["winch"] == pytest.approx(one.travel_ratio["winch"], rel=1e-10)
    assert two.side_pull_N == pytest.approx(one.side_pull_N, rel=1e-8)
    for name in one.lines:
        assert kn(two, name) == pytest.approx(kn(one, name), rel=1e-9)


def test_random_rigs_balance_close_their_energy_and_keep_their_lengths():
    rng = random.Random(2027)
    fate = Counter()
    for _ in range(400):
        given = random_ground_rig(rng)
        try:
            s = solved(given)
        except RigRefusal as refusal:
            fate[refusal.code] += 1
            continue
        fate["solved"] += 1
        assert s.energy_residual <= 1e-9
        assert all(c.heat_J_per_m >= -1e-6 for c in s.contacts)
        assert all(part.tension_N >= 0.0 for line in s.lines.values() for part in line.parts)
        if s.holding_N:  # not given where letting back a strap would hang slack
            assert s.holding_N[0] <= s.effort_N["winch"]
        for name, strap in given["blocks"]["A"].items() if "strap" in given["blocks"]["A"] else ():
            legs = strap if isinstance(strap, list) else [strap]
            for leg in legs:
                part = s.lines[f"strap A–{leg['to']}"].parts[0]
                assert part.length_m == pytest.approx(leg["length"], abs=1e-9), name
        pulls = [
            0.0,
            0.0,
            0.0,
        ]  # all that pulls on what does not move, and the load, must balance outside the rig
        for body in s.bodies.values():
            pulls = [a + b for a, b in zip(pulls, body.vector_N, strict=True)]
        assert math.hypot(*pulls) <= 1e-6 * s.effort_N["winch"]
    assert fate["solved"] > 250
    assert set(fate) <= {"solved", "SLACK", "NO_EQUILIBRIUM", "BACKWARDS", "JAMS"}


def test_letting_back_and_holding():
    s = solved(CORNER, letting_back=True)
    assert s.holding_N == pytest.approx((s.letting_back.effort_N, s.effort_N["winch"]))
    # back = hauling with the ratio turned over: less at the drum than without friction, more than nothing
    bare = solved(CORNER, 1.0).effort_N["winch"]
    assert s.letting_back.effort_N < bare < s.effort_N["winch"]
    low, high = s.letting_back.tensions_N["winch line"][::-1]
    assert high / low == pytest.approx(1.08 ** (85.45 / 180.0), rel=1e-4)


def test_an_effort_scales_all_forces_and_moves_nothing():
    one, two = solved(CORNER), solved(CORNER, effort_N=40e3)
    assert place(two, "corner") == pytest.approx(place(one, "corner"), abs=1e-12)
    assert two.bodies["oak"].load_N / one.bodies["oak"].load_N == pytest.approx(40e3 / one.effort_N["winch"])


def test_the_tenth_rule_gives_its_effort():
    # one contact that moves: effort = 1.1 R / ideal
    s = solved(changed(CORNER, sheaves={"law": "tenth-rule"}))
    assert s.effort_N["winch"] == pytest.approx(1.1 * 20e3 / s.ideal_advantage, rel=1e-9)


def test_an_interval_of_the_ratio_is_carried_through_the_moving_place():
    k, u, h = 1.2, 0.02, 1e-4
    s = solved(CORNER, Measured.normal(k, u))
    slope = (solved(CORNER, k + h).bodies["oak"].load_N - solved(CORNER, k - h).bodies["oak"].load_N) / (
        2 * h
    )
    assert s.uncertainty["bodies.oak.load_N"].u == pytest.approx(abs(slope) * u, rel=1e-3)
    assert s.uncertainty["advantage"].value == pytest.approx(s.advantage)


def test_a_link_that_hardly_runs_along_its_bridle_is_told_with_both_ends():
    s = solved(RUNNING)
    told = next(notice for notice in s.notices if notice.code == "STICKS")
    assert told.where == ("link",)
    x, y, _ = place(s, "link")
    assert f"({x:.2f}, {y:.2f}) m" in told.message  # one end is where it is shown, the other lies aside of it
    assert "(3.41, -0.03) m and (3.40, -0.16) m" in told.message
    assert s.blocks["link"].pin_N > 40e3  # the lines on it balance; what it carries is not their sum


def test_a_link_in_the_middle_of_its_bridle_stands_still_and_may_rest_on_either_side():
    rig = vee(30)
    rig["blocks"] = {"link": {"floating": True, "near": [-3, 0.3]}}
    rig["lines"] = {
        "winch line": {"standing": "link", "fall": "winch"},
        "bridle": {"standing": "truck.left", "through": ["link"], "to": "truck.right", "length": 8.0},
    }
    s = solved(changed(rig, sheaves={"law": "by-wrap", "k": 1.3}))
    assert s.contacts[0].direction == "still"
    assert kn(s, "bridle")[0] == pytest.approx(kn(s, "bridle")[1], rel=1e-12)
    codes = [notice.code for notice in s.notices]
    assert {"STILL_SHEAVE", "STICKS"} <= set(codes)
    told = s.notices[codes.index("STICKS")].message
    half = float(told.partition("(-3.")[2].partition(", ")[2].partition(")")[0])
    assert f"{half:.2f}) m and" in told
    assert f"{-half:.2f}) m, at" in told  # mirror images
    assert half > 0.05


def test_a_ground_rig_without_free_blocks_is_solved_as_drawn():
    rig = changed(CORNER, blocks={"corner": {"on": "oak"}})
    on_the_ground, in_line = solved(rig), solved(changed(rig, mode="line"))
    assert on_the_ground.mode == "ground"
    assert on_the_ground.effort_N == in_line.effort_N
    assert on_the_ground.contacts == in_line.contacts


def test_a_rope_between_two_blocks_pulls_both_through_eyes():
    # a strap from an eye, a leg written as a line, and a block bolted on a free one
    rig = changed(
        CORNER,
        anchors={"oak": {"at": [0, 0], "eyes": {"low": [0.2, -0.1]}}, "helper": {"at": [3, 11]}},
        blocks={"ring": {"floating": True, "near": [1.5, 1.2]}, "corner": {"on": "ring"}},
    )
    rig["lines"]["leg"] = {"standing": "oak.low", "to": "ring", "length": 1.5}
    s = solved(rig)
    assert s.blocks["corner"].pin_N == pytest.approx(s.lines["leg"].parts[0].tension_N, rel=1e-9)
    x, y, _ = place(s, "corner")
    assert math.hypot(x - 0.2, y + 0.1) == pytest.approx(1.5, abs=1e-9)
    assert (
        "Leg starts at the eye low of oak, and is made fast to the floating block ring, 1.5 m in all."
        in s.sentence
    )
