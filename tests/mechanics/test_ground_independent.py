"""Places of free blocks against other ways to find them (rank C), and the derivatives against differences.

Without friction blocks sit where the winch line is shortest subject to the lengths of all others (least potential):
constrained minimisation by scipy's SLSQP. With friction there is no potential: root finding on one angle, by hand-written
statics of a single block. Neither shares a line with the solver.
"""

import copy
import math
import random
from itertools import pairwise

import numpy as np
import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed, random_ground_rig
from scipy.optimize import brentq, minimize

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.friction import resolve_laws
from haulwright.mechanics.ground import solve_ground
from haulwright.mechanics.ground.equations import Friction, assemble
from haulwright.mechanics.ground.net import length_of, net_of
from haulwright.mechanics.sheave import Bearing, ByWrap, Capstan, Efficiency, Frictionless, PerContact
from haulwright.mechanics.statics import solve_rig

TWO_BLOCKS = changed(
    CORNER,
    rig="two corners",
    anchors={"oak": {"at": [0, 0]}, "elm": {"at": [1, 9]}, "helper": {"at": [12, 14]}},
    blocks={
        "A": {"strap": {"to": "oak", "length": 2.0}},
        "B": {"strap": {"to": "elm", "length": 1.5}},
    },
    lines={"winch line": {"standing": "truck", "through": ["A", "B"], "fall": "winch"}},
)
IN_SPACE = changed(
    TWO_BLOCKS,
    rig="two corners on a slope",
    anchors={"oak": {"at": [0, 0, 1.2]}, "elm": {"at": [1, 9, 2]}, "helper": {"at": [12, 14, -1]}},
    load={"name": "truck", "at": [16, -2, -0.5], "direction": [-1, 0, 0.1], "resistance": 20},
)


def shortest(rig, dims):
    """Least length of the winch line subject to the lengths of the other lines, from scratch, by SLSQP."""
    bodies = {name: np.array(body.at) for name, body in rig.bodies.items()}
    free = [body.name for body in rig.floating]

    def places(x):
        moved = dict(bodies)
        for i, name in enumerate(free):
            moved[name] = np.concatenate([x[dims * i : dims * (i + 1)], np.zeros(3 - dims)])
        return moved

    def length(line, x):
        at = places(x)
        points = [at[p.body] + np.array(rig.place(p)) - bodies[p.body] for p in line.points]
        return sum(np.linalg.norm(b - a) for a, b in pairwise(points))

    held = [line for line in rig.lines.values() if not line.drum]
    start = np.concatenate([bodies[name][:dims] for name in free])
    found = minimize(
        lambda x: length(rig.hauling_line, x),
        start,
        method="SLSQP",
        constraints=[
            {"type": "ineq", "fun": lambda x, line=line: line.length_m - length(line, x)} for line in held
        ],
        options={"ftol": 1e-15, "maxiter": 500},
    )
    return {name: tuple(places(found.x)[name]) for name in free}, found.fun


@pytest.mark.parametrize(
    "given", [CORNER, TWO_LEGS, RUNNING, STACKED, TWO_BLOCKS, IN_SPACE], ids=lambda rig: rig["rig"]
)
def test_without_friction_the_winch_line_is_as_short_as_it_can_be(given):
    rig = read_rig(given)
    s = solve_rig(rig, 1.0)
    places, least = shortest(rig, 3 if given is IN_SPACE else 2)
    for name, at in places.items():
        assert s.positions_m[name] == pytest.approx(at, abs=1e-6)
    assert sum(p.length_m for p in s.lines["winch line"].parts) == pytest.approx(least, abs=1e-9)
    # line taken in = how much shorter that least length gets as the load moves on
    h, moved = 1e-3, []
    for step in (h, -h):
        other = copy.deepcopy(given)
        d = np.array(other["load"]["direction"], dtype=float)
        other["load"]["at"] = list(np.array(other["load"]["at"]) + step * d / np.linalg.norm(d))
        moved.append(shortest(read_rig(other), 3 if given is IN_SPACE else 2)[1])
    assert (moved[1] - moved[0]) / (2 * h) == pytest.approx(s.ideal_advantage, rel=1e-5)
    assert s.travel_ratio["winch"] == pytest.approx(s.ideal_advantage, rel=1e-12)
    assert s.advantage == pytest.approx(s.ideal_advantage, rel=1e-9)


