"""Several winches, and a load that nothing guides.

Checked against: the triangle of forces (Lami's theorem) and virtual work, as in any statics text; the closed forms of
one-rope tackles; circles drawn round the anchors, stepped in time; a dense formulation of the same rig by singular
values and least squares (numpy); a general root finder on independently written equations (scipy); mirror symmetry.
"""

import copy
import math
import random
from itertools import pairwise

import numpy as np
import pytest
from ground_rigs import random_ground_rig
from scipy.optimize import root

import haulwright as hw
from haulwright.mechanics.stall import with_and_without_friction, with_stall
from haulwright.quantities.measured import Measured

UNITS = {"force": "kN", "length": "m", "speed": "m/min"}
GUIDED = {
    "rig": "two on one",
    "units": UNITS,
    "sheaves": {"law": "per-contact", "k": 1.1},
    "order": ["oak", "wagon"],
    "anchors": {"oak": {}, "elm": {"beside": "oak"}},
    "load": {"name": "wagon", "toward": "oak", "resistance": 20},
    "blocks": {"B": {"on": "wagon"}},
    "lines": {
        "straight": {"standing": "wagon", "fall": "A"},
        "doubled": {"standing": "oak", "through": ["B"], "fall": "C"},
    },
    "winches": {"A": {"on": "oak", "line_pull": 8}, "C": {"on": "elm"}},
}
FREE = {
    "rig": "two on a free load",
    "units": UNITS,
    "anchors": {"oak": {"at": [0, 8]}, "elm": {"at": [0, -5]}},
    "load": {"name": "wagon", "at": [20, 0], "direction": [-1, 0], "resistance": 20, "free": True},
    "lines": {"one": {"standing": "wagon", "fall": "A"}, "two": {"standing": "wagon", "fall": "C"}},
    "winches": {"A": {"on": "oak"}, "C": {"on": "elm"}},
}
CORNER = {
    **FREE,
    "rig": "one of them round a corner that finds its place",
    "mode": "ground",
    "sheaves": {"law": "by-wrap", "k": 1.09},
    "anchors": {"oak": {"at": [0, 0]}, "elm": {"at": [3, 14]}, "ash": {"at": [-2, -6]}},
    "blocks": {"corner": {"strap": {"to": "oak", "length": 2}, "near": [1.5, 1]}},
    "lines": {
        "one": {"standing": "wagon", "through": ["corner"], "fall": "A"},
        "two": {"standing": "wagon", "fall": "C"},
    },
    "winches": {"A": {"on": "elm"}, "C": {"on": "ash"}},
}


def changed(base, path, value):
    """Return a copy of a rig with what stands at a dotted path replaced; None takes it out."""
    rig = copy.deepcopy(base)
    *way, last = path.split(".")
    node = rig
    for key in way:
        node = node[key]
    if value is None:
        del node[last]
    else:
        node[last] = value
    return rig


def energy(s, cosine=1.0):
    """Return work in less work out less heat per metre of load travel, from the record alone."""
    work = sum(s.effort_N[drum] * s.travel_ratio[drum] for drum in s.effort_N)
    return (work - s.resistance_N * cosine - sum(c.heat_J_per_m for c in s.contacts)) / work


# a guided load


@pytest.mark.parametrize("k", [1.0, 1.04, 1.25])
def test_one_pull_stated_the_other_follows_from_the_balance(k):
    s = hw.solve_rig(changed(GUIDED, "sheaves.k", k))
    # R = T_A + T_C (1 + 1/k): a single line beside a two-part
    assert s.effort_N["A"] == pytest.approx(8000.0, rel=1e-12)
    assert s.effort_N["C"] == pytest.approx(12000.0 / (1.0 + 1.0 / k), rel=1e-12)
    assert s.travel_ratio == pytest.approx({"A": 1.0, "C": 2.0}, rel=1e-12)  # virtual work: parts on the load
    assert (s.advantage, s.ideal_advantage, s.winch_share) == (None, None, None)
    assert s.rig_efficiency == pytest.approx(20000.0 / (8000.0 + 2.0 * s.effort_N["C"]), rel=1e-12)
    assert abs(energy(s)) < 1e-12


def test_stating_the_other_pull_gives_the_same_answer():
    one = hw.solve_rig(GUIDED)
    other = {"A": {"on": "oak"}, "C": {"on": "elm", "line_pull": one.effort_N["C"] / 1000.0}}
    assert hw.solve_rig(changed(GUIDED, "winches", other)).effort_N == pytest.approx(one.effort_N, rel=1e-12)


def test_letting_back_turns_every_ratio_and_the_stated_pull_stays():
    s = hw.solve_rig(GUIDED, letting_back=True)
    back = 12000.0 / (1.0 + 1.1)
    assert s.letting_back.effort_N == pytest.approx(back, rel=1e-12)
    assert s.letting_back.efforts_N == pytest.approx({"A": 8000.0, "C": back}, rel=1e-12)
    assert s.letting_back.load_per_effort is None
    assert s.holding_N == pytest.approx((back, 12000.0 / (1.0 + 1.0 / 1.1)), rel=1e-12)


