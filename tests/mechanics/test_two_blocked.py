"""How far one set-up goes, resets, line needed, drum, heat of the blocks.

Sources. Travel per set-up and resets: arithmetic, worked by hand: 9.0 m wanted, gap 4.2 m down to 1.2 m, 3.0 m for each
set-up, 2 resets; 2.0 m for each set-up, 4 resets. Speeds of the moving blocks: virtual work of stacked two-parts (any
rigging text: the runner's block travels twice as far as the load). Line round a sheave: radius × wrap. Drum capacity and
layers: reel-capacity formula of wire rope handbooks, checked in tests/field. Specific heat of steel 480 J/(kg K):
handbook value, from memory.
"""

import math

import pytest
from ground_rigs import CORNER

import haulwright as hw
from haulwright.errors import RigRefusal

UNITS = {"force": "kN", "length": "m"}
THREE_PART = {
    "units": UNITS,
    "sheaves": {"law": "by-wrap", "k": 1.07},
    "order": ["oak", "truck"],
    "anchors": {"oak": {}},
    "load": {"name": "truck", "toward": "oak", "resistance": 26},
    "blocks": {"B1": {"on": "truck"}, "B2": {"on": "oak"}},
    "lines": {"winch line": {"standing": "B2.becket", "through": ["B1", "B2"], "fall": "winch"}},
    "winch": {"on": "truck"},
    "gaps": [{"from": "B1", "to": "B2", "start": 4.2, "least": 1.2}],
    "want": {"travel": 9},
}
STACKED = {
    "units": UNITS,
    "anchors": {"oak": {"at": [0, 0]}},
    "load": {"name": "wagon", "at": [50, 0], "toward": "oak", "resistance": 40},
    "blocks": {"B1": {"on": "wagon"}, "M1": {"floating": True, "at": [20, 0]}},
    "lines": {
        "long rope": {"standing": "oak", "through": ["B1"], "to": "M1"},
        "winch line": {"standing": "oak", "through": ["M1"], "fall": "winch"},
    },
    "winch": {"on": "oak"},
    "want": {"travel": 12, "least_gap": 2},
}


def merged(rig, more):
    """Return a rig with some values changed, at any depth."""
    return {
        key: merged(rig[key], value) if isinstance(value, dict) and key in more and key in rig else value
        for key, value in {**rig, **more}.items()
    }


def told(solution, code):
    return [n.message for n in solution.notices if n.code == code]


def test_a_set_up_ends_where_the_blocks_meet():
    s = hw.solve_rig(THREE_PART)
    assert s.two_blocked_m == pytest.approx(3.0)
    assert (s.clearance.setup_m, s.clearance.resets) == (pytest.approx(3.0), 2)
    assert told(s, "TWO_BLOCKED") == ["Blocks meet after 3.0 m (B1 and B2); 2 resets needed."]
    assert s.line_m["winch"]["taken_in"] == pytest.approx(27.0)  # travel ratio 3 × 9 m
    assert s.line_m["winch"]["needed"] is None
    assert s.effort_N["winch"] == pytest.approx(9259.2, abs=0.1)  # the numbers stay


def test_a_set_up_ends_where_the_drum_is_full():
    rig = {**THREE_PART, "winch": {"on": "truck", "drum": {"capacity": 30, "on_drum": 24}}}
    s = hw.solve_rig(rig)
    assert (s.clearance.setup_m, s.clearance.limit, s.clearance.resets) == (
        pytest.approx(2.0),
        "winch is full",
        4,
    )
    (full,) = told(s, "DRUM_FULL")
    assert full.startswith("winch brings in 9.0 m, its drum has room for 6.0 m: full after 2.0 m; 4 resets")
    assert s.two_blocked_m == pytest.approx(3.0)


def test_no_finding_where_the_travel_is_there():
    s = hw.solve_rig({**THREE_PART, "want": {"travel": 3.0}})
    assert s.clearance.resets == 0
    assert not told(s, "TWO_BLOCKED")
    assert s.two_blocked_m == pytest.approx(3.0)


def test_blocks_that_start_too_near_have_no_travel():
    s = hw.solve_rig({**THREE_PART, "gaps": [{"from": "B1", "to": "B2", "start": 1.0, "least": 1.2}]})
    assert (s.two_blocked_m, s.clearance.resets) == (0.0, None)
    assert "no travel" in told(s, "TWO_BLOCKED")[0]


