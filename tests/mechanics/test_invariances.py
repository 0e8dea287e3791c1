"""What must not matter, and what must follow: names, units, size, mirror images, split contacts, no friction, more of it.

No figure here is printed anywhere: each test states a symmetry or a limit of the statics of lines and sheaves, which the
solver does not know of.
"""

import copy
import math
import random
import re
from dataclasses import replace

import numpy as np
import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed, random_ground_rig, vee
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from second_solution import batch, every_contact_its_own_block, second_solution

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig

GROUND = {rig["rig"]: rig for rig in (CORNER, TWO_LEGS, RUNNING, STACKED, vee(35))}
NAMED = pytest.mark.parametrize("name", NAMES)
DRAWN = {  # in line mode with places: a redirect with a moving block, nothing parallel
    "rig": "drawn with places",
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "by-wrap", "k": 1.09},
    "anchors": {"oak": {"at": [0, 0], "eyes": {"low": [0.3, -0.4]}}, "helper": {"at": [2, 9]}},
    "load": {"name": "truck", "at": [20, 1], "direction": [-1, 0.1], "resistance": 25},
    "blocks": {"M": {"floating": True, "at": [8, 2]}, "R": {"on": "truck"}, "C": {"on": "oak.low"}},
    "lines": {
        "long rope": {"standing": "oak", "through": ["R"], "to": "M"},
        "winch line": {"standing": "oak", "through": ["M", "C"], "fall": "winch"},
    },
    "winch": {"on": "helper"},
}
BOTH = pytest.mark.parametrize("rig", [*GROUND.values(), DRAWN], ids=[*GROUND, "in line"])


def solved(rig, *args, **how):
    return solve_rig(read_rig(rig), *args, **how)


def tensions(solution, scale=1.0):
    return [scale * part.tension_N for line in solution.lines.values() for part in line.parts]


def with_places(rig, place, turn=None, length=lambda x: x):
    """A copy of a rig with every place, every direction or eye, and every length changed."""
    other, turn = copy.deepcopy(rig), turn or place
    bodies = [*other["anchors"].values(), other["load"], *other["blocks"].values()]
    for body in bodies:
        for key in {"at", "near"} & set(body):
            body[key] = place(body[key])
        if "eyes" in body:
            body["eyes"] = {name: turn(at) for name, at in body["eyes"].items()}
        legs = body.get("strap", [])
        for leg in legs if isinstance(legs, list) else [legs]:
            leg["length"] = length(leg["length"])
    other["load"]["direction"] = turn(other["load"]["direction"])
    for line in other["lines"].values():
        if "length" in line:
            line["length"] = length(line["length"])
    return other


def same_forces(one, two, forces=1.0, rel=1e-9):
    assert tensions(two) == pytest.approx(tensions(one, forces), rel=rel)
    assert two.advantage == pytest.approx(one.advantage, rel=rel)
    assert two.ideal_advantage == pytest.approx(one.ideal_advantage, rel=rel)
    assert two.travel_ratio["winch"] == pytest.approx(one.travel_ratio["winch"], rel=rel)
    assert two.side_pull_N == pytest.approx(forces * one.side_pull_N, rel=rel, abs=1e-6)
    heat = [forces * c.heat_J_per_m for c in one.contacts]
    assert [c.heat_J_per_m for c in two.contacts] == pytest.approx(heat, rel=1e-6, abs=1e-5)
    assert [c.direction for c in two.contacts] == [c.direction for c in one.contacts]


# mirror images, names, units, size


@BOTH
@pytest.mark.parametrize("axis", [0, 1])
def test_a_mirror_image_has_the_same_forces(rig, axis):
    def mirror(at):
        return [-x if i == axis else x for i, x in enumerate(at)]

    one, two = solved(rig), solved(with_places(rig, mirror))
    same_forces(one, two)
    for name, at in one.positions_m.items():
        assert two.positions_m[name] == pytest.approx(mirror(at), abs=1e-9)


