"""Measuring again: only what changed, the same to the last byte, and nothing wrong kept after a stop."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from haulwright import workflows
from haulwright.errors import FileRefusal, TrialRefusal
from haulwright.files.campaign import read_campaign
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import speaking
from haulwright.records import write_whole
from haulwright.trials import campaign_pool
from haulwright.trials.campaign_runs import Outcome, measure_entry
from haulwright.trials.grid import Grid
from haulwright.trials.result import Traces
from haulwright.trials.run_store import RunStore, key_of, software
from haulwright.trials.run_text import from_text, to_text
from haulwright.trials.steady import find_steady

EXAMPLE = Path(__file__).parents[2] / "examples" / "campaign"
RUNS = 8


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLE, tmp_path / "campaign", ignore=shutil.ignore_patterns("results")))


@pytest.fixture(scope="module")
def cold(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The record without any cache."""
    out = tmp_path_factory.mktemp("cold")
    workflows.write_results(EXAMPLE, workflows.measure_campaign(EXAMPLE), out)
    return (out / "campaign.json").read_bytes()


def again(folder: Path, out: Path, jobs: int = 1) -> tuple[bytes, list[str]]:
    """Measure and write; return the record's bytes and the names of the runs that were measured."""
    said: list[str] = []
    result = workflows.measure_campaign(folder, out=out, jobs=jobs, progress=said.append)
    workflows.write_results(folder, result, out)
    return (out / "campaign.json").read_bytes(), [w.rpartition(" ")[2] for w in said if w.startswith("run ")]


def entries(out: Path) -> list[Path]:
    return sorted((out / "cache").glob("*.run"))


def test_cold_warm_and_side_by_side_are_the_same_bytes(copy: Path, cold: bytes) -> None:
    out = copy / "results"
    first, measured = again(copy, out)
    assert first == cold
    assert len(measured) == RUNS
    warm, measured = again(copy, out)
    assert warm == cold
    assert measured == []
    side, measured = again(copy, copy / "others", jobs=2)
    assert side == cold
    assert len(measured) == RUNS


def test_only_the_run_whose_log_changed_is_measured(copy: Path, cold: bytes) -> None:
    out = copy / "results"
    again(copy, out)
    log = copy / "logs" / "meadow-two-b1.csv"
    before = log.read_bytes()
    log.write_bytes(before + b"\n")
    changed, measured = again(copy, out)
    assert measured == ["two-b1"]
    assert changed != cold  # the log's hash stands in the record
    log.write_bytes(before)
    back, measured = again(copy, out)
    assert measured == ["two-b1"]
    assert back == cold
    assert len(entries(out)) == RUNS


@pytest.mark.parametrize(
    ("name", "old", "new", "wanted"),
    [
        ("runs.csv", "two-part,puck-A,meadow-two-a1.csv", "two-part,hoop-B,meadow-two-a1.csv", ["two-a1"]),
        ("runs.csv", ",1,\n", ",1,a new note\n", []),
        ("campaign.yaml", "margin: 2 %", "margin: 3 %", []),
        ("campaign.yaml", "class: 0.5 %, class_of: reading, certificate: invented-0302",
         "class: 0.4 %, class_of: reading, certificate: invented-0302", None),
    ],
)  # fmt: skip
def test_what_the_inputs_change(copy: Path, name: str, old: str, new: str, wanted: list[str] | None) -> None:
    out = copy / "results"
    again(copy, out)
    path = copy / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    _, measured = again(copy, out)
    assert len(measured) == RUNS if wanted is None else measured == wanted


def test_a_decision_measures_its_run_only(copy: Path) -> None:
    out = copy / "results"
    again(copy, out)
    (copy / "decisions.yaml").write_text(
        "stretches:\n  - {run: two-a1, start: 150 s, end: 270 s, who: B. Sample, when: 2025-06-03, why: clear of a root}\n",
        encoding="utf-8",
    )
    _, measured = again(copy, out)
    assert measured == ["two-a1"]


