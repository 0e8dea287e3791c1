"""Planted faults: each is named first, in words, through the plan and through the check of the kit."""

from __future__ import annotations

from typing import Any

import pytest

from haulwright.errors import PlanRefusal
from haulwright.files.kit import read_kit
from haulwright.planning.kit_check import check_kit
from haulwright.planning.plan import make_plan
from haulwright.planning.result import Candidate, ItemCheck

RIG = "two-part/on-load"


def first(pull: dict[str, Any]) -> Candidate:
    """Return the one rig that is checked."""
    return make_plan(pull, rig=RIG).candidates[0]


def item(candidate: Candidate, name: str) -> ItemCheck:
    return next(one for one in candidate.items if one.item == name)


def replaced(pull: dict[str, Any], id_: str, **keys: Any) -> None:
    items = pull["kit"]["items"]
    at = next(n for n, one in enumerate(items) if one["id"] == id_)
    items[at] = {key: value for key, value in {**items[at], **keys}.items() if value is not None}


def helper(pull: dict[str, Any], **keys: Any) -> None:
    """Let the only anchor be a parked vehicle: 2.4 t on wet grass, all wheels held."""
    pull["site"]["anchors"] = [
        {"name": "helper", "kind": "vehicle", "distance": "10 m", "mass": "2.4 t", "surface": "wet grass",
         "points": [{"name": "hook", "rating": "12 t", "basis": "WLL"}], **keys}
    ]  # fmt: skip


def test_no_fault_is_planted(pull: dict[str, Any]) -> None:
    assert first(pull).verdict == "tight"  # S-1 has 9.5 t for 2 × 42 kN
    assert "Best margin here" in first(pull).why


def test_under_rated_shackle(pull: dict[str, Any]) -> None:
    replaced(pull, "S-1", rating="3.25 t")
    replaced(pull, "S-2", rating="3.25 t")
    pull["kit"]["items"] = [one for one in pull["kit"]["items"] if one["kind"] != "soft shackle"]
    pull["kit"]["items"].append({"id": "S-4", "kind": "shackle", "rating": "9.5 t", "basis": "WLL"})
    plan = make_plan(pull, rig=RIG)
    found = plan.candidates[0]
    assert found.verdict == "over"
    assert found.why.startswith(("S-1 (shackle for", "S-2 (shackle for"))
    assert any(found.why in line for line in plan.brief)
    kit = check_kit(read_kit(pull["kit"]))
    assert kit.weakest in ("S-1", "S-2")


def test_breaking_strength_called_a_wll_is_told_apart(pull: dict[str, Any]) -> None:
    # 95 kN would do as a WLL; as the MBS it is, with its factor 5, it does not
    replaced(pull, "S-1", rating="95 kN", basis="MBS", factor=5)
    replaced(pull, "S-2", rating="95 kN", basis="MBS", factor=5)
    replaced(pull, "S-3", rating="95 kN", basis="MBS", factor=5)
    found = first(pull)
    assert found.verdict == "over"
    assert "S-" in found.why.partition(".")[0]
    assert any(one.basis == "MBS ÷ 5" and one.verdict == "over" for one in found.items)


def test_bare_mark_in_tonnes(pull: dict[str, Any]) -> None:
    replaced(pull, "T-1", basis=None)
    found = first(pull)
    assert found.verdict == "unknown"
    assert found.why.partition(".")[0] == "No rating: T-1 (marked, but not whether WLL or MBS)"
    (strap,) = (one for one in check_kit(read_kit(pull["kit"])).items if one.item == "T-1")
    assert (strap.verdict, strap.limit_N) == ("unknown", None)
    assert "basis of the mark" in strap.unknown
    assert "WLL or an MBS" in strap.to_do[0]


def test_unrated_point(pull: dict[str, Any]) -> None:
    pull["vehicle"]["points"] = [{"name": "left"}, {"name": "right", "rating": "55 kN", "basis": "WLL"}]
    found = first(pull)
    assert found.verdict == "unknown"
    assert found.why.startswith("No rating: wagon, left.")


def test_own_limit_with_its_source_rates_a_point(pull: dict[str, Any]) -> None:
    for point in pull["vehicle"]["points"]:
        point.clear()
        point.update(name="bolted eye", limit="55 kN", source="engineer's letter, 2025")
    pull["vehicle"]["points"][1]["name"] = "other eye"
    found = first(pull)
    assert found.verdict == "tight"
    assert item(found, "wagon, bolted eye").basis == "limit entered by the user (engineer's letter, 2025)"


def test_sliding_anchor_vehicle(pull: dict[str, Any]) -> None:
    helper(pull)
    found = first(pull)
    assert found.verdict == "over"
    assert found.why.startswith("helper slides at winch stall")
    check = item(found, "helper")
    # statics: 2.4 t × g × 0.4 at the best end of wet grass, up a 4 degree slope pulled down it
    assert check.holds_N is not None
    assert check.holds_N.high == pytest.approx(2400 * 9.80665 * (0.4 * 0.99756 - 0.06976), rel=1e-4)
    assert check.limit_N == check.holds_N.high
    assert "no rating" in check.basis


def test_no_own_limit_saves_a_vehicle_that_slides(pull: dict[str, Any]) -> None:
    helper(pull, limit="95 kN", source="a guess")
    found = first(pull)
    assert found.verdict == "over"
    assert found.why.startswith("helper slides at winch stall")


