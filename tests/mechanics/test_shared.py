"""Lines that share a load by their stretch, drawn in line and on the ground.

Springs in parallel (k_i ÷ sum of k) and the symmetrical three-bar truss, F_middle = F / (1 + 2 cos³ alpha), are in any
strength-of-materials text (statically indeterminate structures). Independent oracles: the least complementary energy of
lines that only pull, and the least potential energy of blocks on such lines, both by scipy.optimize.
"""

import math
import random
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from ground_rigs import CORNER, TWO_LEGS, changed
from scipy.optimize import minimize

import haulwright as hw
from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.ground import elastic
from haulwright.mechanics.ground.equations import Friction, assemble
from haulwright.mechanics.ground.net import net_of
from haulwright.mechanics.rig import Rope
from haulwright.mechanics.shared import sharing_of
from haulwright.mechanics.stall import with_and_without_friction
from haulwright.mechanics.statics import solve_rig
from haulwright.quantities.measured import Measured

UNITS = {"force": "kN", "length": "m"}


def solved(rig, *args, **how):
    return solve_rig(read_rig(rig), *args, **how)


def parallel(legs, resistance=30, **changes):
    """A block M 6 m from the oak and, 4 m further on, a wagon; legs side by side between the two."""
    return {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {"name": "wagon", "at": [10, 0], "resistance": resistance},
        "blocks": {"M": {"floating": True, "at": [6, 0]}},
        "lines": {
            "winch line": {"standing": "M", "fall": "winch", "rope": {"EA": 4000}},
            **{name: {"standing": "M", "to": "wagon", **leg} for name, leg in legs.items()},
        },
        "winch": {"on": "oak"},
        **changes,
    }


def leg(EA, **more):
    return {"rope": {"EA": EA}, **more}


def tensions(solution):
    return {name: [part.tension_N for part in line.parts] for name, line in solution.lines.items()}


def warned(solution, words):
    return [n for n in solution.notices if n.code == "SHARED_LINES" and words in n.message]


@pytest.mark.parametrize("seed", range(6))
def test_lines_side_by_side_share_as_springs_in_parallel(seed):
    rnd = random.Random(seed)
    stiff = {f"leg {i}": rnd.uniform(100, 9000) for i in range(rnd.randint(2, 6))}
    s = solved(parallel({name: leg(EA) for name, EA in stiff.items()}))
    for name, EA in stiff.items():
        assert s.shares[name]["share"] == pytest.approx(EA / sum(stiff.values()), rel=1e-12)
        assert s.shares[name]["tension_N"] == pytest.approx(s.lines[name].parts[0].tension_N)
    assert set(s.shares) == set(stiff)
    assert s.slack == ()
    assert s.effort_N["winch"] == pytest.approx(30e3)


def test_without_places_a_stated_length_is_what_a_line_stretches_over():
    rope = {"rope": {"EA": 1000, "length": 5}}, {"rope": {"EA": 3000, "length": 10}}
    rig = parallel({"a": rope[0], "b": rope[1]}, blocks={"M": {"floating": True}}, anchors={"oak": {}})
    rig["load"] = {"name": "wagon", "toward": "oak", "resistance": 30}
    s = solved({**rig, "order": ["oak", "M", "wagon"]})
    assert {name: one["share"] for name, one in s.shares.items()} == pytest.approx({"a": 0.4, "b": 0.6})
    assert s.stretch["a"]["stretch_m"] == pytest.approx(12 * 5 / 1000)
    assert s.take_up_m is None  # nothing is known of the length of the winch line
    assert not [n for n in s.notices if "not used" in n.message]


@pytest.mark.parametrize("alpha_deg", [10, 30, 45, 60])
def test_three_bar_truss_in_line(alpha_deg):
    aside = 4.0 * math.tan(math.radians(alpha_deg))
    rig = parallel({})
    rig["load"]["eyes"] = {"left": [0, aside], "right": [0, -aside]}
    for name, end in (("left", "wagon.left"), ("middle", "wagon"), ("right", "wagon.right")):
        rig["lines"][name] = {"standing": "M", "to": end, "rope": {"EA": 2500}}
    s = solved(rig)
    c = math.cos(math.radians(alpha_deg))
    middle = 1.0 / (1.0 + 2.0 * c**3)
    assert s.shares["middle"]["share"] == pytest.approx(middle, rel=1e-12)
    assert s.shares["left"]["share"] == pytest.approx(middle * c * c, rel=1e-12)
    assert s.shares["right"]["share"] == pytest.approx(middle * c * c, rel=1e-12)