def spoil(path: Path, how: str) -> None:
    text = path.read_text(encoding="utf-8")
    digest, _, body = text.partition("\n")
    path.write_bytes(
        {
            "empty": b"",
            "cut": text[: len(text) // 2].encode(),
            "no text": bytes(range(256)),
            "another number": f"{digest}\n{body.replace('9', '8', 1)}".encode(),
            "another's": entries(path.parents[1])[-1].read_bytes()[:-1],
        }[how]
    )


@pytest.mark.parametrize("how", ["empty", "cut", "no text", "another number", "another's"])
def test_a_spoilt_entry_is_measured_anew(copy: Path, cold: bytes, how: str) -> None:
    out = copy / "results"
    again(copy, out)
    spoil(entries(out)[0], how)
    found, measured = again(copy, out)
    assert len(measured) == 1
    assert found == cold


def test_a_whole_entry_of_another_form_is_measured_anew(copy: Path, cold: bytes) -> None:
    out = copy / "results"
    again(copy, out)
    store = RunStore(out / "cache")
    store.put(entries(out)[0].stem, '{"result": 3, "steps": "no"}')
    found, measured = again(copy, out)
    assert len(measured) == 1
    assert found == cold


def test_killed_in_the_middle_it_goes_on_and_keeps_nothing_wrong(copy: Path, cold: bytes) -> None:
    out = copy / "results"
    software.cache_clear()  # the other process looks at the code anew, too
    code = "import sys; from haulwright.interfaces.cli.main import main; main(sys.argv[1:])"
    words = ["campaign", "measure", str(copy), "--jobs", "1"]
    run = subprocess.Popen([sys.executable, "-c", code, *words], stdout=subprocess.DEVNULL)
    deadline = time.monotonic() + 120.0
    while len(entries(out)) < 2 and run.poll() is None and time.monotonic() < deadline:
        time.sleep(0.005)
    run.send_signal(signal.SIGKILL)
    run.wait()
    kept = len(entries(out))
    assert 2 <= kept < RUNS
    assert not (out / "campaign.json").exists()
    (out / "cache" / "half.part").write_text("half", encoding="utf-8")
    found, measured = again(copy, out)
    assert len(measured) == RUNS - kept
    assert found == cold
    assert not list((out / "cache").glob("*.part"))


def test_nothing_is_written_where_nothing_shall_be_kept(copy: Path) -> None:
    workflows.measure_campaign(copy, out=copy / "results", keep=False)
    workflows.measure_campaign(copy)
    assert not (copy / "results").exists()


def test_a_refusal_is_kept_and_does_not_tell_the_folder(copy: Path) -> None:
    (copy / "logs" / "meadow-two-b1.csv").write_text("time_s,line_kgf,anchor_kgf\n0,1,2\n", encoding="utf-8")
    first, _ = again(copy, copy / "results")
    second, measured = again(copy, copy / "results")
    assert first == second
    assert measured == []
    assert str(copy) not in first.decode()
    assert [one["run"] for one in json.loads(first)["excluded"]] == ["two-b1"]


def test_a_results_folder_that_cannot_be_is_refused_before_anything_is_measured(copy: Path) -> None:
    (copy / "results").write_text("a file", encoding="utf-8")
    said: list[str] = []
    with pytest.raises(FileRefusal) as caught:
        workflows.measure_campaign(copy, out=copy / "results", progress=said.append)
    assert caught.value.code == "OUT"
    assert said == []


def test_a_cache_that_takes_nothing_changes_nothing(copy: Path, cold: bytes) -> None:
    (copy / "results").mkdir()
    (copy / "results" / "cache").write_text("a file", encoding="utf-8")
    found, measured = again(copy, copy / "results")
    assert found == cold
    assert len(measured) == RUNS


def dies(*_: object) -> str:
    os._exit(1)


def test_a_worker_that_dies_leaves_its_runs_to_the_parent(
    copy: Path, cold: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(campaign_pool, "_work", dies)  # sent by name: every worker ends at its first run
    found, measured = again(copy, copy / "results", jobs=2)
    assert found == cold
    assert set(measured) >= {"series", "stop-ba"}


def test_a_run_goes_through_text_without_loss() -> None:
    folder = read_campaign(EXAMPLE)
    once = from_text(Outcome, to_text(measure_entry(folder, folder.runs[1], "two-part")))
    assert once.result is not None
    assert isinstance(once.result.advantage, Measured)
    assert isinstance(once.result._traces, Traces)
    assert from_text(Outcome, to_text(once)) == once


def test_keys_tell_inputs_apart_and_nothing_else() -> None:
    assert key_of(a=1.0, b=("x",)) == key_of(b=["x"], a=1.0)
    assert len({key_of(a=value) for value in (1, 2, "1", None, [1], {"a": 1})}) == 6


def test_a_file_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    write_whole(tmp_path / "one", "text")
    with pytest.raises(UnicodeEncodeError):
        write_whole(tmp_path / "one", "\ud800")
    assert (tmp_path / "one").read_text(encoding="utf-8") == "text"
    assert [path.name for path in tmp_path.iterdir()] == ["one"]


FORMATS = """\
logs:
  "*two-b*.csv": {decimal: point}
  meadow-two-a1.csv: {unit: kN, zone: "+02:00"}
"""


def test_a_format_of_some_logs_measures_their_runs_only(copy: Path, cold: bytes) -> None:
    out = copy / "results"
    again(copy, out)
    path = copy / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text + FORMATS, encoding="utf-8")
    changed, measured = again(copy, out)
    assert measured == ["two-a1", "two-b1", "two-b2"]
    assert changed != cold
    runs = {run["run"]: run for run in json.loads(changed)["runs"]}
    assert "unit kN" in runs["two-a1"]["choices"]["format"]
    assert "format" not in runs["two-a2"]["choices"]
    before = {run["run"]: run for run in json.loads(cold)["runs"]}
    assert (
        runs["two-b1"]["advantage"] == before["two-b1"]["advantage"]
    )  # what was found out is what is now given
    path.write_text(text + FORMATS.replace("unit: kN", "unit: kgf"), encoding="utf-8")
    wrong, measured = again(copy, out)
    assert measured == ["two-a1"]
    left_out = {one["run"]: one["why"] for one in json.loads(wrong)["excluded"]}
    assert (
        "never carries a load" in left_out["two-a1"]
    )  # a unit that is wrong is used as given, and fails loudly
    path.write_text(text, encoding="utf-8")
    assert again(copy, out)[0] == cold


def test_offsets_and_zeros_by_hand_are_used_and_told(copy: Path, cold: bytes) -> None:
    out = copy / "results"
    again(copy, out)
    (copy / "decisions.yaml").write_text(
        "offsets:\n  - {run: two-a2, offset: 0.5 s, who: A. Sample, when: 2025-06-03, why: stopwatch}\n"
        "zeros:\n  - {run: two-a1, channel: line, zero: 20 N, who: B. Sample, when: 2025-06-04, why: read before rigging}\n",
        encoding="utf-8",
    )
    changed, measured = again(copy, out)
    assert measured == ["two-a1", "two-a2"]
    runs = {run["run"]: run for run in json.loads(changed)["runs"]}
    assert runs["two-a2"]["channels"]["anchor"]["clock_offset_s"]["value"] == 0.5
    assert (
        runs["two-a2"]["choices"]["clock offset"]
        == "set by hand by A. Sample (2025-06-03) because: stopwatch"
    )
    assert runs["two-a1"]["channels"]["line"]["zero_N"]["value"] == 20.0
    said = runs["two-a1"]["choices"]["zero of the line"]
    assert said == "set by hand by B. Sample (2025-06-04) because: read before rigging"
    assert "set by hand" not in runs["two-a1"]["choices"]["zero of the anchor"]
    log = [copy / "logs" / f"meadow-two-a2_{place}.csv" for place in ("line", "anchor")]
    alone = workflows.measure_trial(
        log,
        rig="two-part",
        clock_offset={"anchor": "0.5 s"},
        by="A. Sample",
        why="stopwatch",
        date_order=None,
    )
    assert alone.ratio.value == runs["two-a2"]["ratio"]["value"]  # both ways agree


def _small_cell(folder: Path) -> None:
    """Give the line a cell of 200 kgf (1.96 kN): its readings are above its capacity."""
    path = folder / "campaign.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("capacity: 3 t", "capacity: 200 kgf"), encoding="utf-8"
    )


