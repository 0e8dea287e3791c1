"""Publishing takes up the runs that are kept: nothing is measured twice, and every byte stays the same."""

import shutil
from pathlib import Path

import pytest

from haulwright import workflows
from haulwright.interfaces.cli.main import main
from haulwright.trials import campaign_pool

CAMPAIGN = Path(__file__).resolve().parents[2] / "examples" / "campaign"


@pytest.fixture
def folder(tmp_path):
    """Return the shipped campaign with its first four runs: each costs charts."""
    copy = tmp_path / "campaign"
    shutil.copytree(CAMPAIGN, copy, ignore=shutil.ignore_patterns("results", "decisions.yaml"))
    sheet = copy / "runs.csv"
    sheet.write_text("".join(sheet.read_text(encoding="utf-8").splitlines(True)[:5]), encoding="utf-8")
    return copy


@pytest.fixture
def measured(monkeypatch):
    """Return the runs that are measured and not taken from those kept, as they come."""
    names, real = [], campaign_pool.measure_entry

    def watched(campaign, entry, name):
        names.append(entry.run)
        return real(campaign, entry, name)

    monkeypatch.setattr(campaign_pool, "measure_entry", watched)
    return names


def publish(what, folder, out):
    assert main(["publish", what, str(folder), "--out", str(out), "--jobs", "1", "--json"]) == 0


def bytes_of(out):
    return {path.name: path.read_bytes() for path in sorted(out.iterdir())}


def test_a_second_publishing_measures_nothing_and_writes_the_same_bytes(folder, tmp_path, measured, capsys):
    anew = workflows.measure_campaign(folder)
    plain = tmp_path / "plain"
    workflows.publish_report(anew, plain, check=workflows.check_campaign(folder))
    workflows.publish_charts(anew, plain)
    assert not (folder / "results").exists()
    measured.clear()
    publish("report", folder, tmp_path / "first")
    assert sorted(measured) == sorted(run.run for run in anew.runs)
    measured.clear()
    publish("chart", folder, tmp_path / "first")
    for what in ("report", "chart"):
        publish(what, folder, tmp_path / "second")
    assert measured == []
    assert bytes_of(tmp_path / "first") == bytes_of(tmp_path / "second") == bytes_of(plain)
    assert "Checked on the same day" in (plain / "report.html").read_text(encoding="utf-8")
    assert len(capsys.readouterr().out.splitlines()) == 4


def test_publishing_takes_up_what_campaign_measure_kept_and_the_other_way(folder, tmp_path, measured, capsys):
    assert main(["campaign", "measure", str(folder), "--jobs", "1"]) == 0
    assert measured
    measured.clear()
    publish("report", folder, tmp_path / "out")
    assert (
        main(["campaign", "predict", str(folder), "--rig", "two-part", "--device", "puck-A", "--jobs", "1"])
        == 0
    )
    assert main(["campaign", "measure", str(folder), "--jobs", "1"]) == 0
    assert measured == []
    capsys.readouterr()


def test_only_a_changed_run_is_measured_again(folder, tmp_path, measured, capsys):
    publish("report", folder, tmp_path / "out")
    before = (tmp_path / "out" / "report.html").read_bytes()
    log = folder / "logs" / "meadow-two-a1.csv"
    log.write_text(log.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    measured.clear()
    publish("report", folder, tmp_path / "out")
    assert measured == ["two-a1"]
    assert (tmp_path / "out" / "report.html").read_bytes() != before  # the hash of the log is printed
    capsys.readouterr()


def test_where_nothing_can_be_kept_it_is_measured_each_time(folder, tmp_path, measured, capsys):
    publish("chart", folder, tmp_path / "kept")
    shutil.rmtree(folder / "results")
    (folder / "results").write_text("in the way", encoding="utf-8")
    measured.clear()
    publish("chart", folder, tmp_path / "not kept")
    assert measured
    assert bytes_of(tmp_path / "kept") == bytes_of(tmp_path / "not kept")
    assert (folder / "results").read_text(encoding="utf-8") == "in the way"
    capsys.readouterr()