def test_a_winch_that_holds_back_pays_out_under_its_pull():
    rig = {
        **GUIDED,
        "order": ["oak", "wagon", "helper"],
        "anchors": {"oak": {}, "helper": {}},
        "blocks": {},
        "lines": {"one": {"standing": "wagon", "fall": "A"}, "brake": {"standing": "wagon", "fall": "C"}},
        "winches": {"A": {"on": "oak"}, "C": {"on": "helper", "line_pull": 3}},
    }
    s = hw.solve_rig(rig)
    assert s.effort_N == pytest.approx({"A": 23000.0, "C": 3000.0})
    assert s.travel_ratio == pytest.approx({"A": 1.0, "C": -1.0})
    assert s.rig_efficiency == pytest.approx(1.0)
    assert any("C pays out 1.000 m" in n.message for n in s.notices if n.code == "WINCH_SPEEDS")


def test_a_chain_of_two_winches_needs_their_speeds():
    """Winch A draws the block M ahead, winch C hauls its line over M: v = (s_A + s_C) by drawing the two positions."""
    rig = {
        **GUIDED,
        "order": ["oak", "M", "wagon"],
        "blocks": {"M": {"floating": True}},
        "lines": {
            "lead": {"standing": "M", "fall": "A"},
            "over": {"standing": "wagon", "through": ["M"], "fall": "C"},
        },
        "winches": {"A": {"on": "oak", "speed": 2}, "C": {"on": "wagon", "speed": 4}},
    }
    s = hw.solve_rig(rig)
    assert s.travel_ratio == pytest.approx({"A": 0.5, "C": 1.0})  # load: 2 + 4/2 = 4 m/min
    assert s.effort_N["A"] == pytest.approx(20000.0)
    assert s.effort_N["C"] == pytest.approx(20000.0 / (1.0 + 1.0 / 1.1))
    assert abs(energy(s)) < 1e-12
    assert s.holding_N is None
    assert any("no one band of efforts" in n.message for n in s.notices)


# speeds


def test_speeds_that_fight_are_told_with_those_they_need():
    rig = changed(
        GUIDED, "winches", {"A": {"on": "oak", "line_pull": 8, "speed": 3}, "C": {"on": "elm", "speed": 3}}
    )
    (told,) = [n for n in hw.solve_rig(rig).notices if n.code == "WINCH_SPEEDS"]
    assert "A 3.00 m/min, C 3.00 m/min: they fight" in told.message
    assert "must be C 6.00 m/min" in told.message
    right = changed(rig, "winches.C.speed", 6)
    assert not [n for n in hw.solve_rig(right).notices if n.code == "WINCH_SPEEDS"]


@pytest.mark.parametrize("parts", [2, 3, 4])
def test_the_refusal_of_two_unstated_pulls_shows_the_travel_ratios(parts):
    """Virtual work: N parts on the load take in N metres of line for each metre."""
    blocks = {f"B{i}": {"on": "oak" if i % 2 else "wagon"} for i in range(parts - 1)}
    through = sorted(blocks, key=lambda b: int(b[1:]), reverse=True)
    standing = "wagon" if blocks[through[0]]["on"] == "oak" else "oak"
    on = "oak" if blocks[through[-1]]["on"] == "wagon" else "wagon"
    rig = {
        **GUIDED,
        "blocks": blocks,
        "lines": {
            "straight": {"standing": "wagon", "fall": "A"},
            "tackle": {"standing": standing, "through": through, "fall": "C"},
        },
        "winches": {"A": {"on": "elm", "speed": 3}, "C": {"on": on, "speed": 3}},
    }
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig(rig)
    assert caught.value.code == "REDUNDANT"
    assert caught.value.where == ("A", "C")
    assert f"A 1.000 m, C {parts}.000 m: speeds as 1 : {parts}." in caught.value.message
    assert f"must be C {3 * parts}.00 m/min" in caught.value.message
    assert "State the line_pull of one of them" in caught.value.message


# a free load


@pytest.mark.parametrize("at", [([0, 8], [0, -5]), ([2, 3], [-4, -11]), ([0, 20], [0, -0.5])])
def test_triangle_of_forces(at):
    """Lami's theorem for three forces on one body: each over the sine of the angle between the other two."""
    rig = changed(FREE, "anchors", {"oak": {"at": at[0]}, "elm": {"at": at[1]}})
    s = hw.solve_rig(rig)
    a, b = (math.atan2(y - 0.0, 20.0 - x) for x, y in at)  # above the pull, below it (negative)
    assert s.effort_N["A"] == pytest.approx(20000.0 * math.sin(-b) / math.sin(a - b), rel=1e-12)
    assert s.effort_N["C"] == pytest.approx(20000.0 * math.sin(a) / math.sin(a - b), rel=1e-12)
    assert s.travel_ratio == pytest.approx({"A": math.cos(a), "C": math.cos(b)}, rel=1e-12)  # virtual work
    assert s.side_pull_N == 0.0
    assert s.rig_efficiency == pytest.approx(1.0)
    assert s.advantage is None


