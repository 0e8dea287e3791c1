"""Thirteen ways to get a rig wrong, each with a test that the wrong way would fail; and the worked figures they rest on.

Figures: closed forms and hand balance (rank B and C), printed ratio tables of block makers where named.
"""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from ground_rigs import CORNER, STACKED, TWO_LEGS, changed, vee

from haulwright.errors import PlanRefusal, RigRefusal
from haulwright.field.drum import layers, spans, usable_line
from haulwright.files.rig import read_rig
from haulwright.mechanics.geometry import wrap_between
from haulwright.mechanics.loads import contact_load
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.sheave import TenthRule
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig

W1 = "!truck.drum > B2@oak > B1@truck > B2@oak"


def solved(rig, *args, **how):
    return solve_rig(read_rig(rig), *args, **how)


def corner(wrap_deg, law, **block):
    """A line from the load over a block and on to the winch, turned through a wrap; drawn with places."""
    turn = math.radians(wrap_deg)
    return {
        "units": {"force": "kN", "length": "m"},
        "sheaves": law,
        "anchors": {"tree": {"at": [0, 0]}, "helper": {"at": [12 * math.cos(turn), 12 * math.sin(turn)]}},
        "load": {"name": "truck", "at": [-15, 0], "direction": [1, 0], "resistance": 10},
        "blocks": {"B": {"on": "tree", **block}},
        "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "helper"},
    }


def codes(solution):
    return {notice.code for notice in solution.notices}


@pytest.mark.parametrize("off", [1e-9, 3e-8, 1e-6])
@pytest.mark.parametrize("about", [0.0, math.pi])
def test_trap_1_the_wrap_keeps_its_digits_near_none_and_near_half_a_turn(about, off):
    wrap = abs(about - off)
    after = (math.cos(wrap), math.sin(wrap), 0.0)
    assert abs(wrap_between((1.0, 0.0, 0.0), after) - wrap) <= 1e-15 + 1e-9 * off
    assert abs(math.acos(max(-1.0, min(1.0, after[0]))) - wrap) > 1e-12  # what the arc cosine makes of it


@pytest.mark.parametrize("wrap", [30, 75, 120])
def test_trap_2_the_angle_between_the_parts_is_not_the_wrap(wrap):
    def effort(**given):
        return solved(
            {
                "sheaves": {"law": "by-wrap", "k": 1.2},
                "order": ["tree", "helper", "truck"],
                "anchors": {"tree": {}, "helper": {}},
                "load": {"name": "truck", "toward": "tree", "resistance": "10 kN"},
                "blocks": {"B": {"on": "tree", **given}},
                "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
                "winch": {"on": "helper"},
            }
        ).effort_N["winch"]

    assert effort(wrap=wrap) == pytest.approx(10e3 * 1.2 ** (wrap / 180), rel=1e-12)
    assert effort(between=180 - wrap) == pytest.approx(effort(wrap=wrap), rel=1e-12)
    assert effort(between=wrap) == pytest.approx(10e3 * 1.2 ** (1 - wrap / 180), rel=1e-12)


@pytest.mark.parametrize(("wrap", "told"), [(0.0, True), (4.9, True), (5.1, False), (90.0, False)])
def test_trap_3_a_line_straight_through_is_hardly_a_contact_and_that_is_said(wrap, told):
    by_wrap = solved(corner(wrap, {"law": "by-wrap", "k": 1.1}))
    per_contact = solved(corner(wrap, {"law": "per-contact", "k": 1.1}))
    assert by_wrap.effort_N["winch"] == pytest.approx(10e3 * 1.1 ** (wrap / 180), rel=1e-9)
    assert per_contact.effort_N["winch"] == pytest.approx(11e3, rel=1e-12)
    assert ("STRAIGHT_THROUGH" in codes(by_wrap)) == told
    assert ("STRAIGHT_THROUGH" in codes(per_contact)) == told


@pytest.mark.parametrize("rig", ["stacked two-parts", "luff on luff", "spanish burton"])
def test_trap_4_a_floating_block_is_in_balance_and_its_pin_is_not(rig):
    s = solve_rig(named_rig(rig), 1.1, load_N=10e3)
    assert "M" not in s.bodies
    assert s.blocks["M"].pin_N == pytest.approx(sum(c.load_N for c in s.contacts if c.at == "M"), rel=1e-9)
    assert s.blocks["M"].pin_N > s.effort_N["winch"]


