"""Intervals by random draws: closed forms, the law of propagation for small u, and the solver draw by draw.

The method is that of JCGM 101:2008 (GUM, Supplement 1).
"""

import math

import numpy as np
import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed

import haulwright as hw
from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.batch.figures import figures, sampled
from haulwright.mechanics.batch.monte_carlo import MOST, draw, solve_rig_by_draws
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.friction import resolve_laws
from haulwright.mechanics.intervals import figures_of, spread_inputs
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig
from haulwright.quantities.measured import Measured

SELF_JAMMING = "beyond.drum > !O > X > O | order X O beyond"  # jams from k = 1.618 on: k² = k + 1
TWO_TURNS = "Z.drum > B1@X > B2@Y > !O | order X Y Z O"  # effort = R k1 k2
STRETCHING = {
    "units": {"force": "kN", "length": "m"},
    "sheaves": {"law": "capstan", "mu": 0.05},
    "anchors": {"oak": {"at": [0, 0]}, "elm": {"at": [1, 2]}},
    "load": {"name": "truck", "at": [12, 0], "direction": [-1, 0], "resistance": 20},
    "blocks": {"R": {"on": "truck"}, "S": {"on": "elm"}},
    "lines": {
        "winch line": {"standing": "oak", "through": ["R", "S"], "fall": "winch", "rope": {"EA": 4400}},
    },
    "winch": {"on": "oak"},
}
CORNER_STRETCHING = changed(CORNER)
CORNER_STRETCHING["lines"]["winch line"]["rope"] = {"EA": 900}
RIGS = {
    **{name: named_rig(name) for name in NAMES if named_rig(name).contacts_from_drum},
    **{spec["rig"]: read_rig(spec) for spec in (CORNER, TWO_LEGS, RUNNING, STACKED)},
    "in line with places": read_rig(STRETCHING),
    "corner with a rope": read_rig(CORNER_STRETCHING),
}