@pytest.mark.parametrize("alpha_deg", [30.0, 45.0, 60.0])
def test_two_winches_at_equal_angles_share_as_a_bridle_does(alpha_deg):
    """Leg of a symmetrical bridle: F / (2 cos alpha), any rigging table; at 60 degrees each has the whole pull."""
    half = 20.0 * math.tan(math.radians(alpha_deg))
    s = hw.solve_rig(changed(FREE, "anchors", {"oak": {"at": [0, half]}, "elm": {"at": [0, -half]}}))
    leg = 10000.0 / math.cos(math.radians(alpha_deg))
    assert s.effort_N == pytest.approx({"A": leg, "C": leg}, rel=1e-12)


@pytest.mark.parametrize("speeds", [(3.0, 3.0), (1.0, 4.0), (3.0, 0.0), (3.0, -1.0)])
def test_stated_speeds_take_the_load_where_the_circles_meet(speeds):
    """Where the load stands after a short while: the circles round the anchors, shortened by what was taken in."""
    rig = changed(
        FREE, "winches", {"A": {"on": "oak", "speed": speeds[0]}, "C": {"on": "elm", "speed": speeds[1]}}
    )
    s = hw.solve_rig(rig)
    anchors, start = np.array([[0.0, 8.0], [0.0, -5.0]]), np.array([20.0, 0.0])
    step = 1e-4
    radii = np.hypot(*(anchors - start).T) - step * np.array(speeds)
    found = root(lambda p: np.hypot(*(anchors - p).T) - radii, start, tol=1e-14).x
    gone = np.hypot(*(found - start))
    expected = step * np.array(speeds) / gone
    assert [s.travel_ratio["A"], s.travel_ratio["C"]] == pytest.approx(list(expected), rel=1e-4, abs=1e-4)
    cosine = (start[0] - found[0]) / gone
    assert abs(energy(s, s_cosine(rig, s))) < 1e-9
    assert cosine == pytest.approx(s_cosine(rig, s), abs=1e-4)
    assert s.effort_N == pytest.approx(hw.solve_rig(FREE).effort_N)  # without friction speeds change no force


def s_cosine(rig, s):
    """Return the cosine between the motion and the direction, from the travel ratios: -u . v = ratio for each line."""
    at, load = [rig["anchors"][name]["at"] for name in ("oak", "elm")], rig["load"]["at"]
    away = np.array([np.subtract(load, a) / np.hypot(*np.subtract(load, a)) for a in at])
    v = np.linalg.solve(-away, [s.travel_ratio["A"], s.travel_ratio["C"]])
    assert np.hypot(*v) == pytest.approx(1.0)
    return float(np.dot(v, rig["load"]["direction"]))


def test_a_load_that_strays_is_told():
    rig = changed(FREE, "winches", {"A": {"on": "oak", "speed": 3}, "C": {"on": "elm", "speed": 0}})
    (told,) = [n for n in hw.solve_rig(rig).notices if n.code == "WINCH_SPEEDS"]
    assert "76 degrees off its direction" in told.message


def test_a_force_stands_for_resistance_and_direction():
    force = changed(changed(FREE, "load.resistance", None), "load.force", [18, -6])
    s = hw.solve_rig(force)
    assert s.resistance_N == pytest.approx(1000.0 * math.hypot(18, 6))
    pull = [s.bodies["wagon"].vector_N[i] for i in (0, 1)]
    assert pull == pytest.approx([-18000.0, 6000.0])
    assert s.travel_ratio == pytest.approx(hw.solve_rig(FREE).travel_ratio)  # direction: is where it goes
    along = hw.solve_rig(changed(force, "load.direction", None))
    assert along.effort_N == pytest.approx(s.effort_N)
    assert abs(energy(along)) < 1e-12  # without direction: it goes against the force


def test_three_winches_hold_a_load_in_space():
    """A load hung below three anchors at equal heights and distances: each line T = W l / (3 h)."""
    at = [[4.0 * math.cos(2 * math.pi * i / 3), 4.0 * math.sin(2 * math.pi * i / 3), 9.0] for i in range(3)]
    rig = {
        "units": UNITS,
        "anchors": {f"tree{i}": {"at": at[i]} for i in range(3)},
        "load": {"name": "box", "at": [0, 0, 1], "free": True, "force": [0, 0, -6]},
        "lines": {f"line{i}": {"standing": "box", "fall": f"W{i}"} for i in range(3)},
        "winches": {f"W{i}": {"on": f"tree{i}"} for i in range(3)},
    }
    s = hw.solve_rig(rig)
    leg = math.hypot(4.0, 8.0)
    assert list(s.effort_N.values()) == pytest.approx([6000.0 * leg / (3.0 * 8.0)] * 3)
    assert list(s.travel_ratio.values()) == pytest.approx([8.0 / leg] * 3)


