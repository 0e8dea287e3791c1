"""Named rigs with a site's names: the path written out solves to the same rig."""

from __future__ import annotations

import pytest

from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.planning.bind import bind

SITE = {"X": "old oak", "X2": "helper", "beyond": "helper", "O": "wagon"}


@pytest.mark.parametrize("name", NAMES)
def test_written_path_is_the_same_rig(name: str) -> None:
    rig = named_rig(name)
    bound = bind(rig, {old: new for old, new in SITE.items() if old in rig.bodies})
    again = parse_notation(bound.path)
    assert set(again.bodies) == set(bound.bodies)
    assert set(again.blocks) == set(bound.blocks)
    plain, there, back = (solve_rig(r, 1.11) for r in (rig, bound, again))
    assert there.advantage == pytest.approx(plain.advantage, rel=1e-12)
    assert back.advantage == pytest.approx(plain.advantage, rel=1e-12)
    for body, held in there.bodies.items():
        assert back.bodies[body].load_N == pytest.approx(held.load_N, rel=1e-9)
