"""Ways out, ends and winches: a way back is the same pull from behind; several winches; files that say so.

Outside the project: mirror symmetry, and weight × sine of the slope for a slope that turns round.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from haulwright.errors import FileRefusal, PlanRefusal
from haulwright.files.place import Anchor
from haulwright.files.pull import read_pull
from haulwright.planning.plan import make_plan, planned
from haulwright.planning.result import Candidate, Plan


def named(plan: Plan, name: str) -> Candidate:
    """Return the candidate of a name."""
    return next(one for one in plan.candidates if one.rig == name)


@pytest.fixture
def turned(pull: dict[str, Any]) -> dict[str, Any]:
    """Return the pull with its tree behind, a winch and points at the rear, asked to go back."""
    pull["site"]["anchors"][0].update(side="behind", aside="2 m")
    pull["winch"] = {"id": "W-1", "end": "rear"}
    pull["want"]["way"] = "back"
    for point in pull["vehicle"]["points"]:
        point["end"] = "rear"
    return pull


def test_back_on_level_ground_is_ahead_seen_from_behind(pull: dict[str, Any], turned: dict[str, Any]) -> None:
    turned["ground"].update(slope="0 deg", direction="level")
    turned["vehicle"]["opposite_direction"] = True  # ahead would be the way it came in, so that back is not
    back = make_plan(turned)
    pull = {**turned, "want": {"travel": "5 m"}, "winch": "W-1"}
    pull["vehicle"] = {**turned["vehicle"], "opposite_direction": False}
    pull["vehicle"]["points"] = [{**point, "end": "front"} for point in turned["vehicle"]["points"]]
    pull["site"] = {"anchors": [{**turned["site"]["anchors"][0], "side": "ahead"}]}
    ahead = make_plan(pull)
    assert [f"{one.rig}, back" for one in ahead.candidates] == [one.rig for one in back.candidates]
    for there, here in zip(ahead.candidates, back.candidates, strict=True):
        assert (there.way, here.way) == ("ahead", "back")
        assert here.effort_N.likely == pytest.approx(there.effort_N.likely, rel=1e-12)
        assert [i.load_N.stall for i in here.items] == pytest.approx(
            [i.load_N.stall for i in there.items], rel=1e-9
        )
        # in the site's own axes the tree stands behind and is pulled ahead
        assert here.places_m["oak"] == pytest.approx((-10.0, 2.0))
        assert here.anchors["oak"].stall_N[0] == pytest.approx(-there.anchors["oak"].stall_N[0])
        assert here.anchors["oak"].stall_N[1] == pytest.approx(there.anchors["oak"].stall_N[1])


def test_the_slope_turns_round(pull: dict[str, Any]) -> None:
    # what pulls it back up the slope helps the other way: twice weight × sine of the slope lies between
    pull["rule"] = "handbook rolling and mire"
    pull["ground"] = {"surface": "gravel", "slope": "4 deg", "direction": "up"}
    pull["kit"]["winches"].append({**pull["kit"]["winches"][0], "id": "W-2"})
    pull["winch"] = ["W-1", {"id": "W-2", "end": "rear"}]
    pull["want"]["way"] = "either"
    ways = make_plan(pull).ways
    weight = 3080 * 9.80665
    between = ways["ahead"].likely - ways["back"].likely
    assert between == pytest.approx(2 * weight * math.sin(math.radians(4)), rel=1e-6)


def test_either_way_plans_both_and_says_which(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"].append(
        {
            "name": "ash",
            "kind": "tree",
            "distance": "12 m",
            "side": "behind",
            "limit": "150 kN",
            "source": "proof pull",
        }
    )
    pull["vehicle"]["points"].append({"name": "rear hook", "rating": "55 kN", "basis": "WLL", "end": "rear"})
    pull["kit"]["winches"].append({**pull["kit"]["winches"][0], "id": "W-2"})
    pull["winch"] = [{"id": "W-1"}, {"id": "W-2", "end": "rear"}]
    pull["want"]["way"] = "either"
    plan = make_plan(pull)
    back = named(plan, "two-part/on-load, back, W-2 on wagon")
    ahead = named(plan, "two-part/on-load, W-1 on wagon")
    assert set(back.anchors) == {"ash"}
    assert set(ahead.anchors) == {"oak"}
    assert back.resistance_N is not None
    assert back.resistance_N.likely == plan.ways["back"].likely
    assert back.effort_N.likely == pytest.approx(back.resistance_N.likely * back.winch_share)
    assert {item.item for item in back.items if "recovery point" in item.role} == {"wagon, rear hook"}
    assert {one.rig: one.lacked for one in plan.rejected}["every rig back with W-1"].startswith(
        "a winch at the rear"
    )
    assert {one.rig: one.lacked for one in plan.rejected}["every rig ahead with W-2"].startswith(
        "a winch at the front"
    )
    assert plan.resistance_N == plan.ways[plan.candidates[0].way]
    # pulled out the way it came in: less by the military rule, which is told
    assert any("came in" in notice.message for notice in back.notices)


def test_winches_on_both_vehicles(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"].append(
        {"name": "helper", "kind": "vehicle", "at": ["15 m", "-3 m"], "limit": "90 kN", "source": "back-tied"}
    )
    pull["kit"]["winches"].append({**pull["kit"]["winches"][0], "id": "W-2"})
    pull["winch"] = ["W-1", {"id": "W-2", "on": "helper"}]
    found = planned(pull)
    stands = {(one.winch, one.winch_on) for one in found.plan.candidates}
    assert stands == {("W-1", "wagon"), ("W-2", "helper")}
    helper = found.settings["redirect/off-load, W-2 on helper"]
    assert helper.request.pull.winch.id == "W-2"
    assert helper.rig.winch_on == "helper"


def test_a_way_that_runs_away_is_told_and_the_other_planned(pull: dict[str, Any]) -> None:
    pull["ground"] = {"surface": "road", "slope": "20 deg", "direction": "up"}
    pull["vehicle"]["sunk"] = "none"
    pull["want"]["way"] = "either"
    pull["winch"] = [{"id": "W-1"}]
    pull["kit"]["winches"].append({**pull["kit"]["winches"][0], "id": "W-2"})
    pull["winch"].append({"id": "W-2", "end": "rear"})
    plan = make_plan(pull)
    assert set(plan.ways) == {"ahead"}
    assert "a resistance that is known" in {one.rig: one.lacked for one in plan.rejected}["every rig back"]
    pull["want"]["way"] = "back"
    with pytest.raises(PlanRefusal) as refused:
        make_plan(pull)
    assert refused.value.code == "RUNS_AWAY"


@pytest.mark.parametrize(
    ("given", "seen"),
    [
        ({"distance": "8 m", "aside": "-3 m"}, (8.0, -3.0)),
        ({"at": ["8 m", "-3 m"]}, (8.0, -3.0)),
        ({"at": ["-8 m", "0 m"]}, (-8.0, 0.0)),
        ({"distance": "8 m", "side": "behind", "aside": "1 m"}, (-8.0, 1.0)),
        ({"at": "8 m"}, (8.0, 0.0)),
        ({"at": ["0 m", "6 m"]}, (0.0, 6.0)),
    ],
)
def test_places_of_anchors(given: dict[str, Any], seen: tuple[float, float]) -> None:
    anchor = Anchor(name="oak", **given)
    assert (anchor.along, anchor.aside) == seen


def test_plain_numbers_of_a_place_take_the_units_of_the_file(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"][0] = {"name": "oak", "at": [20, -6]}
    with pytest.raises(FileRefusal, match="needs its unit"):
        read_pull(pull)
    pull["units"] = {"length": "ft"}
    oak = read_pull(pull).site.anchors[0]
    assert (oak.along, oak.aside) == pytest.approx((20 * 0.3048, -6 * 0.3048))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"at": ["8 m", "1 m"], "side": "behind"}, "leave out side"),
        ({"at": ["8 m"]}, r"expected \[x, y\]"),
        ({"distance": "0 m"}, "where the stuck vehicle does"),
    ],
)
def test_places_that_are_refused(pull: dict[str, Any], change: dict[str, Any], words: str) -> None:
    pull["site"]["anchors"][0] = {"name": "oak", **change}
    with pytest.raises(FileRefusal, match=words):
        read_pull(pull)


def test_a_winch_given_twice_is_refused(pull: dict[str, Any]) -> None:
    pull["winch"] = ["W-1", {"id": "W-1", "on": "oak"}]
    with pytest.raises(FileRefusal, match="given twice"):
        read_pull(pull)
