"""A pull by steps against closed forms: API RP 9B's fast line, constant torque of a drum, statics of a redirect.

Drum and motor are invented; what they give is worked by hand beside each check.
"""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import replace
from typing import Any

import pytest

import haulwright as hw
from haulwright.errors import PlanRefusal
from haulwright.field.drum import layers, spans
from haulwright.field.motor import winch_work
from haulwright.files.kit import read_kit
from haulwright.planning.drum_use import drum_use
from haulwright.planning.ground import moved
from haulwright.planning.lacking import Lacking
from haulwright.planning.layout import Layout, Start
from haulwright.planning.plan import make_plan, planned
from haulwright.planning.pull_result import PullSteps
from haulwright.planning.pull_steps import step_pull, step_setting
from haulwright.planning.winch import motor_of, overfull_of

TABLE = [(0, 10.0, 60), (9, 5.2, 150), (18, 3.8, 220), (27, 2.9, 290), (36, 2.2, 360), (45, 1.6, 430)]
DRUM = {"barrel": "102 mm", "width": "224 mm"}


def with_table(pull: dict[str, Any]) -> dict[str, Any]:
    winch = pull["kit"]["winches"][0]
    winch["table"] = [
        {"line_pull": f"{kN} kN", "speed": f"{speed} m/min", "current_A": amps} for kN, speed, amps in TABLE
    ]
    return pull


def on_small_drum(pull: dict[str, Any], line_m: float = 30.0, **drum: str) -> dict[str, Any]:
    """A rope of 12.7 mm on a small drum: four layers of 6.1, 7.5, 8.8 and 10.2 m."""
    with_table(pull)
    winch = pull["kit"]["winches"][0]
    winch.update(drum={**DRUM, **drum}, lay="stacked", line_pull="45 kN")
    rope = pull["kit"]["items"][0]
    rope.update(diameter="12.7 mm", length=f"{line_m:g} m")
    return pull


def stepped(pull: dict[str, Any], rig: str | None = None, steps: int = 200) -> PullSteps:
    return hw.step_pull(pull, rig=rig, steps=steps)


def test_three_part_by_hand(pull: dict[str, Any]) -> None:
    found = stepped(with_table(pull), "three-part/on-load")
    share = 1 / (1 + 1 / 1.07 + 1 / 1.07**2)  # API RP 9B, fast line
    upper = 1 / (1 + 1 / 1.09 + 1 / 1.09**2)
    r = found.resistance_N
    for step in found.steps:
        assert step.effort_N.likely == pytest.approx(r.likely * share)
        assert step.effort_N.high == pytest.approx(r.high * upper)
        assert step.travel_ratio == pytest.approx(3.0)
        assert step.line_out_m == pytest.approx(3 * (10.0 - step.travel_m))
        assert step.load_J.likely == pytest.approx(r.likely * step.travel_m)
        assert (step.layer, step.fairlead_rad, step.side_pull_N.likely) == (1, 0.0, 0.0)
    table = motor_of(planned(pull).settings["three-part/on-load"].request.pull.winch)
    assert table is not None
    work = winch_work(table.table, r.likely * share, 15.0)
    assert found.work.time_s.likely == pytest.approx(work.time_s)
    assert found.work.charge_Ah.likely == pytest.approx(work.charge_Ah)
    assert found.work.greatest_current_A.likely == pytest.approx(work.greatest_current_A)
    assert [stop.what for stop in found.stops] == []


def test_peaks_are_those_of_the_plan_where_nothing_changes_on_the_way(pull: dict[str, Any]) -> None:
    plan = make_plan(pull)
    candidate = next(one for one in plan.candidates if one.rig == "three-part/on-load")
    peaks = {(peak.item, peak.role): peak for peak in stepped(pull, "three-part/on-load").peaks}
    for item in candidate.items:
        peak = peaks[item.item, item.role]
        assert peak.load_N.stall == pytest.approx(item.load_N.stall)
        assert peak.load_N.high == pytest.approx(item.load_N.high)
        assert peak.limit_N == item.limit_N