@pytest.mark.parametrize("rig", [CORNER, STACKED], ids=lambda rig: rig["rig"])
def test_trap_4_on_the_ground_too(rig):
    s = solved(rig)
    (name,) = [n for n in s.blocks if n in ("corner", "M")]
    assert name not in s.bodies
    assert s.blocks[name].pin_N >= s.contacts[-1].load_N * (1 - 1e-12) > 0.0


def test_trap_5_a_winch_on_the_load_pulls_it_too():
    assert solve_rig(parse_notation("!truck.drum > tree")).ideal_advantage == pytest.approx(1.0)
    assert solve_rig(parse_notation("!truck.drum > tree > truck")).ideal_advantage == pytest.approx(2.0)
    assert solve_rig(parse_notation("helper.drum > tree > !truck")).ideal_advantage == pytest.approx(1.0)
    for n, words in enumerate(("two", "three", "four", "five", "six"), start=2):
        s = solve_rig(named_rig(f"{words}-part/on-load"))
        assert s.ideal_advantage == pytest.approx(n)
        on_load = sum(
            (part.from_, part.to).count("O") or "O 2" in (part.from_, part.to)
            for part in s.lines["winch line"].parts
        )
        assert on_load == n  # the hauling part counted


# block makers' ratio tables, fall off the fixed block: as many sheaves as parts, hauling; printed to two or three digits
BRONZE = (0.96, 1.87, 2.75, 3.59, 4.39, 5.16)
ROLLER = (0.98, 1.94, 2.88, 3.81, 4.71, 5.60)
# the same sheets, overhaul factors: letting back
BRONZE_BACK = (1.05, 2.15, 3.28, 4.48, 5.72, 7.03)
ROLLER_BACK = (1.03, 2.07, 3.15, 4.25, 5.38, 6.54)


def hoist(n):
    """A tackle of n parts whose fall comes off the fixed block: n sheaves."""
    path = ["X"]
    for i in range(n):
        path.append("!O" if i == 0 else "O" if i % 2 == 0 else "X")
    return parse_notation("beyond.drum > " + " > ".join(path))


@pytest.mark.parametrize("n", range(1, 7))
def test_trap_6_each_table_has_its_own_family_of_ratios_and_letting_back_another_formula(n):
    def both(k):
        s = solve_rig(hoist(n), k, letting_back=True)
        assert len(s.contacts) == n
        assert s.ideal_advantage == pytest.approx(n)
        return s.advantage, s.letting_back.load_per_effort

    for k, k_back, hauling, back in ((1.045, 1.045, BRONZE, BRONZE_BACK), (1.02, 1.025, ROLLER, ROLLER_BACK)):
        assert both(k)[0] == pytest.approx(hauling[n - 1], rel=5e-3)
        assert both(k_back)[1] == pytest.approx(back[n - 1], rel=6.1e-3)
        assert both(k)[0] == pytest.approx(sum(k**-j for j in range(1, n + 1)), rel=1e-12)
        assert both(k_back)[1] == pytest.approx(sum(k_back**j for j in range(1, n + 1)), rel=1e-12)
    for wrong, table in ((1.04, ROLLER), (1.09, BRONZE)):
        assert abs(both(wrong)[0] / table[n - 1] - 1.0) > 0.015


