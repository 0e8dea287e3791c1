"""A rig at winch stall, against the statics of one block."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from haulwright.files.rig import read_rig
from haulwright.mechanics.stall import at_load_and_stall, with_and_without_friction, with_stall
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.quantities.measured import Measured

RIGS = sorted((Path(__file__).parents[2] / "examples" / "rigs").glob("*.yaml"))


def all_numbers(record):
    """Every number of a record, wherever it stands."""
    if isinstance(record, dict):
        return [x for key in sorted(record) for x in all_numbers(record[key])]
    if isinstance(record, list | tuple):
        return [x for one in record for x in all_numbers(one)]
    return [record] if isinstance(record, float) else []


@pytest.mark.parametrize("given", [*NAMES, *RIGS], ids=lambda given: getattr(given, "stem", given))
def test_a_rig_grown_to_stall_is_that_solved_at_stall(given) -> None:
    # forces in proportion where they are so; lines that share by their stretch, and several winches, are solved anew
    rig = named_rig(given) if isinstance(given, str) else read_rig(given)
    k = 1.1 if rig.law is None else None
    at_load, at_stall = at_load_and_stall(rig, k, 9e3, 31e3)
    for found, direct in zip((*at_load, *at_stall), (
        *with_and_without_friction(rig, k, load_N=9e3), *with_and_without_friction(rig, k, effort_N=31e3),
    ), strict=True):  # fmt: skip
        numbers = all_numbers(found.to_dict())
        assert len(numbers) > 10
        assert numbers == pytest.approx(all_numbers(direct.to_dict()), rel=1e-12, abs=1e-9)


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