def test_the_first_pair_to_close_governs_and_each_moving_block_has_its_own_speed():
    s = hw.solve_rig(STACKED, 1.1)
    gaps = {(gap.from_, gap.to): gap for gap in s.clearance.gaps}
    # M1 goes two metres for each metre of the wagon: from 20 m to 2 m off the oak in 9 m of travel
    assert gaps["oak", "M1"].meets_m == pytest.approx(9.0)
    assert gaps["oak", "B1"].meets_m == pytest.approx(48.0)
    assert ("B1", "M1") not in gaps  # it gets longer
    assert (s.clearance.gaps[0].from_, s.clearance.gaps[0].to) == ("oak", "M1")
    assert (s.two_blocked_m, s.clearance.resets) == (pytest.approx(9.0), 1)
    assert s.line_m["winch"]["taken_in"] == pytest.approx(4 * 12.0)
    for travel, least in ((4.0, 12.0), (9.0, 2.0)):  # against the rig set anew at that place
        moved = hw.solve_rig(
            merged(
                STACKED, {"load": {"at": [50 - travel, 0]}, "blocks": {"M1": {"at": [20 - 2 * travel, 0]}}}
            )
        )
        assert next(g for g in moved.clearance.gaps if g.to == "M1").start_m == pytest.approx(least)


def test_a_gap_aside_of_the_travel_is_at_its_least_where_the_circle_is_met():
    rig = {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 3]}, "helper": {"at": [1, 30]}},
        "load": {"name": "truck", "at": [20, 0], "direction": [-1, 0], "resistance": 10},
        "blocks": {"B": {"on": "oak"}},
        "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "helper"},
        "want": {"travel": 10, "least_gap": 5},
    }
    s = hw.solve_rig(rig, 1.1)
    assert s.two_blocked_m == pytest.approx(20 - 4.0)  # 3-4-5
    parts = math.hypot(20, 3) - math.hypot(10, 3)  # what the drum takes in over 10 m, not travel ratio × 10 m
    assert s.line_m["winch"]["taken_in"] == pytest.approx(parts)
    passes = hw.solve_rig({**rig, "want": {"travel": 10, "least_gap": 2}}, 1.1)
    assert passes.two_blocked_m is None
    assert passes.clearance.gaps[0].meets_m is None


def test_the_house_number_stands_in_for_a_least_gap_and_nothing_for_a_gap():
    placed = {**STACKED, "want": {"travel": 12}}
    gap = hw.solve_rig(placed).clearance.gaps[0]
    assert (gap.least_m, gap.least_from) == (2.0, "house number")
    assert hw.solve_rig(STACKED).clearance.gaps[0].least_from == "stated"
    assert hw.solve_rig(merged(STACKED, {"want": {"least_gap": 0}})).two_blocked_m == pytest.approx(10.0)
    assert hw.solve_rig("three-part").two_blocked_m is None
    assert hw.solve_rig("three-part").clearance is None


def corner_at(travel, **more):
    """Return the floating corner solved anew with its truck further along, without looking along the way."""
    return hw.solve_rig({**CORNER, **more, "load": {**CORNER["load"], "at": [16 - travel, -2]}})


def test_a_block_that_finds_its_place_meets_the_load_where_the_rig_set_anew_has_the_gap():
    s = hw.solve_rig({**CORNER, "want": {"travel": 13, "least_gap": 4}})
    gap = s.clearance.gaps[0]
    assert {gap.from_, gap.to} == {"truck", "corner"}
    anew = corner_at(s.two_blocked_m)
    x, y, _ = anew.positions_m["corner"]
    assert math.hypot(x - 16 + s.two_blocked_m, y + 2) == pytest.approx(4.0, abs=1e-5)
    assert s.clearance.resets == 1
    before, after = (sum(p.length_m for p in r.lines["winch line"].parts) for r in (s, corner_at(13.0)))
    assert s.line_m["winch"]["taken_in"] == pytest.approx(before - after, abs=1e-9)
    stated = {**CORNER, "want": {"travel": 13}, "gaps": [{"from": "truck", "to": "corner", "least": 4}]}
    assert hw.solve_rig(stated).two_blocked_m == pytest.approx(s.two_blocked_m, abs=1e-6)


def test_where_the_rig_works_no_further_is_told_with_the_reason():
    s = hw.solve_rig({**CORNER, "want": {"travel": 40, "least_gap": 0.001}})
    end = s.clearance.setup_m
    assert "works no further" in s.clearance.limit
    assert any("works no further" in message for message in told(s, "OUT_OF_RANGE"))
    assert corner_at(end - 0.01).effort_N["winch"] > 0.0
    with pytest.raises(RigRefusal):
        corner_at(end + 0.05)
    assert "winch" not in s.line_m or s.line_m["winch"]["taken_in"] is None


def test_without_a_travel_a_gap_at_a_block_that_finds_its_place_is_not_given():
    assert hw.solve_rig(CORNER).two_blocked_m is None
    with pytest.raises(RigRefusal, match="along a curve"):
        hw.solve_rig({**CORNER, "gaps": [{"from": "truck", "to": "corner", "least": 4}]})


