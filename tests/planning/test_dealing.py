"""Dealing out pieces, held against every permutation and a library; and kits in which the first choice would go wrong."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from haulwright.planning.dealing import deal, reaches_all
from haulwright.planning.plan import planned

Costs = list[list[float | None]]


@st.composite
def tables(draw: st.DrawFn) -> Costs:
    places, pieces = draw(st.integers(0, 4)), draw(st.integers(1, 5))
    cost = st.one_of(st.none(), st.integers(0, 9).map(float))
    return [[draw(cost) for _ in range(pieces)] for _ in range(places)]


def by_permutation(costs: Costs) -> float | None:
    """Return the least greatest cost over every way to deal."""
    found = []
    for way in permutations(range(len(costs[0]) if costs else 0), len(costs)):
        paid = [row[piece] for row, piece in zip(costs, way, strict=True)]
        if None not in paid:
            found.append(max((cost for cost in paid if cost is not None), default=0.0))
    return min(found, default=None)


@given(tables())
def test_the_worst_off_place_is_as_well_off_as_it_can_be(costs: Costs) -> None:
    order = [
        sorted((p for p, cost in enumerate(row) if cost is not None), key=lambda p: row[p] or 0.0)
        for row in costs
    ]
    found, best = deal(costs, order), by_permutation(costs)
    if found is None:
        assert best is None
        return
    assert len(set(found)) == len(costs)
    paid = [row[piece] for row, piece in zip(costs, found, strict=True)]
    assert None not in paid
    assert max((cost for cost in paid if cost is not None), default=0.0) == best


@given(tables())
def test_reach_agrees_with_a_library(costs: Costs) -> None:
    # scipy.sparse.csgraph.maximum_bipartite_matching (Hopcroft and Karp)
    allowed = [[p for p, cost in enumerate(row) if cost is not None] for row in costs]
    if not costs:
        assert reaches_all(allowed)
        return
    graph = csr_matrix(np.array([[cost is not None for cost in row] for row in costs], dtype=int))
    matched = maximum_bipartite_matching(graph, perm_type="column")
    assert reaches_all(allowed) == bool(np.all(matched >= 0))


def pieces(pull: dict[str, Any], *kinds: tuple[str, str]) -> list[dict[str, Any]]:
    return [
        {"id": f"S-{n}", "kind": kind, "rating": rating, "basis": "WLL"}
        for n, (kind, rating) in enumerate(kinds)
    ]


def without(pull: dict[str, Any], *kinds: str) -> list[dict[str, Any]]:
    return [item for item in pull["kit"]["items"] if item["kind"] not in kinds]


def test_no_place_takes_the_shackle_another_needs_more(pull: dict[str, Any]) -> None:
    pull["site"]["anchors"].append(
        {"name": "elm", "kind": "tree", "at": ["12 m", "-6 m"], "limit": "150 kN", "source": "proof pull"}
    )
    for point in pull["vehicle"]["points"]:
        point["swings"] = True  # nothing taken off for a pull from the side
    pull["kit"]["items"] = without(pull, "shackle", "soft shackle")
    pull["kit"]["items"] += pieces(pull, ("shackle", "120 kN"), ("shackle", "90 kN"), ("shackle", "70 kN"))
    pull["kit"]["items"].append({"id": "T-2", "kind": "strap", "rating": "12 t", "basis": "WLL"})
    found = planned(pull, draws=0).plan.candidates
    led = next(one for one in found if one.path.count(">") == 3 and "round" in one.rig)
    joints = [item for item in led.items if item.item.startswith("S-")]
    loads = sorted(joints, key=lambda item: item.load_N.stall)
    assert [item.item for item in loads] == [
        "S-2",
        "S-1",
        "S-0",
    ]  # the heavier the load, the stronger the shackle
    assert all(item.verdict in ("inside", "tight") for item in joints)


@pytest.mark.parametrize("rating", ["8 t", "12 t"])
def test_a_ring_that_nothing_joins_gives_way_to_a_block(pull: dict[str, Any], rating: str) -> None:
    # of equal or less friction, so it would be taken first; but a ring wants soft shackles and the kit has none
    pull["kit"]["items"] = without(pull, "soft shackle")
    ring = {"id": "R-1", "kind": "ring", "device": "puck-A", "rating": rating, "basis": "WLL"}
    pull["kit"]["items"].insert(1, ring)
    found = planned(pull, rig="two-part", draws=0).plan.candidates[0]
    assert found.verdict in ("inside", "tight")
    assert "R-1" not in found.devices.values()


def test_a_weak_bridle_is_left_in_the_bag_where_one_point_does(pull: dict[str, Any]) -> None:
    pull["vehicle"]["spacing"] = "1 m"
    pull["kit"]["items"] += pieces(pull, ("shackle", "9 t"), ("shackle", "9 t"))
    for n, item in enumerate(pull["kit"]["items"][-2:]):
        item["id"] = f"E-{n}"
    plain = planned(pull, rig="two-part", draws=0).plan.candidates[0]
    pull["kit"]["items"].append(
        {"id": "V-1", "kind": "bridle", "length": "2.4 m", "rating": "5 kN", "basis": "WLL"}
    )
    weak = planned(pull, rig="two-part", draws=0).plan.candidates[0]
    assert weak.verdict == plain.verdict
    assert "V-1" not in [item.item for item in weak.items]
