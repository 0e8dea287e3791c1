"""The chain from the stuck vehicle to the drum, the other rig of a plan, and what a pull leaves lying."""

from __future__ import annotations

import itertools
import math
from functools import cache
from pathlib import Path

import pytest

from haulwright import workflows
from haulwright.errors import FileRefusal, Refusal
from haulwright.planning.result import Candidate, Plan

PULLS = sorted((Path(__file__).parents[2] / "examples" / "pulls").glob("*.yaml"))
NAMES = [path.stem for path in PULLS]


@cache
def plan_of(name: str) -> Plan:
    return workflows.make_plan(next(path for path in PULLS if path.stem == name))


def links(candidate: Candidate) -> list[str]:
    return [candidate.items[n].role for n in candidate.chain]


@pytest.mark.parametrize("name", NAMES)
def test_every_piece_stands_in_the_chain_once(name: str) -> None:
    for candidate in plan_of(name).candidates:
        assert sorted(candidate.chain) == list(range(len(candidate.items))), candidate.rig


@pytest.mark.parametrize("name", NAMES)
def test_the_chain_begins_at_the_stuck_vehicle_and_the_winch_line_runs_into_the_winch(name: str) -> None:
    plan = plan_of(name)
    for candidate in plan.candidates:
        order = [candidate.items[n] for n in candidate.chain]
        at_vehicle = [
            n for n, item in enumerate(order) if item.at == plan.vehicle and "winch" not in item.role
        ]
        assert at_vehicle[: len(at_vehicle)] == list(range(len(at_vehicle))), links(candidate)
        roles = links(candidate)
        assert roles.index("winch line") < roles.index("winch")
        assert roles[roles.index("winch") + 1].startswith("winch mount")


def test_what_holds_a_block_comes_from_the_block_outwards_to_its_anchor() -> None:
    candidate = plan_of("rutted-clearing").candidates[0]
    at_oak = [item.role for item in (candidate.items[n] for n in candidate.chain) if item.at == "oak"]
    assert at_oak == ["block on oak", "shackle for strap on oak", "strap on oak", "anchor oak (tree)"]


def test_a_winch_on_a_helper_comes_before_what_the_helper_stands_on() -> None:
    roles = links(plan_of("helper-ahead").candidates[0])
    assert roles.index("winch mount on helper") < roles.index("anchor helper (vehicle)")


def test_a_vehicles_own_bridle_lies_where_its_points_and_its_length_put_it() -> None:
    """Two legs of 1.5 m to points 0.8 m apart reach sqrt(1.5² - 0.4²) m: Pythagoras."""
    (bridle,) = plan_of("rutted-clearing").candidates[0].own_bridles
    assert bridle.on == "wagon"
    assert bridle.item == "BR-1"
    left, right = bridle.points_m["left front point"], bridle.points_m["right front point"]
    assert left == pytest.approx((0.0, 0.4))
    assert right == pytest.approx((0.0, -0.4))
    assert bridle.middle_m == pytest.approx((math.sqrt(1.5**2 - 0.4**2), 0.0))


def test_points_stay_across_the_way_where_the_line_leaves_aside() -> None:
    for candidate in plan_of("round-the-oak").candidates:
        for bridle in candidate.own_bridles:
            if bridle.on == plan_of("round-the-oak").vehicle:
                assert {round(x, 9) for x, _ in bridle.points_m.values()} == {0.0}


def test_the_slope_along_the_way_is_in_the_record() -> None:
    assert plan_of("rutted-clearing").candidates[0].rise_rad == pytest.approx(math.radians(4.0))
    assert plan_of("clay-ramp").candidates[0].rise_rad == pytest.approx(math.atan(0.14))
    assert (plan_of("clay-ramp").vehicle, plan_of("clay-ramp").surface) == ("wagon", "clay")


# --- another rig of the plan ---------------------------------------------------------------------------------------
def test_all_that_is_said_is_said_of_the_rig_asked_for() -> None:
    path = next(one for one in PULLS if one.stem == "rutted-clearing")
    first = plan_of("rutted-clearing")
    other = first.candidates[1].rig
    plan = workflows.plan_rig(path, rig=other).plan
    assert plan.chosen == other
    assert [c.rig for c in plan.candidates] == [c.rig for c in first.candidates]
    assert any("birch" in words for words in plan.checklist)
    assert not any("oak" in w for w in plan.checklist)
    assert other in plan.brief[0] or "birch" in " ".join(plan.brief)
    assert {mark.place for mark in plan.marks} >= {"birch"}
    assert plan.zone.parts != first.zone.parts or plan.zone == first.zone
    assert plan.best is not None
    assert plan.best.siblings is not None
    assert plan.candidates[0].siblings is None


def test_a_rig_alone_says_the_same_as_the_same_rig_chosen_in_the_plan() -> None:
    """One rig asked for by its name is planned by another way: all that is said of it must agree."""
    path = next(one for one in PULLS if one.stem == "rutted-clearing")
    name = plan_of("rutted-clearing").candidates[2].rig
    alone = workflows.make_plan(path, rig=name)
    chosen = workflows.plan_rig(path, rig=name).plan
    for key in ("checklist", "marks", "closing", "zone", "resistance_N"):
        assert getattr(alone, key) == getattr(chosen, key), key
    for (
        crew,
        brief,
    ) in alone.briefs.items():  # its first words hold the reason of its rank, which hangs on the others
        assert brief[1:] == chosen.briefs[crew][1:]


# --- pieces that are left lying ------------------------------------------------------------------------------------
def test_a_piece_left_out_is_in_no_rig_and_is_named() -> None:
    path = next(one for one in PULLS if one.stem == "rutted-clearing")
    pull = {**_mapping(path), "want": {"travel": "3 m", "leave_out": ["S-07"]}}
    plan = workflows.make_plan(pull, kit=path.parent.parent / "kit.yaml")
    used = {item.item for one in plan.candidates for item in one.items}
    assert "S-07" not in used
    assert "S-08" in used
    assert any("Left out of this plan by choice: S-07" in n.message for n in plan.notices)


@pytest.mark.parametrize(("name", "code"), [("S-99", "UNKNOWN_ITEM"), ("L-02", "VALUE")])
def test_what_cannot_be_left_out_is_refused(name: str, code: str) -> None:
    path = next(one for one in PULLS if one.stem == "rutted-clearing")
    pull = {**_mapping(path), "want": {"travel": "3 m", "leave_out": [name]}}
    with pytest.raises(FileRefusal) as refused:
        workflows.make_plan(pull, kit=path.parent.parent / "kit.yaml")
    assert refused.value.code == code
    assert name in refused.value.message


def _mapping(path: Path) -> dict:
    from haulwright.files.yamlfile import load_yaml

    return dict(load_yaml(path))


# --- words ---------------------------------------------------------------------------------------------------------
def test_every_word_offered_is_taken() -> None:
    """A word may be covered by no rule; it must never be one a pull does not know."""
    kinds = workflows.list_pull_kinds()
    refused = []
    for surface, depth in itertools.product(kinds.surfaces, kinds.depths):
        pull = {"vehicle": {"mass": "2 t", "sunk": depth}, "ground": {"surface": surface}}
        try:
            workflows.estimate_resistance(pull)
        except Refusal as refusal:
            refused.append(refusal.code)
    assert set(refused) <= {"NO_RULE"}
    assert len(refused) < 0.2 * len(kinds.surfaces) * len(kinds.depths)