@pytest.mark.parametrize("name", RIGS)
@pytest.mark.parametrize("by_effort", [False, True])
def test_every_figure_of_every_draw_is_the_solvers(name, by_effort):
    rig, draws = RIGS[name], 6
    load_N, effort_N = (None, 9e3) if by_effort else (20e3, None)
    ks = np.random.default_rng(8).uniform(1.0, 1.3, (len(rig.blocks), draws))
    ratios = dict.fromkeys(rig.blocks, 1.1)
    core = solve_core(rig, ratios, load_N, effort_N, ())
    drawn = {block: {"k": k} for block, k in zip(rig.blocks, ks, strict=True)}
    found = figures(core, sampled(rig, core, resolve_laws(rig, ratios), drawn, draws), load_N, effort_N)
    for i in range(draws):
        one = figures_of(solve_core(rig, dict(zip(rig.blocks, ks[:, i], strict=True)), load_N, effort_N, ()))
        assert list(one) == [path for path in one if path in found]
        assert set(found) == set(one)
        mine = {path: float(np.broadcast_to(x, (draws,))[i]) for path, x in found.items()}
        assert mine == pytest.approx(one, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize(
    "name", ["four-part/on-load", "luff on luff/off-load", "floating corner", "running bridle"]
)
def test_for_small_errors_both_ways_agree(name):
    # JCGM 101:2008, 8: the law of propagation is valid where the model is as good as linear
    k = Measured.normal(1.09, 0.002)
    rig = RIGS[name]
    linear = solve_rig(rig, k, load_N=20e3).uncertainty
    drawn = solve_rig_by_draws(rig, k, draws=50_000, load_N=20e3).uncertainty
    assert list(drawn) == list(linear)
    for path, one in linear.items():
        if one.u > 1e-6 * abs(one.value):
            assert drawn[path].u == pytest.approx(one.u, rel=0.02), path
            assert drawn[path].half95 == pytest.approx(one.half95, rel=0.03), path
            assert drawn[path].value == one.value


def test_one_device_twice_against_two_devices():
    # effort = R k1 k2. Moments of normals: one device R k², var = R² (4 k² u² + 2 u⁴); two devices, var = R² (2 k² u² + u⁴)
    rig, (k, u) = parse_notation(TWO_TURNS), (1.3, 0.04)
    each = {"B1": Measured.normal(k, u), "B2": Measured.normal(k, u)}
    one = solve_rig_by_draws(rig, each, draws=MOST, load_N=1.0, devices={"B1": "puck", "B2": "puck"})
    two = solve_rig_by_draws(rig, each, draws=MOST, load_N=1.0)
    path = "effort_N.winch"
    assert one.effort_N["winch"] == pytest.approx(k * k)
    assert one.uncertainty[path].u == pytest.approx(math.sqrt(4 * k * k * u * u + 2 * u**4), rel=0.01)
    assert two.uncertainty[path].u == pytest.approx(math.sqrt(2 * k * k * u * u + u**4), rel=0.01)
    assert one.uncertainty[path].lo == pytest.approx(
        (k - 1.96 * u) ** 2, rel=0.003
    )  # k² rises with k: its percentiles
    assert one.uncertainty[path].hi == pytest.approx((k + 1.96 * u) ** 2, rel=0.003)


def test_no_draw_gives_back_more_than_it_gets():
    # effort = R k with k - 1 half normal: u sqrt(1 - 2/pi), any table of distributions; 97.5 % point 2.2414 u
    rig = parse_notation("X2.drum > X > !O")
    found = solve_rig_by_draws(rig, Measured.normal(1.0, 0.05), draws=MOST, load_N=1.0)
    effort, advantage = found.uncertainty["effort_N.winch"], found.uncertainty["advantage"]
    assert effort.u == pytest.approx(0.05 * math.sqrt(1.0 - 2.0 / math.pi), rel=0.01)
    assert effort.hi == pytest.approx(1.0 + 2.2414 * 0.05, rel=0.002)
    assert effort.lo >= 1.0
    assert advantage.hi <= found.ideal_advantage


@pytest.mark.parametrize(
    "law", [{"e": "0.95±0.06"}, {"law": "capstan", "mu": "0.02±0.03"}, {"k": "1.02±0.05"}]
)
def test_numbers_of_a_law_stay_within_what_a_sheave_can_do(law):
    rig = read_rig({**CORNER, "sheaves": law})
    spread = spread_inputs(rig, None, {}, {}, 20e3, None)
    (number, blocks), xs = spread.numbers[0], draw(spread, 20_000, np.random.default_rng(1))
    assert blocks == ("corner",)
    least, most = {"e": (0.0, 1.0), "mu": (0.0, math.inf), "k": (1.0, math.inf)}[number]
    assert least <= xs.min()
    assert xs.max() <= most
    told = solve_rig_by_draws(rig, draws=2_000).uncertainty
    assert told["winch_share"].u > 0.0


def test_draws_that_jam_are_told_or_refused():
    rig = parse_notation(SELF_JAMMING)
    few = solve_rig_by_draws(rig, Measured.normal(1.5, 0.05), draws=20_000)
    # normal distribution: P(k > 1.618) = P(z > 2.361) = 0.91 %
    told = next(notice.message for notice in few.notices if "jams" in notice.message)
    assert float(told.split()[1]) == pytest.approx(0.91, abs=0.2)
    assert math.isfinite(few.uncertainty["effort_N.winch"].hi)
    with pytest.raises(RigRefusal, match="% of 20000 draws") as refused:
        solve_rig_by_draws(rig, Measured.normal(1.6, 0.05), draws=20_000)
    assert refused.value.code == "JAMS"


def test_the_same_seed_gives_the_same_answer_and_it_is_told_how():
    k = Measured.normal(1.1, 0.02)
    one, same, other = (
        hw.solve_rig("four-part", k, load="26 kN", monte_carlo=2000, seed=s) for s in (4, 4, 5)
    )
    assert one.uncertainty == same.uncertainty
    assert one.uncertainty != other.uncertainty
    assert one.made.inputs["monte_carlo"] == 2000
    assert one.made.inputs["seed"] == 4
    assert "Monte Carlo, 2000 draws all solved together, seed 4" in one.made.method
    assert any("JCGM 101" in source for source in one.made.sources)
    assert one.to_dict()["uncertainty"]["advantage"]["u"] == one.uncertainty["advantage"].u


def test_a_rig_that_cannot_be_compiled_is_solved_draw_by_draw():
    spec = {
        **STRETCHING,
        "winches": {"winch": {"on": "oak"}, "second": {"on": "elm", "line_pull": 3}},
        "lines": {**STRETCHING["lines"], "two": {"standing": "truck", "fall": "second"}},
    }
    del spec["winch"]
    k = Measured.normal(1.1, 0.002)
    linear, drawn = solve_rig(read_rig(spec), k), solve_rig_by_draws(read_rig(spec), k, draws=1000)
    assert "each solved on its own" in drawn.made.method
    assert drawn.uncertainty["effort_N.winch"].u == pytest.approx(
        linear.uncertainty["effort_N.winch"].u, rel=0.1
    )


@pytest.mark.parametrize(
    ("ratio", "draws", "seed"),
    [(Measured.normal(1.1, 0.02), 10, 1), (Measured.normal(1.1, 0.02), 1000, -1), (1.1, 1000, 1)],
)
def test_what_cannot_be_drawn_is_refused(ratio, draws, seed):
    with pytest.raises(RigRefusal) as refused:
        solve_rig_by_draws(named_rig("four-part"), ratio, draws=draws, seed=seed)
    assert refused.value.code == "INPUT"
