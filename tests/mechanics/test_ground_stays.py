"""A free load on the ground held by a strap beside its winches, and straps that share with several winches: against the
triangle of forces, against the load swung along its arc, and against the balance written out anew for scipy's root
finder (rank C: a general library)."""

import math

import numpy as np
import pytest
from scipy.optimize import root

import haulwright as hw
from haulwright.errors import Refusal

HELD = {
    "rig": "free load on a strap",
    "mode": "ground",
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.0},
    "anchors": {"oak": {"at": [0, 10]}, "elm": {"at": [4, -10]}, "ash": {"at": [-2, 0]}},
    "load": {"name": "boat", "at": [20, 0], "direction": [-1, 0], "resistance": 20, "free": True},
    "blocks": {"corner": {"strap": {"to": "ash", "length": 2}, "near": [0, 0.5]}},
    "lines": {
        "winch line": {"standing": "boat", "through": ["corner"], "fall": "winch"},
        "stay": {"standing": "boat", "to": "elm"},
    },
    "winch": {"on": "oak"},
}
TWO = {
    **{key: value for key, value in HELD.items() if key != "winch"},
    "lines": {**HELD["lines"], "stay": {"standing": "boat", "fall": "C"}},
    "winches": {"winch": {"on": "oak", "speed": "1 m/min"}, "C": {"on": "elm", "speed": "0 m/min"}},
}


@pytest.mark.parametrize("k", [1.0, 1.09, 1.3])
def test_a_stay_is_a_winch_that_stands_still(k):
    law = {"law": "by-wrap", "k": k}
    held, two = hw.solve_rig({**HELD, "sheaves": law}), hw.solve_rig({**TWO, "sheaves": law})
    assert held.effort_N["winch"] == pytest.approx(two.effort_N["winch"], rel=1e-9)
    assert held.lines["stay"].parts[0].tension_N == pytest.approx(two.effort_N["C"], rel=1e-9)
    assert held.positions_m["corner"] == pytest.approx(two.positions_m["corner"], abs=1e-9)
    assert held.travel_ratio["winch"] == pytest.approx(two.travel_ratio["winch"], rel=1e-9)
    assert held.energy_residual <= 1e-9
    assert held.side_pull_N == 0.0


def test_the_forces_on_the_load_close():
    s = hw.solve_rig({**HELD, "sheaves": {"law": "by-wrap", "k": 1.2}})
    total = np.array(s.bodies["boat"].vector_N)[:2]
    assert total == pytest.approx([-20e3, 0.0], abs=1e-6)


def test_the_travel_ratio_is_that_of_a_load_swung_along_its_arc():
    s, step = hw.solve_rig(HELD), 1e-5
    centre, radius = np.array([4.0, -10.0]), math.hypot(16.0, 10.0)
    angle = math.atan2(10.0, 16.0)

    def line_m(turn):
        at = centre + radius * np.array([math.cos(angle + turn), math.sin(angle + turn)])
        found = hw.solve_rig({**HELD, "load": {**HELD["load"], "at": [float(x) for x in at]}})
        return sum(part.length_m for part in found.lines["winch line"].parts)

    shortens = abs(line_m(step) - line_m(-step)) / (2.0 * step * radius)
    assert s.travel_ratio["winch"] == pytest.approx(shortens, rel=1e-7)


def test_a_stay_round_a_fixed_block_is_one_too():
    lines = {**HELD["lines"], "stay": {"standing": "boat", "through": ["turn"], "to": "ash"}}
    found = hw.solve_rig({**HELD, "blocks": {**HELD["blocks"], "turn": {"on": "elm"}}, "lines": lines})
    assert found.effort_N["winch"] == pytest.approx(hw.solve_rig(HELD).effort_N["winch"], rel=1e-9)


def test_in_space_a_stay_beside_two_winches_whose_speeds_are_stated():
    rig = {
        **TWO,
        "anchors": {"oak": {"at": [0, 10, 1]}, "elm": {"at": [4, -10, 1]}, "ash": {"at": [-2, 0, 1]}, "post": {"at": [18, 1, 9]}},
        "load": {"name": "boat", "at": [20, 0, 1], "free": True, "force": [20, 0, -4]},
        "lines": {**TWO["lines"], "sling": {"standing": "boat", "to": "post"}},
        "winches": {"winch": {"on": "oak", "speed": "1 m/min"}, "C": {"on": "elm", "speed": "1 m/min"}},
    }  # fmt: skip
    s = hw.solve_rig(rig)
    assert s.bodies["boat"].vector_N == pytest.approx((-20e3, 0.0, 4e3), abs=1e-6)
    assert s.energy_residual <= 1e-9
    with pytest.raises(Refusal, match="give speed: for winch and C"):
        hw.solve_rig({**rig, "winches": {"winch": {"on": "oak"}, "C": {"on": "elm"}}})