def test_the_layer_changes_where_the_drum_says(pull: dict[str, Any]) -> None:
    # two parts of 10 m: 20 m out of 30, so 10 m on the drum; layer 2 is full at 6.126 + 7.482 = 13.608 m, two parts
    # take in 3.608 m over 1.804 m of travel
    pull["kit"]["winches"][0]["least_wraps"] = 5
    found = stepped(on_small_drum(pull), "two-part/on-load")
    (stop,) = [stop for stop in found.stops if stop.what == "layer"]
    assert stop.travel_m == pytest.approx(1.804, abs=2e-3)
    assert stop.there_N == pytest.approx(
        45e3 / 1.443, rel=1e-3
    )  # constant torque: layer 3 has 1.443 times the radius
    assert [step.layer for step in found.steps if step.travel_m < 1.80] == [2] * sum(
        step.travel_m < 1.80 for step in found.steps
    )
    assert found.steps[-1].layer == 3
    # time and charge: layer by layer at constant effort
    motor = motor_of(planned(pull).settings["two-part/on-load"].request.pull.winch)
    assert motor is not None
    wound = layers(0.102, 0.224, 0.0127, 30.0, 45e3)
    effort = found.steps[0].effort_N.likely
    work = winch_work(motor.table, effort, spans(wound, 10.0, 10.0))
    assert found.work.time_s.likely == pytest.approx(work.time_s)
    assert found.work.charge_Ah.likely == pytest.approx(work.charge_Ah)
    # stall is that of the lowest layer met: layer 2
    assert found.stall_N == pytest.approx(45e3 * 57.35 / 70.05)


def test_a_layer_change_after_which_the_winch_no_longer_pulls_is_said(pull: dict[str, Any]) -> None:
    on_small_drum(pull)
    pull["vehicle"]["load"] = "3000 kg"
    pull["rig"] = "two-part/on-load"
    found = stepped(pull)
    high = found.steps[-1].effort_N.high
    assert 45e3 / 1.443 < high < 45e3 / 1.2214  # between the line pulls of layers 3 and 2
    weak = [stop for stop in found.stops if stop.what == "too weak"]
    assert weak[0].travel_m == pytest.approx(1.804, abs=2e-3)
    assert "no longer pulls the high resistance on layer 3" in weak[0].message
    assert weak[0].needed_N == pytest.approx(high)
    assert found.work.time_s.high is None  # no time is made up beyond a stall
    assert found.work.time_s.likely is not None
    first = next(notice for notice in found.notices if notice.level == "warning")
    assert "no longer pulls the high resistance" in first.message
    # the plan, not asked for this rig by name, does not offer it
    del pull["rig"]
    assert "two-part/on-load" not in [one.rig for one in make_plan(pull).candidates]


def test_an_overfull_drum_is_named_first(pull: dict[str, Any]) -> None:
    # rim at 90 mm, rope edge of layer 4 at 101.8 mm: 22.4 of 30 m fit
    plan = make_plan(on_small_drum(pull, flange="180 mm"))
    first = plan.notices[0]
    assert (first.code, first.where) == ("DRUM_FULL", ("W-1",))
    assert "of 30.0 m of L-1, 22.4 m fit under its flange (180 mm)" in first.message
    # a single line comes in to 5 m: 25 m on the drum, more than fit; two parts come in to 20 m
    lacked = {one.rig: one.lacked for one in plan.rejected}
    assert "room on the drum: 25.0 m are wound on at the end, 22.4 m fit" in lacked["single line/on-load"]
    assert "two-part/on-load" in [one.rig for one in plan.candidates]
    assert make_plan(on_small_drum(pull, flange="210 mm")).notices[0].code != "DRUM_FULL"


def test_a_short_rope_is_named(pull: dict[str, Any]) -> None:
    plan = make_plan(on_small_drum(pull, line_m=21.0))
    lacked = {one.rig: one.lacked for one in plan.rejected}
    # 3 x 10 m and 5 wraps of 2 pi 57.35 mm
    assert "31.8 m of line with 5 wraps left on, 21.0 m on the drum" in lacked["three-part/on-load"]


