"""The stepped (differential) drum against the closed forms of the differential windlass, also called the Chinese windlass.

Ideal advantage 2 R / (R - r): any mechanics text on simple machines (written from memory, derived again below). With a
tension ratio k at the load block, from the balance of torque and of the block:
    T_fall = k T_other,   W = T_fall + T_other,   E R = R T_fall - r T_other
    W / E = (1 + 1/k) / (1 - r / (R k)).
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import haulwright as hw
from haulwright.errors import Refusal, RigRefusal
from haulwright.files.rig import read_rig
from haulwright.mechanics.batch.compile import compile_rig
from haulwright.mechanics.travel import pull_along
from haulwright.trials.friction import rig_model


def windlass(small=0.20, large=0.30, k=1.08, **change):
    return {
        "rig": "differential windlass",
        "units": {"force": "kN", "length": "m"},
        "sheaves": {"law": "per-contact", "k": k},
        "order": ["oak", "wagon"],
        "anchors": {"oak": {}},
        "load": {"name": "wagon", "toward": "oak", "resistance": 30},
        "blocks": {"B": {"on": "wagon"}},
        "lines": {"line": {"standing": "winch.small", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "oak", "steps": {"large": large, "small": small}},
        **change,
    }


@settings(deadline=None)  # no matter of time
@given(st.floats(0.05, 0.95), st.floats(1.0, 3.0))
def test_advantage_is_the_closed_form(ratio, k):
    s = hw.solve_rig(windlass(small=ratio, large=1.0, k=k))
    assert s.ideal_advantage == pytest.approx(2.0 / (1.0 - ratio), rel=1e-12)
    assert s.advantage == pytest.approx((1.0 + 1.0 / k) / (1.0 - ratio / k), rel=1e-12)
    assert s.energy_residual <= 1e-9
    fall, other = s.lines["line"].parts[-1].tension_N, s.lines["line"].parts[0].tension_N
    assert s.effort_N["winch"] == pytest.approx(fall - ratio * other, rel=1e-12)  # torque / R
    assert fall + other == pytest.approx(30e3, rel=1e-12)


def test_work_is_force_times_way_at_every_end():
    s = hw.solve_rig(windlass())
    per_load_m = s.travel_ratio["winch"]  # metres at the large radius per metre of load
    fall, other = s.lines["line"].parts[-1].tension_N, s.lines["line"].parts[0].tension_N
    work = fall * per_load_m - other * per_load_m * 2.0 / 3.0
    assert work == pytest.approx(30e3 + s.contacts[0].heat_J_per_m, rel=1e-12)
    # two parts shorten by 2 m, of which the drum takes in s and gives back 2/3 s; the line runs (s + 2/3 s) / 2 over B
    assert per_load_m * (1.0 - 2.0 / 3.0) == pytest.approx(2.0, rel=1e-12)
    assert s.contacts[0].rim_speed_ratio == pytest.approx(per_load_m * 5.0 / 6.0, rel=1e-12)


def test_without_friction_k_1_is_the_limit():
    near, at = (hw.solve_rig(windlass(k=k)).advantage for k in (1.0 + 1e-9, 1.0))
    assert at == pytest.approx(6.0, rel=1e-12)
    assert near == pytest.approx(at, rel=1e-7)


def test_a_small_step_of_nearly_nothing_is_a_two_part():
    s = hw.solve_rig(windlass(small=1e-9))
    assert s.advantage == pytest.approx(hw.solve_rig("two-part/off-load", 1.08).advantage, rel=1e-7)


def test_mirrored_and_in_other_units_it_is_the_same_rig():
    s = hw.solve_rig(windlass())
    mirrored = hw.solve_rig(windlass(order=["wagon", "oak"]))
    larger = hw.solve_rig(windlass(small="8 in", large="12 in"))
    for other in (mirrored, larger):
        assert other.advantage == pytest.approx(s.advantage, rel=1e-12)
        assert other.bodies["oak"].load_N == pytest.approx(30e3, rel=1e-12)


def test_winch_on_the_load_pulls_the_load_too():
    s = hw.solve_rig(
        windlass(blocks={"B": {"on": "oak"}}, winch={"on": "wagon", "steps": {"large": 3, "small": 2}})
    )
    assert s.ideal_advantage == pytest.approx(6.0, rel=1e-12)  # both parts are on the load, at whichever end
    assert s.bodies["oak"].load_N == pytest.approx(30e3, rel=1e-12)


def test_letting_back_turns_the_friction_round_and_holds_itself():
    s = hw.solve_rig(windlass(k=1.2), letting_back=True)
    k, ratio = 1.0 / 1.2, 2.0 / 3.0
    assert s.letting_back.load_per_effort == pytest.approx((1.0 + 1.0 / k) / (1.0 - ratio / k), rel=1e-12)
    assert s.holding_N == pytest.approx((s.letting_back.effort_N, s.effort_N["winch"]), rel=1e-12)
    # letting back the fall has T_other / k: no torque is left from k = R / r = 1.5 on
    for k, holds in ((1.499, False), (1.501, True)):
        back = hw.solve_rig(windlass(k=k), letting_back=True)
        assert back.letting_back.holds_itself is holds
        assert ("SELF_HOLDING" in {n.code for n in back.notices}) is holds
    assert back.holding_N[0] == 0.0
    assert back.effort_N["winch"] > 0.0


def test_the_line_carries_more_than_the_effort_and_it_is_said():
    s = hw.solve_rig(windlass())
    (told,) = [n for n in s.notices if n.code == "STEPPED_DRUM"]
    most = max(part.tension_N for part in s.lines["line"].parts)
    assert f"{most / s.effort_N['winch']:.1f} times the effort" in told.message
    rig = read_rig(windlass())
    stall = hw.solve_rig(rig, 1.0, effort="10 kN")
    assert stall.bodies["oak"].load_N == pytest.approx(60e3, rel=1e-12)


def test_among_places_travel_and_take_up_count_at_the_large_radius():
    rig = windlass(
        anchors={"oak": {"at": [0, 0]}},
        load={"name": "wagon", "at": [20, 0], "direction": [-1, 0], "resistance": 30},
        lines={
            "line": {"standing": "winch.small", "through": ["B"], "fall": "winch", "rope": {"EA": 4000}},
        },
        want={"travel": 6},
    )
    del rig["order"]
    s = hw.solve_rig(rig, 1.0)
    assert s.line_m["winch"]["taken_in"] == pytest.approx(6.0 * 6.0, rel=1e-12)
    # the load held, the drum takes in 1 - r/R of line per metre at its large radius: stretch / (1 - r/R)
    assert s.take_up_m == pytest.approx(s.stretch["line"]["stretch_m"] * 3.0, rel=1e-12)
    assert s.stretch["line"]["stretch_m"] == pytest.approx(15e3 * 40.0 / 4e6, rel=1e-12)
    pull = pull_along(read_rig(rig), 5.0, steps=5, ratio=1.1)
    k, ratio = 1.1, 2.0 / 3.0
    assert pull.effort_N["winch"][-1] == pytest.approx(30e3 * (1.0 - ratio / k) / (1.0 + 1.0 / k), rel=1e-9)
    assert pull.line_taken_in_m["winch"][-1] == pytest.approx(30.0, rel=1e-9)


def test_with_angled_parts_it_agrees_with_the_lengths_of_the_parts():
    eyes = {"left": [0, 2], "right": [0, -2]}
    rig = windlass(
        anchors={"oak": {"at": [0, 0]}},
        load={"name": "wagon", "at": [6, 0], "direction": [-1, 0], "resistance": 30, "eyes": eyes},
        blocks={"B": {"on": "wagon.left"}, "C": {"on": "wagon.right"}},
        lines={"line": {"standing": "winch.small", "through": ["B", "C"], "fall": "winch"}},
    )
    del rig["order"]
    s, h = hw.solve_rig(rig), 1e-6

    def length(x):
        return 2.0 * math.hypot(x, 2.0) + 4.0

    shortens = (length(6.0 + h) - length(6.0 - h)) / (2.0 * h)
    assert s.travel_ratio["winch"] == pytest.approx(shortens / (1.0 - 2.0 / 3.0), rel=1e-8)
    assert s.energy_residual <= 1e-9


def test_draws_agree_with_first_order():
    rig = windlass(k="1.08 ± 0.01")
    first, drawn = hw.solve_rig(rig), hw.solve_rig(rig, monte_carlo=1000)
    assert drawn.uncertainty["advantage"].u == pytest.approx(first.uncertainty["advantage"].u, rel=0.1)


@pytest.mark.parametrize(
    ("change", "code", "words"),
    [
        ({"winch": {"on": "oak", "steps": {"large": 0.2, "small": 0.2}}}, "INPUT", "must be less"),
        ({"winch": {"on": "oak", "steps": {"large": 0.2, "small": 0.3}}}, "INPUT", "must be less"),
        ({"winch": {"on": "oak"}}, "INPUT", "has no steps"),
        ({"lines": {"line": {"standing": "oak", "through": ["B"], "fall": "winch"}}}, "INPUT", "leave steps out"),
        ({"lines": {"line": {"standing": "winch.large", "through": ["B"], "fall": "winch"}}}, "INPUT", "winch.small"),
        ({"lines": {"line": {"standing": "winch.small", "through": ["B"], "fall": "winch.small"}}}, "INPUT", "write"),
        ({"winch": {"on": "oak", "steps": {"large": 3, "small": 2}, "drum": {"capacity": 30}}}, "UNSUPPORTED", "drum"),
        ({"sheaves": {"law": "tenth-rule"}}, "LAW", "stepped"),
        ({"lines": {"line": {"standing": "winch.small", "fall": "winch"}}}, "NO_LOAD", "no line on wagon"),
        (
            {
                "lines": {
                    "line": {"standing": "winch.small", "through": ["B"], "fall": "winch"},
                    "second": {"standing": "wagon", "to": "oak"},
                }
            },
            "LOCKED",
            "solid",
        ),
        (
            {
                "winch": None,
                "winches": {"winch": {"on": "oak", "steps": {"large": 3, "small": 2}}, "A": {"on": "oak"}},
                "lines": {
                    "line": {"standing": "winch.small", "through": ["B"], "fall": "winch"},
                    "second": {"standing": "wagon", "fall": "A"},
                },
            },
            "UNSUPPORTED",
            "second winch",
        ),
    ],
)  # fmt: skip
def test_refusals_name_the_drum_and_what_to_do(change, code, words):
    with pytest.raises(Refusal, match=words) as caught:
        hw.solve_rig(windlass(**change))
    assert caught.value.code == code


def test_refused_where_one_end_on_the_drum_is_taken_for_granted(tmp_path):
    rig = read_rig(windlass())
    for use in (
        lambda: compile_rig(rig),
        lambda: rig_model(rig, ["puck"]),
        lambda: hw.draw_rig(windlass(), out=tmp_path),
    ):
        with pytest.raises(RigRefusal, match="winch: a stepped drum is not known") as caught:
            use()
        assert caught.value.code == "UNSUPPORTED"


def test_refused_on_the_ground_with_free_blocks_with_a_free_load_and_with_lines_that_share():
    ground = windlass(
        mode="ground",
        anchors={"oak": {"at": [0, 0]}, "elm": {"at": [10, 8]}},
        load={"name": "wagon", "at": [20, 0], "direction": [-1, 0], "resistance": 30},
        blocks={"B": {"on": "wagon"}, "C": {"strap": {"to": "elm", "length": 2}}},
        lines={"line": {"standing": "winch.small", "through": ["B", "C"], "fall": "winch"}},
    )
    del ground["order"]
    sharing = windlass(
        order=["oak", "M", "wagon"],
        blocks={"B": {"floating": True}, "M": {"floating": True}},
        lines={
            "line": {"standing": "winch.small", "through": ["B"], "fall": "winch"},
            "a": {"standing": "B", "to": "wagon", "rope": {"EA": 1000, "length": 4}},
            "b": {"standing": "B", "to": "wagon", "rope": {"EA": 1000, "length": 4}},
        },
    )
    sharing["blocks"] = {"B": {"floating": True}}
    sharing["order"] = ["oak", "B", "wagon"]
    for rig in (ground, sharing):
        with pytest.raises(Refusal, match="stepped drum is not known with") as caught:
            hw.solve_rig(rig)
        assert caught.value.code == "UNSUPPORTED"
