"""The example campaign, end to end, against the values its simulator was set to; and what is left out, and why."""

from __future__ import annotations

import dataclasses
import json
import math
import shutil
from pathlib import Path
from typing import Any

import pytest

from haulwright.catalogue import dump_devices, load_user
from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignFolder, read_campaign
from haulwright.mechanics.tackles import named_rig
from haulwright.quantities.measured import Measured
from haulwright.trials.campaign import device_rows, fit_campaign, measure_campaign
from haulwright.trials.result import CampaignResult
from haulwright.workflows import examples

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "campaign"
TRUTH: dict[str, Any] = json.loads(
    (ROOT / "tests" / "data" / "meadow-truth.json").read_text(encoding="utf-8")
)
TESTS: dict[str, Any] = {test["id"].removeprefix("meadow-"): test for test in TRUTH["tests"]}


@pytest.fixture(scope="module")
def folder() -> CampaignFolder:
    return read_campaign(EXAMPLE)


@pytest.fixture(scope="module")
def result(folder: CampaignFolder) -> CampaignResult:
    return measure_campaign(folder)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLE, tmp_path / "campaign"))


def true_k(device: str) -> float:
    """Return the mean of the device's true ratios over the runs it stood in."""
    found = [
        k
        for test in TESTS.values()
        for name, k in zip(test["devices"], test["k_true"], strict=True)
        if name == device
    ]
    return sum(found) / len(found)


@pytest.mark.parametrize("device", ["puck-A", "hoop-B"])
def test_friction_of_the_devices(result: CampaignResult, device: str) -> None:
    k = result.devices[device].k
    for truth in (true_k(device), TRUTH["devices"][device]["k0"]):
        assert k.lo <= truth <= k.hi
        assert abs(k.value - truth) < 0.011
    assert k.half95 < 0.02
    assert result.devices[device].efficiency.value == pytest.approx(1.0 / k.value)


def test_tested_range_of_the_devices(result: CampaignResult) -> None:
    low, high = result.devices["puck-A"].valid_N or (0.0, 0.0)
    means = [
        TESTS[run]["true_mean_kgf"]["line"] * 9.80665 for run in ("two-a1", "two-a2", "three-ab", "four-ab")
    ]
    assert low < min(means) < max(means) < high < 1.3 * max(means)


def test_every_run_is_measured(result: CampaignResult) -> None:
    assert [run.run for run in result.runs] == list(TESTS)
    for run in result.runs:
        assert run.advantage.lo <= TESTS[run.run]["advantage_realised"] <= run.advantage.hi
        assert run.advantage.value == pytest.approx(TESTS[run.run]["advantage_realised"], rel=0.01)


def test_configurations_hold_the_truth(result: CampaignResult) -> None:
    assert [one.n for one in result.configurations] == [1, 2, 2, 1, 1, 1]
    for one in result.configurations:
        logs = [math.log(TESTS[run]["advantage_model"]) for run in one.runs]
        assert one.advantage.lo <= math.exp(sum(logs) / len(logs)) <= one.advantage.hi
        assert one.winch_share.value == pytest.approx(1.0 / one.advantage.value)


def test_block_and_ring_differ(result: CampaignResult) -> None:
    (pair,) = [c for c in result.comparisons if c.a.startswith("two-part")]
    assert (pair.a, pair.b) == ("two-part: puck-A", "two-part: hoop-B")
    assert pair.verdict == "different"
    truth = TESTS["two-a1"]["advantage_model"] / TESTS["two-b1"]["advantage_model"]
    assert pair.ratio.lo <= truth <= pair.ratio.hi
    assert pair.ratio.lo > 1.02


def test_gain_of_the_anchor_cell(result: CampaignResult) -> None:
    sensors = TESTS["series"]["sensors"]
    truth = (1.0 + sensors["anchor"]["gain_error"]) / (1.0 + sensors["line"]["gain_error"])
    gain = result.cells["anchor-6t"].gain
    assert gain.lo <= truth <= gain.hi
    assert gain.u < 0.75 * 0.005 * math.sqrt(2.0 / 3.0)  # better known than from the class alone
    assert result.cells["line-3t"].gain.u == 0.0
    zero = result.cells["anchor-6t"].zero_N
    assert zero is not None
    assert zero.value == pytest.approx(sensors["anchor"]["zero_error_kgf"] * 9.80665, abs=15.0)