def test_a_floating_block_aside_of_the_travel_is_looked_for_along_its_curve():
    """The oak stands 4 m aside: the long rope from it round the wagon's block holds M, which runs along x only.

    With the wagon x on, M is at the place where both parts of the long rope keep their length (Pythagoras).
    """
    aside = merged(STACKED, {"anchors": {"oak": {"at": [0, 4]}}, "load": {"direction": [-1, 0]}})
    s = hw.solve_rig(merged(aside, {"want": {"travel": 6, "least_gap": 12}}), 1.1)
    gap = next(g for g in s.clearance.gaps if {g.from_, g.to} == {"oak", "M1"})
    wagon = 50 - gap.meets_m
    block = wagon - (math.hypot(50, 4) + 30 - math.hypot(wagon, 4))
    assert math.hypot(block, 4) == pytest.approx(12.0, abs=1e-5)
    end = 44 - (math.hypot(50, 4) + 30 - math.hypot(44, 4))
    start_m, end_m = (2 * math.hypot(x, 4) for x in (20, end))
    assert s.line_m["winch"]["taken_in"] == pytest.approx(start_m - end_m, abs=1e-8)


def test_a_winch_that_would_have_to_drag_the_load_on_past_its_anchor_is_told():
    rig = {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 6]}},
        "load": {"name": "truck", "at": [10, 0], "direction": [-1, 0], "resistance": 20},
        "lines": {"winch line": {"standing": "oak", "fall": "winch"}},
        "winch": {"on": "truck"},
        "want": {"travel": 20},
    }
    s = hw.solve_rig(rig)
    assert s.clearance.setup_m == pytest.approx(10.0, abs=2e-3)  # abreast of the oak nothing pulls it on
    assert "works no further" in s.clearance.limit
    assert any("works no further" in message for message in told(s, "OUT_OF_RANGE"))
    assert s.line_m["winch"]["taken_in"] is None


def test_a_drum_on_a_slanted_pull_is_full_where_its_line_is_in():
    drum = {"on": "helper", "drum": {"capacity": 30, "on_drum": 25}}
    s = hw.solve_rig({**CORNER, "winch": drum, "want": {"travel": 10, "least_gap": 1}})
    assert s.clearance.limit == "winch is full"
    before, after = (
        sum(p.length_m for p in r.lines["winch line"].parts) for r in (s, corner_at(s.clearance.setup_m))
    )
    assert before - after == pytest.approx(5.0, abs=1e-5)


def test_without_travel_or_least_gap_no_gap_is_looked_for():
    s = hw.solve_rig({name: part for name, part in STACKED.items() if name != "want"})
    assert s.two_blocked_m is None
    assert s.clearance.gaps == ()
    house = hw.solve_rig({**STACKED, "want": {"travel": 12}})
    assert "a house number" in told(house, "TWO_BLOCKED")[0]
    assert "a house number" not in told(hw.solve_rig(STACKED), "TWO_BLOCKED")[0]


def test_line_needed_is_the_sum_of_its_parts_and_what_is_added():
    rig = {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {"name": "truck", "at": [20, 0], "resistance": 26},
        "blocks": {"B": {"on": "oak", "sheave_diameter": 0.2}},
        "lines": {
            "winch line": {
                "standing": "truck", "through": ["B"], "fall": "winch",
                "rope": {"diameter": 0.0127}, "tail": 0.5, "length": 42,
            }
        },
        "winch": {"on": "truck", "drum": {"least_wraps": 5, "barrel": 0.102, "width": 0.224, "capacity": 30}},
        "want": {"travel": 5},
    }  # fmt: skip
    s = hw.solve_rig(rig)
    need = s.clearance.line["winch"]
    kept = 5 * math.pi * (0.102 + 0.0127)
    assert (need.parts_m, need.sheaves_m) == (pytest.approx(40.0), pytest.approx(0.1 * math.pi))
    assert (need.kept_m, need.tail_m) == (pytest.approx(kept), 0.5)
    assert s.line_m["winch"]["needed"] == pytest.approx(40.0 + 0.1 * math.pi + kept + 0.5)
    (short,) = told(s, "LINE_SHORT")
    for word in ("42.62 m", "there are 42.00 m", "round the sheaves", "wraps that stay", "tail"):
        assert word in short
    assert not told(hw.solve_rig(merged(rig, {"lines": {"winch line": {"length": 43}}})), "LINE_SHORT")
    # room: 30 m less what lies on it at the start, here the wraps that stay
    assert need.room_m == pytest.approx(30.0 - kept)