def test_trap_7_two_eyes_with_a_quarter_turn_each_are_one_half_turn_by_wrap_and_two_contacts_else():
    def two_part(law, eyes):
        blocks = {"A": {"on": "tree.a"}, "B": {"on": "tree.b"}} if eyes == 2 else {"A": {"on": "tree"}}
        aside = 0.5 if eyes == 2 else 0.0
        return solved(
            {
                "sheaves": law,
                "anchors": {
                    "tree": {"at": ["0 m", "0 m"], "eyes": {"a": ["0 m", "0.5 m"], "b": ["0 m", "-0.5 m"]}}
                },
                "load": {
                    "name": "truck",
                    "at": ["20 m", "0 m"],
                    "toward": "tree",
                    "resistance": "20 kN",
                    "eyes": {"a": ["0 m", f"{aside} m"], "b": ["0 m", f"{-aside} m"]},
                },
                "blocks": blocks,
                "lines": {"winch line": {"standing": "truck.a", "through": list(blocks), "fall": "winch"}},
                "winch": {"on": "truck.b"},
            }
        ).effort_N["winch"]

    k = 1.21
    by_wrap, per_contact = {"law": "by-wrap", "k": k}, {"law": "per-contact", "k": k}
    assert two_part(by_wrap, 2) == pytest.approx(two_part(by_wrap, 1), rel=1e-12)
    assert two_part(by_wrap, 1) == pytest.approx(20e3 / (1 + 1 / k), rel=1e-12)
    assert two_part(per_contact, 2) == pytest.approx(20e3 / (1 + 1 / k**2), rel=1e-12)


@pytest.mark.parametrize("rig", ["five-part", "luff on luff", "three-on-two", "double spanish burton"])
def test_trap_8_heat_and_work_are_per_metre_of_load_travel(rig):
    s = solve_rig(named_rig(rig), 1.15, load_N=30e3)
    heat = sum(c.heat_J_per_m for c in s.contacts)
    assert s.effort_N["winch"] * s.travel_ratio["winch"] == pytest.approx(30e3 + heat, rel=1e-12)
    for c in s.contacts:
        parts = s.lines[c.line].parts
        step = abs(parts[c.index].tension_N - parts[c.index - 1].tension_N)
        assert c.heat_J_per_m == pytest.approx(step * c.rim_speed_ratio, rel=1e-12)


@pytest.mark.parametrize("slant", [0.1, 0.7, 1.1, 1.3])
def test_trap_9_a_sheave_that_stands_still_gets_no_sign_from_rounding(slant):
    # an equaliser: both ends of its line go to the load at the same slant, so nothing runs over it
    x, y = math.cos(slant) * 10, math.sin(slant) * 10
    s = solved(
        {
            "units": {"force": "kN", "length": "m"},
            "sheaves": {"law": "per-contact", "k": 1.5},
            "anchors": {"helper": {"at": [-40, 0]}},
            "load": {
                "name": "truck",
                "at": [0, 0],
                "direction": [-1, 0],
                "resistance": 10,
                "eyes": {"left": [0, y], "right": [0, -y]},
            },
            "blocks": {"ring": {"floating": True, "at": [-x, 0]}},
            "lines": {
                "equaliser": {"standing": "truck.left", "through": ["ring"], "to": "truck.right"},
                "winch line": {"standing": "ring", "fall": "winch"},
            },
            "winch": {"on": "helper"},
        }
    )
    assert s.contacts[0].direction == "still"
    one, other = (part.tension_N for part in s.lines["equaliser"].parts)
    assert one == other
    assert one == pytest.approx(10e3 / (2 * math.cos(slant)), rel=1e-12)
    assert s.contacts[0].heat_J_per_m == 0.0
    assert any(n.code == "STILL_SHEAVE" and "0.667 to 1.500" in n.message for n in s.notices)


@pytest.mark.parametrize("near", [[1, 1], [8, 6], [9.5, 4.5], [-3, 8]])
def test_trap_10_a_block_on_a_bare_line_has_no_place(near):
    blocks = {"corner": {"floating": True, "near": near}}
    with pytest.raises(RigRefusal) as caught:
        solved(changed(CORNER, blocks=blocks))
    assert caught.value.code == "UNDER"


@pytest.mark.parametrize("legs", [3, 4])
def test_trap_11_straps_more_than_needed_are_refused_and_not_shared_out(legs):
    anchors = {f"tree {i}": {"at": [0.1 * i * i, 2.0 * i]} for i in range(legs)}
    straps = [{"to": name, "length": 5.0} for name in anchors]
    rig = changed(
        CORNER, anchors={**anchors, "helper": {"at": [18, 4]}}, blocks={"corner": {"strap": straps}}
    )
    with pytest.raises(RigRefusal) as caught:
        solved(rig)
    assert caught.value.code == "REDUNDANT"