@pytest.mark.parametrize(
    ("lines", "code", "words"),
    [
        (
            {"stay": {"standing": "boat", "to": "elm", "length": 25}},
            "INPUT",
            "draw the load where the line lets it",
        ),
        ({"more": {"standing": "boat", "to": "ash"}}, "LOCKED", "tie boat solid"),
        ({"stay": {"standing": "boat", "to": "oak"}}, "SLACK", "would have to push"),
    ],
)
def test_refused(lines, code, words):
    with pytest.raises(Refusal, match=words) as caught:
        hw.solve_rig({**HELD, "lines": {**HELD["lines"], **lines}})
    assert caught.value.code == code


def test_too_many_and_too_few_that_hold_it():
    with pytest.raises(Refusal, match=r"1 line\(s\) more than needed: second, winch, C hold boat") as caught:
        hw.solve_rig({**TWO, "lines": {**TWO["lines"], "second": {"standing": "boat", "to": "oak"}}})
    assert caught.value.code == "REDUNDANT"
    with pytest.raises(Refusal, match="winch holds it 1 way;") as caught:
        hw.solve_rig({**HELD, "lines": {"winch line": HELD["lines"]["winch line"]}})
    assert caught.value.code == "UNDER"


# straps that share, several winches

LEGS = {"left": ([0, -2], 4.0), "right": ([0, 3], 4.5), "mid": ([0, 0.3], 3.35)}
EA_KN = 800.0
SHARED = {
    "mode": "ground",
    "units": {"force": "kN", "length": "m"},
    "anchors": {**{n: {"at": at} for n, (at, _) in LEGS.items()}, "helper": {"at": [17, -4]}, "ash": {"at": [0, 12]}},
    "load": {"name": "truck", "at": [20, 1], "direction": [-1, 0], "resistance": 20},
    "blocks": {"link": {"strap": [{"to": n, "length": x, "EA": EA_KN} for n, (_, x) in LEGS.items()], "near": [3.3, 0]}},
    "lines": {
        "w": {"standing": "truck", "through": ["link"], "fall": "A"},
        "v": {"standing": "truck", "fall": "B"},
    },
    "winches": {"A": {"on": "helper"}, "B": {"on": "ash"}},
}  # fmt: skip


def towards(a, b):
    step = np.array(b, dtype=float) - np.array(a, dtype=float)
    return step / np.linalg.norm(step)


def shared_by_root_finding(stated_B=None):
    """Place of the link, tensions of A and B, of the legs: frictionless balance of link and truck."""
    truck, helper, ash = [20, 1], [17, -4], [0, 12]

    def legs(p):
        return {n: EA_KN * (np.linalg.norm(p - np.array(at)) / x - 1.0) for n, (at, x) in LEGS.items()}

    def equations(z):
        p, a, b = z[:2], z[2], z[3]
        link = a * (towards(p, truck) + towards(p, helper))
        link = link + sum(t * towards(p, LEGS[n][0]) for n, t in legs(p).items())
        load = a * towards(truck, p) + b * towards(truck, ash) + np.array([20.0, 0.0])
        return [*link, load[0], load[1] if stated_B is None else b - stated_B]

    found = root(equations, [3.4, 0.05, 15.0, 4.0], tol=1e-13)
    assert found.success
    return found.x, legs(found.x[:2])


@pytest.mark.parametrize("stated", [None, 5.0])
def test_straps_share_the_same_with_two_winches(stated):
    rig = {**SHARED, "load": {**SHARED["load"], "free": stated is None}}
    if stated is not None:
        rig["winches"] = {**SHARED["winches"], "B": {"on": "ash", "line_pull": stated}}
    s = hw.solve_rig(rig)
    z, legs = shared_by_root_finding(stated)
    assert s.positions_m["link"][:2] == pytest.approx(tuple(z[:2]), abs=1e-8)
    assert s.effort_N == pytest.approx({"A": 1000.0 * z[2], "B": 1000.0 * z[3]}, rel=1e-7)
    for name, tension in legs.items():
        assert s.shares[f"strap link–{name}"]["tension_N"] == pytest.approx(1000.0 * tension, rel=1e-7)
    assert s.energy_residual <= 1e-9
