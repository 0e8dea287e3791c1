"""Candidates at their places on the ground, against statics done by hand.

Outside the project: the triangle of forces (a corner block between two parts that pull T at an angle θ between them
carries 2 T cos(θ/2); a leg of an even bridle F ÷ (2 cos(θ/2))), Pythagoras for lengths, the sum of the forces on a body.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.travel import pull_along
from haulwright.notices import Code
from haulwright.planning.drawing import ratios_of
from haulwright.planning.plan import make_plan, planned
from haulwright.planning.result import Candidate, ItemCheck, Plan

STALL = 42e3
SHACKLES = [{"id": f"S-{n}", "kind": "shackle", "rating": "12 t", "basis": "WLL"} for n in range(4, 12)]


def named(plan: Plan, name: str) -> Candidate:
    """Return the candidate of a name."""
    return next(one for one in plan.candidates if one.rig == name)


def item(candidate: Candidate, name: str) -> ItemCheck:
    """Return one piece of a candidate."""
    return next(one for one in candidate.items if one.item == name)


def tree(name: str, x: float, y: float) -> dict[str, Any]:
    """Return a tree at a place."""
    return {
        "name": name,
        "kind": "tree",
        "at": [f"{x} m", f"{y} m"],
        "limit": "150 kN",
        "source": "proof pull",
    }


@pytest.fixture
def site(pull: dict[str, Any]) -> dict[str, Any]:
    """Return a pull with two trees 12 m ahead, 5 m left and right, and gear enough for both."""
    pull["site"]["anchors"] = [tree("oak", 12, 5), tree("elm", 12, -5)]
    pull["kit"]["items"] += [*SHACKLES, {"id": "T-2", "kind": "strap", "rating": "12 t", "basis": "WLL"}]
    pull["want"]["travel"] = "4 m"
    pull["vehicle"].update(mass="1.6 t", load="200 kg")
    return pull


def test_one_tree_aside(site: dict[str, Any]) -> None:
    # 12 m ahead and 5 m aside: the line leaves at 5 in 13; after 4 m at 5 in sqrt(8² + 5²)
    plan = make_plan(site)
    single = named(plan, "single line/on-load, oak")
    assert single.advantage_start == pytest.approx(12 / 13)
    assert single.advantage == pytest.approx(8 / math.hypot(8, 5))
    assert single.worst_at_m == 4.0
    assert single.effort_N.likely == pytest.approx(plan.resistance_N.likely * math.hypot(8, 5) / 8)
    assert single.side_pull_N is not None
    assert single.side_pull_N.likely == pytest.approx(plan.resistance_N.likely * 5 / 8)
    assert single.side_pull_N.stall == pytest.approx(STALL * 5 / math.hypot(8, 5))
    assert any(notice.code == Code.SIDE_PULL.name for notice in single.notices)
    assert any("falls from 0.92 at the start to 0.85 after 4.0 m" in n.message for n in single.notices)


def test_left_is_left(site: dict[str, Any]) -> None:
    plan = make_plan(site)
    left, right = (named(plan, f"single line/on-load, {name}").anchors[name] for name in ("oak", "elm"))
    # a tree to the left is pulled back and to the right
    assert left.stall_N[0] < 0.0
    assert left.stall_N[1] < 0.0
    assert right.stall_N == pytest.approx((left.stall_N[0], -left.stall_N[1]))


def test_round_two_trees_pulls_straight(site: dict[str, Any]) -> None:
    # the line makes an even triangle wagon - oak - elm: without friction no side pull, 2 cos(half angle) of advantage
    plan = make_plan(site)
    both = named(plan, "two-part/on-load, round oak and elm")
    assert both.side_pull_N is not None
    assert both.ideal_advantage == pytest.approx(2 * 8 / math.hypot(8, 5))
    k = 1.07
    assert both.advantage == pytest.approx((1 + 1 / k**2) * 8 / math.hypot(8, 5))
    # side pull with friction at its upper end: the two parts pull T and T / k²
    worst = 1.09
    assert both.side_pull_N.stall == pytest.approx(STALL * (1 - 1 / worst**2) * 5 / math.hypot(8, 5))
    # oak: one part to the wagon and one straight across to the elm; greatest at the end, where they stand closest
    along, across = 8 / math.hypot(8, 5), 5 / math.hypot(8, 5)
    vector = (-STALL * along, -STALL * (1 + across))
    assert both.anchors["oak"].stall_N == pytest.approx(vector)
    assert item(both, "oak").load_N.stall == pytest.approx(math.hypot(*vector))
    assert item(both, "oak").at_m == 4.0
    assert both.line_needed_m == pytest.approx(2 * 13 + 10 + 5 * math.pi * 0.311)


def test_corner_block_of_a_line_led_aside(site: dict[str, Any]) -> None:
    # helper 12 m ahead and 12 m left, led round an oak in line: 90 degrees between the parts
    site["site"]["anchors"] = [
        tree("oak", 12, 0),
        {
            "name": "helper",
            "kind": "vehicle",
            "at": ["12 m", "12 m"],
            "limit": "90 kN",
            "source": "back-tied",
        },
    ]
    site["winch"] = {"id": "W-1", "on": "helper"}
    plan = make_plan(site)
    led = named(plan, "redirect/off-load")
    assert item(led, "oak").load_N.stall == pytest.approx(2 * STALL * math.cos(math.radians(45)))
    assert led.anchors["oak"].stall_N == pytest.approx((-STALL, STALL))
    assert led.anchors["helper"].stall_N == pytest.approx((0.0, -STALL))
    assert led.effort_N.likely == pytest.approx(plan.resistance_N.likely * 1.07)
    assert led.side_pull_N is not None
    assert led.side_pull_N.stall == pytest.approx(0.0, abs=1e-6)
    # straight from the helper the line would leave at 45 degrees, and at 12 in hypot(8, 12) after 4 m
    straight = named(plan, "single line/off-load")
    assert straight.advantage_start == pytest.approx(math.cos(math.radians(45)))
    assert straight.advantage == pytest.approx(8 / math.hypot(8, 12))


def test_standing_end_at_another_tree(site: dict[str, Any]) -> None:
    # two parts to the oak, one to the elm: the wagon sees (2 + 1) cos along and (2 - 1) sin across
    three = named(make_plan(site), "three-part/on-load, oak, last at elm")
    along, across = 8 / math.hypot(8, 5), 5 / math.hypot(8, 5)
    assert three.ideal_advantage == pytest.approx(3 * along)
    # each anchor is pulled in line with its parts, as hard all along: told where the pull begins
    assert three.anchors["elm"].stall_N == pytest.approx((-STALL * 12 / 13, STALL * 5 / 13))
    assert three.anchors["oak"].stall_N == pytest.approx((-2 * STALL * 12 / 13, -2 * STALL * 5 / 13))
    # without friction only STALL pulls across; with k at its upper end the parts are 1, 1/k and 1/k²
    k = 1.09
    least = 1 + 1 / k - 1 / k**2
    assert three.side_pull_N is not None
    assert three.side_pull_N.stall == pytest.approx(STALL * across * max(1.0, least))


@pytest.fixture
def bridled(site: dict[str, Any]) -> dict[str, Any]:
    """Return the site with a line of 14 m that can go from tree to tree."""
    site["kit"]["items"].append(
        {
            "id": "BR-9",
            "kind": "extension line",
            "rating": "240 kN",
            "basis": "MBS",
            "factor": 2,
            "length": "14 m",
        }
    )
    return site


def test_block_on_a_bridle_between_two_trees(bridled: dict[str, Any]) -> None:
    # legs of 7 m between trees 10 m apart: the block hangs sqrt(7² - 5²) = 4.9 m before them, in line with the wagon
    before = math.sqrt(7**2 - 5**2)
    leg = 2 * STALL / (2 * before / 7)  # F ÷ (2 cos of half the angle), F of a two-part at stall
    two = named(make_plan(bridled), "two-part/on-load, oak + elm")
    assert two.places_m["oak + elm"] == pytest.approx((12 - before, 0.0), abs=1e-9)
    assert two.bridles == {"oak + elm": ("oak", "elm")}
    assert two.ideal_advantage == pytest.approx(2.0)
    for name in ("oak", "elm", "BR-9", "T-1", "T-2"):
        assert item(two, name).load_N.stall == pytest.approx(leg), name
    assert item(two, "B-1").load_N.stall == pytest.approx(2 * STALL)
    assert two.anchors["oak"].stall_N == pytest.approx((-leg * before / 7, -leg * 5 / 7))
    assert sum(one.stall_N[0] for one in two.anchors.values()) == pytest.approx(-2 * STALL)
    assert any("must not slide on the bridle" in notice.message for notice in two.notices)


def test_an_uneven_bridle_against_straps_that_find_their_place(bridled: dict[str, Any]) -> None:
    # trees 4 m to one side and 7 m to the other: the same block on two straps, its place and tensions left to the solver
    bridled["site"]["anchors"] = [tree("oak", 13, 4), tree("elm", 12, -7)]
    bridled["want"]["travel"] = "3 m"
    found = planned(bridled)
    two = named(found.plan, "two-part/on-load, oak + elm")
    shared = found.settings[two.rig].request.shared["oak + elm"]
    assert sum(shared.legs_m) == pytest.approx(14.0)
    import haulwright as hw

    straps = hw.solve_rig(
        {
            "mode": "ground",
            "units": {"force": "N", "length": "m"},
            "anchors": {"oak": {"at": [13, 4]}, "elm": {"at": [12, -7]}},
            "load": {"name": "wagon", "at": [0, 0], "direction": [1, 0]},
            "blocks": {
                "B": {
                    "strap": [
                        {"to": n, "length": m} for n, m in zip(("oak", "elm"), shared.legs_m, strict=True)
                    ]
                }
            },
            "lines": {"winch line": {"standing": "wagon", "through": ["B"], "fall": "winch"}},
            "winch": {"on": "wagon"},
        },
        1.0,
        effort=STALL,
    )
    for name in ("oak", "elm"):
        assert item(two, name).load_N.stall == pytest.approx(straps.bodies[name].load_N, rel=1e-6)
    assert straps.positions_m is not None
    assert two.places_m["oak + elm"] == pytest.approx(straps.positions_m["B"][:2], abs=1e-6)


def test_a_leg_that_would_hang_slack_is_named(bridled: dict[str, Any]) -> None:
    bridled["site"]["anchors"] = [tree("oak", 12, 2), tree("elm", 12, 9)]
    lacked = {one.rig: one.lacked for one in make_plan(bridled).rejected}
    assert "slack" in lacked["every rig at oak + elm"]
    # the helper's line hauls the block of a redirect to its own side: the leg away from it goes slack
    bridled["site"]["anchors"] = [
        tree("oak", 12, 5),
        tree("elm", 12, -5),
        {"name": "helper", "kind": "vehicle", "at": ["9 m", "12 m"], "limit": "90 kN", "source": "back-tied"},
    ]
    bridled["winch"] = {"id": "W-1", "on": "helper"}
    lacked = {one.rig: one.lacked for one in make_plan(bridled).rejected}
    assert "The leg to oak hangs slack" in lacked["redirect/off-load, oak + elm"]


def test_every_load_goes_with_the_resistance(site: dict[str, Any]) -> None:
    # weightless lines: the record solved once at stall and scaled, against the rig solved at the likely resistance itself
    found = planned(site)
    checked = 0
    for one in found.plan.candidates:
        setting = found.settings[one.rig]
        ratios = {block: k.hi for block, k in setting.ratios.items()}
        rows = [
            solve_rig(place.rig, k, load_N=found.plan.resistance_N.likely).bodies
            for place in setting.along
            for k in (1.0, ratios or None)
        ]
        for name in one.anchors:
            most = max(bodies[name].load_N for bodies in rows)
            assert item(one, name).load_N.likely == pytest.approx(most, rel=1e-9)
            checked += 1
    assert checked > 10


def test_the_worst_place_is_the_worst_of_the_whole_travel(site: dict[str, Any]) -> None:
    # stepped in forty places by the solver of pulls, no place asks for more than the one the candidate tells
    found = planned(site)
    for one in found.plan.candidates:
        setting = found.settings[one.rig]
        expected = {block: k.value for block, k in setting.ratios.items()}
        for start in setting.layout.starts:
            pull = pull_along(start.rig, start.travel_m, 40, expected or None, load_N=1000.0)
            assert pull.stop is None
            most = max(pull.effort_N["winch"])
            assert most / 1000.0 <= one.winch_share * (1 + 1e-9)
        assert most / 1000.0 == pytest.approx(one.winch_share)


def test_the_rig_of_a_candidate_solves_to_its_numbers(site: dict[str, Any]) -> None:
    plan = make_plan(site)
    for one in plan.candidates:
        assert one.ground_rig is not None
        solved = solve_rig(one.ground_rig, ratios_of(plan, one), load_N=plan.resistance_N.likely)
        assert solved.advantage == pytest.approx(one.advantage_start)
        assert {name: body.at[:2] for name, body in one.ground_rig.bodies.items()} == one.places_m


def test_mirrored_sites_are_one(site: dict[str, Any]) -> None:
    site["site"]["anchors"] = [tree("oak", 12, 5), tree("elm", 13, -3)]
    right = make_plan(site)
    site["site"]["anchors"] = [tree("oak", 12, -5), tree("elm", 13, 3)]
    left = make_plan(site)
    assert [one.rig for one in left.candidates] == [one.rig for one in right.candidates]
    for a, b in zip(left.candidates, right.candidates, strict=True):
        assert a.advantage == pytest.approx(b.advantage, rel=1e-12)
        assert [i.load_N.stall for i in a.items] == pytest.approx([i.load_N.stall for i in b.items], rel=1e-9)


def test_verdict_never_gets_better_with_friction_or_weaker_gear(site: dict[str, Any]) -> None:
    order = ("inside", "tight", "unknown", "over")
    before = {one.rig: order.index(one.verdict) for one in make_plan(site).candidates}
    for name in ("puck-A", "puck-B"):
        site["friction"][name] = {**site["friction"][name], "k": 1.3, "interval95": [1.2, 1.4]}
    rough = {one.rig: order.index(one.verdict) for one in make_plan(site).candidates}
    assert all(verdict >= before[rig] for rig, verdict in rough.items())
    for row in site["site"]["anchors"]:
        row["limit"] = "60 kN"
    weak = {one.rig: order.index(one.verdict) for one in make_plan(site).candidates}
    assert all(verdict >= rough[rig] for rig, verdict in weak.items())
    assert any(weak[rig] > rough[rig] for rig in weak)


def test_what_stands_well_inside_comes_before_less_friction(pull: dict[str, Any]) -> None:
    # 84 kN at stall: 95 % of a block of 9 t, tight, and 71 % of one of 12 t; else friction could better a verdict
    blocks = pull["kit"]["items"][1:3]
    blocks[0]["rating"], blocks[1]["rating"] = "12 t", "9 t"
    pull["friction"]["puck-B"] = {**pull["friction"]["puck-B"], "k": 1.06}
    assert named(make_plan(pull), "two-part/on-load").devices["oak"] == "B-1"
    blocks[1]["rating"] = "11 t"  # 78 %: now both stand it, and B-2 turns easier
    assert named(make_plan(pull), "two-part/on-load").devices["oak"] == "B-2"


def test_two_trees_told_at_one_place(site: dict[str, Any]) -> None:
    site["site"]["anchors"] = [tree("oak", 12, 0), tree("elm", 12, 0)]
    lacked = {one.rig: one.lacked for one in make_plan(site).rejected}
    assert "two of its bodies are at one place" in lacked["two-part/on-load, round oak and elm"]


def test_led_round_another_anchor(site: dict[str, Any]) -> None:
    # from a helper far to the left round the oak on the left, to the wagon and on to the elm on the right
    site["site"]["anchors"].append(
        {"name": "helper", "kind": "vehicle", "at": ["10 m", "14 m"], "limit": "90 kN", "source": "back-tied"}
    )
    site["winch"] = {"id": "W-1", "on": "helper"}
    led = named(make_plan(site), "two-part/off-load, elm, led round oak")
    assert led.path == "helper.drum > oak > !wagon > elm"
    assert led.ideal_advantage == pytest.approx(2 * 8 / math.hypot(8, 5))
    k = 1.07
    assert led.advantage == pytest.approx((1 / k + 1 / k**2) * 8 / math.hypot(8, 5))


def test_a_block_the_line_passes_straight_is_of_no_use(site: dict[str, Any]) -> None:
    site["site"]["anchors"] = [tree("oak", 12, 0), tree("elm", 16, 0)]
    lacked = {one.rig: one.lacked for one in make_plan(site).rejected}
    assert "almost straight" in lacked["two-part/on-load, round oak and elm"]