def test_trap_12_a_load_held_off_its_line_is_pulled_sideways_and_that_is_said():
    s = solved(CORNER)
    line = s.lines["winch line"].parts[0]
    _, y, _ = s.positions_m["corner"]
    across = line.tension_N * (y + 2.0) / line.length_m  # the truck stands at (16, -2) and moves along x
    assert s.side_pull_N == pytest.approx(across, rel=1e-9)
    assert line.tension_N == pytest.approx(math.hypot(20e3, across), rel=1e-9)
    assert "SIDE_PULL" in codes(s)
    straight = solved(vee(30))
    assert straight.side_pull_N == pytest.approx(0.0, abs=1e-6)
    assert "SIDE_PULL" not in codes(straight)


def test_trap_13_more_parts_ask_for_more_line_than_the_drum_takes():
    # drum of 102 mm barrel, 224 mm wide, 12.7 mm line, 30 m of it, worked by hand: layers of 6.126, 7.482, 8.839, 7.553 m
    drum = layers(0.102, 0.224, 0.0127, 30.0, 75e3)
    travel = 8.0
    for name, fits in (("single line", True), ("three-part", True), ("four-part", False)):
        taken_in = solve_rig(named_rig(name), 1.1).travel_ratio["winch"] * travel
        if fits:
            assert sum(x for _, x in spans(drum, 0.0, taken_in)) == pytest.approx(taken_in)
        else:
            assert taken_in == pytest.approx(32.0)
            with pytest.raises(PlanRefusal) as caught:
                spans(drum, 0.0, taken_in)
            assert caught.value.code == "DRUM_FULL"
    assert usable_line(drum, 5) == pytest.approx(
        30.0 - 5 * math.pi * (0.102 + 0.0127), abs=1e-3
    )  # the rest stays on


# worked figures that stand nowhere else


def test_w2_out_of_what_the_winch_puts_in_is_what_the_heat_leaves():
    s = solve_rig(parse_notation("a.drum > ~M > a ; ~M > !truck > a > truck"), 1.12, load_N=48e3)
    heat = sum(c.heat_J_per_m for c in s.contacts)
    assert s.effort_N["winch"] * 6 - heat == pytest.approx(48e3, abs=1e-6)
    assert heat == pytest.approx(1707.0 + 3823.6 + 3030.0, abs=0.1)


def test_w3_the_top_block_carries_more_than_the_load():
    s = solve_rig(parse_notation("beyond.drum > ~M > !load ; ~M > top > load"), 1.06, load_N=21e3)
    assert s.blocks["top"].pin_N / 21e3 == pytest.approx(1.36, abs=5e-3)


def test_w4_equal_tensions_would_understate_the_tree():
    assert contact_load(18.0, 18.0, math.radians(75.0)) == pytest.approx(21.9154, abs=5e-5)
    assert contact_load(18.0, 18.0 * 1.08 ** (75 / 180), math.radians(75.0)) == pytest.approx(
        22.2773, abs=6e-5
    )


@pytest.mark.parametrize("k", [1.00, 1.08, 1.25])
def test_w5_travel_hardly_knows_friction_and_the_line_pulls_more_than_the_load_resists(k):
    s = solved(changed(CORNER, sheaves={"law": "by-wrap", "k": k}))
    assert s.ideal_advantage == pytest.approx(0.976857, abs=5e-7)
    assert s.travel_ratio["winch"] == pytest.approx(0.976857, abs=1.2e-3)
    assert all(part.tension_N > 20e3 for part in s.lines["winch line"].parts)


def test_w6_each_leg_of_the_bridle_exceeds_the_pull():
    s = solved(TWO_LEGS)
    legs = [line.parts[0].tension_N for name, line in s.lines.items() if name.startswith("strap")]
    assert min(legs) > s.resistance_N
    assert s.blocks["link"].pin_N == pytest.approx(40858.5, abs=0.06)


