"""Stretch, stored energy, take-up and line needed of solved rigs.

Figures: Hooke's law and the work of a linear spring, worked out by hand. Area of a 10 mm wire rope with steel core
46.0 mm² and E 100 GPa, EA of 11 mm wire 4.4 MN and of a nylon kinetic rope 0.25 MN: from memory, they only carry the
arithmetic. Take-up: virtual work (any statics text), checked against energy and against a rig solved anew.
"""

import math
import random
from dataclasses import replace

import pytest
from ground_rigs import CORNER, STACKED, TWO_LEGS, changed

import haulwright as hw
from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.rig import Rope
from haulwright.mechanics.stall import with_and_without_friction, with_stall
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig

UNITS = {"force": "kN", "length": "m"}


def single(length_m, load_kN, **line):
    return {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {"name": "truck", "at": [length_m, 0], "resistance": load_kN},
        "lines": {"winch line": {"standing": "truck", "fall": "winch", **line}},
        "winch": {"on": "oak"},
    }


def stacked(**how):
    """Two stacked two-parts: the long line's moving block lies 20 m from the oak, the wagon 50 m; all along one line."""
    return {
        "units": UNITS,
        "anchors": {"oak": {"at": [0, 0]}},
        "load": {"name": "wagon", "at": [50, 0], "toward": "oak", "resistance": 40},
        "blocks": {"B1": {"on": "wagon"}, "M1": {"floating": True, "at": [20, 0]}},
        "lines": {
            "long rope": {"standing": "oak", "through": ["B1"], "to": "M1", "rope": {"EA": 4000}},
            "winch line": {"standing": "oak", "through": ["M1"], "fall": "winch", "rope": {"EA": 2000}},
        },
        "winch": {"on": "oak"},
        **how,
    }


def solved(rig, *args, **how):
    return solve_rig(read_rig(rig), *args, **how)


def told(solution, word):
    return [n.message for n in solution.notices if word in n.message]


@pytest.mark.parametrize(
    ("length_m", "EA", "stretch_m", "stored_J"),
    [(30, 4600, 0.260870, 5217.39), (25, 4400, 0.227273, 4545.45), (25, 250, 4.0, 80e3)],
)
def test_one_straight_line_at_40_kn(length_m, EA, stretch_m, stored_J):
    s = solved(single(length_m, 40, rope={"EA": EA}))
    assert s.stretch["winch line"]["stretch_m"] == pytest.approx(stretch_m, rel=1e-5)
    assert s.stretch["winch line"]["stored_J"] == pytest.approx(stored_J, rel=1e-5)
    assert s.take_up_m == pytest.approx(stretch_m, rel=1e-5)
    assert s.line_m == {"winch": {"needed": length_m, "taken_in": None}}
    assert told(s, "would let go")


def test_two_stacked_two_parts_by_hand():
    s = solved(stacked())
    # 40 kN: the long line carries 20 kN over 50 + 30 m, the winch line 10 kN over 20 + 20 m
    whole = {n: {key: one[key] for key in ("stretch_m", "stored_J")} for n, one in s.stretch.items()}
    assert whole["long rope"] == pytest.approx({"stretch_m": 20 * 80 / 4000, "stored_J": 400 * 80 / 8})
    assert whole["winch line"] == pytest.approx({"stretch_m": 10 * 40 / 2000, "stored_J": 100 * 40 / 4})
    first, second = s.stretch["long rope"]["parts"]
    assert first == pytest.approx({"stretch_m": 20 * 50 / 4000, "stored_J": 400 * 50 / 8})
    assert second == pytest.approx({"stretch_m": 20 * 30 / 4000, "stored_J": 400 * 30 / 8})
    assert s.take_up_m == pytest.approx(2 * 0.4 + 0.2)
    assert s.line_m["winch"]["needed"] == pytest.approx(40.0)
    assert s.effort_N["winch"] * s.take_up_m / 2 == pytest.approx(5000.0)


def test_friction_changes_the_stretch_of_each_part_but_not_what_it_costs_the_drum():
    s = solved(stacked(sheaves={"law": "per-contact", "k": 1.25}))
    long, short = (s.lines[name].parts for name in ("long rope", "winch line"))
    assert long[1].tension_N == pytest.approx(1.25 * long[0].tension_N)
    grown = {
        "long rope": sum(p.tension_N * p.length_m for p in long) / 4e6,
        "winch line": sum(p.tension_N * p.length_m for p in short) / 2e6,
    }
    assert {name: one["stretch_m"] for name, one in s.stretch.items()} == pytest.approx(grown)
    assert s.take_up_m == pytest.approx(2 * grown["long rope"] + grown["winch line"])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", [1, 2])
def test_without_friction_the_drum_does_the_work_the_lines_store(name, seed):
    """Loaded linearly: ½ effort · take-up = sum of the stored energy, in every named rig of any lengths and EA."""
    rnd, rig = random.Random(f"{name} {seed}"), named_rig(name)
    scale = rnd.uniform(3.0, 40.0)
    bodies = {n: replace(b, at=(b.at[0] * scale, 0.0, 0.0)) for n, b in rig.bodies.items()}
    lines = {n: replace(ln, rope=Rope(10 ** rnd.uniform(5, 7))) for n, ln in rig.lines.items()}
    s = solve_rig(replace(rig, bodies=bodies, lines=lines, placed=True), load_N=rnd.uniform(1e3, 9e4))
    stored = math.fsum(one["stored_J"] for one in s.stretch.values())
    assert stored > 0.0
    assert s.effort_N[next(iter(s.effort_N))] * s.take_up_m / 2 == pytest.approx(stored, rel=1e-9)


