"""One run over HTTP: the same numbers as the command line, its traces, logs kept between questions."""

import json
from pathlib import Path

import pytest

from haulwright import workflows
from haulwright.interfaces.cli.main import main
from haulwright.interfaces.web.settings import Settings, named_campaigns
from haulwright.interfaces.web.tray import Tray

LOGS = Path(__file__).resolve().parents[3] / "examples" / "campaign" / "logs"
ASK = {"rig": "two-part", "devices": ["puck-A"]}
HAND = {"steady": ["150:210"], "by": "A. Sample", "why": "second half rubbed on a root"}


def sent(ask, *names):
    files = [("log", (name, (LOGS / name).read_bytes(), "text/csv")) for name in names]
    answer = ask("POST", "/api/trial/logs", files=files)
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.fixture
def printed(capsys, tmp_path, monkeypatch):
    """What the command line prints with --json, where the logs lie."""
    monkeypatch.chdir(LOGS)

    def run(*words):
        assert main([*words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return run


@pytest.fixture
def meadow(web, campaign):
    return web(Settings(campaigns=named_campaigns([campaign])))


def test_logs_are_sent_once_and_asked_about_by_their_content(ask):
    kept = sent(ask, "meadow-two-a1.csv")
    assert kept["kind"] == "kept-logs"
    assert len(kept["key"]) == 64
    assert kept["logs"][0]["name"] == "meadow-two-a1.csv"
    assert sent(ask, "meadow-two-a1.csv")["key"] == kept["key"]
    assert ask("GET", f"/api/trial/logs/{kept['key']}").json() == kept
    read = ask("POST", f"/api/trial/logs/{kept['key']}/read", json={}).json()
    assert read["kind"] == "log"
    assert set(read["channels"]) == {"line", "anchor"}
    assert "/" not in read["files"][0]["path"]


def test_a_run_says_the_same_as_the_command_line(ask, printed):
    key = sent(ask, "meadow-two-a1.csv")["key"]
    view = ask("POST", f"/api/trial/logs/{key}/run", json=ASK).json()
    told = printed("trial", "measure", "meadow-two-a1.csv", "--rig", "two-part", "--device", "puck-A")
    assert view["kind"] == "run-view"
    assert view["result"]["advantage"] == told["advantage"]
    assert view["result"]["steady"] == told["steady"]
    assert view["answer"] == f"{told['advantage']['value']:.2f}"
    assert view["stretch"][0]["head"].startswith("Starts at ")
    assert not view["by_hand"]


def test_a_stretch_by_hand_gives_the_number_of_the_command_line(ask, printed):
    key = sent(ask, "meadow-two-a1.csv")["key"]
    view = ask("POST", f"/api/trial/logs/{key}/run", json={**ASK, **HAND}).json()
    told = printed(
        "trial", "measure", "meadow-two-a1.csv", "--rig", "two-part", "--device", "puck-A",
        "--steady", "150:210", "--by", HAND["by"], "--why", HAND["why"],
    )  # fmt: skip
    assert view["result"]["advantage"] == told["advantage"]
    assert view["by_hand"]
    assert HAND["why"] in view["stretch"][0]["text"]
    assert HAND["by"] in view["stretch"][0]["text"]
    left_out = {**ASK, **HAND, "steady": ["150:180", "190:270"]}
    cut = ask("POST", f"/api/trial/logs/{key}/run", json=left_out).json()
    assert [(c["start_s"], c["end_s"], c["word"]) for c in cut["cuts"]] == [
        (180.0, 190.0, "left out by hand")
    ]


def test_a_choice_by_hand_needs_who_and_why(ask):
    key = sent(ask, "meadow-two-a1.csv")["key"]
    answer = ask("POST", f"/api/trial/logs/{key}/run", json={**ASK, "steady": ["150:210"]})
    assert answer.status_code == 422
    assert answer.json()["error"]["code"] == "BAD_CHOICE"


def test_offset_and_zero_by_hand_move_the_traces(ask):
    key = sent(ask, "meadow-two-a2_line.csv", "meadow-two-a2_anchor.csv")["key"]
    path, who = f"/api/trial/logs/{key}/traces", {"by": "A. Sample", "why": "both displays on one film"}
    found = ask("POST", path, json={}).json()["channels"]
    moved = ask(
        "POST", path, json={**who, "clock_offset": {"anchor": "5 s"}, "zeros": {"line": "100 N"}}
    ).json()
    shown = moved["channels"]
    logged = ask("POST", path, json={"logged": True}).json()["channels"]
    assert shown["anchor"]["aligned"]["time_s"][0] == pytest.approx(
        logged["anchor"]["logged"]["time_s"][0] - 5.0, abs=1e-3
    )
    assert shown["line"]["aligned"]["low_N"][0] == pytest.approx(
        logged["line"]["logged"]["low_N"][0] - 100.0, abs=0.02
    )
    assert found["anchor"]["logged"] is None


def test_a_run_without_a_number_can_still_be_drawn(ask):
    rows = ["Time (s),Line (kN),Anchor (kN)"]
    for second in range(120):  # held for a minute: the rope never moves
        load = 0.0 if second < 30 or second > 90 else 8.0 + 0.002 * (second % 3)
        rows.append(f"{second},{load:.3f},{1.9 * load:.3f}")
    short = "\n".join(rows).encode()
    key = ask("POST", "/api/trial/logs", files=[("log", ("held.csv", short, "text/csv"))]).json()["key"]
    view = ask("POST", f"/api/trial/logs/{key}/run", json=ASK).json()
    assert view["kind"] == "run-view"
    assert view["result"] is None
    assert view["refusal"]
    assert ask("POST", f"/api/trial/logs/{key}/traces", json={}).json()["kind"] == "traces"


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("day.csv", b"\x00\x01\x02\xff" * 500, "NOT_TEXT"),
        ("day.csv", b"", "EMPTY"),
        ("day.xlsx", b"PK\x03\x04 no workbook", "WORKBOOK"),
        ("day.csv", b"<script>alert(1)</script>\n" * 30, None),
    ],
)
def test_hostile_files_are_refused_in_words(ask, name, content, code):
    kept = ask("POST", "/api/trial/logs", files=[("log", (name, content, "text/csv"))])
    assert kept.status_code == 200
    answer = ask("POST", f"/api/trial/logs/{kept.json()['key']}/read", json={})
    error = answer.json()["error"]
    assert answer.status_code == 422
    assert error["message"]
    assert code is None or error["code"] == code


