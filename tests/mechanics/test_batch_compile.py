"""Compiled rigs against the scalar solver, sample by sample, and against printed factors."""

import random
import re
from dataclasses import replace

import numpy as np
import pytest
from random_rigs import random_notation

import haulwright as hw
from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.compile import CHUNK, compile_rig
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig

LOAD_N = 12_345.0


def sample(rig, program, ks):
    """Return the program's part tensions and the solver's for one ratio per block; None for both where the rig jams."""
    ratios = np.array([[ks[contact.at]] for contact in program.contacts]).reshape(-1, 1)
    efforts, parts, jams = program(ratios, LOAD_N)
    only_efforts, only_jams = program.efforts(ratios, LOAD_N)
    np.testing.assert_array_equal(efforts, only_efforts)
    assert jams == only_jams
    try:
        solved = solve_rig(rig, ks, load_N=LOAD_N)
    except RigRefusal as refusal:
        assert refusal.code == "JAMS"  # noqa: PT017
        assert jams == 1
        assert np.isnan(parts).all()
        return None, None
    assert jams == 0
    assert efforts[0] == pytest.approx(solved.effort_N["winch"], rel=1e-12)
    theirs = [solved.lines[part.line].parts[part.index - 1].tension_N for part in program.parts]
    return parts[:, 0], theirs


@pytest.mark.parametrize("name", NAMES)
def test_named_rigs_agree_with_the_solver(name):
    rig, rng = named_rig(name), random.Random(7)
    program = compile_rig(rig)
    solved = solve_rig(rig, 1.1)
    assert [(c.line, c.index, c.at) for c in program.contacts] == [
        (c.line, c.index, c.at) for c in solved.contacts
    ]
    assert program.ideal_advantage == pytest.approx(solved.ideal_advantage, rel=1e-12)
    for _ in range(20):
        mine, theirs = sample(rig, program, {block: rng.uniform(1.0, 1.5) for block in rig.blocks})
        assert mine == pytest.approx(theirs, rel=1e-12)


def test_random_tackles_agree_with_the_solver_and_jam_with_it():
    rng = random.Random(1066)
    solved, jammed = 0, 0
    for _ in range(4000):
        try:
            rig = parse_notation(random_notation(rng))
        except RigRefusal:
            continue
        try:
            program = compile_rig(rig)
        except RigRefusal as refusal:
            with pytest.raises(RigRefusal) as same:
                solve_rig(rig, 1.0)
            assert refusal.code == same.value.code  # noqa: PT017
            continue
        for greatest in (1.1, 2.5):
            ks = {block: rng.uniform(1.0, greatest) for block in rig.blocks}
            mine, theirs = sample(rig, program, ks)
            if mine is None:
                jammed += 1
                assert program.can_jam
            else:
                solved += 1
                assert mine == pytest.approx(theirs, rel=1e-12, abs=1e-12 * LOAD_N)
    assert solved > 1000
    assert jammed > 5


def test_directions_that_are_not_along_the_travel_agree_too():
    rig = hw.read_rig(
        {
            "order": ["oak", "M", "truck"],
            "anchors": {"oak": {}},
            "load": {"name": "truck", "toward": "oak", "resistance": "20 kN"},
            "blocks": {"B": {"on": "truck", "between": "40 deg"}, "M": {"floating": True}},
            "lines": {
                "winch line": {"standing": "oak", "through": ["M"], "fall": "winch"},
                "line 2": {"standing": "oak", "through": ["B"], "to": "M"},
            },
            "winch": {"on": "oak"},
        }
    )
    mine, theirs = sample(rig, compile_rig(rig), {"B": 1.07, "M": 1.13})
    assert mine == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize(("k", "parts", "printed"), [(1.04, 10, 0.123), (1.04, 12, 0.107), (1.09, 4, 0.309)])