def test_a_strap_may_hold_a_free_load_on_its_arc():
    """One winch and one strap: the load swings about the strap's anchor; triangle of forces as with two winches."""
    rig = changed(FREE, "lines.two", {"standing": "wagon", "to": "elm"})
    rig["winches"] = {"A": {"on": "oak"}}
    s = hw.solve_rig(rig)
    assert s.effort_N["A"] == pytest.approx(hw.solve_rig(FREE).effort_N["A"])
    u, n = np.array([-20.0, 8.0]) / math.hypot(20, 8), np.array([-5.0, 20.0]) / math.hypot(20, 5)
    n = n if n @ u > 0 else -n
    assert s.travel_ratio["A"] == pytest.approx(float(u @ n))


# random rigs against a dense formulation


def random_rig(rng):
    """Return a random rig in the plane or in space with one to three winches; most can be solved."""
    space = rng.random() < 0.4

    def at(x0, x1, y0, y1):
        return [rng.uniform(x0, x1), rng.uniform(y0, y1), *([rng.uniform(-2.0, 3.0)] if space else [])]

    free = rng.random() < 0.6
    ways = (3 if space else 2) if free else 1
    pulled = rng.choice([0, 0, 1, 2]) if ways > 1 else rng.choice([1, 2])
    anchors = {f"a{i}": {"at": at(-3, 3, -15, 15)} for i in range(2 * (ways + pulled))}
    lines, winches, blocks = {}, {}, {}
    speeds = free and rng.random() < 0.5
    for n in range(ways + pulled):
        through = []
        on_load = rng.random() < 0.3
        for j in range(rng.choice([0, 1, 2])):
            name = f"b{n}{j}"
            blocks[name] = {"on": ("wagon" if (j % 2 == 0) == on_load else rng.choice(list(anchors)))}
            through.append(name)
        first = "wagon" if not through or blocks[through[0]]["on"] != "wagon" else rng.choice(list(anchors))
        last = blocks[through[-1]]["on"] if through else "wagon"
        drum_on = rng.choice([a for a in anchors if a not in (first, last)])
        lines[f"line{n}"] = {"standing": first, "through": through, "fall": f"W{n}"}
        winches[f"W{n}"] = {"on": drum_on}
        if n >= ways:
            winches[f"W{n}"]["line_pull"] = rng.uniform(0.2, 2.0)
        elif speeds:
            winches[f"W{n}"]["speed"] = rng.uniform(0.5, 4.0)
    rig = {
        "rig": "random",
        "units": UNITS,
        "sheaves": {"law": "by-wrap", "k": rng.uniform(1.0, 1.3)},
        "anchors": anchors,
        "load": {
            "name": "wagon",
            "at": at(15, 25, -3, 3),
            "direction": [-1, *([0.0] * (1 + space))],
            "resistance": 20,
        },
        "blocks": blocks,
        "lines": lines,
        "winches": winches,
    }
    rig["load"]["free"] = free
    return rig


def dense(rig):
    """Solve a rig without floating blocks by singular values and least squares; None where it is not determinate.

    Every line is an unknown, a stated pull is a row of its own (tension at drum = pull), and motion is the null space of
    [J C], in which the speeds or the direction of the load pick one.
    """
    load, winches = rig["load"], rig["winches"]
    place = {"wagon": load["at"], **{n: a["at"] for n, a in rig["anchors"].items()}}
    place = {n: np.array([*p, 0.0][:3]) for n, p in place.items()}
    place |= {n: place[b["on"]] for n, b in rig["blocks"].items()}
    rides = {n: n == "wagon" or rig["blocks"].get(n, {}).get("on") == "wagon" for n in place}
    d = np.array([*load["direction"], 0.0][:3])
    d = d / np.linalg.norm(d)
    space = len(load["at"]) == 3
    axes = np.eye(3)[: 3 if space else 2] if load["free"] else d[None, :]
    names = list(rig["lines"])
    parts, rates = {}, {}
    for n in names:
        line = rig["lines"][n]
        path = [line["standing"], *line["through"], winches[line["fall"]]["on"]]
        u = [(place[b] - place[a]) / np.linalg.norm(place[b] - place[a]) for a, b in pairwise(path)]
        parts[n] = u
        rates[n] = [
            (axes @ x) * (float(rides[b]) - float(rides[a]))
            for x, (a, b) in zip(u, pairwise(path), strict=True)
        ]
    J = np.array([sum(rates[n]) for n in names])
    drums = [rig["lines"][n]["fall"] for n in names]
    stated = [i for i, w in enumerate(drums) if "line_pull" in winches[w]]
    free = [i for i in range(len(names)) if i not in stated]
    null = np.linalg.svd(np.hstack([J[free], np.eye(len(free))]))[2][len(free) :]
    assert len(null) == len(axes) == len(free)
    v_of, s_of = null[:, : len(axes)].T, null[:, len(axes) :].T
    if len(free) == 1:
        weights = np.linalg.lstsq(s_of, np.array([1.0]), rcond=None)[0]
    elif all("speed" in winches[drums[i]] for i in free):
        weights = np.linalg.lstsq(s_of, np.array([winches[drums[i]]["speed"] for i in free]), rcond=None)[0]
    else:
        weights = np.linalg.lstsq(v_of, axes @ d, rcond=None)[0]
    v = v_of @ weights
    if abs(np.linalg.det(J[free])) < 1e-3 or (axes.T @ v) @ d <= 1e-6 * np.linalg.norm(v):
        return None
    k, rows, rhs = rig["sheaves"]["k"], [], []
    grown, rate = {}, {}
    for n in names:
        q, g = 0.0, [1.0]
        for i in range(len(parts[n]) - 1):
            q -= rates[n][i] @ v
            cosine = np.clip(parts[n][i] @ parts[n][i + 1], -1.0, 1.0)
            g.append(g[-1] * k ** (np.sign(q) * math.acos(cosine) / math.pi))
        rate[n] = q - rates[n][-1] @ v
        grown[n] = np.array(g)
    force = np.array([-sum(g * r for g, r in zip(grown[n], rates[n], strict=True)) for n in names]).T
    rows, rhs = [*force], list(load["resistance"] * 1000.0 * (axes @ d))
    for i in stated:
        rows.append(np.eye(len(names))[i] * grown[names[i]][-1])
        rhs.append(1000.0 * winches[drums[i]]["line_pull"])
    base = np.linalg.lstsq(np.array(rows), np.array(rhs), rcond=None)[0]
    if min(base) < 1.0:
        return None
    speed = np.linalg.norm(v)
    return (
        {w: base[i] * grown[names[i]][-1] for i, w in enumerate(drums)},
        {w: rate[n] / speed for w, n in zip(drums, names, strict=True)},
        float((axes.T @ v) @ d / speed),
    )