def test_a_name_that_leads_elsewhere_is_refused(ask):
    for name in ("../x.csv", "a/b.csv", ".hidden"):
        answer = ask("POST", "/api/trial/logs", files=[("log", (name, b"1,2", "text/csv"))])
        assert answer.json()["error"]["code"] == "NAME"


def test_logs_that_are_gone_are_told(ask):
    answer = ask("POST", f"/api/trial/logs/{'0' * 64}/read", json={})
    assert answer.status_code == 404
    assert "Send them again" in answer.json()["error"]["message"]
    assert ask("GET", "/api/trial/logs/..%2f..").status_code in (404, 422)


def test_the_tray_lets_the_oldest_go(tmp_path):
    tray = Tray(most_bytes=250)
    keys = []
    for number in range(4):
        (tmp_path / "a.csv").write_bytes(bytes([48 + number]) * 100)
        keys.append(tray.keep(tmp_path, ["a.csv"]).key)
        if number == 1:
            tray.find(keys[0])  # asked for: the second is now the oldest
    assert [key in tray.sets for key in keys] == [False, False, True, True]
    root = tray.root
    assert sorted(path.name for path in root.iterdir()) == sorted(keys[2:])
    tray.close()
    assert not root.exists()


def test_a_run_of_a_campaign_has_its_place_and_the_campaigns_number(meadow, campaign):
    view = meadow("GET", "/api/campaigns/meadow/runs/two-a1").json()
    whole = meadow("GET", "/api/campaigns/meadow/measure").json()
    mine = next(run for run in whole["runs"] if run["run"] == "two-a1")
    assert view["result"]["advantage"] == mine["advantage"]
    assert (view["number"], view["previous"], view["next"]) == ([2, 4], "series", "two-a2")
    assert view["verdict"] == "pass"
    assert "nvented" in view["invented"]
    assert view["checks"]


