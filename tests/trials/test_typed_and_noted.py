"""Runs typed from the displays, and what is noted of runs: heat, rope, layer; shown, never taken off."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from made_campaign import KGF, Pull, made_campaign
from made_results import LINE_N, made

import haulwright as hw
from haulwright import workflows
from haulwright.errors import FileRefusal, TrialRefusal
from haulwright.files.campaign import read_campaign
from haulwright.files.conditions import Conditions
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.associations import NotedRun, associations
from haulwright.trials.campaign import measure_campaign
from haulwright.trials.friction import rig_model
from haulwright.trials.heat import heat_notices, predicted_heat
from haulwright.trials.result import BlockHeat

CELLS = {"line": {"class": "0.5 %", "capacity": "3 t"}, "anchor": {"class": "0.5 %", "capacity": "6 t"}}
K = {"puck": 1.10, "hoop": 1.25}


def test_two_typed_forces_with_a_budget_by_hand() -> None:
    # GUM 4.3.7, rectangular limits by hand: class 0.5 %, zero 0.5 % of capacity, display 1 kgf, swings of 8 and 10 kgf
    run = hw.measure_trial(
        {"line": "612 ± 8 kgf", "anchor": "1120 ± 10 kgf"}, rig="two-part", devices=["puck"], cells=CELLS
    )
    assert run.grade == "typed"
    assert run.advantage.value == pytest.approx(1120.0 / 612.0)
    r3, r12 = math.sqrt(3.0), math.sqrt(12.0)
    by_hand = [0.005 / r3, 15.0 / 612.0 / r3, 1.0 / 612.0 / r12, 8.0 / 612.0 / r3]
    by_hand += [0.005 / r3, 30.0 / 1120.0 / r3, 1.0 / 1120.0 / r12, 10.0 / 1120.0 / r3]
    assert [t.u / run.advantage.value for t in run.budget] == pytest.approx(by_hand)
    assert run.advantage.u / run.advantage.value == pytest.approx(math.hypot(*by_hand))
    assert math.fsum(t.share for t in run.budget) == pytest.approx(1.0)
    without_class = math.hypot(*by_hand[1:4], *by_hand[5:])
    assert run.u_repeatability / run.advantage.value == pytest.approx(without_class)
    assert run.friction["puck"].k.value == pytest.approx(1.0 / (1120.0 / 612.0 - 1.0))
    assert "TYPED" in [n.code for n in run.notices]
    assert run.steady == ()


def test_a_swing_not_told_is_taken_and_told() -> None:
    told = hw.measure_trial({"line": "612 ± 1 kgf", "anchor": "1120 ± 1 kgf"}, rig="two-part", cells=CELLS)
    untold = hw.measure_trial({"line": "612 kgf", "anchor": "1120 kgf"}, rig="two-part", cells=CELLS)
    assert untold.advantage.u > 1.3 * told.advantage.u
    assert sum("is not told" in n.message for n in untold.notices) == 2


@pytest.mark.parametrize(
    "forces",
    [
        {"line": "612", "anchor": "1120 kgf"},
        {"line": "612 m", "anchor": "1120 kgf"},
        {"line": "-5 kgf", "anchor": "1120 kgf"},
        {"line": "612 kgf"},
        {"line": "612 kgf", "anchor": "1120 kgf", "tail": "3 kgf"},
        {"line": "612 kgf", "anchor": {"time_s": [1.0]}},
    ],
)
def test_what_is_no_pair_of_forces_is_refused(forces: dict[str, str]) -> None:
    with pytest.raises(TrialRefusal) as caught:
        hw.measure_trial(forces, rig="two-part")
    assert caught.value.code == "READINGS"


def test_exchanged_typed_forces_are_refused() -> None:
    with pytest.raises(TrialRefusal) as caught:
        hw.measure_trial({"line": "1120 kgf", "anchor": "612 kgf"}, rig="two-part")
    assert caught.value.code == "SWAPPED"


TYPED = ("line_reading", "anchor_reading")


def test_a_typed_run_of_a_campaign_stays_out_of_the_scatter(tmp_path: Path) -> None:
    pulls = [Pull(f"puck{i}", "two-part", K, "puck", seed=i) for i in (1, 2, 3)]
    made_campaign(tmp_path / "c", pulls, columns=TYPED)
    sheet = tmp_path / "c" / "runs.csv"
    plain = measure_campaign(read_campaign(tmp_path / "c"))
    row = "glance,2025-06-02,two-part,puck,,l,a,700 kgf,1260 kgf\n"
    sheet.write_text(sheet.read_text(encoding="utf-8") + row, encoding="utf-8")
    with_typed = measure_campaign(read_campaign(tmp_path / "c"))
    assert [run.grade for run in with_typed.runs] == ["logged"] * 3 + ["typed"]
    assert with_typed.scatter == plain.scatter
    # weighted by its own uncertainty it moves what was logged little: as one of four it would be by 1.4 %
    (one,), (other,) = with_typed.configurations, plain.configurations
    assert one.n == 4
    assert one.advantage.value == pytest.approx(other.advantage.value, rel=0.004)
    assert with_typed.devices["puck"].k.value == pytest.approx(plain.devices["puck"].k.value, abs=0.008)


def test_a_typed_run_has_no_chart_and_does_not_stop_the_others(tmp_path: Path) -> None:
    made_campaign(tmp_path / "c", [Pull("puck1", "two-part", K, "puck")], columns=TYPED)
    sheet = tmp_path / "c" / "runs.csv"
    row = "glance,2025-06-02,two-part,puck,,l,a,700 kgf,1260 kgf\n"
    sheet.write_text(sheet.read_text(encoding="utf-8") + row, encoding="utf-8")
    written = workflows.publish_charts(measure_campaign(read_campaign(tmp_path / "c")), tmp_path / "out")
    assert {Path(one.path).stem for one in written.files if "trace" in one.path} == {"trace-puck1"}


@pytest.mark.parametrize(
    ("column", "text", "says"),
    [
        ("line_reading", "700", "a force with its unit"),
        ("layer", "bottom", "a whole number"),
        ("layer", "0", "a whole number"),
        ("temperature_before_C", "warm", "degrees Celsius"),
        ("temperature_before_C", "20;30;40", "one for each of the 1 blocks"),
        ("temperature_after_C", "1200", "degrees Celsius"),
        ("travel", "12", "12 m"),
        ("line_speed", "-3 m/min", "3 m/min"),
    ],
)
def test_a_wrong_note_is_refused_with_its_line(tmp_path: Path, column: str, text: str, says: str) -> None:
    columns = (column,) if column not in TYPED else TYPED
    made_campaign(tmp_path / "c", [Pull("one", "two-part", K, "puck", more={column: text})], columns=columns)
    sheet = tmp_path / "c" / "runs.csv"
    if column in TYPED:
        sheet.write_text(sheet.read_text(encoding="utf-8").replace("one.csv", ""), encoding="utf-8")
        sheet.write_text(sheet.read_text(encoding="utf-8").replace(",700,", ",700,9 kN"), encoding="utf-8")
    with pytest.raises(FileRefusal) as caught:
        read_campaign(tmp_path / "c")
    assert caught.value.code == "VALUE"
    assert caught.value.line == 2
    assert says in caught.value.message


def test_an_unknown_column_is_kept_and_told(tmp_path: Path) -> None:
    pull = Pull("one", "two-part", K, "puck", more={"xyzzy": "7 of 9"})
    made_campaign(tmp_path / "c", [pull], columns=("xyzzy",))
    result = measure_campaign(read_campaign(tmp_path / "c"))
    assert result.runs[0].conditions["notes"] == {"xyzzy": "7 of 9"}
    assert any("nothing is computed with them: xyzzy" in n.message for n in result.notices)


def test_heat_of_the_blocks_is_the_work_that_does_not_reach_the_load() -> None:
    # conservation of energy: sum of heats = effort × its travel - load × its travel, with effort travel n per metre
    model = rig_model(named_rig("three-part"), ["puck", "hoop"])
    log_k = {name: math.log(k) for name, k in K.items()}
    advantage = math.exp(model.log_advantage(log_k))
    run = made("r", "three-part", ["puck", "hoop"], advantage, frictionless=3.0)
    heat = predicted_heat(run, model, log_k, Conditions(travel_m=8.0, line_speed_m_s=0.06), {})
    per_m = math.fsum(one.heat_J_per_m for one in heat.values())
    assert per_m == pytest.approx(LINE_N * (3.0 - advantage))
    assert math.fsum(one.heat_J or 0.0 for one in heat.values()) == pytest.approx(8.0 * per_m)
    # power: the line comes in at 0.06 m/s, the load goes at a third of that
    assert math.fsum(one.heat_W or 0.0 for one in heat.values()) == pytest.approx(per_m * 0.02)
    assert all(one.rise_bound_K is None for one in heat.values())


def test_heat_in_a_campaign_beside_the_measured_surface(tmp_path: Path) -> None:
    devices = "devices:\n  hoop: {kind: ring, mass: 0.5 kg, material: aluminium}\n"
    more = {"travel": "6 m", "temperature_before_C": "18", "temperature_after_C": "41"}
    columns = ("travel", "temperature_before_C", "temperature_after_C")
    made_campaign(
        tmp_path / "c", [Pull("one", "two-part", K, "hoop", more=more)], devices=devices, columns=columns
    )
    result = measure_campaign(read_campaign(tmp_path / "c"))
    (run,) = result.runs
    (heat,) = run.heat.values()
    e = result.devices["hoop"].efficiency.value
    # one pass: tension lost × line over the ring, 1 m of line for each metre of load where the ring is on the anchor
    assert heat.heat_J == pytest.approx(run.mean_N["line"].value * (1.0 - e) * 6.0, rel=1e-6)
    assert heat.rise_bound_K == pytest.approx((heat.heat_J or 0.0) / (0.5 * 900.0))  # aluminium 900 J/(kg K)
    assert (heat.before_C, heat.after_C) == (18.0, 41.0)
    k = result.devices["hoop"].k  # heat ~ 1 - 1/k, so u(heat) ÷ heat = u(k) ÷ (k (k - 1))
    assert heat.u_share == pytest.approx(k.u / (k.value * (k.value - 1.0)), rel=1e-4)


def test_warmer_than_its_heat_is_told() -> None:
    def said(after: float) -> int:
        return len(
            heat_notices("r", {"X": BlockHeat("hoop", 1.0, rise_bound_K=20.0, before_C=15.0, after_C=after)})
        )

    assert (said(30.0), said(60.0)) == (0, 1)


def noted(values: list[float], slope: float, state: bool = False, shuffled: bool = True) -> list[NotedRun]:
    scatter = [0.0004, -0.0006, 0.0002, 0.0005, -0.0003, -0.0004, 0.0006, -0.0004]
    order = [3, 1, 6, 0, 5, 2, 7, 4] if shuffled else list(range(8))
    return [
        NotedRun(
            f"rig {i % 2}",
            float(order[i]),
            0.6 + 0.05 * (i % 2) + slope * value + scatter[i],
            Conditions(rope_state="wet" if value else "dry")
            if state
            else Conditions(temperature_before_C=(10.0 + value,)),
        )
        for i, value in enumerate(values)
    ]


WARM = [0.0, 0.0, 8.0, 8.0, 15.0, 15.0, 22.0, 22.0]


def test_an_association_is_said_where_the_runs_carry_it() -> None:
    (notice,) = associations(noted(WARM, -0.001))
    assert "-0.10 ±" in notice.message
    assert "per K of temperature before" in notice.message
    assert "not a correction" in notice.message
    assert (notice.code, notice.level) == ("ASSOCIATION", "info")
    assert associations(noted(WARM, 0.0)) == []
    assert associations(noted(WARM, -0.001)[:4]) == []  # too few


def test_wet_against_dry_is_said() -> None:
    wet = [0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 1.0, 1.0]
    (notice,) = associations(noted(wet, -0.01, state=True))
    assert "rope state wet against dry" in notice.message


def test_a_condition_that_follows_the_order_is_not_told_apart_from_it() -> None:
    (notice,) = associations(noted(WARM, -0.001, shuffled=False))
    assert "cannot be told apart" in notice.message


def test_one_association_in_a_hundred_by_chance_at_most() -> None:
    import numpy as np

    draw, said = np.random.default_rng(4), 0
    for _ in range(600):
        runs = [
            NotedRun(
                f"rig {i % 3}",
                float(i),
                float(draw.normal(0.0, 0.004)),
                Conditions(air_C=float(draw.normal(15, 5))),
            )
            for i in range(12)
        ]
        said += bool(associations(runs))
    assert said <= 600 * 0.01 + 3.0 * math.sqrt(600 * 0.01)


def test_a_condition_never_changes_a_result(tmp_path: Path) -> None:
    cold, warm = (Pull("one", "two-part", K, "puck", more={"temperature_before_C": t}) for t in ("5", "60"))
    for name, pull in (("c", cold), ("d", warm)):
        made_campaign(tmp_path / name, [pull], columns=("temperature_before_C",))
    found = [measure_campaign(read_campaign(tmp_path / name)).runs[0] for name in ("c", "d")]
    assert found[0].advantage == found[1].advantage
    assert found[0].conditions != found[1].conditions
    assert found[0].mean_N["line"].value > 100.0 * KGF
