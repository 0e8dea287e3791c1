"""Rigs with free blocks that must be refused: the code, and a sentence that names what is at fault."""

import pytest
from ground_rigs import CORNER, TWO_LEGS, changed, vee

from haulwright.errors import FileRefusal, RigRefusal
from haulwright.files.rig import read_rig
from haulwright.interfaces.cli.main import main
from haulwright.mechanics.ground import newton
from haulwright.mechanics.ground.equations import frictionless
from haulwright.mechanics.ground.haul import Unsettled, haul, ideal
from haulwright.mechanics.ground.net import net_of
from haulwright.mechanics.ground.start import first_tensions
from haulwright.mechanics.sheave import PerContact
from haulwright.mechanics.statics import solve_rig

ELM = {**CORNER["anchors"], "elm": {"at": [0, -3]}}
WINCH_LINE = CORNER["lines"]["winch line"]


def strap(to="oak", length=2.0):
    return {"to": to, "length": length}


def with_lines(**lines):
    return changed(CORNER, lines={"winch line": WINCH_LINE, **lines})


def with_corner(anchors=None, **corner):
    return changed(CORNER, blocks={"corner": corner}, anchors=anchors or CORNER["anchors"])


JAMMING = changed(
    CORNER,
    sheaves={"law": "per-contact", "k": 1.7},
    anchors={"oak": {"at": [0, 0]}, "helper": {"at": [40, -3]}},
    load={**CORNER["load"], "eyes": {"left": [0, 0.5]}},
    blocks={"corner": {"strap": strap()}, "R": {"on": "truck"}},
    lines={"winch line": {"standing": "truck.left", "through": ["corner", "R"], "fall": "winch"}},
)
CASES = {
    "legs too short to meet": (
        "NO_EQUILIBRIUM",
        with_corner(ELM, strap=[strap(length=1), strap("elm", 1.5)]),
        "No balanced position: strap corner–oak and strap corner–elm are too short to meet (1.00 m + 1.50 m < 3.00 m)",
    ),
    "a bridle shorter than from tree to tree": (
        "NO_EQUILIBRIUM",
        changed(
            with_lines(bridle={"standing": "oak", "through": ["corner"], "to": "helper", "length": 11}),
            blocks={"corner": {"floating": True, "near": [2, 1]}},
        ),
        "bridle is too short (11.00 m < 11.40 m)",
    ),
    "a chain too short": (
        "NO_EQUILIBRIUM",
        changed(
            CORNER,
            blocks={"corner": {"strap": strap(length=1)}, "ring": {"strap": strap("helper", 1)}},
            lines={"winch line": WINCH_LINE, "tie": {"standing": "corner", "to": "ring", "length": 2}},
        ),
        "the lines are too short to meet (tie 2.00 m, strap corner–oak 1.00 m, strap ring–helper 1.00 m)",
    ),
    "two blocks drawn together": (
        "NO_EQUILIBRIUM",
        changed(
            CORNER,
            blocks={"A": {"strap": strap("helper", 9)}, "B": {"strap": strap(length=6)}},
            anchors={"oak": {"at": [0, 0]}, "helper": {"at": [0, 11]}, "winch truck": {"at": [16, 11]}},
            lines={"winch line": {"standing": "truck", "through": ["A", "B"], "fall": "winch"}},
            winch={"on": "winch truck"},
        ),
        "A and B would be drawn together until nothing of winch line is left between them",
    ),
    "hauled the wrong way": (
        "BACKWARDS",
        changed(CORNER, load={**CORNER["load"], "direction": [1, 0]}),
        "Hauling drags the load truck away from where it should go",
    ),
    "hauled across": (
        "LOAD_STILL",
        changed(vee(30), load={**vee(30)["load"], "direction": [0, 1]}),
        "Hauling does not move the load truck.",
    ),
    "tied to the oak": (
        "LOAD_STILL",
        with_lines(tie={"standing": "truck", "to": "oak"}),
        "Hauling does not move the load truck; only corner moves",
    ),
    "tied solid": (
        "LOCKED",
        with_lines(
            tie={"standing": "truck", "to": "oak"},
            second={"standing": "helper", "to": "corner", "length": 11},
        ),
        "The lines tie the rig solid: tie, second, strap corner–oak; the winch cannot take in line",
    ),
    "three legs in a plane": (
        "REDUNDANT",
        with_corner(ELM, strap=[strap(), strap("elm", 4), strap("helper", 12)]),
        "1 line(s) more than needed among strap corner–oak, strap corner–elm, strap corner–helper",
    ),
    "a leg too long": (
        "SLACK",
        with_corner(ELM, strap=[strap(), strap("elm", 9)]),
        "strap corner–elm would have to push: a line can only pull. The pull lies outside the legs; strap corner–elm "
        "hangs slack",
    ),
    "a strap the line does not reach": (
        "SLACK",
        with_corner(strap=strap(length=30)),
        "strap corner–oak would have to push",
    ),
    "a bare block": (
        "UNDER",
        with_corner(floating=True, near=[3, 3]),
        "corner can move while the winch stands still: it runs free on one line",
    ),
    "a block nothing pulls back": (
        "ONE_WAY",
        changed(
            CORNER,
            blocks={"corner": {"strap": strap()}, "B": {"on": "oak"}},
            lines={"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
        ),
        "Every line on corner pulls it the same way",
    ),
    "too much friction": ("JAMS", JAMMING, "the rig jams (it hauls only below ratio 1.6"),
    "a line without a length": (
        "INPUT",
        changed(
            with_lines(leg={"standing": "oak", "to": "corner"}),
            blocks={"corner": {"floating": True, "near": [1.5, 1.2]}},
        ),
        "Line leg holds a free block and has no drum: give its length",
    ),
    "nowhere to start": ("INPUT", with_corner(floating=True), "corner floats: say near:"),
    "a strap in line mode": ("INPUT", changed(CORNER, mode="line"), "write mode: ground"),
    "a strap of nothing": ("INPUT", with_corner(strap=strap(length=0)), "a strap of 0 m"),
    "a line of nothing": (
        "INPUT",
        changed(
            with_lines(leg={"standing": "oak", "to": "corner", "length": 0}),
            blocks={"corner": {"floating": True, "near": [1.5, 1.2]}},
        ),
        "leg: length 0 m. Give a length above 0",
    ),
    "a strap from itself": ("INPUT", with_corner(strap=strap("corner")), "hangs on a strap from itself"),
    "strapped and floating": (
        "INPUT",
        with_corner(strap=strap(), floating=True, near=[1, 1]),
        "say where it is, once",
    ),
    "a strap from nowhere": ("UNKNOWN", with_corner(strap=strap("oka")), "Did you mean oak?"),
    "no places": (
        "INPUT",
        changed(
            CORNER,
            anchors={"oak": {}, "helper": {}},
            load={"name": "truck", "direction": [-1, 0]},
            blocks={"corner": {"strap": strap()}},
        ),
        "give at: for every anchor and the load",
    ),
    "a line named as a strap is": (
        "INPUT",
        with_lines(**{"strap corner–oak": {"standing": "oak", "to": "corner", "length": 2}}),
        "strap corner–oak is the name of the strap of corner",
    ),
    "towards a free block": (
        "INPUT",
        changed(CORNER, load={"name": "truck", "at": [16, -2], "toward": "corner", "resistance": 20}),
        "toward: corner finds its own place",
    ),
    "a wrap beside places": (
        "INPUT",
        with_corner(strap=strap(), wrap=75),
        "the rig has places, which fix it",
    ),
}


@pytest.mark.parametrize(("code", "given", "words"), CASES.values(), ids=CASES)
def test_refused_with_code_and_words(code, given, words):
    with pytest.raises(RigRefusal) as caught:
        solve_rig(read_rig(given))
    assert caught.value.code == code
    assert words in caught.value.message
    assert caught.value.where


def test_a_leg_that_friction_slackens_is_named():
    # without friction the pull lies between the legs; the block's friction turns it past one of them
    legs = changed(TWO_LEGS, sheaves={"law": "per-contact", "k": 1.0})
    legs["blocks"] = {"link": {"strap": [strap("left", 4.0), strap("right", 6.2)]}}
    legs["anchors"]["helper"] = {"at": [3, -14]}
    bare = solve_rig(read_rig(legs))
    assert bare.lines["strap link–left"].parts[0].tension_N > 0.0
    with pytest.raises(RigRefusal) as caught:
        solve_rig(read_rig(changed(legs, sheaves={"law": "per-contact", "k": 3.0})))
    assert caught.value.code == "SLACK"
    assert "With these sheaves strap link–left hangs slack (taut only below ratio" in caught.value.message


def test_it_jams_at_the_ratio_it_names():
    with pytest.raises(RigRefusal, match=r"below ratio (\d\.\d+)") as caught:
        solve_rig(read_rig(JAMMING))
    limit = float(caught.value.message.partition("below ratio ")[2].partition(")")[0])
    solve_rig(read_rig(changed(JAMMING, sheaves={"law": "per-contact", "k": limit - 1e-3})))
    with pytest.raises(RigRefusal, match="jams"):
        solve_rig(read_rig(changed(JAMMING, sheaves={"law": "per-contact", "k": limit + 1e-3})))


@pytest.mark.parametrize("near", [[8.0, 6.0], [9.5, 4.5]])
def test_a_place_that_nothing_fixes_shows_in_the_smallest_pivot(near):
    # on a bare line any place balances (the second start is one): the singular equations give it away
    net = net_of(read_rig(with_corner(floating=True, near=near)))
    with pytest.raises(RigRefusal) as caught:
        ideal(net)
    assert caught.value.code == "UNDER"
    assert "corner can move while the winch stands still: nothing fixes the place" in caught.value.message
    held = net_of(read_rig(CORNER))
    state = newton.balance(held, held.start, first_tensions(held, held.start), frictionless(held))
    assert not state.slides


def test_letting_back_that_is_not_found_is_said_and_refuses_nothing_else():
    rig = changed(TWO_LEGS, sheaves={"law": "per-contact", "k": 1.0})
    rig["blocks"] = {"link": {"strap": [strap("left", 4.0), strap("right", 6.2)]}}
    rig["anchors"]["helper"] = {"at": [3, -14]}
    net = net_of(read_rig(rig))
    with pytest.raises(Unsettled) as caught:
        haul(net, {"link": PerContact(3.0)}, ideal(net))
    assert not caught.value.drum_pushes  # it is the leg that would have to push, not the winch
    back = changed(rig, sheaves={"law": "per-contact", "k": 3.0})
    back["anchors"]["helper"], back["load"]["at"] = {"at": [20, 1]}, [3, -14]
    back["load"]["direction"] = [-0.1, 1]
    s = solve_rig(read_rig(back), letting_back=True)
    assert s.letting_back is None
    assert s.holding_N is None
    assert any("Letting back: no balanced position" in notice.message for notice in s.notices)


def test_a_wrong_strap_names_its_key(tmp_path):
    path = tmp_path / "rig.yaml"
    path.write_text(
        "rig: x\nmode: ground\nanchors: {oak: {at: [0 m, 0 m]}}\nload: {name: truck, at: [9 m, 0 m]}\nblocks:\n"
        "  corner: {strap: {too: oak, length: 2 m}}\n",
        encoding="utf-8",
    )
    with pytest.raises(FileRefusal) as caught:
        read_rig(path)
    assert caught.value.line == 6
    assert "did you mean to?" in caught.value.message


def test_a_rig_on_the_ground_is_drawn_and_solved_from_its_file(tmp_path, capsys):
    path = tmp_path / "rig.yaml"
    path.write_text(
        """\
mode: ground
units: {force: kN, length: m}
anchors: {left: {at: [0, -2]}, right: {at: [0, 3]}, helper: {at: [17, -4]}}
load: {name: truck, at: [20, 1], direction: [-1, 0], resistance: 20}
blocks: {link: {strap: [{to: left, length: 4.0}, {to: right, length: 4.5}]}}
lines: {winch line: {standing: truck, through: [link], fall: winch}}
winch: {on: helper}
""",
        encoding="utf-8",
    )
    # its wrap is 160 degrees, so it would pass for a rig drawn in line
    assert main(["rig", "draw", str(path), "--out", str(tmp_path / "out")]) == 0
    (drawing,) = (tmp_path / "out").glob("*.svg")
    assert "Places to scale" in drawing.read_text(encoding="utf-8")
    capsys.readouterr()
    assert main(["rig", "solve", str(path)]) == 0
    assert "link comes to rest at (3.42, 0.08) m" in " ".join(capsys.readouterr().out.split())