@pytest.mark.parametrize("rig", [CORNER, TWO_LEGS, STACKED], ids=["corner", "two legs", "stacked"])
def test_blocks_that_find_their_place_keep_the_energy_too(rig):
    rig = changed(rig, sheaves={"law": "per-contact", "k": 1})
    read = read_rig(rig)
    lines = {n: replace(ln, rope=Rope(1e6 * (i + 1))) for i, (n, ln) in enumerate(read.lines.items())}
    s = solve_rig(replace(read, lines=lines))
    stored = math.fsum(one["stored_J"] for one in s.stretch.values())
    assert s.effort_N["winch"] * s.take_up_m / 2 == pytest.approx(stored, rel=1e-6)


def test_take_up_of_a_strap_is_what_the_drum_must_take_in_when_the_strap_is_that_much_longer():
    """Another road: the strap made longer by its stretch, the same load, the winch line measured before and after."""
    dx = 1e-4

    def needed(length_m):
        strap = {"strap": {"to": "oak", "length": length_m}, "near": [1.5, 1.2]}
        s = solved(changed(CORNER, blocks={"corner": strap}, sheaves={"law": "per-contact", "k": 1}))
        return s.line_m["winch"]["needed"]

    tilt = (needed(2.0 - dx) - needed(2.0 + dx)) / (2 * dx)
    strap = {"strap": {"to": "oak", "length": 2.0, "EA": 1000}, "near": [1.5, 1.2]}
    winch = {"standing": "truck", "through": ["corner"], "fall": "winch", "rope": {"EA": 1e12}}
    s = solved(
        changed(
            CORNER,
            blocks={"corner": strap},
            lines={"winch line": winch},
            sheaves={"law": "per-contact", "k": 1},
        )
    )
    assert s.take_up_m == pytest.approx(tilt * s.stretch["strap corner–oak"]["stretch_m"], rel=1e-5)


def test_a_line_without_ea_is_left_out_and_named():
    s = solved(
        stacked(lines={**stacked()["lines"], "long rope": {"standing": "oak", "through": ["B1"], "to": "M1"}})
    )
    assert set(s.stretch) == {"winch line"}
    assert s.take_up_m is None
    (notice,) = told(s, "No EA is given")
    assert "long rope" in notice
    assert next(n for n in s.notices if n.message == notice).level == "info"


def test_straps_without_ea_leave_the_take_up_open():
    winch = {"standing": "truck", "through": ["link"], "fall": "winch", "rope": {"EA": 4400}}
    s = solved(changed(TWO_LEGS, lines={"winch line": winch}))
    assert set(s.stretch) == {"winch line"}
    assert s.take_up_m is None


def test_nothing_is_guessed_where_nothing_is_given():
    bare = solved(single(30, 40))
    assert (bare.stretch, bare.take_up_m) == (None, None)
    assert not told(bare, "EA")
    unloaded = single(30, 40, rope={"EA": 4600})
    del unloaded["load"]["resistance"]
    s = solved(unloaded)
    assert (s.stretch, s.take_up_m) == (None, None)
    assert s.line_m["winch"]["needed"] == 30.0
    assert solved(named_rig("two-part/on-load"), 1.1, load_N=1e4).line_m is None


@pytest.mark.parametrize("where", ["line", "rope"])
def test_a_line_too_short_is_told_with_both_lengths(where):
    given = {"length": 28} if where == "line" else {"rope": {"length": 28}}
    (notice,) = told(solved(single(30, 40, **given)), "does not reach")
    assert "28.00 m" in notice
    assert "30.00 m" in notice
    assert not told(solved(single(30, 40, length=30)), "does not reach")


def test_a_stated_breaking_force_is_held_against_the_line_and_is_no_wll():
    assert told(solved(single(30, 40, rope={"break": 98})), "no WLL")
    assert told(solved(single(30, 99, rope={"break": 98})), "not with this rope")
    rig = read_rig(single(30, 40, rope={"break": 98}))
    for stall_N, over in ((97e3, 0), (98e3, 1)):
        s = with_stall(solve_rig(rig), with_and_without_friction(rig, None, effort_N=stall_N), rig)
        assert len(told(s, "at winch stall; its rope breaks at")) == over


@pytest.mark.parametrize(
    "rope", [{"EA": 0}, {"EA": -1}, {"break": 0}, {"diameter": 0}, {"length": 0}], ids=str
)
def test_a_rope_of_nothing_is_refused(rope):
    with pytest.raises(RigRefusal) as caught:
        solved(single(30, 40, rope=rope))
    assert caught.value.code == "INPUT"
    assert "winch line" in caught.value.message


def test_the_record_and_the_named_rig_show_it():
    record = hw.solve_rig(single(30, 40, rope={"EA": 4600})).to_dict()
    assert set(record["stretch"]["winch line"]) == {"stretch_m", "stored_J", "parts"}
    assert record["line_m"] == {"winch": {"needed": 30.0, "taken_in": None}}
