"""Rigs on the ground on arrays: against the scalar solver sample by sample, and against one-unknown root finding."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from ground_rigs import CORNER, RUNNING, STACKED, TWO_LEGS, changed, random_ground_rig, vee
from scipy.optimize import brentq
from test_ground_refusals import JAMMING

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.batch.geometry import CHUNK, compile_ground
from haulwright.mechanics.batch.laws import log_ratio, numbers_of
from haulwright.mechanics.core import solve_core
from haulwright.mechanics.geometry import add
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.sheave import Bearing, ByWrap, Capstan, Efficiency, Frictionless, PerContact
from haulwright.mechanics.uncertain import with_numbers

LOAD_N = 20e3
SPANS = {"k": (1.0, 1.4), "e": (0.7, 1.0), "mu": (0.0, 0.2), "f": (0.0, 0.1), "c": (0.0, 0.03)}


def at_sample(rig, program, column, travel_m=0.0):
    """Return the rig with the numbers of one sample and its load moved on."""
    numbers = {}
    for row, x in zip(program.numbers, column, strict=True):
        numbers.setdefault(row.at, {})[row.name] = float(x)
    blocks = {
        name: replace(one, law=with_numbers(one.law or rig.law, numbers[name])) if name in numbers else one
        for name, one in rig.blocks.items()
    }
    load = replace(rig.load, at=add(rig.load.at, rig.direction, travel_m))
    return replace(rig, blocks=blocks, bodies={**rig.bodies, load.name: load})


def compare(rig, program, numbers, found, s, travel_m=0.0):
    """Hold one sample against the solver; return whether it has an answer."""
    try:
        core = solve_core(at_sample(rig, program, numbers[:, s], travel_m), None, LOAD_N, None, ())
    except RigRefusal:
        assert np.isnan(found.effort_N[s])
        assert np.isnan(found.tensions_N[:, s]).all()
        return False
    theirs = [t for parts in core.found.values() for t in parts]
    assert found.tensions_N[:, s] == pytest.approx(theirs, rel=1e-9)
    assert found.travel_ratio[s] == pytest.approx(1.0 / core.moving.motion.load_speed, rel=1e-9)
    assert found.ideal_advantage[s] == pytest.approx(core.ideal_advantage, rel=1e-9)
    speed = core.moving.motion.load_speed
    flows = [q / speed for line in core.moving.motion.flows.values() for q in line[1:-1]]
    assert found.flows[:, s] == pytest.approx(flows, rel=1e-8, abs=1e-8)
    for i, name in enumerate(program.free):
        assert found.places_m[i, :, s] == pytest.approx(core.moving.rig.bodies[name].at, abs=1e-9)
    return True


@pytest.mark.parametrize("travels", [False, True])
def test_random_rigs_agree_with_the_solver_sample_by_sample(travels):
    rng, answered, without = random.Random(71), 0, 0
    for _ in range(60):
        try:
            rig = read_rig(random_ground_rig(rng))
            program = compile_ground(rig)
        except RigRefusal:
            continue
        numbers = np.array([[rng.uniform(*SPANS[one.name]) for _ in range(6)] for one in program.numbers])
        travel_m = [rng.uniform(0.0, 5.0) for _ in range(6)] if travels else None
        found = program(numbers, LOAD_N, travel_m)
        for s in range(6):
            if compare(rig, program, numbers, found, s, travel_m[s] if travel_m else 0.0):
                answered += 1
            else:
                without += 1
        assert found.jams + found.lost == np.isnan(found.effort_N).sum()
    assert answered > 250
    assert without > 0 or not travels


def test_a_floating_corner_agrees_with_one_unknown():
    # a strap carries force along itself only, so the two parts of the line have no moment about its anchor: any statics
    # text; the ratio at 180 degrees taken to the wrap by Euler-Eytelwein
    truck, helper, strap = np.array([16.0, -2.0]), np.array([3.0, 11.0]), 2.0

    def corner(angle):
        return strap * np.array([math.cos(angle), math.sin(angle)])

    def wrap(angle):
        a, b = corner(angle) - truck, helper - corner(angle)
        return math.atan2(abs(a[0] * b[1] - a[1] * b[0]), a @ b)

    def moment(angle, k):
        at = corner(angle)
        pulls = [(truck - at, 1.0), (helper - at, k ** (wrap(angle) / math.pi))]
        return sum(t * (at[0] * d[1] - at[1] * d[0]) / math.hypot(*d) for d, t in pulls)

    ks = np.linspace(1.0, 1.4, 41)
    found = compile_ground(read_rig(CORNER))([ks], LOAD_N)
    assert found.jams == found.lost == 0
    for s, k in enumerate(ks):
        angle = brentq(moment, 0.3, 1.2, args=(k,), xtol=1e-13)
        d = corner(angle) - truck
        tension = LOAD_N / (-d[0] / math.hypot(*d))
        assert found.places_m[0, :2, s] == pytest.approx(corner(angle), abs=1e-9)
        assert found.effort_N[s] == pytest.approx(tension * k ** (wrap(angle) / math.pi), rel=1e-9)


def test_jams_are_counted_and_are_not_numbers():
    rig = read_rig(JAMMING)
    program = compile_ground(rig)
    ks = np.repeat(np.linspace(1.0, 2.2, 26).reshape(1, -1), len(program.numbers), axis=0)
    found = program(ks, LOAD_N)
    answered = [compare(rig, program, ks, found, s) for s in range(26)]
    assert 0 < sum(answered) < 26
    assert found.jams == 26 - sum(answered)
    assert np.isnan(found.places_m[:, :, [s for s in range(26) if not answered[s]]]).all()


def test_a_block_that_sticks_is_left_to_the_solver():
    rig = vee(30)
    rig["blocks"] = {"link": {"floating": True, "near": [-3, 0.3]}}
    rig["lines"] = {
        "winch line": {"standing": "link", "fall": "winch"},
        "bridle": {"standing": "truck.left", "through": ["link"], "to": "truck.right", "length": 8.0},
    }
    rig = read_rig(rig)
    program = compile_ground(rig)
    numbers = np.array([[1.05, 1.2, 1.3]])
    found = program(numbers, LOAD_N)
    assert found.flows[0] == pytest.approx([0.0, 0.0, 0.0])
    assert all(compare(rig, program, numbers, found, s) for s in range(3))


@pytest.mark.parametrize("spec", [CORNER, TWO_LEGS, RUNNING, STACKED])
def test_chunks_make_no_difference(spec):
    program = compile_ground(read_rig(spec))
    rng = np.random.default_rng(3)
    numbers = rng.uniform(1.0, 1.25, (len(program.numbers), CHUNK + 7))
    loads = rng.uniform(1e4, 4e4, CHUNK + 7)
    whole, few = program(numbers, loads), program(numbers[:, -9:], loads[-9:])
    assert whole.effort_N[-9:] == pytest.approx(few.effort_N, rel=1e-12)
    assert whole.effort_N == pytest.approx(program(numbers).effort_N * loads, rel=1e-12)


@pytest.mark.parametrize(
    "law",
    [
        PerContact(1.1),
        ByWrap(1.1),
        Efficiency(0.9),
        Capstan(0.15, 1),
        Bearing(0.03, 0.01),
        Frictionless(),
        None,
    ],
)
def test_laws_on_arrays_are_the_laws(law):
    wraps = np.array([0.0, 1e-6, 0.4, 1.9, math.pi])
    log_k, slope = log_ratio(law, {}, wraps)
    assert np.broadcast_to(np.exp(log_k), 5) == pytest.approx(
        [law.ratio(w) if law else 1.0 for w in wraps], rel=1e-14
    )
    assert np.broadcast_to(slope, 5) == pytest.approx(
        [law.log_slope(w) if law else 0.0 for w in wraps], rel=1e-12
    )
    assert set(numbers_of(law)) <= set(SPANS)


def test_what_is_not_covered_is_refused_by_name():
    two = {key: value for key, value in CORNER.items() if key != "winch"}
    two["lines"] = {**CORNER["lines"], "two": {"standing": "truck", "fall": "winch 2"}}
    two["winches"] = {"winch": {"on": "helper"}, "winch 2": {"on": "oak", "line_pull": 1}}
    cases = (
        (read_rig(two), "several winches"),
        (replace(read_rig(CORNER), free_load=True), "a free load"),
        (read_rig(changed(CORNER, sheaves={"law": "tenth-rule"})), "one-tenth"),
        (parse_notation("X.drum > ~M > X ; ~M > !O > X"), "compile_rig"),
    )
    for rig, word in cases:
        with pytest.raises(RigRefusal, match=word) as refused:
            compile_ground(rig)
        assert refused.value.code == "UNSUPPORTED"


@pytest.mark.parametrize(
    ("numbers", "load_N", "travel_m", "code"),
    [
        ([1.1], 1.0, None, "INPUT"),
        ([[1.1], [1.1]], 1.0, None, "INPUT"),
        ([[1.1, 1.2]], [1.0], None, "INPUT"),
        ([[1.1]], 0.0, None, "INPUT"),
        ([[0.99]], 1.0, None, "RATIO"),
        ([[math.nan]], 1.0, None, "RATIO"),
        ([[1.1]], 1.0, [math.inf], "INPUT"),
    ],
)
def test_bad_arrays_are_refused(numbers, load_N, travel_m, code):
    with pytest.raises(RigRefusal) as refused:
        compile_ground(read_rig(CORNER))(numbers, load_N, travel_m)
    assert refused.value.code == code


def test_no_samples_give_no_answers():
    assert compile_ground(read_rig(CORNER))(np.empty((1, 0))).effort_N.shape == (0,)