def test_chocked_vehicle_is_unknown_or_as_its_own_limit_says(pull: dict[str, Any]) -> None:
    helper(pull, chocks=True)
    assert first(pull).verdict == "unknown"
    assert first(pull).why.startswith("helper may slide at winch stall")
    helper(pull, chocks=True, limit="150 kN", source="proof pull, chocked, this ground")
    assert first(pull).verdict in ("inside", "tight")
    assert "by an amount nobody knows" in item(first(pull), "helper").note


def test_brakes_off(pull: dict[str, Any]) -> None:
    helper(pull, brakes="off")
    assert first(pull).why.startswith("helper is no anchor: its brakes are off")
    assert first(pull).verdict == "over"


def test_heavy_vehicle_on_dry_road_is_never_inside_by_friction_alone(pull: dict[str, Any]) -> None:
    helper(pull, mass="40 t", surface="dry road")
    assert first(pull).verdict == "unknown"
    assert "helper" in first(pull).why


def test_dead_tree(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"][0]["signs"] = ["dead", "leaning"]
    found = first(pull)
    assert found.verdict == "over"
    assert found.why.startswith("oak is no anchor: a tree that is dead")


def test_a_leaning_tree_is_told(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"][0]["signs"] = ["leaning"]
    assert "seen: leaning" in item(first(pull), "oak").note


def test_pickets_that_give_way(pull: dict[str, Any]) -> None:
    # NAVEDTRA 14251: a 3-2-1 holdfast in undisturbed loam stands about 4,000 lbf; the rig asks for more
    pull["site"]["anchors"] = [{"name": "pegs", "kind": "pickets", "distance": "10 m", "pattern": "3-2-1"}]
    found = first(pull)
    assert found.why.startswith("pegs gives way at winch stall")
    assert item(found, "pegs").limit_N == pytest.approx(4000 * 4.4482216, rel=1e-6)


def test_deadman_is_an_estimate_not_a_rating(pull: dict[str, Any]) -> None:
    log = {"face": "1.25 ft", "length": "6 ft", "depth": "5 ft", "trench": "1 ft", "line_slope": "50 %"}
    pull["site"]["anchors"] = [{"name": "log", "kind": "deadman", "distance": "10 m", "deadman": log}]
    found = item(first(pull), "log")
    assert found.holds_N is not None
    assert found.holds_N.likely == pytest.approx(100.1e3, rel=1e-3)  # TM 5-5420-278-10, worked method
    assert found.verdict == "unknown"


def test_ground_anchor_by_its_piece(pull: dict[str, Any]) -> None:
    pull["kit"]["items"].append({"id": "GA", "kind": "ground anchor", "rating": "60 kN", "basis": "WLL"})
    pull["site"]["anchors"] = [{"name": "spade", "kind": "ground anchor", "distance": "10 m", "item": "GA"}]
    found = first(pull)
    assert item(found, "spade").limit_N == 60e3
    assert found.verdict == "over"
    assert "spade" in found.why.partition(".")[0]


def test_overdue_is_said_and_quarantined_never_planned(pull: dict[str, Any]) -> None:
    replaced(pull, "T-1", due="2025-12-31")
    pull["date"] = "2026-01-01"
    found = first(pull)
    assert any(n.code == "OVERDUE" and "T-1" in n.where for n in found.notices)
    pull["date"] = "2025-12-31"
    assert not any(n.code == "OVERDUE" for n in first(pull).notices)
    replaced(pull, "T-1", quarantined=True)
    with pytest.raises(PlanRefusal, match="strap"):
        first(pull)


def test_guidance_is_a_check_of_its_own(pull: dict[str, Any]) -> None:
    replaced(pull, "S-1", factor=6)
    found = first(pull)
    by_item = {one.item: one for one in found.guidance}
    strap = by_item["T-1"]
    assert strap.asked_N == pytest.approx(
        4 * 42e3
    )  # the regulator's example: 5 t stall, 20 t from block to anchor
    assert (strap.verdict, strap.basis) == ("unknown", "at least its WLL")
    assert by_item["L-1"].asked_N == pytest.approx(2 * 42e3)
    assert by_item["L-1"].verdict == "meets"  # 98 kN MBS
    assert by_item["S-1"].verdict == "meets"  # 9.5 t × 6
    assert by_item["oak"].verdict == "unknown"


def test_pull_from_the_side_at_a_vehicles_point(pull: dict[str, Any]) -> None:
    # shackle sheets after ASME B30.26: off its axis a shackle keeps 70 % up to 45 degrees, then 50 %
    pull["site"]["anchors"][0]["aside"] = "4 m"
    replaced(pull, "S-3", quarantined=True)
    aslant = item(first(pull), "S-2")
    assert [part.share for part in aslant.deratings] == [0.7]
    assert "side load" in aslant.note
    assert aslant.limit_N == pytest.approx(0.7 * 8.5 * 9806.65)
    for point in pull["vehicle"]["points"]:
        point["swings"] = True
    assert item(first(pull), "S-2").deratings == ()


def test_strap_too_short_for_the_tree(pull: dict[str, Any]) -> None:
    replaced(pull, "T-1", length="1.5 m")
    pull["site"]["anchors"][0]["diameter"] = "60 cm"
    found = first(pull)
    assert found.verdict == "over"
    assert "T-1 (strap on oak) is not to be used so" in found.why
    assert "take a longer strap" in item(found, "T-1").note


def test_wet_site(pull: dict[str, Any]) -> None:
    replaced(pull, "T-1", material="nylon")
    dry = item(first(pull), "T-1")
    pull["site"]["wet"] = True
    wet = item(first(pull), "T-1")
    assert wet.limit_N == pytest.approx(0.75 * (dry.limit_N or 0.0))
    assert [part.reason for part in wet.deratings] == ["wet polyamide"]
