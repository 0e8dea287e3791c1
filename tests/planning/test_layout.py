"""Lengths of rigs on the ground: by plain geometry, and line taken in = travel ratio × travel for every named rig."""

from __future__ import annotations

import pytest

from haulwright.errors import PlanRefusal
from haulwright.field import drum
from haulwright.mechanics.rig import Rig
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.planning import floating
from haulwright.planning.drum_use import drum_use
from haulwright.planning.ground import Place
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, Site
from haulwright.planning.plan import make_plan

FAR = {"X": Place(40.0), "X2": Place(-12.0), "beyond": Place(-12.0)}


def lay_out(
    rig: Rig, anchors: dict[str, Place], travel_m: float, gap_m: float, rope_m: float | None
) -> Layout:
    """Lay out a rig pulled along x with one length for all its lines without a drum."""
    others = {name: rope_m for name, line in rig.lines.items() if not line.drum and rope_m is not None}
    return floating.lay_out(rig, Site(anchors, travel_m, gap_m), others)


def test_stacked_two_parts_by_hand() -> None:
    # oak 10 m off, rope 12 m: block M at 2 × 10 - 12 = 8 m; winch line out to M and back: 16 m.
    # after 3 m: M at 2 × 10 - 3 - 12 = 5 m, 2 m from the load: 4 m of line left out, 12 m taken in (ratio 4).
    found = lay_out(named_rig("stacked two-parts/on-load"), {"X": Place(10.0)}, 3.0, 2.0, 12.0)
    assert found.path_m == pytest.approx(16.0)
    assert found.taken_in_m == pytest.approx(12.0)
    assert found.setups == 1


def test_stacked_two_parts_need_a_rope_that_fits() -> None:
    rig = named_rig("stacked two-parts/on-load")
    for rope in (8.0, 30.0):
        with pytest.raises(Lacking, match=r"12\.0 to 18\.0 m"):
            lay_out(rig, {"X": Place(10.0)}, 3.0, 2.0, rope)
    with pytest.raises(Lacking, match="no way left after 3"):
        lay_out(rig, {"X": Place(10.0)}, 5.0, 2.0, 12.0)


def test_every_set_up_begins_where_the_last_ended() -> None:
    # winch on the anchor, rope 26 m, oak 20 m: M starts at 26 - 20 = 6 m and runs at twice the load's speed
    # towards the oak: 18 m is reached after (18 - 6) / 2 = 6 m; then M must go back to the load: 4 m gap, and so on
    found = lay_out(named_rig("stacked two-parts/off-load"), {"X": Place(20.0)}, 6.0, 2.0, 26.0)
    assert found.setups == 1
    assert found.path_m == pytest.approx(2 * (20.0 - 6.0))
    assert found.taken_in_m == pytest.approx(4 * 6.0)


@pytest.mark.parametrize("name", [name for name in NAMES if not name.startswith("luff")])
def test_line_taken_in_is_travel_ratio_times_travel(name: str) -> None:
    rig = named_rig(name)
    anchors = {body: place for body, place in FAR.items() if body in rig.bodies}
    parts = solve_rig(rig, 1.0, load_N=1.0).ideal_advantage
    found = None
    for rope in (None,) if not rig.floating else tuple(range(42, 200, 4)):
        try:
            found = lay_out(rig, anchors, 3.0, 2.0, None if rope is None else float(rope))
        except Lacking:
            continue
        if found.setups == 1:
            break
    assert found is not None
    assert found.taken_in_m == pytest.approx(parts * 3.0, rel=1e-6)


def test_aside_is_counted() -> None:
    found = lay_out(named_rig("single line/on-load"), {"X": Place(8.0, 6.0)}, 1.0, 2.0, None)
    assert found.path_m == pytest.approx(10.0)


def test_line_short() -> None:
    wound = drum.layers(0.3, 1.0, 0.011, 20.0, 42e3)
    with pytest.raises(Lacking, match=r"20\.0 m on the drum"):
        drum_use([wound], 5, Layout(19.0, 5.0, 1, 5.0))
    use = drum_use([wound], 5, Layout(12.0, 5.0, 1, 5.0))
    assert use.needed_m == pytest.approx(12.0 + 5 * 3.14159265 * 0.311)


@pytest.mark.parametrize(("use", "reach_m"), [("straight", 1.5), ("basket", 1.5), ("choke", 3.0)])
def test_a_strap_takes_its_reach_from_the_travel(pull, use, reach_m):
    """A strap of 3 m round a tree 10 m off: by hand, 10 m - reach - 2 m of gap is the travel there is."""
    for item in pull["kit"]["items"]:
        if item["kind"] == "strap":
            item |= {"length": "3 m", "use": use}
    most_m = 10.0 - reach_m - 2.0
    pull["want"] = {"travel": f"{most_m - 0.05} m", "least_gap": "2 m"}
    assert make_plan(pull, rig="two-part/on-load").candidates
    pull["want"] = {"travel": f"{most_m + 0.05} m", "least_gap": "2 m"}
    with pytest.raises(PlanRefusal, match="on its strap"):
        make_plan(pull, rig="two-part/on-load")


def test_a_strap_takes_its_reach_from_the_way_of_a_floating_block():
    """By hand: rope 14 m, tree 10 m off: M starts at 2 x 10 - 14 = 6 m, and comes to 2 x 10 - t - 14 = 6 - t after t.

    It may not start within 1.5 + 2 m of the tree, that is beyond 6.5 m; with a reach of 3 m, not beyond 5 m.
    """
    rig = named_rig("stacked two-parts/on-load")
    site = Site({"X": Place(10.0)}, 2.0, 2.0, hang_m=1.5)
    found = floating.lay_out(rig, site, {name: 14.0 for name, line in rig.lines.items() if not line.drum})
    assert found.setups == 1
    with pytest.raises(Lacking, match="a second rope of 15"):
        floating.lay_out(
            rig,
            Site({"X": Place(10.0)}, 2.0, 2.0, hang_m=3.0),
            {name: 14.0 for name, line in rig.lines.items() if not line.drum},
        )