def test_random_rigs_against_singular_values_and_least_squares():
    rng, solved, refused = random.Random(20), 0, 0
    for _ in range(400):
        rig = random_rig(rng)
        expected = dense(rig)
        if expected is None:
            refused += 1
            continue
        efforts, ratios, cosine = expected
        s = hw.solve_rig(rig)
        assert s.effort_N == pytest.approx(efforts, rel=1e-8)
        assert s.travel_ratio == pytest.approx(ratios, rel=1e-8, abs=1e-9)
        assert abs(energy(s, cosine)) < 1e-9
        assert s.energy_residual < 1e-9
        assert all(c.heat_J_per_m >= -1e-9 for c in s.contacts)
        solved += 1
    assert solved > 80
    assert refused > 20


def test_what_the_dense_solution_refuses_is_refused():
    rng, codes = random.Random(21), set()
    for _ in range(200):
        rig = random_rig(rng)
        if dense(rig) is not None:
            continue
        try:
            s = hw.solve_rig(rig)
        except hw.Refusal as refusal:
            codes.add(refusal.code)
        else:  # nearly singular: the dense solution stops a little earlier
            assert max(s.effort_N.values()) > 2.0 * s.resistance_N
    assert {"SLACK", "BACKWARDS"} <= codes


def test_mirrored_rigs_have_the_same_answer():
    rng = random.Random(22)
    compared = 0
    for _ in range(60):
        rig = random_rig(rng)
        try:
            s = hw.solve_rig(rig)
        except hw.Refusal:
            continue
        other = copy.deepcopy(rig)
        for one in (*other["anchors"].values(), other["load"]):
            one["at"][1] = -one["at"][1]
        mirrored = hw.solve_rig(other)
        assert mirrored.effort_N == pytest.approx(s.effort_N, rel=1e-9)
        assert mirrored.travel_ratio == pytest.approx(s.travel_ratio, rel=1e-9, abs=1e-12)
        compared += 1
    assert compared > 20


def test_swapped_winches_swap_their_answers():
    a = hw.solve_rig(FREE)
    swapped = changed(FREE, "winches", {"A": {"on": "elm"}, "C": {"on": "oak"}})
    b = hw.solve_rig(swapped)
    assert b.effort_N == pytest.approx({"A": a.effort_N["C"], "C": a.effort_N["A"]})


# blocks that find their place


def corner_by_root_finding(load, k, pull_C_N=None):
    """Solve the corner with a root finder on equations written anew: strap angle, strap, base tension, pull of C."""
    oak, elm, ash, at = (np.array(x, float) for x in ([0, 0], [3, 14], [-2, -6], load))

    def unit(a):
        return a / np.hypot(*a)

    def forces(x):
        place = oak + 2.0 * np.array([math.cos(x[0]), math.sin(x[0])])
        before, after = unit(place - at), unit(elm - place)
        wrap = math.acos(np.clip(before @ after, -1, 1))
        strap, t, C = x[1:4]
        haul = t * k ** (wrap / math.pi)
        on_block = strap * unit(oak - place) - t * before + haul * after
        on_load = t * before + C * unit(ash - at)
        return place, haul, C, on_block, on_load

    def equations(x):
        _, _, C, on_block, on_load = forces(x)
        last = on_load[1] if pull_C_N is None else C - pull_C_N / 1000.0
        return [*on_block, on_load[0] + 20.0, last]

    found = root(equations, [0.6, 20.0, 15.0, 4.0], tol=1e-13)
    assert found.success
    place, haul, C, _, _ = forces(found.x)
    return place, 1000.0 * haul, 1000.0 * C


