"""Tackles by gear and wanted advantage: what is answered against every reeving, the solver and the classic rigs."""

import json

import numpy as np
import pytest

import haulwright as hw
from haulwright.errors import RigRefusal
from haulwright.interfaces.cli.main import main
from haulwright.mechanics.batch.find import find_tackles
from haulwright.mechanics.batch.reevings import reevings

K = 1.1


@pytest.mark.parametrize(
    "gear",
    [
        {},
        {"blocks": 2, "ropes": 2},
        {"blocks": 4, "winch": "on-load"},
        {"ropes": 1},
        {"ropes": 3, "blocks": 5, "winch": "off-load"},
    ],
)
@pytest.mark.parametrize("at_least", [None, 1.5, 4.0])
def test_every_row_reads_back_and_solves_to_what_it_says(at_least, gear):
    found = find_tackles(at_least, ratio=K, limit=40, **gear)
    assert len(found.tackles) == min(found.reached, 40)
    for tackle in found.tackles:
        solved = hw.solve_rig(tackle.path, K)
        assert solved.advantage == pytest.approx(tackle.advantage, rel=1e-12)
        assert solved.ideal_advantage == pytest.approx(tackle.ideal_advantage, rel=1e-9)
        assert len(solved.contacts) == tackle.sheaves <= gear.get("blocks", 6)
        assert len(solved.lines) == tackle.ropes == tackle.moving_blocks + 1 <= gear.get("ropes", 3)
        rig = hw.read_rig(tackle.path)
        assert len(rig.floating) == tackle.moving_blocks
        assert tackle.winch == ("on-load" if rig.winch_on == rig.load.name else "off-load")
        assert gear.get("winch", tackle.winch) == tackle.winch
        assert {body.name for body in rig.floating} <= {
            c.at for c in solved.contacts
        }  # each is a block, no knot
        assert all(c.direction != "still" for c in solved.contacts)
        assert at_least is None or tackle.advantage >= at_least
        if tackle.name:
            assert hw.solve_rig(tackle.name, K).advantage == pytest.approx(tackle.advantage, rel=1e-12)


def test_fewest_sheaves_first_then_fewer_ropes_then_more_advantage():
    tackles = find_tackles(2.5, ratio=K, limit=10**6).tackles
    keys = [(t.sheaves, t.ropes, -round(t.advantage, 12)) for t in tackles]
    assert keys == sorted(keys)
    assert len(tackles) > 5000
    assert len({t.path for t in tackles}) == len(tackles)


@pytest.mark.parametrize("wanted", [1.5, 2.0, 3.0, 5.0, 8.0, 12.0, 16.0])
def test_no_reeving_with_fewer_sheaves_reaches_it(wanted):
    first = find_tackles(wanted, ratio=K, limit=1).tackles[0]
    for moving in range(3):
        every = reevings(moving)
        fewer = every.sheaves < first.sheaves
        assert not (every.advantages(K)[fewer] >= wanted).any()


def test_from_four_upwards_several_ropes_need_fewer_sheaves_than_one():
    # common practice, no source: compounding multiplies, adding parts to one rope adds
    for wanted in (4.0, 5.0):
        one = find_tackles(wanted, ratio=K, ropes=1, limit=1).tackles
        several = find_tackles(wanted, ratio=K, limit=1).tackles[0]
        assert several.ropes > 1
        assert not one or one[0].sheaves > several.sheaves
    assert find_tackles(2.5, ratio=K, limit=1).tackles[0].ropes == 1


def test_two_blocks_and_an_extension_rope_make_stacked_two_parts():
    # the classic answers: stacked two-parts 4, three-part 3, spanish burton 3 (any seamanship manual)
    found = find_tackles(ratio=1.0, blocks=2, ropes=2, limit=100)
    assert found.greatest_advantage == pytest.approx(4.0)
    by_name = {t.name.partition("/")[0]: t.ideal_advantage for t in found.tackles if t.name}
    assert by_name == {
        "stacked two-parts": 4.0,
        "three-part": 3.0,
        "spanish burton": 3.0,
        "two-part": 2.0,
        "single line": 1.0,
        "redirect": 1.0,
    }
    assert "NO_FRICTION" in {n.code for n in found.notices}
    assert "NO_FRICTION" not in {n.code for n in find_tackles(ratio=K).notices}


@pytest.mark.parametrize(("ropes", "greatest"), [(1, 7.0), (2, 16.0), (3, 27.0)])
def test_six_sheaves_reach_seven_four_squared_and_three_cubed(ropes, greatest):
    # n sheaves on one rope give n + 1; stacked tackles multiply: 4 x 4, 3 x 3 x 3 (virtual work)
    assert find_tackles(ratio=1.0, ropes=ropes).greatest_advantage == pytest.approx(greatest)
    exactly = find_tackles(greatest, ratio=1.0, ropes=ropes)
    assert exactly.reached >= 1
    assert exactly.tackles[0].ideal_advantage == greatest


def test_what_no_tackle_reaches_is_said_and_not_invented():
    found = find_tackles(9.0, ratio=K, blocks=3)
    assert found.tackles == ()
    assert found.reached == 0
    told = next(n for n in found.notices if n.code == "OUT_OF_RANGE")
    assert "No tackle reaches 9 " in told.message
    best = find_tackles(ratio=K, blocks=3, limit=1).tackles[0]
    assert found.greatest_advantage == best.advantage


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"at_least": 0.0}, "INPUT"),
        ({"at_least": float("nan")}, "INPUT"),
        ({"at_least": 3.0, "ratio": 0.9}, "RATIO"),
        ({"at_least": 3.0, "ratio": float("nan")}, "RATIO"),
        ({"at_least": 3.0, "blocks": -1}, "INPUT"),
        ({"at_least": 3.0, "ropes": 0}, "INPUT"),
        ({"at_least": 3.0, "winch": "somewhere"}, "INPUT"),
        ({"at_least": 3.0, "limit": 0}, "INPUT"),
    ],
)
def test_gear_that_makes_no_sense_is_refused(given, code):
    with pytest.raises(RigRefusal) as caught:
        find_tackles(given.pop("at_least"), **given)
    assert caught.value.code == code


def test_the_command_prints_the_record(capsys):
    words = ["rig", "find", "--advantage", "3", "--ratio", "1.1", "--blocks", "3", "--ropes", "2"]
    assert main([*words, "--winch", "on-load", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["kind"] == "tackle-list"
    assert printed == hw.find_tackles(3.0, ratio=K, blocks=3, ropes=2, winch="on-load").to_dict()
    assert main(words) == 0
    shown = capsys.readouterr().out
    assert "stacked two-parts/off-load" in shown
    assert "Caution" in shown
    assert main(["rig", "find", "--advantage", "99"]) == 0
    assert "No tackle reaches 99" in capsys.readouterr().out
    assert main(["rig", "find", "--winch", "here"]) == 2


def test_a_heavy_friction_leaves_out_what_jams():
    found = find_tackles(ratio=3.0, limit=10**6)
    assert all(np.isfinite(t.advantage) and t.advantage > 0.0 for t in found.tackles)
    for tackle in found.tackles[-5:]:
        assert hw.solve_rig(tackle.path, 3.0).advantage == pytest.approx(tackle.advantage, rel=1e-9)
