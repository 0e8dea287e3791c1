"""The main job, end to end, on the shipped example: what a newcomer gets from one command."""

import hashlib
import json
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

import haulwright as hw
from haulwright.catalogue import load_user
from haulwright.interfaces.cli.main import main
from haulwright.publishing.chart_files import OF_CAMPAIGN
from haulwright.workflows import examples

TRUTH = json.loads((Path(__file__).parents[1] / "data" / "meadow-truth.json").read_text(encoding="utf-8"))
RUN_OF = {test["id"].removeprefix("meadow-"): test for test in TRUTH["tests"]}


def digest(folder):
    return {p: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """Run the demo once; return its folder, the printed words and what the examples were before."""
    import contextlib
    import io

    out = tmp_path_factory.mktemp("demo")
    before = digest(examples())
    words, progress = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(words), contextlib.redirect_stderr(progress):
        code = main(["demo", "--out", str(out)])
    assert code == 0
    return out, words.getvalue(), progress.getvalue(), before


def record(ran, name):
    return json.loads((ran[0] / name).read_text(encoding="utf-8"))


def test_it_writes_every_kind_of_file_and_changes_no_example(ran):
    out, words, progress, before = ran
    names = {path.name for path in out.iterdir()}
    assert {"report.html", "comparison.svg", "campaign.json", "plan.json", "devices.toml"} <= names
    assert len([n for n in names if n.startswith("trace-") and n.endswith(".svg")]) == 8
    assert all(name in words for name in names)
    assert "run 8 of 8" in progress
    assert digest(examples()) == before


def test_each_run_holds_the_known_truth(ran):
    runs = {run["run"]: run for run in record(ran, "campaign.json")["runs"]}
    assert set(runs) == set(RUN_OF)
    inside = 0
    for name, run in runs.items():
        truth = RUN_OF[name]["advantage_model"]
        assert run["advantage"]["value"] == pytest.approx(truth, rel=0.01)
        lo, hi = run["advantage"]["interval95"]
        inside += lo <= truth <= hi
    assert inside >= 7


def test_the_plan_uses_the_friction_that_was_measured(ran):
    plan, devices = record(ran, "plan.json"), load_user(ran[0] / "devices.toml")
    best = plan["candidates"][0]
    assert plan["chosen"] == best["rig"]
    measured = {name: row.value for name, row in devices.items()}
    (block,) = best["devices"]
    assert best["ratios"][block] == pytest.approx(measured["puck-A"])
    assert best["advantage"] == pytest.approx(1 + 1 / measured["puck-A"])
    assert any("measured" in source for source in plan["friction_source"].values())


def test_every_item_stands_at_stall_as_without_friction(ran):
    plan = record(ran, "plan.json")
    for candidate in plan["candidates"]:
        loads = [item["load_N"] for item in candidate["items"]]
        assert all(load["stall"] > 0 for load in loads)
        anchors = [
            item["load_N"]["stall"] for item in candidate["items"] if item["role"].startswith("anchor")
        ]
        # the site lies in line, so the anchors of a rig, one or two, together hold its ideal advantage times the stall
        assert sum(anchors) == pytest.approx(
            candidate["stall_N"] * round(candidate["ideal_advantage"]), rel=1e-9
        )


def test_the_card_is_one_page_with_the_stall_figure(ran):
    (path,) = ran[0].glob("card-*.pdf")
    reader = PdfReader(path)
    text = reader.pages[0].extract_text()
    assert len(reader.pages) == 1
    stall = record(ran, "plan.json")["candidates"][0]["stall_N"] / 1000.0
    assert f"{stall:.1f}" in text
    assert "STOP if" in text
    assert "Invented" in text


def test_the_printed_files_have_the_hashes_they_claim(ran, tmp_path, capsys):
    folder = tmp_path / "campaign"
    shutil.copytree(examples() / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    assert main(["publish", "report", str(folder), "--out", str(tmp_path / "out"), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["kind"] == "files"
    for file in printed["files"]:
        assert hashlib.sha256(Path(file["path"]).read_bytes()).hexdigest() == file["sha256"]


def test_the_same_inputs_write_the_same_bytes(ran, tmp_path):
    result = hw.measure_campaign(examples() / "campaign")
    hw.write_results(examples() / "campaign", result, tmp_path)
    hw.publish_report(result, tmp_path)
    hw.publish_charts(result, tmp_path, charts=(*OF_CAMPAIGN, "trace"))
    for path in tmp_path.iterdir():
        assert path.read_bytes() == (ran[0] / path.name).read_bytes(), path.name


def test_plan_exit_codes_follow_the_verdict(ran, capsys):
    pull, devices = str(examples() / "pulls" / "rutted-clearing.yaml"), str(ran[0] / "devices.toml")
    assert main(["plan", "make", pull, "--friction", devices]) == 0
    assert "Nobody within" in capsys.readouterr().out
    assert main(["plan", "make", pull, "--friction", devices, "--rig", "three-part/on-load"]) == 1
    assert "over" in capsys.readouterr().out


def test_resistance_shows_several_rules_side_by_side(capsys):
    assert main(["resistance", str(examples() / "pulls" / "rutted-clearing.yaml"), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert len(printed["rules"]) >= 2
    for rule in printed["rules"]:
        assert rule["low_N"] < rule["likely_N"] < rule["high_N"]
        assert rule["source"]
        assert rule["drivers"]


def test_kit_shows_unknown_as_unknown(capsys):
    assert main(["kit", "show", str(examples() / "kit.yaml"), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    for item in printed["items"]:
        if item["uses"]:  # what bears no load of a winch, or is set aside, has no verdict
            assert (item["verdict"] == "unknown") == (item["limit_N"] is None)
    assert {"inside", "unknown"} <= {item["verdict"] for item in printed["items"]}