LAWS = {
    "by-wrap": ({"law": "by-wrap", "k": 1.25}, lambda wrap: 1.25 ** (wrap / math.pi)),
    "per-contact": ({"law": "per-contact", "k": 1.3}, lambda wrap: 1.3),
    "capstan": ({"law": "capstan", "mu": 0.2}, lambda wrap: math.exp(0.2 * wrap)),
    # T1 - T2 = f |T1 + T2 as vectors| + c T2, solved for T1/T2 as it stands
    "bearing": (
        {"law": "bearing", "f": 0.06, "c": 0.02},
        lambda wrap: brentq(
            lambda r: r - 1 - 0.06 * math.sqrt(1 + r * r - 2 * r * math.cos(wrap)) - 0.02, 1, 3, xtol=1e-15
        ),
    ),
}


def off(at, towards):
    step = np.array(towards) - np.array(at)
    return step / np.linalg.norm(step)


@pytest.mark.parametrize("law", LAWS)
def test_a_corner_with_friction_against_root_finding_on_the_straps_angle(law):
    given, ratio = LAWS[law]
    truck, helper = (16.0, -2.0), (3.0, 11.0)

    def statics(angle):
        at = 2.0 * np.array([math.cos(angle), math.sin(angle)])
        back, on = off(at, truck), off(at, helper)
        wrap = math.pi - math.acos(float(back @ on))
        low = 20e3 / back[0]  # the truck is pulled along -x with 20 kN: low * (-back) . (-1, 0)
        return at, low, low * ratio(wrap), back, on

    def across_the_strap(angle):
        _, low, high, back, on = statics(angle)
        pull = low * back + high * on
        return pull[1] * math.cos(angle) - pull[0] * math.sin(angle)

    angle = brentq(across_the_strap, 0.1, 1.5, xtol=1e-14)
    at, low, high, *_ = statics(angle)
    s = solve_rig(read_rig(changed(CORNER, sheaves=given)))
    assert [p.tension_N for p in s.lines["winch line"].parts] == pytest.approx([low, high], rel=1e-7)
    assert s.positions_m["corner"][:2] == pytest.approx(at, abs=1e-8)


def test_a_running_bridle_with_friction_against_root_finding_on_its_ellipse():
    # the link lies on the ellipse with the trees as foci; sum of forces across the bridle's resultant must vanish
    left, right, truck, helper = (0.0, -2.0), (0.0, 3.0), (20.0, 1.0), (17.0, -4.0)
    s = solve_rig(read_rig(RUNNING))
    sign = {"towards-fall": 1.0, "away": -1.0}[s.contacts[1].direction]
    half, focus = 8.5 / 2, 2.5
    short = math.sqrt(half**2 - focus**2)

    def ratio(a, b):
        return 1.08 ** ((math.pi - math.acos(float(a @ b))) / math.pi)

    def place(angle):
        return np.array([short * math.cos(angle), 0.5 + half * math.sin(angle)])

    def resultants(angle):
        at = place(angle)
        to_truck, to_helper, to_left, to_right = (off(at, p) for p in (truck, helper, left, right))
        low = 20e3 / to_truck[0]
        hauled = low * to_truck + low * ratio(to_truck, to_helper) * to_helper
        bridle = to_left + ratio(to_left, to_right) ** sign * to_right
        return hauled, bridle

    def across(angle):
        hauled, bridle = resultants(angle)
        return hauled[0] * bridle[1] - hauled[1] * bridle[0]

    angle = brentq(across, -1.2, 1.2, xtol=1e-14)
    hauled, bridle = resultants(angle)
    assert s.positions_m["link"][:2] == pytest.approx(place(angle), abs=1e-6)
    assert s.lines["bridle"].parts[0].tension_N == pytest.approx(-float(hauled @ bridle / (bridle @ bridle)))
    # and the way it runs: the frictional place half a metre of travel on lies further that way along the bridle
    on = changed(RUNNING)
    on["load"]["at"] = [19.5, 1]
    ahead = solve_rig(read_rig(on))
    grows = ahead.lines["bridle"].parts[0].length_m - s.lines["bridle"].parts[0].length_m
    assert (-grows > 0) == (sign > 0)


