"""The one-line notation and the sentence of the rig as understood."""

import pytest

from haulwright.errors import RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.sentence import sentence
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, find, named_rig


def test_bodies_stand_as_anchors_floating_load_and_beyond():
    rig = parse_notation("beyond.drum > ~M > !O ; ~M > X > O")
    order = sorted(rig.bodies, key=lambda name: rig.bodies[name].at[0])
    assert order == ["X", "M", "O", "beyond"]


def test_a_drum_that_hauls_off_a_block_on_another_anchor_stands_behind_the_load():
    rig = parse_notation("X2.drum > X > !O")
    assert rig.bodies["X2"].at[0] > rig.bodies["O"].at[0]
    assert solve_rig(rig, 1.25).advantage == pytest.approx(0.8)


def test_an_order_overrides_and_keeps_names_of_several_words():
    rig = parse_notation("rescue truck.drum > oak > !stuck wagon | order oak stuck wagon rescue truck")
    assert [rig.bodies[n].at[0] for n in ("oak", "stuck wagon", "rescue truck")] == [0.0, 1.0, 2.0]


def test_parts_run_from_the_standing_end_to_the_fall():
    s = solve_rig(parse_notation("!truck.drum > B2@oak > B1@truck > B2@oak"), 1.07)
    assert [(p.from_, p.to) for p in s.lines["winch line"].parts] == [
        ("B2.becket", "B1"),
        ("B1", "B2"),
        ("B2", "truck"),
    ]
    assert s.to_dict()["lines"]["winch line"]["parts"][0]["from"] == "B2.becket"


def test_the_sentence_names_becket_blocks_and_drum():
    text = sentence(parse_notation("!truck.drum > B2@oak > B1@truck > B2@oak"))
    assert text == (
        "The winch line starts at the becket of B2 on oak, goes round B1 on truck, then round B2 on oak, "
        "and on to the drum of the winch on truck. The load is truck."
    )


def test_burton_is_the_stacked_rig_turned_end_for_end():
    assert named_rig("burton").path == named_rig("stacked two-parts/on-load").path
    assert named_rig("Stacked Two-Parts").name == "stacked two-parts/off-load"


@pytest.mark.parametrize("name", NAMES)
def test_the_path_that_is_listed_reads_back_as_the_same_rig(name):
    rig = named_rig(name)
    again = read_rig(rig.path)
    assert again.contacts_from_drum == rig.contacts_from_drum
    assert solve_rig(again, 1.1).advantage == pytest.approx(solve_rig(rig, 1.1).advantage, rel=1e-12)


def test_an_unknown_name_offers_the_nearest():
    with pytest.raises(RigRefusal, match="Did you mean two-part"):
        named_rig("two-parts-rig")
    assert find("no such rig") is None
    with pytest.raises(RigRefusal, match="no form with the winch on the load"):
        named_rig("spanish burton/on-load")


def test_equal_angles_between_parts_lower_the_pull_by_their_cosine():
    import math

    rig = {
        "order": ["oak", "truck"],
        "anchors": {"oak": {}},
        "load": {"name": "truck", "resistance": "10 kN"},
        "blocks": {"B": {"on": "oak", "between": 20}},
        "lines": {"winch line": {"standing": "truck", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "truck"},
    }
    s = solve_rig(read_rig(rig), 1.25)
    half, e = math.radians(10.0), 0.8
    assert s.resistance_N / s.effort_N["winch"] == pytest.approx((1 + e) * math.cos(half), rel=1e-12)
    assert s.bodies["oak"].load_N / s.effort_N["winch"] == pytest.approx(
        math.sqrt(1 + e * e + 2 * e * math.cos(2 * half)), rel=1e-12
    )


def test_a_zigzag_of_equal_turns_closes_and_unequal_ones_are_refused():
    rig = {
        "order": ["oak", "truck"],
        "anchors": {"oak": {}},
        "load": {"name": "truck"},
        "blocks": {"B1": {"on": "oak", "between": 10}, "B2": {"on": "truck", "between": 10}},
        "lines": {"winch line": {"standing": "oak", "through": ["B2", "B1"], "fall": "winch"}},
        "winch": {"on": "truck"},
    }
    s = solve_rig(read_rig(rig), 1.0)
    assert s.ideal_advantage == pytest.approx(3.0 * 0.99619, rel=1e-4)  # 3 cos 5 degrees
    rig["blocks"]["B2"]["between"] = 14
    with pytest.raises(RigRefusal, match="two directions"):
        solve_rig(read_rig(rig))