def test_stacked_two_parts_worked_to_the_last_digit():
    # 34 kN, k = 1.06: advantage (1 + 1/k)^2
    s = solved(
        {
            "rig": "stacked two-parts",
            "units": {"force": "kN", "length": "m"},
            "sheaves": {"law": "by-wrap", "k": 1.06},
            "order": ["oak", "M1", "truck"],
            "anchors": {"oak": {}, "rescue truck": {"beside": "oak"}},
            "load": {"name": "truck", "toward": "oak", "resistance": 34},
            "blocks": {"B1": {"on": "truck"}, "M1": {"floating": True}},
            "lines": {
                "long rope": {"standing": "oak", "through": ["B1"], "to": "M1"},
                "winch line": {"standing": "rescue truck", "through": ["M1"], "fall": "winch"},
            },
            "winch": {"on": "rescue truck"},
        }
    )
    assert s.travel_ratio["winch"] == pytest.approx(4.0, rel=1e-12)
    assert s.advantage == pytest.approx(3.77679, abs=5e-6)
    assert s.advantage == pytest.approx((1 + 1 / 1.06) ** 2, rel=1e-12)
    assert s.effort_N["winch"] == pytest.approx(9002.4, abs=0.05)
    assert [p.tension_N for p in s.lines["long rope"].parts] == pytest.approx([16504.9, 17495.1], abs=0.1)
    assert s.bodies["oak"].load_N == pytest.approx(16504.9, abs=0.1)
    assert s.bodies["rescue truck"].load_N == pytest.approx(17495.1, abs=0.1)


def test_one_tenth_per_sheave_as_a_ratio_of_each():
    # effort = (1 + n/10) W / N with n sheaves and N = n + 1 parts
    printed = (1.222, 1.215, 1.209, 1.204, 1.199)
    for n, k in enumerate(printed, start=1):
        words = ("two", "three", "four", "five", "six")
        s = solve_rig(named_rig(f"{words[n - 1]}-part/on-load"), k)
        assert s.winch_share == pytest.approx((1 + 0.1 * n) / (n + 1), rel=1e-3)


def test_heat_of_the_three_part_over_eight_metres_and_what_it_warms():
    # a 2 kg steel block, 480 J/kgK, that keeps all of its heat: an upper bound
    s = solve_rig(parse_notation(W1), 1.07, load_N=26e3)
    heat = [8.0 * c.heat_J_per_m for c in s.contacts]
    assert [h / 1000 for h in heat] == pytest.approx([4.5, 9.7], abs=0.05)
    assert [h / (2.0 * 480.0) for h in heat] == pytest.approx([4.7, 10.1], abs=0.05)


def test_a_bearing_sheave_by_the_moment_about_its_pin():
    from haulwright.mechanics.sheave import bearing_ratio

    for f, c in ((0.02, 0.01), (0.05, 0.01), (0.1, 0.0)):
        wraps = [math.radians(w) for w in (1, 30, 90, 150, 180)]
        ratios = [bearing_ratio(f, c, wrap) for wrap in wraps]
        for wrap, r in zip(wraps, ratios, strict=True):
            assert r - 1.0 == pytest.approx(f * contact_load(r, 1.0, wrap) + c, rel=1e-9)
        assert all(a < b for a, b in pairwise(ratios))
        assert ratios[-1] == pytest.approx((1 + c + f) / (1 - f), rel=1e-12)


def test_the_one_tenth_rule_is_refused_where_no_ratio_gives_its_effort():
    """The winch on the load hauls M, on which four parts of a second line hold; its fifth part runs on to the load.

    By hand, balance of M and of the load: effort ÷ load = (1 + x + x² + x³) ÷ (1 + x + x² + x³ + x⁴), x = 1/k: below 1
    at any k. Four contacts move and the ideal advantage is 1.25, so the rule wants 1.4 / 1.25 = 1.12.
    """
    rig = parse_notation("!O.drum > ~M ; X > M > X > M > X > O")
    for k in (1.05, 1.5, 1.9):
        powers = [k**-i for i in range(5)]
        assert solve_rig(rig, k).winch_share == pytest.approx(sum(powers[:4]) / sum(powers), rel=1e-9)
    with pytest.raises(RigRefusal, match="one-tenth rule") as refused:
        solve_rig(replace(rig, law=TenthRule()))
    assert refused.value.code == "LAW"