def test_a_drum_without_a_stated_capacity_holds_what_its_measures_say():
    line = {"standing": "truck", "through": ["B"], "fall": "winch", "rope": {"diameter": 0.0127}}
    rig = {
        "units": UNITS,
        "anchors": {"oak": {}},
        "load": {"name": "truck", "resistance": 26},
        "blocks": {"B": {"on": "oak"}},
        "lines": {"winch line": line},
        "winch": {"on": "truck", "drum": {"barrel": 0.102, "width": 0.224, "flange": 0.204}},
    }
    room = hw.solve_rig(rig).clearance.line["winch"].room_m
    assert room == pytest.approx(math.pi * 0.224 * 0.051 * (0.102 + 0.051) / 0.0127**2)


@pytest.mark.parametrize(
    ("rig", "code", "words"),
    [
        ({"gaps": [{"from": "B1", "to": "oka", "start": 4, "least": 1}]}, "UNKNOWN", "Did you mean oak?"),
        ({"gaps": [{"from": "B1", "to": "B2", "least": 1}]}, "INPUT", "no start"),
        ({"gaps": [{"from": "B2", "to": "oak", "start": 4, "least": 1}]}, "INPUT", "do not close"),
        ({"winch": {"on": "truck", "drum": {"least_wraps": 5}}}, "INPUT", "barrel"),
        ({"winch": {"on": "truck", "drum": {"flange": 0.3}}}, "INPUT", "barrel"),
        (
            {"blocks": {"B1": {"on": "truck", "mass": "2 kg"}, "B2": {"on": "oak"}}},
            "INPUT",
            "mass and material",
        ),
    ],
)
def test_gear_that_says_too_little_is_refused(rig, code, words):
    with pytest.raises(RigRefusal, match=words) as refused:
        hw.solve_rig({**THREE_PART, **rig})
    assert refused.value.code == code


def test_a_start_beside_places_is_refused():
    gap = {"from": "M1", "to": "oak", "start": 4, "least": 1}
    with pytest.raises(RigRefusal, match="places"):
        hw.solve_rig({**STACKED, "gaps": [gap]})
    s = hw.solve_rig({**STACKED, "gaps": [{"from": "M1", "to": "oak", "least": 1}]})
    assert s.two_blocked_m == pytest.approx(9.5)


def test_heat_of_the_blocks_over_a_pull_and_how_warm_it_could_make_them():
    """Three-part, 26 kN, k 1.07 by wrap, 8 m of travel: worked by hand from the tensions 8.0873, 8.6535, 9.2592 kN."""
    steel = {"mass": "2 kg", "material": "steel"}
    rig = merged(THREE_PART, {"blocks": {"B1": steel, "B2": steel}, "want": {"travel": 8}})
    s = hw.solve_rig({**rig, "winch": {"on": "truck", "speed": "3 m/min"}})
    heat = {name: block.heat_J for name, block in s.blocks.items()}
    assert heat["B1"] == pytest.approx(566.1 * 8, rel=1e-3)
    assert heat["B2"] == pytest.approx(1211.5 * 8, rel=1e-3)
    assert s.blocks["B1"].rise_K == pytest.approx(4.7, abs=0.05)
    assert s.blocks["B2"].rise_K == pytest.approx(10.1, abs=0.05)
    assert s.blocks["B2"].heat_W == pytest.approx(1211.5 / 60, rel=1e-3)  # the load moves 1 m in a minute
    assert s.blocks["B2"].rim_speed_ratio == pytest.approx(2.0)
    assert sum(block.heat_J_per_m for block in s.blocks.values()) == pytest.approx(
        3 * s.effort_N["winch"] - 26e3
    )
    alone = {key: value for key, value in THREE_PART.items() if key != "want"}
    assert hw.solve_rig(alone).blocks["B1"].heat_J is None


def test_a_block_tells_all_its_wraps_and_the_angle_between_the_parts():
    s = hw.solve_rig("!truck.drum > B2@oak > truck > B2@oak > truck")
    block = s.blocks["B2"]
    assert block.wraps_rad == pytest.approx((math.pi, math.pi))
    assert block.between_rad == pytest.approx((0.0, 0.0))
    assert s.blocks["B2"].vector_N is None


def test_the_vector_of_a_block_is_what_it_pulls_with():
    s = hw.solve_rig(CORNER)
    block, strap = s.blocks["corner"], s.bodies["oak"]
    assert math.dist(block.vector_N, (0, 0, 0)) == pytest.approx(block.pin_N)
    assert block.vector_N == pytest.approx(strap.vector_N)  # the oak feels what the block pulls with
    assert block.wraps_rad[0] + block.between_rad[0] == pytest.approx(math.pi)