def random_shared(rnd):
    """A rig of which a part is joined by more lines than it needs, some longer or shorter than drawn."""
    joints = rnd.choice([["M", "wagon"], ["M", "N", "wagon"]])
    at = {"oak": 0.0, "M": 6.0, "N": 10.0, "wagon": 14.0}
    eyes = {f"e{i}": [0, rnd.uniform(-2, 2)] for i in range(3)}
    lines = {"winch line": {"standing": "M", "fall": "winch"}}
    pairs = list(pairwise(joints)) + ([("M", "wagon")] if "N" in joints else [])
    for a, b in pairs:
        for i in range(rnd.randint(1 if (a, b) != ("M", "wagon") else 2, 3)):
            end = f"{b}.e{i}" if b == "wagon" else b
            slack = rnd.choice([0.0, rnd.uniform(-0.02, 0.05)])
            lines[f"{a}-{b} {i}"] = {
                "standing": a,
                "to": end,
                "slack": slack,
                "rope": {"EA": 10 ** rnd.uniform(2, 4)},
            }
    return {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {"name": "wagon", "at": [at["wagon"], 0], "resistance": rnd.uniform(5, 80), "eyes": eyes},
        "blocks": {name: {"floating": True, "at": [at[name], 0]} for name in joints[:-1]},
        "lines": lines,
        "winch": {"on": "oak"},
    }


@pytest.mark.parametrize("seed", range(40))
def test_against_the_least_complementary_energy_of_lines_that_only_pull(seed):
    """Castigliano and Menabrea: of all pulls that balance, the true ones make sum f T²/2 + slack T least, T >= 0."""
    rig = random_shared(random.Random(seed))
    s, R = solved(rig), rig["load"]["resistance"]
    bodies = [*rig["blocks"], "wagon"]
    place = {**{n: np.array(b["at"], float) for n, b in rig["blocks"].items()}, "oak": np.zeros(2)}
    place |= {"wagon": np.array(rig["load"]["at"], float)}
    place |= {f"wagon.{e}": place["wagon"] + np.array(d) for e, d in rig["load"]["eyes"].items()}
    names = [n for n in rig["lines"] if n != "winch line"]
    B, f, slack = np.zeros((len(bodies), len(names))), [], []
    for j, name in enumerate(names):
        line = rig["lines"][name]
        way = place[line["to"]] - place[line["standing"]]
        path = np.hypot(*way)
        B[bodies.index(line["standing"].split(".")[0]), j] -= way[0] / path
        B[bodies.index(line["to"].split(".")[0]), j] += way[0] / path
        f.append((path + line["slack"]) / line["rope"]["EA"])
        slack.append(line["slack"])
    force = np.array([-R if b == "M" else R if b == "wagon" else 0.0 for b in bodies])
    f, slack = np.array(f), np.array(slack)
    unit = R * R * max(f)
    least = minimize(
        lambda t: (0.5 * f @ (t * t) * R * R + slack @ t * R) / unit,
        np.full(len(names), 1.0 / len(names)),
        jac=lambda t: (f * t * R * R + slack * R) / unit,
        bounds=[(0, None)] * len(names),
        # the balance of the wagon follows from those of the blocks and the winch
        constraints={"type": "eq", "fun": lambda t: (B @ t * R - force)[:-1] / R, "jac": lambda t: B[:-1]},
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 1000},
    )
    found = np.array([s.lines[n].parts[0].tension_N / 1e3 for n in names])
    assert np.allclose(B @ found, force, atol=1e-9 * R)
    assert found == pytest.approx(least.x * R, abs=2e-5 * R)
    assert (0.5 * f @ found**2 + slack @ found) <= least.fun * unit * (1 + 1e-9) + 1e-9 * unit
    assert {n for n, t in zip(names, found, strict=True) if t == 0.0} == set(s.slack)