@NAMED
def test_a_tackle_drawn_the_other_way_round_is_the_same(name):
    rig = named_rig(name)
    turned = {n: replace(b, at=(-b.at[0], 0.0, 0.0)) for n, b in rig.bodies.items()}
    same_forces(solve_rig(rig, 1.1), solve_rig(replace(rig, bodies=turned, direction=(1.0, 0.0, 0.0)), 1.1))


def renamed(rig, names):
    """A copy of a rig file with its bodies, blocks and lines renamed, and listed in another order."""

    def word(text):
        base, dot, eye = text.partition(".")
        return names.get(base, base) + dot + eye

    def walk(node, key=""):
        if isinstance(node, dict):
            inside = {
                names.get(k, k) if key in ("anchors", "blocks", "lines") else k: walk(v, k)
                for k, v in node.items()
            }
            return dict(reversed(inside.items())) if key in ("anchors", "blocks") else inside
        if isinstance(node, list):
            return [walk(x, key) for x in node]
        return (
            word(node)
            if isinstance(node, str) and key in ("name", "on", "to", "standing", "through")
            else node
        )

    return walk(copy.deepcopy(rig))


@BOTH
def test_names_and_the_order_they_are_listed_in_do_not_matter(rig):
    words = [*rig["anchors"], *rig["blocks"], *rig["lines"], rig["load"]["name"]]
    names = {
        old: f"{new} {len(new)}" for old, new in zip(words, reversed([w[::-1] for w in words]), strict=True)
    }
    one, two = solved(rig), solved(renamed(rig, names))
    assert not set(words) & {*two.bodies, *two.positions_m, *two.lines}
    for name, line in one.lines.items():
        ends = name.removeprefix("strap ").replace(".", "–").split("–")  # a strap is named after its two ends
        other = names.get(name) or "strap " + "–".join(names.get(end, end) for end in ends[:2])
        other += f".{ends[2]}" if len(ends) > 2 else ""
        mine = [part.tension_N for part in line.parts]
        assert [part.tension_N for part in two.lines[other].parts] == pytest.approx(mine, rel=1e-9)
    for name, at in one.positions_m.items():
        assert two.positions_m[names[name]] == pytest.approx(at, abs=1e-9)
    for name, block in one.blocks.items():
        assert two.blocks[names[name]].pin_N == pytest.approx(block.pin_N, rel=1e-9)


@NAMED
def test_names_in_the_notation_do_not_matter(name):
    words = {"X2": "farm", "X": "tree", "M": "ring", "O": "stuck tractor"}  # beyond is a word of the notation
    other = re.sub(r"\b(X2|X|M|O)\b", lambda match: words[match[1]], named_rig(name).path)
    same_forces(solve_rig(named_rig(name), 1.1), solve_rig(parse_notation(other), 1.1), rel=1e-12)


@BOTH
def test_a_file_in_newtons_and_millimetres_says_the_same(rig):
    small = with_places(rig, lambda at: [1000.0 * x for x in at], lambda d: d, lambda x: 1000.0 * x)
    for body in (*small["anchors"].values(), small["load"]):
        if "eyes" in body:
            body["eyes"] = {n: [1000.0 * x for x in at] for n, at in body["eyes"].items()}
    small["units"] = {"force": "N", "length": "mm"}
    small["load"]["resistance"] *= 1000.0
    one, two = solved(rig), solved(small)
    same_forces(one, two)
    for name, at in one.positions_m.items():
        assert two.positions_m[name] == pytest.approx(at, abs=1e-9)
    for name, line in one.lines.items():
        lengths = [part.length_m for part in line.parts]
        assert [part.length_m for part in two.lines[name].parts] == pytest.approx(lengths, abs=1e-9)