@pytest.mark.parametrize("k", [1.0, 1.09, 1.3])
def test_a_floating_corner_and_a_free_load(k):
    s = hw.solve_rig(changed(CORNER, "sheaves.k", k))
    place, haul, C = corner_by_root_finding([20, 0], k)
    assert s.positions_m["corner"][:2] == pytest.approx(tuple(place), abs=1e-8)
    assert s.effort_N == pytest.approx({"A": haul, "C": C}, rel=1e-8)
    assert s.side_pull_N == 0.0
    # virtual work along the path without friction: the sum of effort x travel ratio is the resistance
    if k == 1.0:
        assert sum(s.effort_N[w] * s.travel_ratio[w] for w in "AC") == pytest.approx(20000.0, rel=1e-9)
    assert abs(energy(s)) < 1e-9


@pytest.mark.parametrize(("k", "pull"), [(1.0, 7.0), (1.09, 7.0), (1.3, 12.0)])
def test_a_floating_corner_and_a_stated_pull(k, pull):
    rig = changed(changed(CORNER, "sheaves.k", k), "winches.C.line_pull", pull)
    rig["load"]["free"] = False
    s = hw.solve_rig(rig)
    place, haul, C = corner_by_root_finding([20, 0], k, 1000.0 * pull)
    assert s.positions_m["corner"][:2] == pytest.approx(tuple(place), abs=1e-8)
    assert s.effort_N == pytest.approx({"A": haul, "C": C}, rel=1e-8)
    assert abs(energy(s)) < 1e-9


def test_the_path_of_a_floating_corner_is_that_of_two_solutions_a_little_apart():
    """The travel ratio by differences: the line that left the straight parts between two places of the load."""
    step = 1e-4

    def lengths(x):
        s = hw.solve_rig(changed(CORNER, "load.at", [x, 0]))
        return {n: sum(p.length_m for p in s.lines[n].parts) for n in ("one", "two")}

    before, after = lengths(20.0 + step), lengths(20.0 - step)
    s = hw.solve_rig(CORNER)
    assert s.travel_ratio["A"] == pytest.approx((before["one"] - after["one"]) / (2 * step), rel=1e-6)
    assert s.travel_ratio["C"] == pytest.approx((before["two"] - after["two"]) / (2 * step), rel=1e-6)


def test_stated_speeds_on_the_ground_keep_their_ratio():
    rig = changed(CORNER, "winches", {"A": {"on": "elm", "speed": 3}, "C": {"on": "ash", "speed": 2}})
    s = hw.solve_rig(rig)
    assert s.travel_ratio["A"] / s.travel_ratio["C"] == pytest.approx(1.5, rel=1e-9)
    assert s.effort_N == pytest.approx(
        hw.solve_rig(CORNER).effort_N
    )  # the lines run the same way over the corner


def test_letting_back_on_the_ground_turns_friction_round():
    s = hw.solve_rig(CORNER, letting_back=True)
    _, haul, C = corner_by_root_finding([20, 0], 1.0 / 1.09)
    assert s.letting_back.efforts_N == pytest.approx({"A": haul, "C": C}, rel=1e-8)
    assert s.letting_back.effort_N is None
    assert s.holding_N is None


def check_every_balance(rig, s):
    """Hold the record against the laws it must keep, from the places alone: forces, lengths and the ratio of contacts."""
    place = {n: np.array([*one["at"], 0.0][:3]) for n, one in rig["anchors"].items()}
    place["truck"] = np.array([*rig["load"]["at"], 0.0][:3])
    place |= {n: np.array(at) for n, at in s.positions_m.items()}
    total = {n: np.zeros(3) for n in place}
    ratios = {(c.line, c.index): (c.ratio, c.direction) for c in s.contacts}
    for name, line in s.lines.items():
        for i, part in enumerate(line.parts):
            along = place[part.to] - place[part.from_]
            assert np.linalg.norm(along) == pytest.approx(part.length_m, rel=1e-9)
            pull = part.tension_N * along / np.linalg.norm(along)
            total[part.from_] += pull
            total[part.to] -= pull
            if i:
                ratio, direction = ratios[name, i]
                power = {"towards-fall": 1, "away": -1, "still": 0}[direction]
                assert part.tension_N / line.parts[i - 1].tension_N == pytest.approx(ratio**power, rel=1e-9)
        if name.startswith("strap") or name == "bridle":
            known = [b["strap"] for b in rig["blocks"].values() if "strap" in b]
            lengths = [
                one["length"] for legs in known for one in (legs if isinstance(legs, list) else [legs])
            ]
            lengths += [one["length"] for one in rig["lines"].values() if "length" in one]
            whole = sum(part.length_m for part in line.parts)
            assert min(abs(whole - length) for length in lengths) < 1e-8
    greatest = max(np.linalg.norm(force) for force in total.values())
    for block in rig["blocks"]:
        assert np.linalg.norm(total[block]) < 1e-8 * greatest
    d = np.array([*rig["load"]["direction"], 0.0][:3])
    d = d / np.linalg.norm(d)
    assert total["truck"] @ d == pytest.approx(s.resistance_N, rel=1e-9)
    across = np.linalg.norm(total["truck"] - (total["truck"] @ d) * d)
    assert across == pytest.approx(0.0 if rig["load"].get("free") else s.side_pull_N, abs=1e-8 * greatest)


