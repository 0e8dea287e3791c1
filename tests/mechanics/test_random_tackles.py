"""Thousands of random tackles against a second, independent way (rank C): motion from a singular value decomposition,
all part tensions at once by numpy's least squares, instead of one unknown per line and elimination."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_rigs import random_notation

from haulwright.errors import RigRefusal
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMED, NAMES, named_rig

CODES = {"ONE_WAY", "UNDER", "LOCKED", "REDUNDANT", "LOAD_STILL", "BACKWARDS", "SLACK", "JAMS", "NO_LOAD"}


def independent_tensions(rig, k, resistance):
    """All part tensions from one dense system: k across each moving contact, balance of each free body."""
    bodies = [n for n, b in rig.bodies.items() if b.role != "anchor"]
    lines = list(rig.lines.values())
    offset = np.cumsum([0, *(len(line.points) - 1 for line in lines)])
    along = [
        [np.sign(rig.place(b)[0] - rig.place(a)[0]) for a, b in zip(n.points, n.points[1:], strict=False)]
        for n in lines
    ]
    rates = [
        np.array(
            [
                [-u * ((b.body == c) - (a.body == c)) for c in bodies]
                for u, a, b in zip(us, n.points, n.points[1:], strict=False)
            ]
        )
        for n, us in zip(lines, along, strict=True)
    ]
    with_drum = np.array(
        [np.append(r.sum(axis=0), float(line.drum is not None)) for r, line in zip(rates, lines, strict=True)]
    )
    v = np.linalg.svd(with_drum)[2][-1]
    v = v / v[-1]
    rows, rhs = [], []
    for i, line in enumerate(lines):
        flow = np.concatenate([[0.0], -np.cumsum(rates[i] @ v[:-1])])
        for j in range(1, len(line.points) - 1):
            row = np.zeros(offset[-1])
            sign = 0.0 if abs(flow[j]) < 1e-9 else np.sign(flow[j])
            row[offset[i] + j], row[offset[i] + j - 1] = 1.0, -(k**sign)
            rows.append(row)
            rhs.append(0.0)
    for c, body in enumerate(bodies):
        rows.append(np.concatenate([-rates[i][:, c] for i in range(len(lines))]))
        rhs.append(resistance if body == rig.load.name else 0.0)
    t, *_ = np.linalg.lstsq(np.array(rows), np.array(rhs), rcond=None)
    return t


@pytest.mark.parametrize("k", [1.0, 1.1, 1.6])
def test_random_tackles_agree_with_an_independent_solution(k):
    rng = random.Random(2026)
    solved = 0
    for _ in range(2500):
        try:
            rig = parse_notation(random_notation(rng))
            s = solve_rig(rig, k, load_N=1000.0)
        except RigRefusal as refusal:
            assert refusal.code in CODES  # noqa: PT017
            continue
        solved += 1
        mine = [part.tension_N for line in s.lines.values() for part in line.parts]
        assert mine == pytest.approx(independent_tensions(rig, k, 1000.0), rel=1e-8, abs=1e-6)
        assert s.energy_residual <= 1e-9
        assert all(c.heat_J_per_m >= -1e-6 for c in s.contacts)
        assert s.advantage <= s.ideal_advantage * (1.0 + 1e-12)
    assert solved > 300


@pytest.mark.parametrize("name", NAMES)
def test_named_rigs_reach_their_classic_ideal(name):
    # ideal advantages of the classic tackles: common practice, any seamanship manual
    ideal = next(rig.ideal for rig in NAMED if rig.name == name.rpartition("/")[0])
    s = solve_rig(named_rig(name), 1.0)
    assert s.ideal_advantage == pytest.approx(ideal, abs=1e-12)
    assert s.advantage == pytest.approx(ideal, abs=1e-9)
    assert solve_rig(named_rig(name), 1.2).energy_residual <= 1e-9


@given(st.lists(st.floats(1.0, 2.0), min_size=5, max_size=5), st.sampled_from(range(2, 7)), st.booleans())
def test_one_rope_rigs_follow_the_product_of_efficiencies(ks, n, on_load):
    """load / effort = 1 + e1 + e1 e2 + …, device 1 met first from the drum (T-method of rope-rescue teaching)."""
    words = ("two", "three", "four", "five", "six")
    rig = named_rig(f"{words[n - 2]}-part/{'on' if on_load else 'off'}-load")
    blocks = rig.contacts_from_drum
    expected, product = 1.0, 1.0
    for k in ks[: n - 1]:
        product /= k
        expected += product
    s = solve_rig(rig, dict(zip(blocks, ks, strict=False)))
    assert s.advantage == pytest.approx(expected, rel=1e-12)


@settings(deadline=None)  # one example solves every named rig twice: on a busy machine that is over 200 ms
@given(st.floats(1.0, 1.5), st.floats(1e-3, 0.3))
def test_more_friction_never_helps(k, more):
    """One k for all sheaves of a named rig. Among all reevings a few gain a little from more friction at one sheave."""
    for name in NAMES:
        rig = named_rig(name)
        assert solve_rig(rig, k + more).advantage <= solve_rig(rig, k).advantage + 1e-12


def test_stacked_two_parts_multiply():
    s = solve_rig(named_rig("stacked two-parts"), {"M": 1.25, "O": 1.10})
    assert s.advantage == pytest.approx((1 + 1 / 1.25) * (1 + 1 / 1.10), rel=1e-12)


def test_jams_at_the_ratio_it_names():
    # the fall drags the load back with E while two parts pull with E/k + E/k^2: nothing is left where k^2 = k + 1
    rig = parse_notation("beyond.drum > !O > X > O | order X O beyond")
    golden = (1.0 + 5.0**0.5) / 2.0
    with pytest.raises(RigRefusal, match=f"only below ratio {golden:.4f}") as caught:
        solve_rig(rig, 2.0)
    assert caught.value.code == "JAMS"
    solve_rig(rig, golden - 1e-3)
    with pytest.raises(RigRefusal, match="jams"):
        solve_rig(rig, golden + 1e-3)


def test_self_holding_refuses_the_letting_back_answer_only():
    s = solve_rig(parse_notation("!O.drum > ~M > X > O ; ~M > X | order X M O"), 2.5, letting_back=True)
    assert s.letting_back.holds_itself
    assert s.letting_back.effort_N is None
    assert s.holding_N[0] == 0.0
    assert "SELF_HOLDING" in {notice.code for notice in s.notices}


def test_a_still_sheave_is_frictionless_and_said_so():
    s = solve_rig(parse_notation("X.drum > ~M > !O ; O > ~M | order X M O"), 1.5)
    still = [c for c in s.contacts if c.direction == "still"]
    assert still
    assert still[0].heat_J_per_m == 0.0
    assert any(n.code == "STILL_SHEAVE" and "0.667 to 1.500" in n.message for n in s.notices)


def test_tenth_rule_against_the_printed_example():
    # U.S. Navy Steelworker vol. 2, "Allowance for friction": 1000 lb, two-fold purchase (4 sheaves, four parts) -> 350 lb
    from dataclasses import replace

    from haulwright.mechanics.sheave import TenthRule

    rig = replace(parse_notation("beyond.drum > top@X > !low@load > top2@X > low2@load > X"), law=TenthRule())
    lb = 4.4482216152605
    s = solve_rig(rig, load_N=1000.0 * lb)
    assert s.ideal_advantage == pytest.approx(4.0)
    assert s.effort_N["winch"] / lb == pytest.approx(350.0, abs=1e-6)
    assert len(s.contacts) == 4