def test_what_is_wound_on_at_the_end_must_fit() -> None:
    # 20 m out of 30 at the start, 16 m taken in: 26 m on the drum
    wound = layers(0.102, 0.224, 0.0127, 30.0, 45e3, flange_m=0.180, strict=False)
    with pytest.raises(Lacking, match=r"26\.0 m are wound on"):
        drum_use([wound], 5.0, Layout(20.0, 4.0, 1, 16.0))


def test_a_redirect_by_the_triangle_of_forces(pull: dict[str, Any]) -> None:
    # one part straight from a winch on a tree 3 m aside: T cos(a) = R, side pull R tan(a), a from 3 m aside and 10 - x ahead
    pull["site"]["anchors"] = [
        {
            "name": "truck",
            "kind": "vehicle",
            "distance": "12 m",
            "aside": "3 m",
            "limit": "150 kN",
            "source": "proof pull",
        }
    ]
    pull["winch"] = {"id": "W-1", "on": "truck"}
    found = stepped(with_table(pull), "single line/off-load", steps=50)
    r = found.resistance_N.likely
    angles = []
    for step in found.steps:
        angle = math.atan2(3.0, 12.0 - step.travel_m)
        angles.append(angle)
        assert step.effort_N.likely == pytest.approx(r / math.cos(angle))
        assert step.side_pull_N.likely == pytest.approx(r * math.tan(angle))
        assert step.line_out_m == pytest.approx(math.hypot(3.0, 12.0 - step.travel_m))
        assert step.fairlead_rad == pytest.approx(angle - angles[0], abs=1e-9)
    line = next(peak for peak in found.peaks if peak.role == "winch line")
    assert line.at_m.likely == pytest.approx(5.0)  # worst where it ends
    assert line.load_N.likely == pytest.approx(r / math.cos(angles[-1]))
    assert any("pile up on one side" in notice.message for notice in found.notices)
    # work on the line is work on the vehicle: a straight line loses nothing
    done = sum(
        (a.effort_N.likely + b.effort_N.likely) / 2 * (a.line_out_m - b.line_out_m)
        for a, b in itertools.pairwise(found.steps)
    )
    assert done == pytest.approx(found.steps[-1].load_J.likely, rel=1e-4)


def test_rests_and_the_battery_are_stop_points(pull: dict[str, Any]) -> None:
    with_table(pull)
    winch = pull["kit"]["winches"][0]
    winch["duty"] = {"run": "30 s", "rest": "5 min", "source": "plate"}
    winch["battery"] = {
        "capacity_Ah": 40,
        "state_of_charge": ["60 %", "80 %"],
        "least_charge": "50 %",
        "alternator_A": [0, 60],
    }
    found = stepped(pull, "two-part/on-load")
    likely = found.work.time_s.likely
    assert likely is not None
    rests = [stop for stop in found.stops if stop.what == "rest"]
    assert len(rests) == math.ceil(likely / 30.0) - 1 > 0
    # constant effort on one layer: the travel goes with the time
    assert rests[0].travel_m == pytest.approx(5.0 * 30.0 / likely)
    assert found.work.with_rests_s.likely == pytest.approx(likely + 300.0 * len(rests))
    low = [stop for stop in found.stops if stop.what == "battery"]
    assert len(low) == 1
    charge = found.work.charge_Ah.likely
    assert charge is not None
    assert charge > 4.0  # 10 % of 40 Ah, the worst case
    assert low[0].travel_m == pytest.approx(5.0 * 4.0 / charge, abs=0.03)
    held = found.work.battery
    assert held is not None
    assert held.charge_end is not None
    assert held.charge_end[0] == pytest.approx(0.6 - charge / 40.0)
    assert held.charge_end[1] > held.charge_end[0]