def test_the_random_rigs_have_slack_lines_among_them():
    hanging = [len(solved(random_shared(random.Random(seed))).slack) for seed in range(40)]
    assert sum(1 for n in hanging if n) >= 8
    assert sum(1 for n in hanging if not n) >= 8


def test_a_chain_of_slack_lines_hangs_loose_and_carries_nothing():
    rig = parallel({"straight": leg(1000)})
    rig["blocks"]["N"] = {"floating": True, "at": [8, 0]}
    rig["lines"]["first"] = {"standing": "M", "to": "N", "slack": 2, **leg(1000)}
    rig["lines"]["second"] = {"standing": "N", "to": "wagon", "slack": -0.5, **leg(1000)}
    s = solved(rig)
    assert set(s.slack) == {"first", "second"}
    assert s.shares["straight"]["share"] == pytest.approx(1.0)
    assert warned(s, "first and second hang slack and carry nothing")


def test_a_slack_line_leaves_the_rig_as_if_it_were_not_there():
    loose, alone = (
        solved(parallel({"a": leg(1000), "b": leg(2000, slack=0.5)})),
        solved(parallel({"a": leg(1000)})),
    )
    assert loose.slack == ("b",)
    assert tensions(loose) == {**tensions(alone), "b": [0.0]}
    assert loose.take_up_m == pytest.approx(alone.take_up_m, rel=1e-9)
    assert loose.stretch["b"]["stored_J"] == 0.0
    assert warned(loose, "b hangs slack and carries nothing")
    assert alone.shares is None
    assert alone.slack == ()


@pytest.mark.parametrize("how", ["slack", "length", "rope"])
def test_slack_may_be_given_as_slack_or_as_the_length_there_is(how):
    given = {"slack": 0.01} if how == "slack" else {"length": 4.01} if how == "length" else {}
    one = leg(1000, **given)
    if how == "rope":
        one["rope"]["length"] = 4.01
    s = solved(parallel({"a": one, "b": leg(1000)}))
    stiff, stiffer = 1000 / 4.01, 1000 / 4
    out = (30 + stiff * 0.01) / (stiff + stiffer)
    assert s.shares["a"]["tension_N"] == pytest.approx(1e3 * stiff * (out - 0.01))
    assert s.shares["b"]["tension_N"] == pytest.approx(1e3 * stiffer * out)
    assert not [n for n in s.notices if "does not reach" in n.message]


def test_lines_all_shorter_by_the_same_only_bring_the_block_nearer():
    s = solved(parallel({"a": leg(1000, length=3.9), "b": leg(3000, length=3.9)}))
    assert s.shares["a"]["share"] == pytest.approx(0.25)
    assert s.take_up_m == pytest.approx(30 * 6 / 4000 + 30 * 3.9 / 4000 - 0.1)


def test_ten_millimetres_of_two_springs_by_hand_and_against_rigs_drawn_anew():
    legs = {"a": leg(1000), "b": leg(3000)}
    s = solved(parallel(legs))
    for changed_leg in legs:
        for by in (0.01, -0.01):
            anew = solved(parallel({**legs, changed_leg: {**legs[changed_leg], "slack": by}}))
            for name in legs:
                change = abs(anew.shares[name]["tension_N"] - s.shares[name]["tension_N"])
                assert change <= s.shares[name]["per_10_mm_N"] + 1e-6
    both = 1 / (4 / 1e6 + 4 / 3e6)  # two springs in series [N/m]
    assert s.shares["a"]["per_10_mm_N"] == pytest.approx(
        0.01 * both, rel=1e-2
    )  # 10 mm also changes what stretches
    assert warned(s, "Shares depend on 10 mm")[0].level == "warning"


def test_ten_millimetres_can_take_a_stiff_line_out():
    s = solved(parallel({"a": leg(90000), "b": leg(90000)}))
    assert s.shares["a"]["per_10_mm_N"] == pytest.approx(15e3)  # from half the load to none, or to all of it


