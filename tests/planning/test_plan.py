"""Plans against hand-worked one-rope tackles.

Outside the project: the fast-line relation of API RP 9B (advantage of n parts with n - 1 sheaves of ratio k between
load and drum: 1 + 1/k + … ), statics of a pulley (block load = sum of its two parts), constant torque of a drum.
"""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest

from haulwright.errors import FileRefusal, PlanRefusal, Refusal, RigRefusal
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.notices import Code
from haulwright.planning.drawing import ratios_of
from haulwright.planning.plan import make_plan
from haulwright.planning.result import Candidate, ItemCheck, Plan

EXAMPLES = Path(__file__).parents[2] / "examples" / "pulls"


def named(plan: Plan, name: str) -> Candidate:
    return next(one for one in plan.candidates if one.rig == name)


def item(candidate: Candidate, name: str) -> ItemCheck:
    return next(one for one in candidate.items if one.item == name)


def test_a_rig_with_two_winches_is_refused_by_name(pull: dict[str, Any]) -> None:
    pull["rig"] = "!wagon.drum > oak ; wagon.drum > oak"
    with pytest.raises(RigRefusal, match="this is for a rig with one winch") as caught:
        make_plan(pull)
    assert (caught.value.code, caught.value.where) == ("UNSUPPORTED", ("winch", "winch 2"))


def test_two_part_by_hand(pull: dict[str, Any]) -> None:
    two = named(make_plan(pull), "two-part/on-load")
    assert two.advantage == pytest.approx(1 + 1 / 1.07)
    assert two.stall_N == pytest.approx(42e3)
    # at stall without friction both parts pull 42 kN: the oak, its strap, shackle and block see 84 kN
    for name in ("oak", "T-1", "S-1", "B-1"):
        assert item(two, name).load_N.stall == pytest.approx(84e3)
    assert item(two, "wagon, left").load_N.stall == pytest.approx(42e3)
    assert item(two, "B-1").utilisation == pytest.approx(84e3 / 98066.5)


