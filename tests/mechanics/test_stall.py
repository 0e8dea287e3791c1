"""A rig at winch stall, against the statics of one block."""

import math
from dataclasses import replace

import pytest

from haulwright.files.rig import read_rig
from haulwright.mechanics.stall import with_and_without_friction, with_stall
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig
from haulwright.quantities.measured import Measured


def test_the_first_is_without_friction_and_the_second_at_the_upper_end() -> None:
    # one block turned through 180 degrees: its load is T + T/k, so 2 T at k = 1
    k = Measured(1.2, 0.05, 1.1, 1.25)
    free, hard = with_and_without_friction(named_rig("two-part/on-load"), k, effort_N=10e3)
    assert free.bodies["X"].load_N == pytest.approx(20e3)
    assert hard.bodies["X"].load_N == pytest.approx(10e3 * (1 + 1 / 1.25))


def test_a_seized_block_does_not_lower_the_loads_at_stall() -> None:
    # seized: capstan law, k = exp(0.2 pi) = 1.87; should the sheave turn after all, the anchor sees 2 T
    rig = named_rig("two-part/on-load")
    rig = replace(rig, blocks={name: replace(block, seized=True) for name, block in rig.blocks.items()})
    free, hard = with_and_without_friction(rig, None, effort_N=10e3)
    assert free.bodies["X"].load_N == pytest.approx(20e3)
    assert hard.bodies["X"].load_N == pytest.approx(10e3 * (1 + math.exp(-0.2 * math.pi)))


def test_a_winch_too_weak_and_a_block_over_its_rating_are_told() -> None:
    rig = named_rig("two-part/on-load")
    rig = replace(rig, blocks={name: replace(block, wll_N=15e3) for name, block in rig.blocks.items()})
    both = with_and_without_friction(rig, 1.0, effort_N=10e3)
    told = " ".join(n.message for n in with_stall(solve_rig(rig, 1.0, load_N=30e3), both, rig).notices)
    assert "it will not move" in told  # 30 kN on two parts asks for 15 kN
    assert "20.0\u00a0kN at winch stall, over its WLL" in told
    assert "will not move" not in " ".join(
        n.message for n in with_stall(solve_rig(rig, 1.0, load_N=10e3), both, rig).notices
    )


def test_a_ring_that_only_joins_two_lines_is_held_against_its_rating() -> None:
    # no line turns round it, but it carries the whole pull from one line to the other
    rig = read_rig(
        {
            "anchors": {"oak": {}},
            "load": {"name": "truck"},
            "blocks": {"M": {"floating": True, "wll": "1 kN"}},
            "order": ["oak", "M", "truck"],
            "lines": {
                "winch line": {"standing": "M", "fall": "winch"},
                "tail": {"standing": "truck", "to": "M"},
            },
            "winch": {"on": "oak"},
        }
    )
    both = with_and_without_friction(rig, 1.0, effort_N=10e3)
    assert both[0].blocks["M"].pin_N == pytest.approx(10e3)
    told = with_stall(solve_rig(rig, 1.0, load_N=5e3), both, rig).notices
    assert told[-1].code == "STALL"
    assert any("M carries 10.00\u00a0kN at winch stall, over its WLL" in notice.message for notice in told)