@pytest.mark.parametrize("jobs", [1, 2])
def test_kept_runs_speak_the_unit_of_whoever_asks(copy: Path, jobs: int) -> None:
    # 200 kgf = 1.961 33 kN = 440.92 lbf: NIST SP 811, B.8, kgf and lbf to newton
    _small_cell(copy)

    def told(unit: str) -> list[str]:
        with speaking(unit):
            found = workflows.measure_campaign(copy, out=copy / "results", jobs=jobs)
        assert "\ue000" not in json.dumps(found.to_dict(), ensure_ascii=False)
        return [n.message for run in found.runs for n in run.notices if n.code == "OUT_OF_RANGE"]

    first, kgf, lbf = told("kN"), told("kgf"), told("lbf")
    assert len(first) == len(kgf) == len(lbf) >= 5
    assert all("capacity of 1.96\u00a0kN" in one for one in first)
    assert all("capacity of 200\u00a0kgf" in one and "kN" not in one for one in kgf)
    assert all("capacity of 441\u00a0lbf" in one and "kN" not in one for one in lbf)
    assert told("kN") == first


def test_why_a_run_gives_no_number_is_spoken_in_the_unit_of_whoever_asks() -> None:
    pulling = np.abs(np.arange(60) - 30) < 3  # five seconds in a minute: never eight in one go
    grid = Grid(np.arange(60.0), 1.0, np.where(pulling, 9000.0, 1.0), np.where(pulling, 17000.0, 2.0))
    with pytest.raises(TrialRefusal) as caught, speaking("kgf"):
        find_steady(grid, (1.0, 1.0))
    assert caught.value.code == "NO_STEADY"
    assert "(918\u00a0kgf)" in caught.value.message  # 9 000 N / 9.806 65, NIST SP 811, B.8
