"""Set-ups, second ropes and extension lines, against lengths worked out by hand and against the solver of pulls.

Outside the project: lengths along a straight line, Pythagoras, inextensible ropes; line taken in is work in over line
pull (virtual work).
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.travel import pull_along
from haulwright.notices import Code
from haulwright.planning.floating import lay_out
from haulwright.planning.ground import Place
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, Site
from haulwright.planning.plan import make_plan, planned
from haulwright.planning.result import Candidate, Plan
from haulwright.planning.stepped import run_of, stepped

GEAR = [{"id": f"S-{n}", "kind": "shackle", "rating": "12 t", "basis": "WLL"} for n in range(4, 12)]
THREE_ROPES = "X.drum > ~M > X ; ~M > ~N > X ; ~N > !O > X"


def named(plan: Plan, name: str) -> Candidate:
    """Return the candidate of a name."""
    return next(one for one in plan.candidates if one.rig == name)


@pytest.fixture
def roped(pull: dict[str, Any]) -> dict[str, Any]:
    """Return the pull with a second rope of 12 m, shackles enough and 5 m to go."""
    pull["kit"]["items"] += [
        *GEAR,
        {"id": "L-2", "kind": "rope", "rating": "240 kN", "basis": "WLL", "length": "12 m"},
    ]
    pull["want"]["least_gap"] = "1 m"
    return pull


def test_a_rig_that_must_be_set_again(roped: dict[str, Any]) -> None:
    # oak 10 m off, rope 12 m round it to the block M: M at 2 D - L from the load, D the distance of the oak. At full
    # length it would run out of way after 3.5 m (2 D - 12 = 1 m least). Made fast at 11 m, M starts at 9 m, the least gap
    # before the oak, and meets the load at D = 6; made fast at 2 × 6 - 5 = 7 m it goes on to D = 4.
    found = planned(roped)
    one = named(found.plan, "stacked two-parts/on-load")
    starts = found.settings[one.rig].layout.starts
    assert [start.done_m for start in starts] == pytest.approx([0.0, 4.0])
    assert [start.travel_m for start in starts] == pytest.approx([4.0, 1.0])
    assert [start.rig.lines["line 2"].length_m for start in starts] == pytest.approx([11.0, 7.0])
    assert one.setups == 2
    assert any(notice.code == Code.TWO_BLOCKED.name for notice in one.notices)
    assert any("11.0 m, 7.0 m. A knot weakens it" in notice.message for notice in one.notices)
    # a knot leaves the low end of what is printed for common knots: 40 %
    assert next(item for item in one.items if item.item == "L-2").limit_N == pytest.approx(0.4 * 240e3)
    _check_line_taken_in(found.settings[one.rig].layout)


def test_a_rope_that_fits_is_not_knotted(roped: dict[str, Any]) -> None:
    roped["want"]["travel"] = "3 m"
    one = named(make_plan(roped), "stacked two-parts/on-load")
    assert one.setups == 1
    assert next(item for item in one.items if item.item == "L-2").limit_N == pytest.approx(240e3)


def test_set_ups_take_their_time_each(roped: dict[str, Any]) -> None:
    table = [("0 kN", "8 m/min", 60), ("42 kN", "2 m/min", 400)]
    roped["kit"]["winches"][0]["table"] = [
        {"line_pull": pull, "speed": speed, "current_A": amps} for pull, speed, amps in table
    ]
    roped["want"]["travel"] = "2 m"
    once = named(make_plan(roped), "stacked two-parts/on-load")
    assert once.setups == 1
    assert once.time_s is not None
    # 8 m of line at the likely effort: speed on the straight line of the table, on the first layer
    speed = (8 - 6 * once.effort_N.likely / 42e3) / 60
    assert once.time_s == pytest.approx(8.0 / speed, rel=1e-6)


@pytest.mark.parametrize("aside", [0.0, 3.0, -4.0])
@pytest.mark.parametrize(
    ("path", "ropes"),
    [
        ("!O.drum > ~M > O ; ~M > X > O", (24.0,)),
        ("X.drum > ~M > X ; ~M > !O > X", (19.5,)),
        ("!O.drum > ~M > O ; ~M > X > O > X", (36.5,)),
        (THREE_ROPES, (14.0, 20.0)),
    ],
)
def test_the_straight_line_and_the_balance_agree(path: str, ropes: tuple[float, ...], aside: float) -> None:
    # all lies in one line from load to anchor: by lengths alone, and by the balance of the free blocks
    rig = parse_notation(path)
    others = [name for name, line in rig.lines.items() if not line.drum]
    site = Site({"X": Place(16.0, aside)}, 2.0, 0.5)
    lengths = dict(zip(others, ropes, strict=True))
    by_length, by_balance = lay_out(rig, site, lengths), stepped(rig, site, lengths)
    assert by_length.setups == by_balance.setups
    assert by_length.path_m == pytest.approx(by_balance.path_m, abs=2e-3)
    assert by_length.taken_in_m == pytest.approx(by_balance.taken_in_m, abs=8e-3)
    _check_line_taken_in(by_length)


def _check_line_taken_in(layout: Layout) -> None:
    """Check the line taken in against work: without friction line pull × line taken in = resistance × travel, step by step."""
    for start in layout.starts:
        pull = pull_along(start.rig, start.travel_m, 50, 1.0, load_N=1000.0)
        assert pull.stop is None
        steps = list(zip(pull.effort_N["winch"], pull.line_taken_in_m["winch"], strict=True))
        work = sum((a[0] + b[0]) / 2 * (b[1] - a[1]) for a, b in pairwise(steps))
        assert work == pytest.approx(1000.0 * start.travel_m, rel=2e-3)


def test_blocks_between_two_anchors_stop_at_the_least_gap() -> None:
    # helper and oak are two places, so M finds its balance; it runs until it is the least gap from the oak's block
    drawn = parse_notation("H.drum > ~M > X ; ~M > !O > X")
    site = Site({"X": Place(20.0, 1.0), "H": Place(20.0, -1.0)}, 6.0, 1.5)
    found = lay_out(drawn, site, {"line 2": 26.0})
    assert found.setups == 1
    _check_line_taken_in(found)
    run, end = run_of(found.starts[0].rig, 15.0, (1.5, 0.0))
    assert math.dist(end.bodies["M"].at, end.bodies["X"].at) == pytest.approx(1.5, abs=2e-3)
    stepped_on = pull_along(found.starts[0].rig, 15.0, 30, 1.0, load_N=1000.0, least_gap_m=1.5)
    assert stepped_on.stop is not None
    assert stepped_on.stop.code == "TWO_BLOCKED"
    assert run == pytest.approx(stepped_on.stop.travel_m, abs=3e-3)


def test_ropes_that_do_not_fit_say_so() -> None:
    rig = parse_notation(THREE_ROPES)
    with pytest.raises(Lacking, match="no room between load and anchor"):
        lay_out(rig, Site({"X": Place(16.0)}, 2.0, 0.5), {"line 2": 29.0, "line 3": 7.0})


def test_an_extension_line_makes_up_for_a_short_winch_line(pull: dict[str, Any]) -> None:
    # oak 10 m off: a two-part takes 20 m, five wraps 5 pi 0.311 = 4.9 m, the drum holds 22 m: 2.9 m short
    pull["kit"]["items"][0]["length"] = "22 m"
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert "24.9 m of line" in lacked["two-part/on-load"]
    pull["kit"]["items"].append(
        {"id": "X-1", "kind": "extension line", "rating": "50 kN", "basis": "WLL", "length": "4 m"}
    )
    two = named(make_plan(pull), "two-part/on-load")
    assert two.extension == "X-1"
    assert two.line_needed_m == pytest.approx(20.0 - 4.0 + 5 * math.pi * 0.311)
    line = next(item for item in two.items if item.item == "X-1")
    assert line.load_N.stall == pytest.approx(42e3)
    # the standing part is 10 m long at first and 5 m after the pull: a joint 6 m from its end would come to the block
    pull["kit"]["items"][-1]["length"] = "6 m"
    lacked = {one.rig: one.lacked for one in make_plan(pull).rejected}
    assert "too long for it" in lacked["two-part/on-load"]


def test_a_line_through_one_floating_block_twice_needs_two_sheaves(roped: dict[str, Any]) -> None:
    # burton whose winch line turns twice on the moving block: one sheave cannot take two parts
    roped["rig"] = "!wagon.drum > ~M > wagon > M > wagon ; ~M > oak > wagon"
    roped["kit"]["items"] += [
        {"id": f"B-{n}", "kind": "block", "rating": "30 t", "basis": "WLL"} for n in (3, 4)
    ]
    roped["want"]["travel"] = "2 m"
    with pytest.raises(Exception, match="a block with 2 sheaves"):
        make_plan(roped)
    roped["kit"]["items"][-1]["sheaves"] = 2
    plan = make_plan(roped)
    assert plan.candidates[0].devices["M"] == "B-4"