def test_fast_line_factors_are_those_printed(k, parts, printed):
    # API RP 9B, 14th ed., Addendum 1, fast-line factors: effort at the drum for a load of 1
    path = "beyond.drum > " + " > ".join(["X", "!O", *["X", "O"] * (parts // 2 - 1)]) + " > X"
    program = compile_rig(parse_notation(path))
    assert len(program.contacts) == parts
    efforts, jams = program.efforts(np.full((parts, 3), k))
    assert efforts == pytest.approx([k**parts * (k - 1.0) / (k**parts - 1.0)] * 3, rel=1e-12)
    assert efforts == pytest.approx([printed] * 3, abs=5.1e-4)
    assert jams == 0


def test_jams_are_counted_and_never_given_a_number():
    # the fall drags the load back with E while two parts pull with E/k + E/k^2: nothing is left where k^2 = k + 1
    program = compile_rig(parse_notation("beyond.drum > !O > X > O | order X O beyond"))
    k = np.linspace(1.0, 2.0, 1001)
    efforts, parts, jams = program(np.stack([k, k]))
    jammed = k * k > k + 1.0
    assert program.can_jam
    assert jams == jammed.sum() == 382
    np.testing.assert_array_equal(np.isnan(efforts), jammed)
    assert np.isnan(parts[:, jammed]).all()
    assert (parts[:, ~jammed] > 0.0).all()


def test_long_arrays_are_worked_in_chunks_without_a_seam():
    program = compile_rig(named_rig("luff on luff"))
    rng = np.random.default_rng(3)
    n = 2 * CHUNK + 5
    ratios, loads = rng.uniform(1.0, 1.2, (6, n)), rng.uniform(1e3, 5e4, n)
    efforts, parts, jams = program(ratios, loads)
    assert jams == 0
    for i in (0, CHUNK - 1, CHUNK, 2 * CHUNK, n - 1):
        alone, tensions, _ = program(ratios[:, i : i + 1], loads[i])
        assert efforts[i] == alone[0]
        np.testing.assert_array_equal(parts[:, i], tensions[:, 0])
    np.testing.assert_array_equal(program.efforts(ratios, loads)[0], efforts)


def test_a_single_line_has_no_ratio_and_still_takes_many_loads():
    efforts, _ = compile_rig(named_rig("single line")).efforts(np.empty((0, 2)), [5.0, 7.0])
    assert efforts.tolist() == [5.0, 7.0]


def test_no_name_of_the_user_is_in_the_source():
    plain = compile_rig(parse_notation("X.drum > ~M > X ; ~M > !O > X"))
    odd = parse_notation("k=1.drum > ~)\n import os # > k=1 ; ~)\n import os # > !__import__('os') > k=1")
    assert compile_rig(odd).source == plain.source
    code = re.sub(r"#.*", "", plain.source)
    words = set(re.findall(r"[A-Za-z_]\w*", code))
    assert {w for w in words if not re.fullmatch(r"[gx]\d+(_\d+)?", w)} == {
        *("def", "return", "None", "efforts", "tensions", "multiply"),
        *("k", "R", "out"),
    }


@pytest.mark.parametrize(
    ("ratios", "load", "code"),
    [
        ([1.1, 1.1], 1.0, "INPUT"),
        ([[1.1]], 1.0, "INPUT"),
        ([[1.1], [1.1], [1.1]], 1.0, "INPUT"),
        ([[1.1], [0.99]], 1.0, "RATIO"),
        ([[1.1], [float("nan")]], 1.0, "RATIO"),
        ([[1.1], [float("inf")]], 1.0, "RATIO"),
        ([[1.1], [1.1]], 0.0, "INPUT"),
        ([[1.1], [1.1]], float("nan"), "INPUT"),
        ([[1.1], [1.1]], [1.0, 2.0], "INPUT"),
    ],
)
def test_arrays_that_make_no_sense_are_refused(ratios, load, code):
    program = compile_rig(named_rig("stacked two-parts"))
    for answer in (program, program.efforts):
        with pytest.raises(RigRefusal) as caught:
            answer(ratios, load)
        assert caught.value.code == code


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("X.drum > ~M > !O", "UNDER"),
        ("beyond.drum > !O", "BACKWARDS"),
        ("!O.drum > ~M > X > ~M ; X > ~M | order X M O", "SLACK"),
    ],
)
def test_rigs_that_cannot_work_are_not_compiled(path, code):
    with pytest.raises(RigRefusal) as caught:
        compile_rig(parse_notation(path))
    assert caught.value.code == code


def test_blocks_that_find_their_place_are_left_to_the_solver():
    with pytest.raises(RigRefusal) as caught:
        compile_rig(replace(named_rig("stacked two-parts"), mode="ground"))
    assert caught.value.code == "UNSUPPORTED"