def doubled(k=1.0, **more):
    """Two stacked two-parts whose long line is doubled: both long lines run over blocks that turn."""
    long = {"standing": "oak", "to": "M"}
    return {
        "units": UNITS,
        "sheaves": {"law": "per-contact", "k": k},
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {"name": "wagon", "at": [50, 0], "toward": "oak", "resistance": 40},
        "blocks": {"A": {"on": "wagon"}, "B": {"on": "wagon"}, "M": {"floating": True, "at": [20, 0]}},
        "lines": {
            "one": {**long, "through": ["A"], "rope": {"EA": 4000}},
            "two": {**long, "through": ["B"], "rope": {"EA": 1000}, **more},
            "winch line": {"standing": "oak", "through": ["M"], "fall": "winch", "rope": {"EA": 2000}},
        },
        "winch": {"on": "oak"},
    }


@pytest.mark.parametrize("k", [1.0, 1.2])
def test_lines_that_run_over_turning_blocks_share_with_each_part_at_its_own_tension(k):
    s, single = solved(doubled(k)), doubled(k)
    del single["lines"]["two"], single["blocks"]["B"]
    one, two = (s.lines[n].parts for n in ("one", "two"))
    assert one[1].tension_N == pytest.approx(k * one[0].tension_N)
    assert one[0].tension_N == pytest.approx(4 * two[0].tension_N)  # same way, same growth: as EA
    assert s.stretch["one"]["stretch_m"] == pytest.approx(s.stretch["two"]["stretch_m"])
    assert s.effort_N == pytest.approx(solved(single).effort_N)
    assert s.energy_residual < 1e-12
    assert s.holding_N[0] == pytest.approx(solved(single).holding_N[0])


@pytest.mark.parametrize("slack", [0.0, 0.05, 5.0])
def test_the_drum_takes_in_what_the_lines_stretch_and_hang_slack(slack):
    s = solved(doubled(slack=slack))
    one, two = s.stretch["one"]["stretch_m"], s.stretch["two"]["stretch_m"]
    if "two" not in s.slack:
        assert one == pytest.approx(two + slack)
    assert s.take_up_m == pytest.approx(2 * one + s.stretch["winch line"]["stretch_m"])
    if not slack:
        stored = math.fsum(line["stored_J"] for line in s.stretch.values())
        assert s.effort_N["winch"] * s.take_up_m / 2 == pytest.approx(stored, rel=1e-9)


def test_the_load_follows_from_the_effort_where_shares_depend_on_it():
    rig = doubled(1.15, slack=0.1)
    there = solved(rig, load_N=60e3)
    back = solved(rig, effort_N=there.effort_N["winch"])
    assert back.resistance_N == pytest.approx(60e3, rel=1e-9)
    assert back.shares["two"]["tension_N"] == pytest.approx(there.shares["two"]["tension_N"], rel=1e-8)
    assert back.shares["two"]["share"] > solved(rig, load_N=30e3).shares["two"]["share"]
    free, rubbing = with_and_without_friction(read_rig(rig), None, effort_N=25e3)
    assert free.effort_N == pytest.approx(rubbing.effort_N)


def test_every_part_is_told_and_the_sums_stay():
    s = solved(doubled(1.1))
    for name, line in s.stretch.items():
        EA = read_rig(doubled()).lines[name].rope.EA_N
        assert len(line["parts"]) == len(s.lines[name].parts)
        for part, run in zip(line["parts"], s.lines[name].parts, strict=True):
            assert part["stretch_m"] == pytest.approx(run.tension_N * run.length_m / EA)
            assert part["stored_J"] == pytest.approx(run.tension_N * part["stretch_m"] / 2)
        assert line["stretch_m"] == pytest.approx(sum(p["stretch_m"] for p in line["parts"]))