def test_random_rigs_on_the_ground_balance():
    rng, solved = random.Random(5), {"pull": 0, "free": 0, "speeds": 0}
    for _ in range(60):
        rig = random_ground_rig(rng)
        space = len(rig["load"]["at"]) == 3
        ash = [rng.uniform(-3, 3), rng.uniform(-9, -3), *([rng.uniform(-1, 2)] if space else [])]
        del rig["winch"]
        rig["anchors"]["ash"] = {"at": ash}
        rig["lines"]["winch line"]["fall"] = "A"
        rig["lines"]["second"] = {"standing": "truck", "fall": "C"}
        rig["units"] = UNITS
        for kind in solved:
            rig["winches"] = {"A": {"on": "helper"}, "C": {"on": "ash"}}
            rig["load"]["free"] = kind != "pull"
            if kind == "pull":
                rig["winches"]["C"]["line_pull"] = rng.uniform(2, 12)
            if kind == "speeds":
                rig["winches"]["A"]["speed"], rig["winches"]["C"]["speed"] = (
                    rng.uniform(1, 3),
                    rng.uniform(1, 3),
                )
            try:
                s = hw.solve_rig(rig)
            except hw.Refusal as refusal:
                assert refusal.code in ("SLACK", "NO_EQUILIBRIUM", "UNDER", "BACKWARDS", "JAMS")  # noqa: PT017
                continue
            check_every_balance(rig, s)
            assert s.energy_residual < 1e-9
            if kind == "speeds":
                ratio = rig["winches"]["A"]["speed"] / rig["winches"]["C"]["speed"]
                assert s.travel_ratio["A"] / s.travel_ratio["C"] == pytest.approx(ratio, rel=1e-8)
            solved[kind] += 1
    assert solved["pull"] > 30
    assert solved["free"] > 8
    assert solved["speeds"] > 4


# stall


@pytest.mark.parametrize("rig", [GUIDED, FREE, CORNER], ids=["guided", "free", "ground"])
def test_at_stall_every_winch_has_its_pull_and_the_load_is_held(rig):
    free, with_friction = with_and_without_friction(hw.read_rig(rig), None, effort_N=30000.0)
    for s in (free, with_friction):
        assert s.effort_N == pytest.approx({"A": 30000.0, "C": 30000.0}, rel=1e-9)
        assert s.energy_residual < 1e-9
    if rig is GUIDED:  # three parts without friction
        assert free.bodies["wagon"].load_N == pytest.approx(90000.0)
        assert with_friction.bodies["wagon"].load_N == pytest.approx(60000.0 + 30000.0 / 1.1)
    if rig is FREE:  # parallelogram of forces
        total = sum(30000.0 * np.array([-20.0, y]) / math.hypot(20, y) for y in (8, -5))
        assert free.bodies["wagon"].load_N == pytest.approx(float(np.hypot(*total)))
        assert free.side_pull_N == pytest.approx(abs(total[1]))
    told = with_stall(hw.solve_rig(rig), (free, with_friction), hw.read_rig(rig))
    (stall,) = [n for n in told.notices if n.code == "STALL"]
    assert "30.0\N{NO-BREAK SPACE}kN (each of A, C, all at once" in stall.message


def test_a_winch_that_stalls_below_its_part_is_named():
    at_stall = with_and_without_friction(hw.read_rig(FREE), None, effort_N=10000.0)
    told = with_stall(hw.solve_rig(FREE), at_stall, hw.read_rig(FREE))
    assert [n.where for n in told.notices if "stalls at" in n.message] == [("C",)]


# refusals