def test_three_part_by_hand(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    three = named(plan, "three-part/on-load")
    share = 1 / (1 + 1 / 1.07 + 1 / 1.07**2)
    assert three.winch_share == pytest.approx(share)
    assert three.effort_N.likely == pytest.approx(plan.resistance_N.likely * share)
    # the oak holds the whole resistance when it hauls, three full line pulls at stall
    assert item(three, "oak").load_N.likely == pytest.approx(plan.resistance_N.likely)
    assert item(three, "oak").load_N.stall == pytest.approx(3 * 42e3)
    # the stronger block, with the standing part in its becket, hangs on the oak; the wagon's block sees two parts
    assert three.devices == {"oak": "B-1", "wagon": "B-2"}
    assert item(three, "B-1").load_N.stall == pytest.approx(3 * 42e3)
    assert item(three, "B-2").load_N.stall == pytest.approx(2 * 42e3)
    assert item(three, "B-1").verdict == "over"
    assert three.verdict == "over"


def test_effort_at_the_high_resistance_uses_the_upper_friction(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    two = named(plan, "two-part/on-load")
    assert two.effort_N.high == pytest.approx(plan.resistance_N.high / (1 + 1 / 1.09))
    assert two.effort_N.low == pytest.approx(plan.resistance_N.low / (1 + 1 / 1.07))


def test_friction_never_lowers_a_load(pull: dict[str, Any]) -> None:
    slick = make_plan(pull)
    for name in ("puck-A", "puck-B"):
        pull["friction"][name] = {**pull["friction"][name], "k": 1.5, "interval95": [1.4, 1.6]}
    rough = make_plan(pull)
    for one in rough.candidates:
        for check, other in zip(one.items, named(slick, one.rig).items, strict=True):
            if check.role != "winch":
                assert check.load_N.stall >= other.load_N.stall - 1e-6
                assert check.load_N.likely >= other.load_N.likely - 1e-6


def test_runner_of_a_burton_sees_more_with_friction_than_without(pull: dict[str, Any]) -> None:
    # winch on the load, e = 1/k: the runner carries (1 + e) W; load fixed, (1 + e)² W = L, so more friction, more runner
    pull["kit"]["items"].append({"id": "L-2", "kind": "extension line", "length": "12 m"})
    pull["kit"]["items"] += [
        {"id": f"S-{n}", "kind": "shackle", "rating": "8 t", "basis": "WLL"} for n in (4, 5)
    ]
    pull["want"]["travel"] = "2 m"
    plan = make_plan(pull)
    burton = named(plan, "stacked two-parts/on-load")
    worst = 1 / 1.09
    assert item(burton, "L-2").load_N.likely == pytest.approx(plan.resistance_N.likely / (1 + worst))
    assert item(burton, "L-2").load_N.stall == pytest.approx(2 * 42e3)
    assert item(burton, "L-2").verdict == "unknown"


def test_stall_is_always_there_and_follows_the_stall_factor(pull: dict[str, Any]) -> None:
    pull["kit"]["winches"][0]["stall_factor"] = 1.2
    plan = make_plan(pull)
    assert plan.candidates
    for one in plan.candidates:
        assert one.stall_N == pytest.approx(1.2 * 42e3)
        assert all(check.load_N.stall > 0 for check in one.items)
        assert any(notice.code == Code.STALL.name for notice in one.notices)
    assert any(notice.code == Code.STALL.name for notice in plan.notices)


def test_stall_is_taken_on_the_lowest_layer_met(pull: dict[str, Any]) -> None:
    # barrel 102 mm, rope 11 mm, width 110 mm: 10 turns, layers of 3.55, 4.24, 4.93, 5.62, 6.32 … m (2 pi r, stacked)
    pull["kit"]["winches"][0].update(drum={"barrel": "102 mm", "width": "110 mm"}, lay="stacked")
    pull["kit"]["items"][0]["length"] = "38 m"
    pull["want"]["travel"] = "3 m"
    two = named(make_plan(pull, rig="two-part"), "two-part/on-load")
    # 20 m out, 18 m on the drum: cumulative 3.55, 7.79, 12.72, 18.35 -> layer 4; 6 m in ends on layer 5 (24.67)
    first, fourth, fifth = (0.113 / 2 + n * 0.011 for n in (0, 3, 4))
    assert two.layer == 4
    assert two.stall_N == pytest.approx(42e3 * first / fourth)
    assert two.winch_limit_N == pytest.approx(42e3 * first / fifth)
    assert two.line_have_m == pytest.approx(38.0)
    assert two.line_needed_m == pytest.approx(20.0 + 5 * 3.14159265 * 0.113)


def test_a_lay_that_is_not_told_makes_no_load_less_and_the_winch_no_stronger(pull: dict[str, Any]) -> None:
    # nested layers lie closer, so the same layer pulls harder, and they hold less, so a higher layer may be met
    pull["kit"]["winches"][0]["drum"] = {"barrel": "102 mm", "width": "110 mm"}
    pull["kit"]["items"][0]["length"] = "38 m"
    pull["want"]["travel"] = "3 m"
    plans = {}
    for lay in ("stacked", "nested", None):
        pull["kit"]["winches"][0]["lay"] = lay
        plans[lay] = named(make_plan(pull, rig="two-part"), "two-part/on-load")
    told = [plans["stacked"], plans["nested"]]
    assert plans["nested"].stall_N != plans["stacked"].stall_N
    assert plans[None].stall_N == max(one.stall_N for one in told)
    assert plans[None].winch_limit_N == min(one.winch_limit_N or 0.0 for one in told)


def test_unknown_is_never_inside(pull: dict[str, Any]) -> None:
    del pull["site"]["anchors"][0]["limit"], pull["site"]["anchors"][0]["source"]
    plan = make_plan(pull)
    two = named(plan, "two-part/on-load")
    assert item(two, "oak").verdict == "unknown"
    assert item(two, "oak").utilisation is None
    assert two.verdict == "unknown"
    assert "oak" in two.why


def test_over_comes_before_unknown(pull: dict[str, Any]) -> None:
    del pull["site"]["anchors"][0]["limit"], pull["site"]["anchors"][0]["source"]
    assert named(make_plan(pull), "three-part/on-load").verdict == "over"


def test_rating_without_basis_is_unknown(pull: dict[str, Any]) -> None:
    pull["kit"]["items"][6] = {"id": "T-1", "kind": "strap", "rating": "12 t"}
    strap = item(named(make_plan(pull), "two-part/on-load"), "T-1")
    assert strap.verdict == "unknown"
    assert strap.limit_N is None
    assert "WLL or MBS" in strap.note


def test_mbs_and_wll_are_not_compared(pull: dict[str, Any]) -> None:
    two = named(make_plan(pull), "two-part/on-load")
    assert item(two, "L-1").limit_N == pytest.approx(49e3)  # 98 kN MBS ÷ 2
    assert item(two, "L-1").basis == "MBS ÷ 2"
    assert item(two, "B-1").basis == "WLL"
    guidance = next(n.message for n in two.notices if "Regulator" in n.message)
    # 4 × 42 kN is asked of what ties a block to its anchor; a WLL is named as not checked, never compared
    assert "Not known: " in guidance
    assert "T-1" in guidance


def test_guidance_names_a_piece_marked_mbs_that_is_below_it(pull: dict[str, Any]) -> None:
    pull["kit"]["items"][6] = {
        "id": "T-1",
        "kind": "strap",
        "rating": "160 kN",
        "basis": "MBS",
        "factor": 1.5,
    }
    two = named(make_plan(pull), "two-part/on-load")
    guidance = next(n for n in two.notices if "Regulator" in n.message)
    assert "T-1" in guidance.message.partition("Not known")[0]  # 160 kN < 4 × 42 kN
    assert guidance.level == "warning"


def test_rigs_say_what_they_lack(pull: dict[str, Any]) -> None:
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert "3 blocks or rings" in lacked["four-part/on-load"]
    assert "second rope" in lacked["stacked two-parts/on-load"]
    pull["kit"]["items"][0]["length"] = "20 m"
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert "of line" in lacked["three-part/on-load"]


def test_weak_winch_is_rejected_but_kept_when_asked_for(pull: dict[str, Any]) -> None:
    pull["kit"]["winches"][0]["line_pull"] = "20 kN"
    plan = make_plan(pull)
    lacked = {one.rig: one.lacked for one in plan.rejected}
    assert "line pull" in lacked["single line/on-load"]
    checked = make_plan(pull, rig="single line")
    assert checked.chosen == "single line/on-load"
    assert checked.candidates[0].verdict == "over"


def test_too_near_an_anchor(pull: dict[str, Any]) -> None:
    pull["want"]["travel"] = "9 m"
    plan = make_plan(pull)
    assert plan.chosen is None
    assert all("travel" in one.lacked for one in plan.rejected if one.rig.startswith(("single", "two-part")))
    assert plan.checklist
    assert any("No rig" in line for line in plan.brief)


def test_order_is_verdict_then_worst_utilisation(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"] += [
        {"name": "birch", "kind": "tree", "distance": "10 m", "limit": "90 kN", "source": "proof pull"},
        {"name": "boulder", "kind": "rock", "distance": "10 m"},
    ]
    plan = make_plan(pull)
    order = ["inside", "tight", "unknown", "over"]
    seen = [order.index(one.verdict) for one in plan.candidates]
    assert seen == sorted(seen)
    assert {"tight", "unknown", "over"} <= {one.verdict for one in plan.candidates}
    for a, b in itertools.pairwise(plan.candidates):
        if a.verdict == b.verdict:
            assert max(i.utilisation or 0 for i in a.items) <= max(i.utilisation or 0 for i in b.items) + 1e-4
    assert [one.rank for one in plan.candidates] == list(range(1, len(plan.candidates) + 1))
    assert all(one.why for one in plan.candidates)


def test_gear_that_stands_the_stall_comes_before_less_friction(pull: dict[str, Any]) -> None:
    pull["friction"]["puck-B"] = {**pull["friction"]["puck-B"], "k": 1.05}
    assert (
        named(make_plan(pull), "two-part/on-load").devices["oak"] == "B-1"
    )  # B-2 turns easier but holds 78.5 < 84 kN
    pull["kit"]["items"][2]["rating"] = "9 t"
    assert named(make_plan(pull), "two-part/on-load").devices["oak"] == "B-2"  # now it stands it


def test_quarantined_gear_is_never_used(pull: dict[str, Any]) -> None:
    pull["kit"]["items"][1]["quarantined"] = True
    plan = make_plan(pull)
    assert all("B-1" not in one.devices.values() for one in plan.candidates)
    assert "B-1" in " ".join(notice.message for notice in plan.notices)


def spread(plan: Plan, rig: str) -> float:
    """Standard uncertainty of a rig's advantage."""
    return plan.measured(named(plan, rig), "advantage").u


def test_same_device_twice_is_one_error(pull: dict[str, Any]) -> None:
    # u of the three-part advantage 1 + 1/k + 1/k²: one device, errors add; two devices, they add in squares
    two = spread(make_plan(pull), "three-part/on-load")
    pull["kit"]["items"][2]["device"] = "puck-A"
    one = spread(make_plan(pull), "three-part/on-load")
    k = 1.07
    first, second = 1 / k**2 + 1 / k**3, 1 / k**3  # slopes for the drum-side and the far device
    assert one == pytest.approx(0.01 * (first + second), rel=1e-3)
    assert two == pytest.approx(0.01 * (first**2 + second**2) ** 0.5, rel=1e-3)


def test_scatter_from_set_up_to_set_up_widens_the_plan(pull: dict[str, Any]) -> None:
    # the scatter is that of ln advantage: relative, independent of the friction's error, so they add in squares
    rig = "two-part/on-load"
    bare = make_plan(pull)
    for name in ("puck-A", "puck-B"):
        pull["friction"][name] = {**pull["friction"][name], "scatter": 0.004}
    wide = make_plan(pull)
    for key in ("advantage", "winch_share"):
        before, after = bare.measured(named(bare, rig), key), wide.measured(named(wide, rig), key)
        assert after.value == before.value
        assert after.u == pytest.approx((before.u**2 + (0.004 * before.value) ** 2) ** 0.5, rel=1e-9)
        half = (before.value - before.lo, 1.959964 * 0.004 * before.value)
        assert after.value - after.lo == pytest.approx((half[0] ** 2 + half[1] ** 2) ** 0.5, rel=1e-6)
    row = [one.rig for one in wide.candidates].index(rig)
    path = f"candidates.{row}.effort_N.likely"
    before, after = bare.uncertainty[path], wide.uncertainty[path]
    assert after.u == pytest.approx((before.u**2 + (0.004 * before.value) ** 2) ** 0.5, rel=1e-9)
    for block in named(wide, rig).devices:  # the ratio itself is no wider: the scatter is the set-up's
        ratio = f"candidates.{row}.ratios.{block}"
        assert wide.uncertainty[ratio] == bare.uncertainty[ratio]
    assert [one.rig for one in wide.candidates] == [one.rig for one in bare.candidates]


def test_friction_comes_from_the_measurement_or_the_catalogue(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    assert plan.friction_source["B-1"].startswith("measured")
    del pull["friction"]
    plan = make_plan(pull)
    assert plan.friction_source["B-1"].startswith("catalogue")
    assert any("puck-A" in n.message for n in named(plan, "two-part/on-load").notices)


def test_outside_the_measured_range_is_told(pull: dict[str, Any]) -> None:
    pull["friction"]["puck-A"] = {**pull["friction"]["puck-A"], "valid_N": [1e3, 5e3]}
    notices = named(make_plan(pull), "two-part/on-load").notices
    assert any("5.00" in n.message and "measured" in n.message for n in notices)


def test_bridle_shares_the_pull_over_two_points(pull: dict[str, Any]) -> None:
    # leg = F / (2 cos(half the angle between the legs)); spacing 1.5 m on a 3 m bridle: half angle 30 degrees
    pull["vehicle"]["spacing"] = "1.5 m"
    pull["kit"]["items"] += [
        {"id": f"S-{n}", "kind": "shackle", "rating": "8 t", "basis": "WLL"} for n in (4, 5, 6)
    ]
    pull["kit"]["items"].append(
        {"id": "BR-1", "kind": "bridle", "rating": "55 kN", "basis": "WLL", "length": "3 m"}
    )
    two = named(make_plan(pull), "two-part/on-load")
    leg = 42e3 / 3**0.5
    assert item(two, "BR-1").load_N.stall == pytest.approx(leg)
    assert item(two, "wagon, left").load_N.stall == pytest.approx(leg)
    assert item(two, "wagon, right").load_N.stall == pytest.approx(leg)
    assert any("may carry all of it" in n.message for n in two.notices)


def test_helper_winch_loads_the_helper_with_the_whole_pull(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"].append(
        {"name": "helper", "kind": "vehicle", "distance": "15 m", "mass": "3 t", "surface": "wet grass"}
    )
    pull["winch"] = {"id": "W-1", "on": "helper"}
    plan = make_plan(pull)
    two = named(plan, "two-part/off-load")
    assert item(two, "helper").load_N.likely == pytest.approx(plan.resistance_N.likely)
    assert item(two, "helper").verdict == "over"  # not even the best end of its friction holds the pull
    assert "helper slides at winch stall" in item(two, "helper").first
    assert not any(one.rig.endswith("/on-load") for one in plan.candidates)
    lacked = {one.rig: one.lacked for one in plan.rejected}
    assert "behind" in lacked["spanish burton/off-load"]  # which hauls its block away from the load
    assert "almost straight" in lacked["redirect/off-load"]  # past the oak to a helper in the same line


def test_no_rated_point_is_for_a_professional(pull: dict[str, Any]) -> None:
    pull["vehicle"]["points"] = []
    plan = make_plan(pull)
    assert plan.brief[0].startswith("Stop and call a professional")
    assert any(n.code == Code.STOP_PROFESSIONAL.name for n in plan.notices)
    assert named(plan, "two-part/on-load").verdict == "unknown"


@pytest.mark.parametrize(
    "hazard", ["overturned", "people trapped", "dangerous goods", "farm machine", "in water"]
)
def test_professional_hazards_of_the_vehicle(pull: dict[str, Any], hazard: str) -> None:
    pull["vehicle"]["hazards"] = [hazard]
    assert make_plan(pull).brief[0].startswith("Stop and call a professional")


@pytest.mark.parametrize("hazard", ["live traffic", "powerlines", "cliff", "water"])
def test_professional_hazards_of_the_site(pull: dict[str, Any], hazard: str) -> None:
    pull["site"]["hazards"] = [hazard]
    assert make_plan(pull).brief[0].startswith("Stop and call a professional")


def test_undescribed_drum_leaves_the_winch_unknown(pull: dict[str, Any]) -> None:
    del pull["kit"]["winches"][0]["drum"]
    two = named(make_plan(pull), "two-part/on-load")
    assert item(two, "W-1").verdict == "unknown"
    assert two.stall_N == pytest.approx(42e3)
    assert two.verdict == "unknown"


def test_what_the_first_layer_cannot_pull_is_over_even_where_the_drum_is_not_described(
    pull: dict[str, Any],
) -> None:
    # no layer pulls more than the first: a rated pull below the effort is over on any of them
    del pull["kit"]["winches"][0]["drum"]
    pull["kit"]["winches"][0]["line_pull"] = "5 kN"
    assert "line pull" in next(one.lacked for one in make_plan(pull).rejected if one.rig.startswith("two"))
    checked = make_plan(pull, rig="two-part").candidates[0]
    assert item(checked, "W-1").verdict == checked.verdict == "over"
    assert (item(checked, "W-1").utilisation or 0.0) > 1.0


def test_an_anchor_vehicle_that_slides_by_itself_is_told(pull: dict[str, Any]) -> None:
    # statics: locked wheels hold on a slope up to tan = friction; wet grass has 0.2 at the low end, 20 degrees ask for 0.36
    pull["ground"] = {"surface": "grass", "slope": "20 deg", "direction": "up"}
    pull["site"]["anchors"].append(
        {"name": "helper", "kind": "vehicle", "distance": "12 m", "mass": "3 t", "surface": "wet grass",
         "limit": "60 kN", "source": "points"}
    )  # fmt: skip
    two = named(make_plan(pull), "two-part/on-load, helper")
    assert any("slides down" in n.message and "helper" in n.message for n in two.notices)


def test_wire_rope_round_a_sheave_of_unknown_size_is_told(pull: dict[str, Any]) -> None:
    pull["kit"]["items"][0]["material"] = "steel"
    two = named(make_plan(pull), "two-part/on-load")
    assert any("not derated for its bends" in n.message for n in two.notices)


def test_rig_written_in_one_line(pull: dict[str, Any]) -> None:
    plan = make_plan(pull, rig="!wagon.drum > oak > wagon")
    assert [one.rig for one in plan.candidates] == ["!wagon.drum > oak > wagon"]
    assert plan.candidates[0].advantage == pytest.approx(1 + 1 / 1.07)


@pytest.mark.parametrize(
    ("rig", "kind", "words"),
    [
        ("two-prt", RigRefusal, "two-part"),
        ("two-part/off-load", PlanRefusal, "stuck vehicle"),
        ("!wagon.drum > oka > wagon", PlanRefusal, "oak"),
        ("!waggon.drum > oak > waggon", PlanRefusal, "wagon"),
        ("six-part", PlanRefusal, "5 blocks"),
        ("redirect", RigRefusal, "off-load"),
    ],
)
def test_rigs_to_check_that_are_refused(
    pull: dict[str, Any], rig: str, kind: type[Refusal], words: str
) -> None:
    with pytest.raises(kind, match=words):
        make_plan(pull, rig=rig)


@pytest.mark.parametrize("name", ["rutted-clearing", "helper-ahead"])
def test_examples_give_a_rig_that_can_be_used(name: str) -> None:
    plan = make_plan(EXAMPLES / f"{name}.yaml")
    assert plan.candidates[0].rig == plan.chosen
    assert plan.candidates[0].verdict in ("inside", "tight")
    assert any(n.code == Code.INVENTED.name for n in plan.notices)


def test_example_shows_every_verdict_over_its_rigs() -> None:
    friction = {
        "puck-A": {
            "k": 1.09,
            "u": 0.01,
            "interval95": [1.07, 1.11],
            "valid_N": [3e3, 13e3],
            "source": "trial",
        },
        "hoop-B": {
            "k": 1.25,
            "u": 0.01,
            "interval95": [1.23, 1.27],
            "valid_N": [3e3, 13e3],
            "source": "trial",
        },
    }
    plan = make_plan(EXAMPLES / "rutted-clearing.yaml", friction=friction)
    assert {one.verdict for one in plan.candidates} == {"inside", "tight", "unknown", "over"}
    assert plan.rejected


def test_record_is_plain_json(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    told = plan.to_dict()
    assert told["kind"] == "plan"
    first = told["candidates"][0]
    assert set(first["items"][0]["load_N"]) == {"likely", "high", "stall"}
    assert set(told["uncertainty"]["candidates.0.advantage"]) == {"value", "u", "interval95"}
    assert told["zone"]["radius_m"] >= 10.0


def test_missing_kit_file_is_refused(pull: dict[str, Any], tmp_path: Path) -> None:
    pull["kit"] = "no-such-kit.yaml"
    with pytest.raises(FileRefusal, match="no-such-kit"):
        make_plan(pull)


def test_path_of_a_candidate_solves_to_its_numbers(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    for one in plan.candidates:
        solved = solve_rig(parse_notation(one.path), ratios_of(plan, one), load_N=plan.resistance_N.likely)
        assert solved.advantage == pytest.approx(one.advantage)
        assert solved.effort_N["winch"] == pytest.approx(one.effort_N.likely)


def test_wire_rope_is_derated_where_it_is_bent(pull: dict[str, Any]) -> None:
    # printed strength of bent wire rope: D/d 10 leaves 86 % (check: 110 mm sheave, 11 mm rope)
    pull["kit"]["items"][0]["material"] = "steel"
    for block in pull["kit"]["items"][1:3]:
        block["sheave"] = "110 mm"
    line = item(named(make_plan(pull), "two-part/on-load"), "L-1")
    assert line.limit_N == pytest.approx(0.86 * 49e3)
    assert "bend" in line.note


def test_choked_strap_is_derated(pull: dict[str, Any]) -> None:
    pull["kit"]["items"][6]["use"] = "choke"  # EN 1492-1: mode factor 0.8
    strap = item(named(make_plan(pull), "two-part/on-load"), "T-1")
    assert strap.limit_N == pytest.approx(0.8 * 12000 * 9.80665)


def test_depth_beyond_a_winch_is_in_the_brief(pull: dict[str, Any]) -> None:
    pull["vehicle"]["sunk"] = "cab"
    pull["kit"]["winches"][0]["line_pull"] = "120 kN"
    assert make_plan(pull).brief[0].startswith("Stop and call a professional")


def test_stall_is_told_even_when_no_rig_can_be_used(pull: dict[str, Any]) -> None:
    pull["kit"]["items"] = pull["kit"]["items"][:1]
    plan = make_plan(pull)
    assert plan.chosen is None
    assert any(n.code == Code.STALL.name and "42.0" in n.message for n in plan.notices)


def test_winch_without_a_rope_is_unknown(pull: dict[str, Any]) -> None:
    del pull["kit"]["winches"][0]["rope"]
    two = named(make_plan(pull), "two-part/on-load")
    assert item(two, "winch line").verdict == "unknown"
    assert two.line_have_m is None


def test_winch_behind_that_pulls_the_wrong_way(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"].append(
        {"name": "helper", "kind": "vehicle", "distance": "12 m", "side": "behind"}
    )
    pull["winch"] = {"id": "W-1", "on": "helper"}
    with pytest.raises(PlanRefusal, match="ahead"):
        make_plan(pull, rig="helper.drum > !wagon")


def test_redirect_with_the_helper_behind(pull: dict[str, Any]) -> None:
    # a block at the oak turns the line back: the oak sees the resistance and the effort together
    pull["site"]["anchors"].append(
        {
            "name": "helper",
            "kind": "vehicle",
            "distance": "6 m",
            "side": "behind",
            "limit": "90 kN",
            "source": "back-tied",
        }
    )
    pull["winch"] = {"id": "W-1", "on": "helper"}
    plan = make_plan(pull)
    redirect = named(plan, "redirect/off-load")
    assert redirect.effort_N.likely == pytest.approx(plan.resistance_N.likely * 1.07)
    assert item(redirect, "oak").load_N.likely == pytest.approx(plan.resistance_N.likely * (1 + 1.09))
    assert item(redirect, "oak").load_N.stall == pytest.approx(2 * 42e3)
    assert redirect.line_needed_m == pytest.approx(16.0 + 10.0 + 5 * 3.14159265 * 0.311)


def test_a_rig_may_be_asked_for_by_the_name_its_plan_gave_it(pull):
    pull["site"]["anchors"].append({"name": "elm", "kind": "tree", "distance": "12 m", "aside": "2 m"})
    every = make_plan(pull)
    for candidate in every.candidates:
        (one,) = make_plan(pull, rig=candidate.rig).candidates if ", " in candidate.rig else (candidate,)
        assert (one.rig, one.effort_N, one.verdict) == (candidate.rig, candidate.effort_N, candidate.verdict)
    with pytest.raises(PlanRefusal, match="Did you mean two-part/on-load, elm") as refused:
        make_plan(pull, rig="two-part/on-load, elmm")
    assert refused.value.code == "UNKNOWN_RIG"