def test_the_interval_of_a_ratio_reaches_stretch_energy_and_take_up():
    rig = doubled()
    s = solved(rig, Measured.normal(1.1, 0.02))
    lo, hi = (solved(rig, 1.1 + d) for d in (-1e-5, 1e-5))
    for path, of in (
        ("take_up_m", lambda r: r.take_up_m),
        ("stretch.one.stretch_m", lambda r: r.stretch["one"]["stretch_m"]),
        ("stretch.winch line.stored_J", lambda r: r.stretch["winch line"]["stored_J"]),
    ):
        assert s.uncertainty[path].value == pytest.approx(of(s))
        assert s.uncertainty[path].u == pytest.approx(0.02 * abs(of(hi) - of(lo)) / 2e-5, rel=1e-4)


def three_straps(lengths=(4.0, 4.5, 3.42), EA=(4000, 4000, 4000), resistance=20, **changes):
    straps = [
        {"to": to, "length": x, "EA": e}
        for to, x, e in zip(("left", "right", "mid"), lengths, EA, strict=True)
    ]
    return changed(
        TWO_LEGS,
        anchors={**TWO_LEGS["anchors"], "mid": {"at": [0, 0.5]}},
        load={**TWO_LEGS["load"], "resistance": resistance},
        blocks={"link": {"strap": straps, "near": [3.4, 0.1]}},
        **changes,
    )


def random_straps(rnd):
    """A block on three to five straps in a plane or in space, about as long as they are apart."""
    space = rnd.random() < 0.5
    count = rnd.randint(4, 6) if space else rnd.randint(3, 5)
    block = [4.0, 0.5, 0.3][: 2 + space]
    anchors, straps = {"helper": {"at": [rnd.uniform(10, 18), rnd.uniform(-6, 6), 0.0][: 2 + space]}}, []
    for i in range(count):
        at = [rnd.uniform(-1, 1), rnd.uniform(-4, 4), rnd.uniform(-2, 3)][: 2 + space]
        anchors[f"tree {i}"] = {"at": at}
        length = math.dist(at, block) + rnd.uniform(-0.05, 0.05)
        straps.append({"to": f"tree {i}", "length": length, "EA": 10 ** rnd.uniform(2.5, 4.5)})
    return changed(
        CORNER,
        anchors=anchors,
        load={"name": "truck", "at": [20, 1], "direction": [-1, 0], "resistance": rnd.uniform(5, 40)},
        blocks={"link": {"strap": straps, "near": block}},
        lines={"winch line": {"standing": "truck", "through": ["link"], "fall": "winch"}},
        sheaves={"law": "per-contact", "k": 1},
    )


@pytest.mark.parametrize("seed", range(15))
def test_on_the_ground_against_the_least_potential_energy(seed):
    """The pull of the drum known, the block rests where pull × line + strain energy of the taut straps is least."""
    rig = random_straps(random.Random(seed))
    s = solved(rig)
    pull, strap = s.effort_N["winch"] / 1e3, rig["blocks"]["link"]["strap"]
    spots = {name: np.array(a["at"], float) for name, a in rig["anchors"].items()}
    size = len(spots["helper"])
    truck = np.array([20.0, 1.0, 0.0][:size])

    def energy(p):
        line = np.linalg.norm(p - truck) + np.linalg.norm(p - spots["helper"])
        out = [max(np.linalg.norm(p - spots[one["to"]]) - one["length"], 0.0) for one in strap]
        return pull * line + sum(
            one["EA"] * x * x / one["length"] / 2 for one, x in zip(strap, out, strict=True)
        )

    start = np.array(rig["blocks"]["link"]["near"], float)
    least = minimize(
        energy, start, method="Nelder-Mead", options={"xatol": 1e-11, "fatol": 1e-15, "maxiter": 9000}
    )
    found = np.array(s.positions_m["link"][:size])
    assert energy(found) <= least.fun + 1e-9 * abs(least.fun)
    assert found == pytest.approx(least.x, abs=2e-5)
    for one in strap:
        name = f"strap link–{one['to']}"
        out = np.linalg.norm(found - spots[one["to"]]) - one["length"]
        assert s.shares[name]["tension_N"] == pytest.approx(
            1e3 * one["EA"] * max(out, 0.0) / one["length"], abs=0.1
        )
        assert (name in s.slack) == (out <= 1e-9)