def test_a_decision_changes_a_run_as_it_does_on_the_command_line(meadow, campaign):
    decided = "stretches:\n  - {run: two-a1, start: 150 s, end: 210 s, who: A. Sample, when: 2025-06-03, why: a root}\n"
    (campaign / "decisions.yaml").write_text(decided, encoding="utf-8")
    view = meadow("GET", "/api/campaigns/meadow/runs/two-a1").json()
    by_line = workflows.measure_campaign(campaign)
    mine = next(run for run in by_line.runs if run.run == "two-a1").to_dict()
    assert view["result"]["advantage"] == mine["advantage"]
    assert view["by_hand"]
    assert "A. Sample" in view["stretch"][0]["text"]


def test_a_stretch_can_be_tried_before_it_is_decided(meadow, campaign):
    path = "/api/campaigns/meadow/runs/two-a1"
    before = meadow("GET", path).json()
    tried = meadow("POST", f"{path}/try", json={"steady": ["150:210"]}).json()
    assert tried["kind"] == "trial-result"
    assert [(one["start_s"], one["end_s"]) for one in tried["steady"]] == [(150.0, 210.0)]
    short = meadow("POST", f"{path}/try", json={"steady": ["150:153"]})
    assert (short.status_code, short.json()["error"]["code"]) == (422, "BAD_STRETCH")
    assert "choose a longer one" in short.json()["error"]["message"]
    assert meadow("GET", path).json() == before


def test_a_stretch_by_hand_that_gives_no_number_is_named(meadow, campaign):
    decided = "stretches:\n  - {run: two-a1, start: 150 s, end: 152 s, who: A. Sample, when: 2025-06-03, why: a root}\n"
    (campaign / "decisions.yaml").write_text(decided, encoding="utf-8")
    view = meadow("GET", "/api/campaigns/meadow/runs/two-a1").json()
    assert view["result"] is None
    assert view["by_hand"]
    assert "A. Sample" in view["decisions"][0]["text"]


def test_a_run_that_was_left_out_says_who_and_why(meadow, campaign):
    decided = (
        "exclusions:\n  - {run: two-a1, who: A. Sample, when: 2025-06-03, why: crossed under the ring}\n"
    )
    (campaign / "decisions.yaml").write_text(decided, encoding="utf-8")
    view = meadow("GET", "/api/campaigns/meadow/runs/two-a1").json()
    assert view["verdict"] == "left_out"
    assert view["result"] is None
    assert "A. Sample" in view["decisions"][0]["text"]
    assert meadow("GET", "/api/campaigns/meadow/runs/two-a1/traces").json()["kind"] == "traces"


def test_a_run_whose_log_is_still_missing_does_not_stop_the_others(meadow, campaign):
    (campaign / "logs" / "meadow-two-a1.csv").unlink()
    gone = meadow("GET", "/api/campaigns/meadow/runs/two-a1").json()
    assert gone["verdict"] == "missing"
    assert gone["result"] is None
    assert meadow("GET", "/api/campaigns/meadow/runs/two-a2").json()["result"]["advantage"]["value"] > 1.5
    traces = meadow("GET", "/api/campaigns/meadow/runs/two-a1/traces")
    assert traces.json()["error"]["code"] == "NO_TRACES"


def test_the_traces_of_a_run_within_a_span(meadow):
    path = "/api/campaigns/meadow/runs/two-a1/traces"
    shown = meadow("GET", f"{path}?from_s=150&to_s=160&logged=true").json()
    line = shown["channels"]["line"]
    assert line["aligned"]["exact"]
    assert 10 <= len(line["aligned"]["time_s"]) <= 13
    assert line["logged"]
    assert shown["ratio"]["low"]
    assert shown["from_s"] == 150.0
    assert meadow("GET", f"{path}?from_s=9&to_s=8").json()["error"]["code"] == "SPAN"


def test_an_unknown_run_is_refused_with_the_nearest(meadow):
    error = meadow("GET", "/api/campaigns/meadow/runs/two-a9").json()["error"]
    assert error["code"] == "UNKNOWN_RUN"
    assert "two-a" in error["message"]


def test_sentences_speak_the_unit_that_is_asked_for(meadow):
    said = {
        unit: meadow("GET", "/api/campaigns/meadow/runs/two-a1", headers={"Haulwright-Units": unit}).json()
        for unit in ("kN", "kgf")
    }
    assert said["kN"]["means"]["line"].endswith("kN")
    assert said["kgf"]["means"]["line"].endswith("kgf")
    assert said["kN"]["result"]["mean_N"] == said["kgf"]["result"]["mean_N"]