@BOTH
@pytest.mark.parametrize("size", [0.03, 40.0])
def test_a_rig_of_another_size_has_the_same_forces(rig, size):
    other = with_places(
        rig, lambda at: [size * x for x in at], lambda at: [size * x for x in at], lambda x: size * x
    )
    one, two = solved(rig), solved(other)
    same_forces(one, two)
    for name, at in one.positions_m.items():
        assert two.positions_m[name] == pytest.approx([size * x for x in at], abs=1e-9 * max(1.0, size))


@BOTH
@pytest.mark.parametrize("times", [1e-3, 700.0])
def test_all_forces_grow_with_the_load(rig, times):
    one, two = solved(rig, load_N=2e4), solved(rig, load_N=2e4 * times)
    same_forces(one, two, times, rel=1e-12)
    for name, body in one.bodies.items():
        assert two.bodies[name].load_N == pytest.approx(times * body.load_N, rel=1e-9)


# one contact split in two: by wrap the same, per contact not


def turn(law, wrap_deg, eyes):
    """A line turned through a wrap at one block, or half and half at two eyes of the same anchor a metre apart."""
    out, half = math.radians(wrap_deg), math.radians(wrap_deg / 2.0)
    second = [math.cos(half), math.sin(half)] if eyes == 2 else [0.0, 0.0]
    fall = [second[0] + 15.0 * math.cos(out), second[1] + 15.0 * math.sin(out)]
    return {
        "units": {"force": "kN", "length": "m"},
        "sheaves": law,
        "anchors": {"tree": {"at": [0, 0], "eyes": {"a": [0, 0], "b": second}}, "helper": {"at": fall}},
        "load": {"name": "truck", "at": [-20, 0], "direction": [1, 0], "resistance": 30},
        "blocks": {"A": {"on": "tree.a"}, "B": {"on": "tree.b"}} if eyes == 2 else {"A": {"on": "tree.a"}},
        "lines": {
            "winch line": {
                "standing": "truck",
                "through": ["A", "B"] if eyes == 2 else ["A"],
                "fall": "winch",
            }
        },
        "winch": {"on": "helper"},
    }


@given(st.floats(1.0, 2.0), st.floats(10.0, 180.0))
def test_two_eyes_with_half_the_wrap_each_by_wrap_are_one_block(k, wrap_deg):
    law = {"law": "by-wrap", "k": k}
    one, two = solved(turn(law, wrap_deg, 1)), solved(turn(law, wrap_deg, 2))
    assert [math.degrees(c.wrap_rad) for c in two.contacts] == pytest.approx([wrap_deg / 2.0] * 2, abs=1e-9)
    assert two.effort_N["winch"] == pytest.approx(one.effort_N["winch"], rel=1e-12)
    assert two.bodies["tree"].load_N == pytest.approx(one.bodies["tree"].load_N, rel=1e-9)
    assert sum(c.heat_J_per_m for c in two.contacts) == pytest.approx(one.contacts[0].heat_J_per_m, abs=1e-6)


def test_two_eyes_with_a_ratio_per_contact_count_twice():
    law = {"law": "per-contact", "k": 1.1}
    one, two = solved(turn(law, 180.0, 1)), solved(turn(law, 180.0, 2))
    assert one.effort_N["winch"] == pytest.approx(30e3 * 1.1, rel=1e-12)
    assert two.effort_N["winch"] == pytest.approx(30e3 * 1.1**2, rel=1e-12)


# no friction, and a little of it

NO_LOSS = [
    {"law": "per-contact", "k": 1.0},
    {"law": "by-wrap", "k": 1.0},
    {"law": "efficiency", "e": 1.0},
    {"law": "capstan", "mu": 0.0, "turns": 3},
    {"law": "bearing", "f": 0.0, "c": 0.0},
]