def test_the_exact_derivatives_of_lines_that_stretch_against_differences():
    rig = read_rig(three_straps())
    net = net_of(rig)
    net = elastic.with_stretch(net, [line.name for line in net.fixed], 20e3)
    # the winch line made fast, so that a line with a contact stretches too, and one strap made a line to a drum
    running = replace(net.lines[0], EA=70.0, length=3.0, drum=False)
    net = replace(
        net, lines=(running, replace(net.lines[1], EA=None, length=None, drum=True), *net.lines[2:])
    )
    friction = Friction({"link": rig.law}, ((1.0,), *[()] * 3))
    where, bases = list(net.start), [1.1, 0.4, 0.5, 0.7]
    exact = assemble(net, where, bases, friction)
    h = 1e-6
    for column in range(net.size):
        ends = []
        for sign in (h, -h):
            step = [sign * (c == column) for c in range(net.size)]
            pulls = [t + step[net.coordinates + r] for r, t in enumerate(bases)]
            ends.append(assemble(net, net.moved(where, step), pulls, friction).residual)
        slope = [(a - b) / (2 * h) for a, b in zip(*ends, strict=True)]
        assert [row[column] for row in exact.jacobian] == pytest.approx(slope, abs=1e-7)


@pytest.mark.parametrize("alpha_deg", [20, 40])
def test_three_bar_truss_on_the_ground_where_it_hardly_stretches(alpha_deg):
    c, half = math.cos(math.radians(alpha_deg)), 3.0 * math.tan(math.radians(alpha_deg))
    straps = [
        {"to": "truck.left", "length": 3 / c, "EA": 1e6},
        {"to": "truck", "length": 3.0, "EA": 1e6},
        {"to": "truck.right", "length": 3 / c, "EA": 1e6},
    ]
    load = {"name": "truck", "at": [0, 0], "direction": [-1, 0], "resistance": 1}
    rig = changed(
        CORNER,
        anchors={"helper": {"at": [-20, 0]}},
        load={**load, "eyes": {"left": [0, -half], "right": [0, half]}},
        blocks={"link": {"strap": straps}},
        lines={"winch line": {"standing": "link", "fall": "winch"}},
    )
    s = solved(rig)
    middle = 1.0 / (1.0 + 2.0 * c**3)
    assert s.shares["strap link–truck"]["share"] == pytest.approx(middle, rel=1e-5)
    assert s.shares["strap link–truck.left"]["share"] == pytest.approx(middle * c * c, rel=1e-5)


def test_four_equal_legs_in_space_share_alike_and_what_is_mirrored_stays_mirrored():
    corners = {"a": [0, 2, 2], "b": [0, -2, 2], "c": [0, -2, -2], "d": [0, 2, -2]}
    rig = changed(
        CORNER,
        anchors={**{n: {"at": at} for n, at in corners.items()}, "helper": {"at": [30, 0, 0]}},
        load={"name": "truck", "at": [12, 0, 0], "direction": [-1, 0, 0], "resistance": 20},
        blocks={
            "link": {"strap": [{"to": n, "length": 4, "EA": 2000} for n in corners], "near": [2.5, 0.2, 0.1]}
        },
        lines={"winch line": {"standing": "truck", "through": ["link"], "fall": "winch"}},
    )
    s = solved(rig)
    pulls = [s.lines[f"strap link–{n}"].parts[0] for n in corners]
    x = s.positions_m["link"][0]
    assert [p.tension_N for p in pulls] == pytest.approx([pulls[0].tension_N] * 4)
    assert 4 * pulls[0].tension_N * x / pulls[0].length_m == pytest.approx(s.effort_N["winch"] + 20e3)
    plane, mirrored = three_straps(), three_straps()
    for what in (*mirrored["anchors"].values(), mirrored["load"], *mirrored["blocks"].values()):
        for key in ("at", "near"):
            if key in what:
                what[key] = [what[key][0], -what[key][1]]
    one, other = solved(plane), solved(mirrored)
    assert one.effort_N == pytest.approx(other.effort_N, rel=1e-12)
    for name, share in one.shares.items():
        assert share == pytest.approx(other.shares[name], rel=1e-6)