REFUSED = [
    ("REDUNDANT", changed(GUIDED, "winches.A", {"on": "oak"}), "State the line_pull of one of them", ("A", "C")),
    ("INPUT", changed(GUIDED, "winches.C.line_pull", 3), "leave it out for one of them", ("A", "C")),
    ("INPUT", changed(GUIDED, "load.resistance", None), "no resistance of wagon", ("wagon", "A")),
    ("INPUT", changed(GUIDED, "winches.A.line_pull", 0), "above 0", ("A",)),
    ("INPUT", changed(GUIDED, "winch", {"on": "oak"}), "Both winch: and winches:", ("winches",)),
    ("UNKNOWN", changed(GUIDED, "lines.doubled.fall", "CC"), "Did you mean C?", ("CC",)),
    ("LOOSE", changed(GUIDED, "winches.D", {"on": "elm"}), "No line falls to D", ("D",)),
    ("UNSUPPORTED", changed(changed(GUIDED, "lines.doubled.fall", "A"), "winches.C", None), "2 lines fall to A", ("A",)),
    ("SLACK", changed(GUIDED, "winches.A.line_pull", 25), "state another pull", ("doubled",)),
    ("LAW", changed(GUIDED, "sheaves", {"law": "tenth-rule"}), "one winch", ("A", "C")),
    ("NO_WINCH", changed(GUIDED, "winches", None), "there is no winch", ("straight",)),
    ("UNKNOWN", changed(GUIDED, "winches.A.on", "okk"), "Did you mean oak?", ("okk",)),
    ("INPUT", changed(changed(FREE, "load.free", None), "load.force", [1, 2]), "force: is for a free load", ("wagon",)),
    ("INPUT", changed(FREE, "load.force", [1, 2]), "same thing twice", ("wagon",)),
    ("INPUT", changed(changed(FREE, "load.resistance", None), "load.force", [0, 0]), "a force of zero", ("wagon",)),
    ("INPUT", changed(changed(GUIDED, "load.free", True), "blocks", {}), "give at:", ("wagon",)),
    ("INPUT", changed(CORNER, "mode", "line"), "write mode: ground", ("corner",)),
    ("INPUT", changed(FREE, "winches", {n: {"on": o, "speed": 0} for n, o in (("A", "oak"), ("C", "elm"))}),
     "nothing is hauled", ("A", "C")),
    ("UNDER", changed(FREE, "winches.A.line_pull", 5), "A free load needs two lines that hold it", ("wagon",)),
    ("UNDER", changed(FREE, "anchors.elm.at", [-10, 12]), "not all in one direction", ("wagon",)),
    ("UNDER", changed(CORNER, "winches.C.line_pull", 5), "free to go 2 ways", ("wagon", "A")),
    ("REDUNDANT", changed(CORNER, "load.free", False), "State the line_pull of one", ("A", "C")),
    ("BACKWARDS", changed(FREE, "load.direction", [1, 0]), "state other speeds", ("wagon",)),
    ("SLACK", changed(FREE, "anchors.elm.at", [0, 3]), "would have to push", ("one",)),
]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "rig", "words", "where"), REFUSED, ids=[f"{i}-{c[0]}" for i, c in enumerate(REFUSED)]
)
def test_refused_with_code_words_and_names(code, rig, words, where):
    if words == "give at:":
        rig["lines"]["doubled"] = {"standing": "wagon", "fall": "C"}
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig(rig)
    assert (caught.value.code, caught.value.where) == (code, where)
    assert words in caught.value.message


def test_a_chain_without_speeds_asks_for_them():
    with pytest.raises(hw.Refusal) as caught:
        hw.solve_rig("A.drum > ~M ; B.drum > M > !O | order A B M O")
    assert caught.value.code == "INPUT"
    assert "give speed: for winch and winch 2" in caught.value.message


def test_all_at_one_pull_is_refused_where_a_block_between_them_would_move():
    rig = hw.read_rig("A.drum > ~M ; B.drum > M > !O | order A B M O")
    with pytest.raises(hw.Refusal) as caught:
        with_and_without_friction(rig, 1.0, effort_N=1000.0)
    assert caught.value.code == "UNSUPPORTED"
    assert caught.value.where == ("winch", "winch 2")


# intervals and readers


def test_intervals_ride_along_to_the_solved_pull():
    s = hw.solve_rig(GUIDED, ratio=Measured.normal(1.1, 0.02))
    slope = 12000.0 / (1.0 + 1.0 / 1.1) ** 2 / 1.1**2  # d/dk of 12 kN / (1 + 1/k)
    assert s.uncertainty["effort_N.C"].u == pytest.approx(0.02 * slope, rel=1e-3)
    assert s.uncertainty["effort_N.A"].u == pytest.approx(0.0, abs=1e-9)
    assert "rig_efficiency" in s.uncertainty
    assert "advantage" not in s.uncertainty


def test_what_holds_for_one_winch_refuses_several():
    from haulwright.mechanics.batch.compile import compile_rig
    from haulwright.trials.friction import rig_model

    s = hw.solve_rig(GUIDED)
    for ask in (
        lambda: s.one_winch,
        lambda: rig_model(hw.read_rig(GUIDED)),
        lambda: compile_rig(hw.read_rig(GUIDED)),
    ):
        with pytest.raises(hw.Refusal) as caught:
            ask()
        assert caught.value.code == "UNSUPPORTED"
        assert "winch" in caught.value.message
        assert {"A", "C"} <= set(caught.value.where)


def test_a_free_load_is_not_compiled_and_not_tried():
    from haulwright.mechanics.batch.compile import compile_rig
    from haulwright.trials.friction import rig_model

    rig = hw.read_rig({**FREE, "lines": {"one": FREE["lines"]["one"], "two": {"standing": "wagon", "to": "elm"}},
                       "winches": {"A": {"on": "oak"}}})  # fmt: skip
    for ask in (lambda: compile_rig(rig), lambda: rig_model(rig)):
        with pytest.raises(hw.Refusal) as caught:
            ask()
        assert caught.value.code == "UNSUPPORTED"