def test_a_rig_left_out_is_predicted(copy: Path) -> None:
    (copy / "decisions.yaml").write_text(
        "exclusions:\n  - {run: four-ab, who: A. Sample, when: 2025-06-03, why: kept back to test the prediction}\n",
        encoding="utf-8",
    )
    folder = read_campaign(copy)
    result = measure_campaign(folder)
    assert "four-ab" not in [run.run for run in result.runs]
    found = fit_campaign(folder, result).predict(named_rig("stacked two-parts"), ["puck-A", "hoop-B"])
    truth = TESTS["four-ab"]["advantage_realised"]
    assert found.lo <= truth <= found.hi
    assert found.value == pytest.approx(truth, rel=0.005)
    assert found.u / found.value < 0.006


def test_fit_from_the_record_is_the_same_fit(folder: CampaignFolder, result: CampaignResult) -> None:
    fit = fit_campaign(folder, result)
    assert fit.devices == result.devices
    assert fit.dof == 6
    assert 0.2 < fit.chi2 < 16.8  # 0.02 % and 99 % points of chi² with 6 degrees of freedom, from the table


def test_devices_file_is_read_back(folder: CampaignFolder, result: CampaignResult, tmp_path: Path) -> None:
    path = tmp_path / "devices.toml"
    dump_devices(device_rows(folder, result), path)
    rows = load_user(path)
    assert set(rows) == {"puck-A", "hoop-B"}
    assert rows["puck-A"].value == result.devices["puck-A"].k.value
    assert rows["puck-A"].valid_N == result.devices["puck-A"].valid_N
    assert rows["hoop-B"].source.flag == "measured"
    assert "invented" in rows["hoop-B"].source.title


def test_a_ratio_below_one_is_not_written_for_plans(folder: CampaignFolder, result: CampaignResult) -> None:
    # no device gives back more than it gets: the other devices are written all the same
    low = dataclasses.replace(result.devices["puck-A"], k=Measured.normal(0.99, 0.01))
    changed = dataclasses.replace(result, devices={**result.devices, "puck-A": low})
    assert set(device_rows(folder, changed)) == {"hoop-B"}


def test_invented_data_say_so(result: CampaignResult) -> None:
    codes = [notice.code for notice in result.notices]
    assert {"INVENTED", "TESTED_ONLY", "DEFER", "NO_PEAKS"} <= set(codes)
    assert result.about["invented"] == "yes"
    assert "invented" in result.about["customer"]


def test_record_is_plain_json(result: CampaignResult) -> None:
    record = json.loads(json.dumps(result.to_dict()))
    assert record["kind"] == "campaign-result"
    assert set(record["devices"]["puck-A"]) == {"k", "efficiency", "valid_N", "load_exponent", "at_N"}
    assert record["scatter"]["repeats"] == 2
    assert set(record["comparisons"][0]) >= {"a", "b", "ratio", "verdict", "runs_needed"}


def test_decisions_are_honoured(copy: Path) -> None:
    (copy / "decisions.yaml").write_text(
        "stretches:\n  - {run: two-a1, start: 150 s, end: 270 s, who: B. Sample, when: 2025-06-03, why: clear of a root}\n"
        "exclusions:\n  - {run: two-b1, who: A. Sample, when: 2025-06-03, why: line crossed}\n",
        encoding="utf-8",
    )
    result = measure_campaign(read_campaign(copy))
    by_run = {run.run: run for run in result.runs}
    assert "two-b1" not in by_run
    assert result.excluded == (
        {"run": "two-b1", "why": "line crossed", "who": "A. Sample", "when": "2025-06-03"},
    )
    (stretch,) = by_run["two-a1"].steady
    assert (stretch.start_s, stretch.end_s) == pytest.approx((150.0, 270.0), abs=1.5)
    assert stretch.chosen_by == "B. Sample"
    assert "root" in stretch.why


