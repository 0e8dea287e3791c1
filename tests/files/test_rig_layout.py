"""A rig in line laid out on the ground, led, moved, written as a file and in one line: the same rig each time."""

import math
from pathlib import Path

import pytest

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.files.rig_edit import moved
from haulwright.files.rig_file import file_of
from haulwright.files.rig_layout import ASIDE_M, STATION_M, laid_out
from haulwright.files.rig_lead import led
from haulwright.files.rig_sketch import sketch_rig
from haulwright.files.rig_write import rig_yaml
from haulwright.files.yamlfile import parse_yaml
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.notation_write import notation_of
from haulwright.mechanics.outline import outline_of
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMED, NAMES, named_rig

EXAMPLES = sorted((Path(__file__).parents[2] / "examples" / "rigs").glob("*.yaml"))
ASIDE = (
    "spanish burton/off-load",
    "double spanish burton/off-load",
    "double spanish burton, fixed end/off-load",
)
K = 1.07
AT_AN_ANGLE = 1.0 - math.cos(
    math.atan(ASIDE_M / STATION_M)
)  # what pulls at that angle to the way, of its pull
BARE = {
    "mode": "ground",
    "anchors": {"oak": {"at": ["0 m", "0 m"]}, "pine": {"at": ["0 m", "6 m"]}},
    "load": {"name": "truck", "at": ["12 m", "0 m"], "toward": "oak", "resistance": "20 kN"},
}


@pytest.mark.parametrize("name", NAMES)
def test_a_named_rig_keeps_its_advantage_on_the_ground(name):
    """Ideal advantages of the classic tackles: common practice, any seamanship manual."""
    laid = solve_rig(read_rig(laid_out(name)), K)
    in_line = solve_rig(named_rig(name), K)
    assert laid.mode == "ground"
    effect = (
        0.005 if name in ASIDE else 1e-9
    )  # the drum of these stands 1.5 m aside: the small angles of its line
    assert laid.advantage == pytest.approx(in_line.advantage, rel=effect)
    ideal = next(rig.ideal for rig in NAMED if rig.name == name.rpartition("/")[0])
    assert laid.ideal_advantage == pytest.approx(ideal, rel=0.005)


def test_a_rig_with_stated_wraps_is_not_laid_out():
    given = {
        "anchors": {"oak": {}, "elm": {}}, "load": {"name": "truck", "toward": "oak"}, "blocks": {"B": {"on": "oak", "wrap": 75}},
        "lines": {"line": {"standing": "truck", "through": ["B"], "fall": "winch"}}, "winch": {"on": "elm"},
    }  # fmt: skip
    with pytest.raises(RigRefusal, match="the wrap is stated") as refused:
        laid_out(given)
    assert (refused.value.code, refused.value.where) == ("LAID_OUT", ("B",))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_laid_out_keeps_what_it_says(path):
    given = parse_yaml(path.read_text(encoding="utf-8"), path.name)
    laid = laid_out(given)
    assert laid["sheaves"] == given["sheaves"]
    assert laid["load"]["resistance"] == given["load"]["resistance"]
    before, after = solve_rig(read_rig(given)), solve_rig(read_rig(laid))
    for drum, effort_N in before.effort_N.items():
        assert after.effort_N[drum] == pytest.approx(effort_N, rel=AT_AN_ANGLE)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_written_file_is_the_same_rig(path):
    given = parse_yaml(path.read_text(encoding="utf-8"), path.name)
    again = parse_yaml(rig_yaml(given), "again")
    assert solve_rig(read_rig(again)).to_dict()["lines"] == solve_rig(read_rig(given)).to_dict()["lines"]


@pytest.mark.parametrize("name", NAMES)
def test_notation_of_a_rig_leads_the_same_lines(name):
    said = notation_of(read_rig(laid_out(name)))
    assert solve_rig(parse_notation(said), K).advantage == pytest.approx(
        solve_rig(named_rig(name), K).advantage, rel=1e-12
    )


def test_a_strap_is_not_said_in_one_line():
    path = next(one for one in EXAMPLES if one.stem == "corner-on-a-strap")
    found = file_of(parse_yaml(path.read_text(encoding="utf-8"), path.name))
    assert found.notation is None
    assert "is a strap" in found.not_in_notation


def test_a_line_led_by_its_points_is_the_rig_of_its_notation():
    by_points = led(BARE, ["truck", "oak", "truck"])
    assert notation_of(read_rig(by_points)) == "!truck.drum > B1@oak > truck"
    assert solve_rig(read_rig(by_points), K).advantage == pytest.approx(
        1 + 1 / K
    )  # one block: 1 + e, a definition