def test_without_a_table_there_is_no_time_and_it_says_so(pull: dict[str, Any]) -> None:
    found = stepped(pull)
    assert found.work.time_s.likely is None
    assert found.steps[-1].current_A.likely is None
    assert found.parts == ()
    assert any("no maker's table" in notice.message for notice in found.notices)
    assert any("How long W-1 may run is not known" in notice.message for notice in found.notices)


def test_heat_of_a_block_is_what_the_line_loses(pull: dict[str, Any]) -> None:
    # two parts: the block's contact loses T (1 - 1/k) over 2 m of line for each metre of travel, T = R / (1 + 1/k)
    pull["kit"]["items"][1].update(mass="2 kg", material="steel")
    found = stepped(pull, "two-part/on-load")
    (block,) = found.blocks
    r = found.resistance_N.likely
    tension = r / (1 + 1 / 1.07)
    heat = tension * (1 - 1 / 1.07) * 1.0 * 5.0
    work_in, work_out = tension * 10.0, r * 5.0
    assert work_in - work_out == pytest.approx(heat)  # conservation of energy
    assert block.heat_J.likely == pytest.approx(heat)
    assert block.rise_K.likely == pytest.approx(heat / (2.0 * 480.0))


def test_set_ups_follow_each_other(pull: dict[str, Any]) -> None:
    # the same two parts, taken in two set-ups of 2 and 3 m
    plan = planned(with_table(pull))
    name = "two-part/on-load"
    setting = plan.settings[name]
    candidate = next(one for one in plan.plan.candidates if one.rig == name)
    (start,) = setting.layout.starts
    there = moved(start.rig, 2.0)
    starts = (Start(0.0, 2.0, start.rig, there), Start(2.0, 3.0, there, start.end))
    twice = replace(setting, layout=replace(setting.layout, setups=2, starts=starts))
    once, found = (step_setting(one, candidate, plan.plan, 100) for one in (setting, twice))
    (stop,) = [stop for stop in found.stops if stop.what == "reset"]
    assert stop.travel_m == pytest.approx(2.0)
    assert "Set-up 1 is done: the blocks are 2 m apart" in stop.message
    assert [step.setup for step in found.steps] == [1] * 41 + [2] * 61
    assert found.steps[-1].travel_m == pytest.approx(5.0)
    assert found.work.time_s.likely == pytest.approx(once.work.time_s.likely)
    assert found.blocks[0].heat_J.likely == pytest.approx(once.blocks[0].heat_J.likely)


def test_a_rig_that_cannot_be_stepped_is_refused(pull: dict[str, Any]) -> None:
    for steps in (0, 100_000):
        with pytest.raises(PlanRefusal, match="give 1 to 5000") as caught:
            stepped(pull, steps=steps)
        assert caught.value.code == "INPUT"
    pull["vehicle"]["mass"] = "40 t"
    with pytest.raises(PlanRefusal, match="There is no rig to step") as caught:
        stepped(pull)
    assert caught.value.code == "NO_RIG"


def test_the_record_is_plain_json(pull: dict[str, Any]) -> None:
    found = stepped(with_table(pull), steps=10)
    told = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    assert told["kind"] == "pull-steps"
    assert len(told["steps"]) == 11
    assert {"likely", "high", "stall"} == set(told["peaks"][0]["at_m"])


def test_two_hundred_steps_are_told(pull: dict[str, Any]) -> None:
    assert len(step_pull(planned(with_table(pull)), steps=200).steps) == 201


@pytest.mark.parametrize("length_dm", range(60, 480, 7))
def test_a_rope_that_fits_the_flange_is_never_called_too_long_by_rounding(length_dm: int) -> None:
    kit = read_kit(
        {
            "items": [{"id": "L", "kind": "rope", "diameter": "9 mm", "length": f"{length_dm / 10} m"}],
            "winches": [
                {"id": "W", "line_pull": "25 kN", "rope": "L", "drum": {"barrel": "90 mm", "width": "200 mm", "flange": "250 mm"}}
            ],
        }
    )  # fmt: skip
    assert overfull_of(kit) == ()