def test_a_strap_too_long_hangs_slack_and_the_rest_is_the_rig_without_it():
    legs = solved(changed(TWO_LEGS))
    s = solved(three_straps(lengths=(4.0, 4.5, 9.0), EA=(1e7, 1e7, 1e7)))
    assert s.slack == ("strap link–mid",)
    for name in legs.lines:
        for a, b in zip(s.lines[name].parts, legs.lines[name].parts, strict=True):
            assert a.tension_N == pytest.approx(b.tension_N, rel=1e-4)
    assert s.lines["strap link–mid"].parts[0].tension_N == 0.0
    assert s.energy_residual < 1e-9
    assert s.rig_efficiency <= 1.0


def test_ten_millimetres_on_the_ground_against_rigs_drawn_anew():
    lengths = (4.0, 4.5, 3.42)
    s, most = solved(three_straps(lengths)), {}
    for i in range(3):
        for by in (0.01, -0.01):
            anew = solved(three_straps(tuple(x + by * (j == i) for j, x in enumerate(lengths))))
            for name, share in anew.shares.items():
                change = abs(share["tension_N"] - s.shares[name]["tension_N"])
                most[name] = max(most.get(name, 0.0), change)
    assert {n: one["per_10_mm_N"] for n, one in s.shares.items()} == pytest.approx(most, rel=1e-6)


def test_on_the_ground_a_line_is_longer_by_its_stretch_and_the_drum_takes_that_in():
    rope = {"winch line": {**TWO_LEGS["lines"]["winch line"], "rope": {"EA": 4400}}}
    s = solved(three_straps(lines=rope))
    for name, length in zip(s.shares, (4.0, 4.5, 3.42), strict=True):
        run = math.fsum(part.length_m for part in s.lines[name].parts)
        assert s.stretch[name]["stretch_m"] == pytest.approx(run - length, abs=1e-9)
    stiff = {"lengths": (4.0, 4.5, 9.0), "EA": (60000,) * 3}
    shared = solved(three_straps(**stiff, lines=rope))
    alone = three_straps(**stiff, lines=rope)
    del alone["blocks"]["link"]["strap"][2]
    assert shared.take_up_m == pytest.approx(solved(alone).take_up_m, rel=2e-3)


def test_on_the_ground_the_load_follows_from_the_effort():
    there = solved(three_straps(resistance=33))
    back = solved(three_straps(), effort_N=there.effort_N["winch"])
    assert back.resistance_N == pytest.approx(33e3, rel=1e-9)
    assert back.shares["strap link–mid"]["share"] == pytest.approx(
        there.shares["strap link–mid"]["share"], rel=1e-7
    )


def test_a_rig_that_needs_every_line_is_solved_as_before_whatever_its_stiffness():
    """Worked two-leg bridle: no line shares, so lengths stay what they are and stretch is worked out afterwards."""
    legs = changed(TWO_LEGS)
    read = read_rig(legs)
    lines = {n: replace(line, rope=Rope(1e6)) for n, line in read.lines.items()}
    plain, stretchy = solve_rig(read), solve_rig(replace(read, lines=lines))
    assert tensions(stretchy) == tensions(plain)
    assert stretchy.positions_m == plain.positions_m
    assert (stretchy.shares, stretchy.slack) == (None, ())


