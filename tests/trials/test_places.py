"""Cells anywhere in the rig: the formula follows from the solver; a third cell; results that cannot be."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from made_campaign import Pull, made_campaign
from made_results import made

from haulwright.errors import Refusal, RigRefusal, TrialRefusal
from haulwright.files.campaign import read_campaign
from haulwright.files.rig import read_rig
from haulwright.mechanics.tackles import named_rig
from haulwright.trials.campaign import measure_campaign
from haulwright.trials.friction import rig_model
from haulwright.trials.place import advantage_relation, is_place, placed
from haulwright.trials.plausible import judged

K = {"puck": 1.10, "hoop": 1.25}


def two_legs(between_deg: float) -> dict[str, Any]:
    """Return a two-part round a block on the oak whose parts stand at this angle to each other."""
    return {
        "rig": f"two legs, {between_deg:g} degrees apart",
        "units": {"force": "kN", "length": "m"},
        "anchors": {
            "oak": {"at": [0, 0]},
            "helper": {
                "at": [20 * math.cos(math.radians(between_deg)), 20 * math.sin(math.radians(between_deg))]
            },
        },
        "load": {"name": "wagon", "at": [20, 0], "toward": "oak"},
        "blocks": {"B": {"on": "oak"}},
        "lines": {"winch line": {"standing": "wagon", "through": ["B"], "fall": "winch"}},
        "winch": {"on": "helper"},
    }


@pytest.mark.parametrize("between_deg", [0.5, 20.0, 60.0, 90.0])
@pytest.mark.parametrize("k", [1.0, 1.05, 1.2, 1.6])
def test_a_cell_behind_the_block_reads_the_resultant(between_deg: float, k: float) -> None:
    # triangle of forces: sqrt(1 + e² + 2 e cos 2a) with 2a the angle between the parts, e = 1/k
    model = placed(rig_model(read_rig(two_legs(between_deg)), ["puck"]), "oak")
    e = 1.0 / k
    wanted = math.sqrt(1.0 + e * e + 2.0 * e * math.cos(math.radians(between_deg)))
    assert math.exp(model.log_advantage({"puck": math.log(k)})) == pytest.approx(wanted, rel=1e-9)


def test_legs_apart_taken_for_parallel_look_like_lost_efficiency() -> None:
    # a perfect block with 20 degrees between the parts reads 2 cos 10° = 1.970: as if e were 0.970
    relation = advantage_relation(rig_model(read_rig(two_legs(20.0)), ["puck"]), "oak")
    assert relation is not None
    assert relation(2.0 * math.cos(math.radians(10.0)) - 1e-9) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("rig", "place", "wanted"),
    [
        ("two-part", "standing part", lambda a, b: 1 / a),
        ("three-part", "standing part", lambda a, b: 1 / (a * b)),
        ("three-part", "winch line:2", lambda a, b: 1 / a),
        ("three-part", None, lambda a, b: 1 + 1 / a + 1 / (a * b)),
        ("stacked two-parts", None, lambda a, b: (1 + 1 / a) * (1 + 1 / b)),
    ],
)
def test_ratios_at_places_by_counting_tensions(rig: str, place: str | None, wanted: Any) -> None:
    # tension counted from the winch, each pass divides by its k
    names = ["puck", "hoop"][: 1 if rig == "two-part" else 2]
    model = placed(rig_model(named_rig(rig), names), place)
    found = math.exp(model.log_advantage({name: math.log(K[name]) for name in names}))
    assert found == pytest.approx(wanted(K["puck"], K["hoop"]))


def test_both_cells_elsewhere() -> None:
    # line cell on the standing part (e), anchor cell on the block (1 + e): the ratio is 1 + k
    relation = advantage_relation(rig_model(named_rig("two-part"), ["puck"]), "X", "standing part")
    assert relation is not None
    assert relation(1.0 + 1.1) == pytest.approx(1.0 + 1.0 / 1.1)


def test_places_are_those_of_the_rig() -> None:
    model = rig_model(named_rig("two-part"), ["puck"])
    assert is_place(model, "X")
    assert is_place(model, "standing part")
    assert not is_place(model, "tail")
    with pytest.raises(RigRefusal):
        placed(model, "winch line:9")


def third_cell(gain: float = 1.0) -> list[Pull]:
    draw = np.random.default_rng(8)

    def dead(time: Any, line: Any) -> Any:
        return gain * line / (K["puck"] * K["hoop"]) * (1.0 + 0.004 * draw.normal(size=line.size))

    more = {"standing part_log": "three.csv", "standing part_column": "third_kgf", "standing part_cell": "d"}
    return [Pull("three", "three-part", K, "puck;hoop", seed=4, extra=dead, more=more)]


CELLS = "cells:\n  l: {capacity: 3 t, class: 0.2 %}\n  a: {capacity: 6 t, class: 0.2 %}\n  d: {capacity: 3 t, class: 0.2 %}\n"
COLUMNS = ("standing part_log", "standing part_column", "standing part_cell")


def test_a_third_cell_on_the_standing_part_tells_two_devices_apart(tmp_path: Path) -> None:
    # load/effort = 1 + e1 + e1 e2 and dead/effort = e1 e2: two readings, two unknowns
    made_campaign(tmp_path / "c", third_cell(), cells=CELLS, columns=COLUMNS)
    result = measure_campaign(read_campaign(tmp_path / "c"))
    (run,) = result.runs
    reading = run.readings["standing part"]
    assert reading.frictionless == 1.0
    assert reading.k is None
    assert reading.ratio.lo < 1.0 / (K["puck"] * K["hoop"]) < reading.ratio.hi
    for name, k in K.items():
        assert result.devices[name].k.lo < k < result.devices[name].k.hi
        assert result.devices[name].k.half95 < 0.08
    alone = [Pull("three", "three-part", K, "puck;hoop", seed=4)]
    made_campaign(tmp_path / "d", alone, cells=CELLS)
    assert measure_campaign(read_campaign(tmp_path / "d")).devices == {}


def test_a_dead_end_above_the_fall_is_told(tmp_path: Path) -> None:
    made_campaign(tmp_path / "c", third_cell(gain=1.6), cells=CELLS, columns=COLUMNS)
    (run,) = measure_campaign(read_campaign(tmp_path / "c")).runs
    assert any("standing part ÷ line" in n.message for n in run.notices)


def test_one_device_on_the_standing_part_reads_e_directly(tmp_path: Path) -> None:
    more = {"standing part_log": "two.csv", "standing part_column": "third_kgf", "standing part_cell": "d"}
    pull = Pull("two", "two-part", K, "hoop", seed=6, extra=lambda t, x: x / K["hoop"], more=more)
    made_campaign(tmp_path / "c", [pull], cells=CELLS, columns=COLUMNS)
    result = measure_campaign(read_campaign(tmp_path / "c"))
    k = result.runs[0].readings["standing part"].k
    assert k is not None
    assert k.lo < K["hoop"] < k.hi
    both, alone = result.devices["hoop"].k, result.runs[0].friction["hoop"].k
    assert both.lo < K["hoop"] < both.hi
    assert both.half95 < 1.7 * alone.half95  # of one pull nobody knows the scatter; the fit reckons with it


def test_a_rig_file_and_the_place_of_the_anchor_cell(tmp_path: Path) -> None:
    import json

    pull = Pull("corner", "two-part", K, "puck", seed=3)
    truth = made_campaign(tmp_path / "c", [pull], columns=("anchor_at",))
    (tmp_path / "c" / "rigs").mkdir()
    (tmp_path / "c" / "rigs" / "legs.yaml").write_text(json.dumps(two_legs(20.0)), encoding="utf-8")
    sheet = tmp_path / "c" / "runs.csv"
    text = sheet.read_text(encoding="utf-8").replace("two-part", "rigs/legs.yaml")
    sheet.write_text(text.replace(",a,\n", ",a,oak\n"), encoding="utf-8")
    result = measure_campaign(read_campaign(tmp_path / "c"))
    (run,) = result.runs
    # the made forces are those of parallel parts: read with 20 degrees between them, e solves the triangle of forces
    ratio = run.ratio.value
    assert ratio == pytest.approx(truth["corner"], rel=0.01)
    c = math.cos(math.radians(20.0))
    e = -c + math.sqrt(c * c - 1.0 + ratio * ratio)
    assert run.friction["puck"].efficiency.value == pytest.approx(e, rel=1e-6)
    assert run.advantage.value == pytest.approx(e, rel=1e-6)  # the load is drawn by the standing part alone
    assert result.devices["puck"].efficiency.value == pytest.approx(e, rel=0.02)


def test_a_rig_file_outside_the_folder_is_refused(tmp_path: Path) -> None:
    made_campaign(
        tmp_path / "c", [Pull("one", "two-part", K, "puck"), Pull("two", "two-part", K, "puck", seed=2)]
    )
    sheet = tmp_path / "c" / "runs.csv"
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace("two-part", "../legs.yaml", 1), encoding="utf-8"
    )
    (left_out,) = measure_campaign(read_campaign(tmp_path / "c")).excluded
    assert "must lie in the campaign folder" in left_out["why"]


@pytest.mark.parametrize(
    ("advantage", "code"), [(1.0 / 1.85, "SWAPPED"), (2.8, "IMPOSSIBLE"), (0.3, "IMPOSSIBLE")]
)
def test_a_number_that_would_mislead_is_refused(advantage: float, code: str) -> None:
    model = rig_model(named_rig("two-part"), ["puck"])
    with pytest.raises(TrialRefusal) as caught:
        judged(made("r", "two-part", ["puck"], advantage), model)
    assert caught.value.code == code
    if advantage > 2.0:
        assert "three-part" in caught.value.message


@pytest.mark.parametrize("advantage", [2.0, 1.9, 1.4, 2.01])
def test_a_number_that_can_be_is_left_alone(advantage: float) -> None:
    model, result = rig_model(named_rig("two-part"), ["puck"]), made("r", "two-part", ["puck"], advantage)
    assert judged(result, model) is result


def test_somewhat_above_frictionless_is_warned_of_with_what_would_fit() -> None:
    found = judged(made("r", "two-part", ["puck"], 2.2), rig_model(named_rig("two-part"), ["puck"]))
    assert "It would fit" in found.notices[-1].message


def test_exchanged_columns_are_refused_end_to_end(tmp_path: Path) -> None:
    pulls = [Pull("good", "two-part", K, "puck"), Pull("bad", "two-part", K, "puck", seed=2)]
    made_campaign(tmp_path / "c", pulls)
    log = tmp_path / "c" / "logs" / "bad.csv"
    log.write_text(
        log.read_text(encoding="utf-8").replace("line_kgf,anchor_kgf", "anchor_kgf,line_kgf"),
        encoding="utf-8",
    )
    (left_out,) = measure_campaign(read_campaign(tmp_path / "c")).excluded
    assert left_out["run"] == "bad"
    assert "Exchanged the two cells would fit" in left_out["why"]
    assert issubclass(TrialRefusal, Refusal)