@pytest.mark.parametrize("given", [CORNER, RUNNING, TWO_BLOCKS, IN_SPACE], ids=lambda rig: rig["rig"])
@pytest.mark.parametrize(
    "law",
    [
        ByWrap(1.2),
        PerContact(1.2),
        Efficiency(0.9),
        Capstan(0.2, 1),
        Bearing(0.06, 0.02),
        Bearing(0.1),
        Frictionless(),
    ],
    ids=lambda law: law.words,
)
def test_the_exact_derivatives_against_differences(given, law):
    rng = random.Random(11)
    rig = read_rig(given)
    net = net_of(rig)
    friction = Friction(
        dict.fromkeys(rig.blocks, law),
        tuple(tuple(rng.choice((-1.0, 0.7, 1.0)) for _ in line.blocks) for line in net.lines),
    )
    where = net.moved(net.start, [rng.uniform(-0.05, 0.05) for _ in range(net.size)])
    bases = [rng.uniform(0.5, 1.5) for _ in net.lines]

    def residual(column, by):
        step = [by * (c == column) for c in range(net.size)]
        places = net.moved(where, step)
        if column == net.size:
            load = len(net.free)
            places[load] = tuple(x + by * d for x, d in zip(places[load], rig.direction, strict=True))
        pulls = [t + step[net.coordinates + r] for r, t in enumerate(bases)]
        return np.array(assemble(net, places, pulls, friction).residual)

    exact = assemble(net, where, bases, friction)
    matrix = np.column_stack([np.array(exact.jacobian), np.array(exact.by_travel[0])])
    h = 1e-5
    for column in range(net.size + 1):
        difference = (residual(column, h) - residual(column, -h)) / (2 * h)
        assert np.abs(matrix[:, column] - difference).max() <= 1e-7


def test_travel_ratio_and_flows_against_two_solutions_a_hair_apart():
    rng = random.Random(4)
    compared = 0
    while compared < 30:
        given = random_ground_rig(rng)
        h, d = 1e-5, np.array(given["load"]["direction"], dtype=float)
        try:
            s, *both = (
                solve_rig(
                    read_rig(
                        changed(
                            given,
                            load={
                                **given["load"],
                                "at": list(np.array(given["load"]["at"]) + step * d / np.linalg.norm(d)),
                            },
                        )
                    )
                )
                for step in (0.0, h, -h)
            )
        except RigRefusal:
            continue
        if any("STICKS" in {n.code for n in one.notices} for one in (s, *both)):
            continue  # the two solutions may take different sides of the band
        compared += 1
        line = [[p.length_m for p in one.lines["winch line"].parts] for one in both]
        shorter = (sum(line[1]) - sum(line[0])) / (2 * h)
        assert shorter == pytest.approx(s.travel_ratio["winch"], abs=1e-6)
        first = (line[1][0] - line[0][0]) / (2 * h)  # what leaves the first part runs over the first block
        assert abs(first) == pytest.approx(s.contacts[0].rim_speed_ratio, abs=1e-6)
        if abs(first) > 1e-5:
            assert s.contacts[0].direction == ("towards-fall" if first > 0 else "away")


def test_lengths_are_kept_at_every_place_found():
    rig = read_rig(IN_SPACE)
    net = net_of(solve_ground(rig, resolve_laws(rig)).rig)
    for line in net.fixed:
        assert length_of(line, net.start) == pytest.approx(line.length, abs=1e-12)