def test_a_refused_run_is_told_and_the_rest_goes_on(copy: Path) -> None:
    (copy / "logs" / "meadow-two-b1.csv").write_text(
        "time_s,line_kgf,anchor_kgf\n0,1,2\n1,1,2\n2,1,2\n", encoding="utf-8"
    )
    said: list[str] = []
    result = measure_campaign(read_campaign(copy), progress=said.append)
    assert [one["run"] for one in result.excluded] == ["two-b1"]
    assert any("two-b1" in notice.where and "line 5" in notice.message for notice in result.notices)
    assert len(result.runs) == 7
    assert "hoop-B" in result.devices
    assert said[0] == "run 1 of 8: series"


def test_wrong_device_count_is_told_with_its_run(copy: Path) -> None:
    sheet = copy / "runs.csv"
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace("puck-A;hoop-B", "puck-A", 1), encoding="utf-8"
    )
    result = measure_campaign(read_campaign(copy))
    assert [one["run"] for one in result.excluded] == ["three-ab"]
    assert "2 blocks, but 1 device" in result.excluded[0]["why"]


def test_all_refused_is_a_refusal(copy: Path) -> None:
    for log in (copy / "logs").iterdir():
        log.write_text("time_s,line_kgf,anchor_kgf\n0,1,2\n", encoding="utf-8")
    with pytest.raises(TrialRefusal) as caught:
        measure_campaign(read_campaign(copy))
    assert caught.value.code == "NO_RUNS"
    assert "two-a1" in caught.value.message


def test_a_run_without_devices_gives_no_friction(copy: Path) -> None:
    sheet = copy / "runs.csv"
    text = (
        sheet.read_text(encoding="utf-8")
        .replace("two-part,hoop-B", "two-part,")
        .replace("puck-A;hoop-B", "puck-A;puck-A")
    )
    sheet.write_text(text.replace("hoop-B;puck-A", "puck-A;puck-A"), encoding="utf-8")
    result = measure_campaign(read_campaign(copy))
    assert list(result.devices) == ["puck-A"]
    unnamed = next(run for run in result.runs if run.run == "two-b1")
    assert unnamed.friction == {}
    assert any("names no device" in notice.message for notice in unnamed.notices)


def test_overdue_calibration_is_told(copy: Path) -> None:
    spec = copy / "campaign.yaml"
    spec.write_text(spec.read_text(encoding="utf-8").replace("2026-03-31", "2025-03-31", 1), encoding="utf-8")
    result = measure_campaign(read_campaign(copy))
    assert any("calibration of line-3t ran out" in notice.message for notice in result.notices)


def test_a_third_channel_is_kept_under_its_place(copy: Path) -> None:
    log, sheet = copy / "logs" / "meadow-two-b2.csv", copy / "runs.csv"
    head, *rows = log.read_text(encoding="utf-8").splitlines()
    third = [f"{row},{0.8 * float(row.split(',')[1] or 0):.1f}" for row in rows]
    log.write_text("\n".join([f"{head},mid_kgf", *third]) + "\n", encoding="utf-8")
    head, *rows = sheet.read_text(encoding="utf-8").splitlines()
    more = [
        row + (",meadow-two-b2.csv,mid_kgf,line-3t" if row.startswith("two-b2") else ",,,") for row in rows
    ]
    sheet.write_text("\n".join([f"{head},tail_log,tail_column,tail_cell", *more]) + "\n", encoding="utf-8")
    run = next(run for run in measure_campaign(read_campaign(copy)).runs if run.run == "two-b2")
    assert run.channels["tail"].cell == "line-3t"
    assert run.mean_N["tail"].value / run.mean_N["line"].value == pytest.approx(0.8, abs=0.002)
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("mid_kgf", "top_kgf"), encoding="utf-8")
    refused = measure_campaign(read_campaign(copy)).excluded
    assert [one["run"] for one in refused] == ["two-b2"]
    assert "top_kgf" in refused[0]["why"]


def test_a_result_does_not_depend_on_where_the_folder_lies(tmp_path, monkeypatch):
    """The same folder elsewhere, named in another way, gives the same record to the byte."""
    shutil.copytree(examples() / "campaign", tmp_path / "campaign", ignore=shutil.ignore_patterns("results"))
    monkeypatch.chdir(tmp_path)
    here, there = (measure_campaign(read_campaign(path)) for path in ("campaign", examples() / "campaign"))
    assert json.dumps(here.to_dict()) == json.dumps(there.to_dict())
    assert here.runs[0].files[0]["path"] == "logs/meadow-series.csv"
