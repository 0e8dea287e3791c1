"""Figures trainers carry in their heads: common practice, no source. From the catalogue rows through the solver."""

from __future__ import annotations

import pytest

from haulwright.catalogue import row
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig


@pytest.mark.parametrize(
    ("device", "rig", "advantage", "within"),
    [
        ("block-everyday", "two-part/on-load", 1.83, 0.005),
        ("block-everyday", "three-part/on-load", 2.5, 0.1),
        ("block-everyday", "stacked two-parts/on-load", 3.35, 0.1),
        ("ring", "two-part/on-load", 1.7, 0.01),
        ("shackle-as-pulley", "two-part/on-load", 1.5, 0.01),
    ],
)
def test_common_practice_no_source(device: str, rig: str, advantage: float, within: float) -> None:
    found = row("sheaves", device)
    assert found.source.flag == "common-practice"
    assert solve_rig(named_rig(rig), found.ratio().value).advantage == pytest.approx(advantage, abs=within)


def test_kinds_are_ordered_as_the_trade_ranks_them() -> None:
    ids = ("block-rolling", "block-plain", "block-everyday", "ring", "shackle-as-pulley")
    advantages = [
        solve_rig(named_rig("two-part"), row("sheaves", id_).ratio().value).advantage for id_ in ids
    ]
    assert advantages == sorted(advantages, reverse=True)
