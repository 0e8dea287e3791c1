"""Every reeving of one and two lines and 3 000 of three, against a second way to their tensions (rank C).

Motion from a batched singular value decomposition, all part tensions at once from one dense system: k across every contact
that runs, balance of every freedom. Nothing is shared with the solver, which knows one unknown per line. Each tackle at
k = 1, at k = 1.1, and with a ratio of its own at every contact.
"""

import random
from collections import defaultdict

import numpy as np
import pytest
from second_solution import LOAD_N, batch, every_contact_its_own_block, second_solution

from haulwright.errors import RigRefusal
from haulwright.mechanics import tension
from haulwright.mechanics.batch.reeving import notation
from haulwright.mechanics.batch.reevings import reevings
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig

OF_THREE_LINES = 3000


def drawn(moving):
    every = reevings(moving)
    rows = range(len(every))
    if moving == 2:
        rows = random.Random(40).sample(rows, OF_THREE_LINES)
    return [parse_notation(notation(*every.paths(row), moving)) for row in rows]


def grouped(tackles):
    """Tackles with equally many lines and parts together: their arrays are of one size."""
    groups = defaultdict(list)
    for rig in tackles:
        parts = sum(len(line.points) - 1 for line in rig.lines.values())
        groups[len(rig.lines), parts].append(rig)
    return groups.values()


def tensions_of(core):
    return [t for parts in core.found.values() for t in parts]


@pytest.mark.parametrize("moving", [0, 1, 2])
def test_enumerated_tackles_agree_with_a_second_solution(moving):
    rng = np.random.default_rng(41 + moving)
    tackles = drawn(moving)
    assert len(tackles) == {0: 20, 1: 1362, 2: OF_THREE_LINES}[moving]
    for group in grouped(tackles):
        own = [every_contact_its_own_block(rig) for rig in group]
        arrays = batch(own)
        contacts = arrays[0].shape[1] - arrays[0].shape[2]
        for ratios in (
            np.ones((len(own), contacts)),
            np.full((len(own), contacts), 1.1),
            rng.uniform(1.0, 1.15, (len(own), contacts)),
        ):
            v, t, heat = second_solution(*arrays, ratios)
            assert (t > -1e-6).all()
            for i, rig in enumerate(own):
                core = solve_core(rig, dict(zip(rig.blocks, ratios[i], strict=True)), LOAD_N, None, ())
                np.testing.assert_allclose(tensions_of(core), t[i], rtol=1e-9, atol=1e-7)
                assert core.moving.motion.load_speed == pytest.approx(v[i, 0], rel=1e-12)
                effort = tension.effort_of(rig, core.found)
                assert abs(effort - LOAD_N * v[i, 0] - heat[i]) <= 1e-9 * effort
                assert tension.energy_residual(core.moving, core.found, LOAD_N) <= 1e-9


def test_enumerated_tackles_jam_and_hold_themselves_where_the_second_solution_would_push():
    rng = np.random.default_rng(50)
    jams = holds = 0
    for group in grouped([*drawn(1)[::5], *drawn(2)[::10]]):
        own = [every_contact_its_own_block(rig) for rig in group]
        arrays = batch(own)
        ratios = rng.uniform(1.0, 2.2, (len(own), arrays[0].shape[1] - arrays[0].shape[2]))
        _, hauled, _ = second_solution(*arrays, ratios)
        _, back, _ = second_solution(*arrays, 1.0 / ratios)
        for i, rig in enumerate(own):
            if np.abs([hauled[i].min(), back[i].min()]).min() < 1e-5:
                continue  # on the border
            given = dict(zip(rig.blocks, ratios[i], strict=True))
            if hauled[i].min() < 0.0:
                jams += 1
                with pytest.raises(RigRefusal) as caught:
                    solve_core(rig, given, LOAD_N, None, ())
                assert caught.value.code == "JAMS"
                continue
            let_back = solve_core(rig, given, LOAD_N, None, ()).letting_back()
            if back[i].min() < 0.0:
                holds += 1
                assert let_back is None
            else:
                theirs = [t for parts in let_back.values() for t in parts]
                np.testing.assert_allclose(theirs, back[i], rtol=1e-8, atol=1e-6)
    assert jams > 10
    assert holds > 10


def test_the_record_of_an_enumerated_tackle_is_that_of_its_plain_form():
    for rig in random.Random(42).sample(drawn(2), 60):
        s, own = solve_rig(rig, 1.1), solve_rig(every_contact_its_own_block(rig), 1.1)
        assert s.advantage == pytest.approx(own.advantage, rel=1e-12)
        assert s.energy_residual <= 1e-9
        assert all(c.heat_J_per_m >= -1e-6 for c in s.contacts)