def test_a_second_line_on_a_free_block_gets_its_length_and_the_blocks_their_numbers():
    free = BARE | {"blocks": {"M": {"floating": True, "near": ["6 m", "0 m"]}}}
    winch = led(free, ["oak", "M", "oak"])
    both = led(winch, ["M", "truck", "oak"])
    assert both["lines"]["line 2"] == {"standing": "oak", "through": ["B1"], "to": "M", "length": "18 m"} | {
        "length": "18.00 m"
    }
    stacked = solve_rig(named_rig("stacked two-parts/off-load"), K)
    assert solve_rig(read_rig(both), K).advantage == pytest.approx(stacked.advantage, rel=1e-9)


@pytest.mark.parametrize(
    ("points", "code", "where"),
    [
        (["truck"], "OPEN_END", ("truck",)),
        (["truck", "oak", "oak"], "ZERO_PART", ("oak",)),
        (["truck", "oakk"], "UNKNOWN", ("oakk",)),
    ],
)
def test_a_line_that_cannot_be_led_is_refused_at_its_point(points, code, where):
    with pytest.raises(RigRefusal) as refused:
        led(BARE, points)
    assert (refused.value.code, refused.value.where) == (code, where)


def test_what_is_moved_stands_there_and_keeps_its_height():
    high = BARE | {"anchors": {"oak": {"at": ["0 m", "0 m", "1.5 m"]}}}
    assert moved(high, "oak", (1.0, -2.345))["anchors"]["oak"]["at"] == ["1 m", "-2.35 m", "1.5 m"]
    assert moved(BARE, "truck", (9.0, 1.0))["load"]["at"] == ["9 m", "1 m"]
    assert BARE["load"]["at"] == ["12 m", "0 m"]


def test_a_block_dragged_on_its_strap_lengthens_the_strap():
    path = next(one for one in EXAMPLES if one.stem == "corner-on-a-strap")
    given = parse_yaml(path.read_text(encoding="utf-8"), path.name)
    found = moved(given, "corner", (3.0, 4.0))["blocks"]["corner"]
    assert found["strap"] == {"to": "oak", "length": "5 m"}  # 3-4-5 from the oak at 0, 0
    assert found["near"] == ["3 m", "4 m"]
    assert read_rig({**given, "blocks": {"corner": found}}).lines["strap corner–oak"].length_m == 5.0


@pytest.mark.parametrize(("name", "code"), [("B", "INPUT"), ("elm", "UNKNOWN")])
def test_what_has_no_place_of_its_own_is_not_moved(name, code):
    with pytest.raises(RigRefusal) as refused:
        moved(BARE | {"blocks": {"B": {"on": "oak"}}}, name, (0.0, 0.0))
    assert (refused.value.code, refused.value.where) == (code, (name,))


def test_a_sketch_keeps_what_leads_nowhere_out():
    half = BARE | {
        "blocks": {"B": {"on": "elm"}},
        "lines": {"a": {"standing": "truck", "to": "oak"}, "b": {"standing": "elm"}},
    }
    outline = outline_of(sketch_rig(half))
    assert (list(outline.bodies), list(outline.blocks), list(outline.lines)) == (
        ["oak", "pine", "truck"],
        [],
        ["a"],
    )
    assert outline.load == "truck"


def test_the_stall_of_the_file_stands_for_itself_and_the_greatest_of_several_counts():
    rig = led(BARE, ["truck", "oak", "truck"])
    assert read_rig(rig).stated_stall is None
    assert read_rig(rig | {"winch": {"on": "truck", "stall": "42 kN"}}).stated_stall == 42_000.0


def test_a_limit_of_an_anchor_asks_for_its_source():
    rig = led(BARE, ["truck", "oak", "truck"]) | {
        "anchors": {"oak": {"at": ["0 m", "0 m"], "limit": "60 kN"}}
    }
    with pytest.raises(RigRefusal, match="limit: and source: go together"):
        read_rig(rig)


def test_a_second_winch_keeps_the_first_and_states_nothing_of_itself():
    one = led(BARE, ["truck", "oak", "truck"])
    two = led(one, ["oak", "truck"], another_winch=True)
    assert "winch" not in two
    assert two["winches"] == {"winch": {"on": "truck"}, "winch 2": {"on": "oak"}}
    assert two["lines"]["winch line 2"] == {"standing": "truck", "fall": "winch 2"}
    assert two["lines"]["winch line"] == one["lines"]["winch line"]
    three = led(two, ["oak", "truck"], another_winch=True)
    assert list(three["winches"]) == ["winch", "winch 2", "winch 3"]
    assert list(three["lines"])[-1] == "winch line 3"
