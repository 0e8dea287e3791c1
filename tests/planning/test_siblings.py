"""The manual chain and the counting of parts, held against the manuals' examples and against the solver."""

from __future__ import annotations

from typing import Any

import pytest

from haulwright.errors import PlanRefusal
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.planning.manual_chain import advantage_by_count, chain, held_by, raised, tensions_by_count
from haulwright.planning.plan import planned


def test_two_fold_purchase_of_the_steelworker() -> None:
    # US Navy Steelworker vol. 2, "Allowance for friction": 1000 lb, 4 sheaves, advantage 4: 400 + 1000 = 1400, 350 lb
    found = chain(1000.0, 4.0, 4, 350.0)
    assert (found.tackle_resistance_N, found.total_N, found.fall_line_N) == (400.0, 1400.0, 350.0)
    assert found.inside


@pytest.mark.parametrize(
    ("path", "load", "hauling"),
    [
        # US Navy Builder 3&2, mechanical advantage: gun tackle 200 lb -> 100 lb, single luff 600 lb -> 200 lb
        ("top.drum > !load > top", 200.0, 100.0),
        ("top.drum > !load > top > load", 600.0, 200.0),
    ],
)
def test_tackles_of_the_builder_by_counting(path: str, load: float, hauling: float) -> None:
    rig = parse_notation(path)
    known = tensions_by_count(rig)
    assert known is not None
    assert load / advantage_by_count(rig, known) == hauling


@pytest.mark.parametrize("name", NAMES)
def test_counting_agrees_with_the_solver_in_line_without_friction(name: str) -> None:
    rig = named_rig(name)
    known = tensions_by_count(rig)
    assert known is not None
    assert advantage_by_count(rig, known) == pytest.approx(
        solve_core(rig, 1.0, None, None, ()).ideal_advantage
    )


@pytest.mark.parametrize(
    ("load", "winch", "passes"),
    [
        # by the formulae of U.S. Army lesson 63H34F01 (2004), supplement b; sheaves = advantage - 1; worked by hand
        (6000.0, 8000.0, [(1, 6000.0)]),
        (12000.0, 8000.0, [(2, 6600.0)]),
        (48000.0, 20000.0, [(3, 19200.0)]),
        (15900.0, 8000.0, [(2, 8745.0), (3, 6360.0)]),
    ],
)
def test_advantage_is_raised_until_the_fall_line_is_inside(
    load: float, winch: float, passes: list[tuple[int, float]]
) -> None:
    found = raised(load, winch)
    assert [(one.advantage, pytest.approx(one.fall_line_N)) for one in found] == passes
    assert found[-1].inside
    assert not any(one.inside for one in found[:-1])


def test_where_no_advantage_is_enough_the_last_pass_says_so() -> None:
    assert not raised(100.0, 9.0)[-1].inside  # a tenth of the load is lost at every sheave: never below 10


def test_dead_line_is_fall_line_times_parts_held() -> None:
    # US Army TB 9-2350-292-10, step 5 (method): three-part, standing part in the becket: the anchor holds all three
    rig = named_rig("three-part/on-load")
    known = tensions_by_count(rig)
    assert known is not None
    anchor = next(name for name in rig.bodies if name != rig.load.name)
    assert held_by(rig, known, anchor) == 3.0


def test_a_number_that_is_not_accepted_is_refused() -> None:
    with pytest.raises(PlanRefusal, match="advantage = 0"):
        chain(1.0, 0.0, 1, 1.0)
    with pytest.raises(PlanRefusal, match="sheaves = -1"):
        chain(1.0, 1.0, -1, 1.0)


def test_the_chosen_rig_carries_both_and_why(pull: dict[str, Any]) -> None:
    found = planned(pull, rig="three-part", draws=0).plan.candidates[0]
    beside = found.siblings
    assert beside is not None
    assert beside.this_rig is not None
    assert beside.fall_line_N is not None
    likely = found.resistance_N.likely if found.resistance_N else 0.0
    assert beside.this_rig.fall_line_N == pytest.approx(1.2 * likely / 3.0)  # two sheaves, three parts
    assert beside.fall_line_N.solver == found.effort_N.likely
    k = 1.07  # both blocks of the pull
    assert beside.fall_line_N.solver == pytest.approx(likely / (1.0 + 1.0 / k + 1.0 / k**2))
    assert beside.dead_lines_N["oak"].solver == pytest.approx(
        likely
    )  # in line the anchor holds the whole load
    assert beside.dead_lines_N["oak"].manual == pytest.approx(1.2 * likely)
    assert beside.why[0].startswith("Friction: by hand 20 %")
    assert beside.capacity_N == 42e3


def test_angles_are_named_where_the_lines_lie_wide(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"][0]["aside"] = "5 m"
    beside = planned(pull, rig="two-part", draws=0).plan.candidates[0].siblings
    assert beside is not None
    assert beside.advantage is not None
    assert beside.advantage.manual == 2.0
    assert beside.advantage.solver < 1.5
    assert any(line.startswith("Angles:") for line in beside.why)
