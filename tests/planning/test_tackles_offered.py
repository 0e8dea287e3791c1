"""Tackles of the enumeration beside the named rigs: each is looked at once, and the record says how they were picked.

Outside the project: ideal advantages of classic tackles (common practice, any seamanship manual).
"""

from __future__ import annotations

from typing import Any

import pytest

import haulwright as hw
from haulwright.files.pull import read_pull
from haulwright.mechanics.batch.leading import leading_tackles
from haulwright.planning.plan import make_plan
from haulwright.workflows import offered_tackles

MORE = [
    {"id": "B-3", "kind": "block", "rating": "60 t", "basis": "WLL", "becket": True},
    {"id": "B-4", "kind": "block", "rating": "60 t", "basis": "WLL"},
    {"id": "L-2", "kind": "rope", "rating": "400 kN", "basis": "WLL", "length": "34 m"},
    *({"id": f"S-{n}", "kind": "shackle", "rating": "60 t", "basis": "WLL"} for n in range(4, 12)),
]


@pytest.mark.parametrize(
    ("blocks", "ropes", "most"),
    [(1, 1, 2.0), (2, 1, 3.0), (2, 2, 4.0), (3, 2, 6.0), (4, 2, 9.0)],
)
def test_the_last_that_leads_reaches_the_most(blocks: int, ropes: int, most: float) -> None:
    # one block two-part, two blocks three-part or burton, three blocks three-on-two, four a burton on a three-part
    found = leading_tackles(blocks, ropes, "on-load").tackles
    assert max(one.ideal_advantage for one in found) == pytest.approx(most)
    for one in found:
        others = [o for o in found if o is not one and o.sheaves <= one.sheaves and o.ropes <= one.ropes]
        assert all(o.ideal_advantage < one.ideal_advantage or o.advantage < one.advantage for o in others)


def test_a_tackle_without_a_name_is_a_candidate(pull: dict[str, Any]) -> None:
    pull["kit"]["items"] += MORE
    pull["site"]["anchors"][0].update(limit="900 kN", distance="20 m")
    pull["want"]["travel"] = "2 m"
    pull["kit"]["items"][-9]["length"] = "66 m"
    plain, plan = make_plan(pull), hw.make_plan(pull)
    names = [one.rig for one in plan.candidates]
    nine = next(one for one in plan.candidates if one.rig.startswith("9 to 1"))
    assert nine.path == "!wagon.drum > ~M > wagon > M ; ~M > oak > wagon > oak"
    assert nine.ideal_advantage == pytest.approx(9.0)
    assert {one.rig for one in plain.candidates} < set(names)
    assert len(names) == len(set(names)) == len({one.path for one in plan.candidates})
    assert plan.made is not None
    assert plan.made.inputs["rigs_looked_at"] > plain.made.inputs["rigs_looked_at"]
    assert "no other reaches as much" in plan.made.inputs["tackles"]


def test_one_rig_to_check_needs_no_tackles(pull: dict[str, Any]) -> None:
    assert offered_tackles(read_pull(pull, rig="two-part")).paths == ()
    assert offered_tackles(read_pull(pull)).looked_at