@BOTH
@pytest.mark.parametrize("law", NO_LOSS, ids=lambda law: law["law"])
def test_a_law_without_loss_is_no_friction(rig, law):
    free = solved(changed(rig, sheaves={"law": "frictionless"}))
    s = solved(changed(rig, sheaves=law))
    assert tensions(s) == pytest.approx(tensions(free), rel=1e-12)
    assert s.advantage == pytest.approx(s.ideal_advantage, rel=1e-9)
    assert all(c.heat_J_per_m == pytest.approx(0.0, abs=1e-6) for c in s.contacts)


@pytest.mark.parametrize("rig", [CORNER, TWO_LEGS, RUNNING, STACKED, DRAWN], ids=lambda rig: rig["rig"])
def test_the_loss_vanishes_with_the_ratio(rig):
    law = {"law": "by-wrap", "k": 1.0}
    free = tensions(solved(changed(rig, sheaves=law)))
    off = []
    for less in (1e-3, 1e-4, 1e-5):
        s = tensions(solved(changed(rig, sheaves={**law, "k": 1.0 + less})))
        off.append(max(abs(a - b) / b for a, b in zip(s, free, strict=True)))
    assert off[1] / off[0] == pytest.approx(0.1, rel=0.02)  # in proportion
    assert off[2] / off[1] == pytest.approx(0.1, rel=0.02)


@NAMED
def test_the_loss_of_a_tackle_vanishes_with_the_ratio(name):
    rig = named_rig(name)
    free, slight = (tensions(solve_rig(rig, k)) for k in (1.0, 1.0 + 1e-9))
    assert slight == pytest.approx(free, rel=1e-7)
    if rig.contacts_from_drum:
        assert slight != free


# more friction


@NAMED
def test_no_block_with_more_friction_lowers_the_effort(name):
    rng, rig = random.Random(name), named_rig(name)
    for _ in range(5):
        ratios = {block: rng.uniform(1.0, 1.5) for block in rig.blocks}
        effort = solve_rig(rig, ratios).winch_share
        for block, k in ratios.items():
            more = solve_rig(rig, {**ratios, block: k + rng.uniform(0.001, 0.3)})
            assert more.winch_share > effort


def test_more_friction_at_one_contact_can_lower_the_effort_of_a_tackle_of_two_lines():
    # it takes load off one line and puts it on the other; both ways of solving agree
    rig = every_contact_its_own_block(parse_notation("!O.drum > ~M > O > X > M ; ~M > O > X > M > X"))
    ratios = [1.06, 1.15, 1.19, 1.15, 1.29, 1.23]
    more = [1.06, 1.15 * 1.02, 1.19, 1.15, 1.29, 1.23]
    efforts = [
        solve_rig(rig, dict(zip(rig.blocks, ks, strict=True)), load_N=1000.0).winch_share
        for ks in (ratios, more)
    ]
    assert efforts[1] < efforts[0]
    assert efforts[1] == pytest.approx(efforts[0], rel=1e-3)
    _, t, _ = second_solution(*batch([rig, rig]), np.array([ratios, more]))
    last = len(rig.lines["winch line"].points) - 2
    assert t[:, last] / 1000.0 == pytest.approx(efforts, rel=1e-9)


@pytest.mark.parametrize("rig", [CORNER, TWO_LEGS, STACKED, DRAWN], ids=lambda rig: rig["rig"])
def test_no_block_that_finds_its_place_lowers_the_effort_by_more_friction(rig):
    rng = random.Random(12)
    met = read_rig(rig).contacts_from_drum
    for _ in range(5):
        ratios = {block: rng.uniform(1.0, 1.3) for block in met}
        effort = solved(rig, ratios).winch_share
        for block, k in ratios.items():
            assert solved(rig, {**ratios, block: k + rng.uniform(0.01, 0.1)}).winch_share > effort


# letting back and holding


