"""``campaign design``, ``simulate`` and ``check``: records, exit codes, files written, refusals."""

import json
import shutil
from pathlib import Path

import pytest

from haulwright.interfaces.cli.main import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.fixture
def folder(tmp_path):
    """Return a folder that holds a campaign.yaml and nothing else."""
    target = tmp_path / "planned"
    target.mkdir()
    shutil.copy(EXAMPLES / "campaign" / "campaign.yaml", target)
    return target


@pytest.fixture
def ask(capsys):
    def run(*words):
        code = main([*map(str, words), "--json"])
        out = capsys.readouterr()
        assert out.err == ""
        return code, json.loads(out.out)

    return run


def test_design_writes_a_sheet_and_says_what_it_will_tell(ask, folder, tmp_path):
    options = ["--rig", "two-part", "--rig", "three-part", "--seed", "5"]
    code, record = ask("campaign", "design", folder, *options, "--out", tmp_path / "sheet")
    assert (code, record["kind"], record["seed"]) == (0, "campaign-design", 5)
    assert len(record["runs"]) == 2 * 2 * 2 + 3
    assert set(record["runs"][0]) == {"run", "rig", "devices", "repeat", "block", "role"}
    for device in record["devices"].values():
        assert 0.0 < device["u"] < 0.01
        assert device["k"] > 1.0
    assert set(record["pulls"]) >= {"to_differ", "to_equal", "power_difference", "power_equivalent"}
    lines = (tmp_path / "sheet" / "runs.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 1 + len(record["runs"])
    paper = (tmp_path / "sheet" / "run-sheet.txt").read_text(encoding="utf-8")
    assert "one short tug" in paper
    assert "seed 5" in paper
    assert all(run["run"] in paper for run in record["runs"])
    assert json.loads((tmp_path / "sheet" / "design.json").read_text(encoding="utf-8")) == record
    code, record = ask("campaign", "design", folder, *options, "--out", tmp_path / "sheet")
    assert (code, record["error"]["code"]) == (2, "EXISTS")  # a sheet with notes on it is never overwritten
    assert (tmp_path / "sheet" / "runs.csv").read_text(encoding="utf-8").splitlines() == lines


def test_a_design_that_cannot_tell_its_devices_says_so_by_name(ask, folder, tmp_path):
    _, record = ask(
        "campaign", "design", folder, "--rig", "three-part=puck-A;hoop-B", "--out", tmp_path / "x"
    )
    assert {device["u"] for device in record["devices"].values()} == {None}
    named = {
        where
        for notice in record["notices"]
        if notice["code"] == "NOT_IDENTIFIED"
        for where in notice["where"]
    }
    assert named == {"puck-A", "hoop-B"}


def test_options_reach_the_design(ask, folder, tmp_path):
    options = ["--scatter", "0.35 %", "--difference", "0.5 %", "--ratio", "puck-A=1.09", "--repeats", "9"]
    _, record = ask("campaign", "design", folder, "--rig", "two-part", *options, "--out", tmp_path / "y")
    assert record["pulls"]["to_differ"] == 9
    assert record["pulls"]["power_difference"] > 0.8
    assert record["devices"]["puck-A"]["k"] == 1.09


def test_simulate_says_how_often_it_answers(ask, folder):
    options = ["--rig", "two-part", "--campaigns", "6", "--ratio", "puck-A=1.09", "--ratio", "hoop-B=1.25"]
    code, record = ask("campaign", "simulate", folder, *options)
    assert (code, record["kind"], record["campaigns"]) == (0, "campaign-simulation", 6)
    (pair,) = record["pairs"]
    assert pair["different"] + pair["equivalent"] + pair["small_but_real"] + pair[
        "undecided"
    ] == pytest.approx(1.0)
    assert pair["different"] == 1.0  # 6 % apart
    assert record["devices"]["puck-A"]["true"] == 1.09
    assert ask("campaign", "simulate", folder, *options) == (code, record)


def test_check_names_what_is_missing_and_exits_with_one(ask, folder, tmp_path, capsys):
    ask("campaign", "design", folder, "--rig", "two-part", "--out", tmp_path / "z")
    shutil.copy(tmp_path / "z" / "runs.csv", folder)
    (folder / "logs").mkdir()
    (folder / "logs" / "Export 14.csv").write_text("time_s\n0\n", encoding="utf-8")
    code, record = ask("campaign", "check", folder)
    assert (code, record["kind"]) == (1, "campaign-check")
    assert {run["verdict"] for run in record["runs"]} == {"missing"}
    assert record["runs"][0]["reasons"] == ["no log 01-series_line.csv", "no log 01-series_anchor.csv"]
    assert record["unmatched"] == ["Export 14.csv"]
    assert main(["campaign", "check", str(folder)]) == 1
    assert "Export 14.csv" in capsys.readouterr().out


def test_check_of_the_example_passes(ask):
    code, record = ask("campaign", "check", EXAMPLES / "campaign")
    assert code == 0, [run for run in record["runs"] if run["verdict"] != "pass"]
    assert all(run["advantage"]["u"] > 0.0 for run in record["runs"])


@pytest.mark.parametrize(
    ("options", "code"),
    [
        (["--rig", "two-prat"], "UNKNOWN"),
        (["--rig", "two-part=nobody"], "DEVICES"),
        (["--rig", "series"], "DESIGN"),
        (["--rig", "two-part", "--repeats", "0"], "DESIGN"),
        (["--rig", "two-part", "--ratio", "puck-A=0.9"], "USAGE"),
        (["--rig", "two-part", "--ratio", "puck-A"], "USAGE"),
        (["--rig", "two-part", "--scatter", "-1 %"], None),
        (["--rig", "two-part", "--device", "nobody"], None),
    ],
)
def test_wrong_options_are_refused(ask, folder, tmp_path, options, code):
    status, record = ask("campaign", "design", folder, *options, "--out", tmp_path / "w")
    assert (status, record["kind"]) == (2, "refusal"), record
    assert code is None or record["error"]["code"] == code, record
    assert not (tmp_path / "w").exists() or not [*(tmp_path / "w").iterdir()]


def test_no_folder_is_refused(ask, tmp_path):
    for command in (
        ["design", tmp_path / "no", "--rig", "two-part"],
        ["simulate", tmp_path / "no", "--rig", "two-part"],
        ["check", tmp_path / "no"],
    ):
        status, record = ask("campaign", *command)
        assert (status, record["error"]["code"]) == (2, "NO_FILE")


def test_a_day_that_is_not_over_is_measured_so_far_and_says_what_is_to_come(ask, tmp_path):
    day = Path(
        shutil.copytree(EXAMPLES / "campaign", tmp_path / "day", ignore=shutil.ignore_patterns("results"))
    )
    rows = (day / "runs.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (day / "runs.csv").write_text("".join(rows[:5]), encoding="utf-8")
    (day / "logs" / "meadow-two-b1.csv").unlink()
    code, refused = ask("campaign", "measure", day, "--out", tmp_path / "a")
    assert (code, refused["error"]["code"]) == (2, "NO_LOG")
    code, record = ask("campaign", "measure", day, "--so-far", "--out", tmp_path / "b")
    assert (code, [run["run"] for run in record["runs"]]) == (0, ["series", "two-a1", "two-a2"])
    told = [one for one in record["notices"] if "have no log yet" in one["message"]]
    assert [one["where"] for one in told] == [["two-b1"]]