REFUSED = {
    "no EA": (
        "REDUNDANT",
        parallel({"a": leg(1000), "b": {}}),
        "1 line(s) more than needed among a, b; shares depend on stretch. Take one line out, or give in a rig file rope: "
        "{EA: …} for b.",
    ),
    "no length": (
        "REDUNDANT",
        {
            **parallel(
                {"a": leg(1000), "b": leg(1000)}, anchors={"oak": {}}, blocks={"M": {"floating": True}}
            ),
            "load": {"name": "wagon", "toward": "oak", "resistance": 9},
        },
        "rope: {length: …} for a, b",
    ),
    "turned without places": (
        "REDUNDANT",
        {
            **doubled(),
            "order": ["oak", "M", "wagon"],
            "anchors": {"oak": {}},
            "load": {"name": "wagon", "toward": "oak"},
            "blocks": {"A": {"on": "wagon"}, "B": {"on": "wagon"}, "M": {"floating": True}},
        },
        "places (at:), since the parts of one, two stretch one by one",
    ),
    "on the ground": (
        "REDUNDANT",
        three_straps(EA=(4000, None, 4000)),
        "shares depend on stretch. Take one line out, or give EA for strap link–right.",
    ),
    "said twice": (
        "INPUT",
        parallel({"a": leg(1000, slack=0.01, length=4.01), "b": leg(1000)}),
        "a: among places, length and slack say the same thing twice",
    ),
    "shorter than nothing": (
        "INPUT",
        parallel({"a": leg(1000, slack=-5), "b": leg(1000)}),
        "leaves nothing of its",
    ),
    "slack to a drum": (
        "INPUT",
        parallel({}, lines={"winch line": {"standing": "wagon", "fall": "winch", "slack": 0.1}}),
        "goes to a drum, which takes in its slack",
    ),
    "no load, slack": (
        "INPUT",
        parallel({"a": leg(1000, slack=0.01), "b": leg(1000)}, resistance=None),
        "in no proportion to the load: give the resistance of wagon",
    ),
    "no load on the ground": ("INPUT", three_straps(resistance=None), "share depends on the load"),
    "tenth rule": (
        "LAW",
        parallel({"a": leg(1000, slack=0.01), "b": leg(1000)}, sheaves={"law": "tenth-rule"}),
        "as the one-tenth rule needs it",
    ),
    "tied solid": (
        "LOCKED",
        parallel({"a": leg(1000), "tie": {"standing": "wagon", "to": "oak", "rope": {"EA": 1000}}}),
        "tie the rig solid",
    ),
}


@pytest.mark.parametrize(("code", "rig", "words"), REFUSED.values(), ids=REFUSED)
def test_refused_with_code_and_words(code, rig, words):
    with pytest.raises(RigRefusal) as caught:
        solved(rig)
    assert caught.value.code == code
    assert words in caught.value.message


def test_without_a_load_shares_are_told_and_no_newtons_of_10_mm():
    s = solved(parallel({"a": leg(1000), "b": leg(3000)}, resistance=None))
    assert s.shares["b"]["share"] == pytest.approx(0.75)
    assert s.shares["b"]["per_10_mm_N"] is None
    assert not warned(s, "10 mm")


def test_slack_of_a_line_that_shares_nothing_is_told_as_unused():
    s = solved(parallel({"a": leg(1000, slack=0.2)}))
    assert [n for n in s.notices if "slack of a (it shares no load)" in n.message]


def test_a_rig_of_as_many_lines_as_freedoms_has_no_springs():
    rig = read_rig(parallel({"a": leg(1000)}))
    from haulwright.mechanics.geometry import courses

    assert sharing_of(rig, courses(rig)) is None


def test_the_record_holds_it():
    record = hw.solve_rig(parallel({"a": leg(1000, slack=0.5), "b": leg(3000)})).to_dict()
    assert record["slack"] == ["a"]
    assert set(record["shares"]["b"]) == {"share", "tension_N", "per_10_mm_N"}


@pytest.mark.parametrize("seed", range(100, 115))
def test_on_the_ground_with_friction_every_strap_pulls_as_it_stretches_or_hangs_slack(seed):
    rig = random_straps(random.Random(seed))
    rig["sheaves"] = {"law": "by-wrap", "k": 1.25}
    s = solved(rig)
    for one in rig["blocks"]["link"]["strap"]:
        (part,) = s.lines[f"strap link–{one['to']}"].parts
        pulled = 1e3 * one["EA"] * (part.length_m - one["length"]) / one["length"]
        assert part.tension_N == pytest.approx(max(pulled, 0.0), abs=1e-3)
    assert s.energy_residual < 1e-9
    assert 0.0 < s.rig_efficiency <= 1.0
    assert s.holding_N[0] < s.effort_N["winch"]