@given(st.integers(2, 6), st.booleans(), st.floats(1.001, 1.6))
def test_letting_back_is_hauling_with_the_ratio_turned_over(n, on_load, k):
    rig = named_rig(f"{n}-part/{'on' if on_load else 'off'}-load")
    s = solve_rig(rig, k, load_N=1000.0, letting_back=True)

    def load_per_effort(ratio):  # the fast-line formula with n - 1 contacts: API RP 9B, 14th ed., 2.3.3
        return (ratio**n - 1.0) / (ratio ** (n - 1) * (ratio - 1.0))

    assert s.advantage == pytest.approx(load_per_effort(k), rel=1e-9)
    assert s.letting_back.load_per_effort == pytest.approx(load_per_effort(1.0 / k), rel=1e-9)


@BOTH
def test_without_friction_hauling_and_letting_back_are_one(rig):
    s = solved(changed(rig, sheaves={"law": "frictionless"}), letting_back=True)
    back = [t for parts in s.letting_back.tensions_N.values() for t in parts]
    assert back == pytest.approx(tensions(s), rel=1e-9)
    assert s.holding_N[0] == pytest.approx(s.holding_N[1], rel=1e-9)


@pytest.mark.parametrize("k", [1.08, 1.3, 2.0])
def test_a_corner_let_back_against_root_finding_with_the_ratio_turned_over(k):
    truck, helper = (16.0, -2.0), (3.0, 11.0)

    def statics(angle):
        at = (2.0 * math.cos(angle), 2.0 * math.sin(angle))
        (bx, by), (fx, fy) = (
            ((p[0] - at[0]) / math.dist(p, at), (p[1] - at[1]) / math.dist(p, at)) for p in (truck, helper)
        )
        standing = 20e3 / bx  # the truck is held back along x with 20 kN
        fall = standing / k ** ((math.pi - math.acos(bx * fx + by * fy)) / math.pi)
        across = math.cos(angle) * (standing * by + fall * fy) - math.sin(angle) * (standing * bx + fall * fx)
        return across, standing, fall

    angle = brentq(lambda a: statics(a)[0], 0.1, 1.5, xtol=1e-14)
    s = solved(changed(CORNER, sheaves={"law": "by-wrap", "k": k}), letting_back=True)
    assert s.letting_back.tensions_N["winch line"] == pytest.approx(statics(angle)[1:], rel=1e-8)
    assert s.holding_N == (s.letting_back.effort_N, s.effort_N["winch"])


@NAMED
def test_whichever_way_each_contact_holds_the_effort_lies_in_the_holding_band(name):
    # at rest friction may point either way at every contact, and be less than its most: one dense balance for each way
    rig = every_contact_its_own_block(named_rig(name))
    if not rig.blocks:
        return
    k, ways = 1.2, 200
    exponents = np.random.default_rng(8).uniform(-1.0, 1.0, (ways, len(rig.blocks)))
    exponents[:100] = np.sign(exponents[:100])
    arrays = [np.repeat(a, ways, axis=0) for a in batch([rig])]
    _, t, _ = second_solution(*arrays, k**exponents)
    first = next(iter(rig.lines.values()))
    assert first.drum
    drum_part = len(first.points) - 2
    s = solve_rig(rig, k, load_N=1000.0)
    efforts = t[(t >= 0.0).all(axis=1), drum_part]
    assert len(efforts) > 20
    assert efforts.max() <= s.holding_N[1] * (1 + 1e-9)
    assert efforts.min() >= s.holding_N[0] * (1 - 1e-9)


def test_random_rigs_on_the_ground_hold_in_their_band():
    rng = random.Random(13)
    met = 0
    while met < 60:
        rig = random_ground_rig(rng)
        try:
            s, bare = solved(rig), solved(changed(rig, sheaves={"law": "frictionless"}))
        except RigRefusal:
            continue
        if s.holding_N is None or any(notice.code == "STICKS" for notice in s.notices):
            continue
        met += 1
        assert s.holding_N[0] <= bare.effort_N["winch"] * (1 + 1e-9)
        assert s.holding_N[1] >= bare.effort_N["winch"] * (1 - 1e-9)
