"""The same record from the page's JSON, the command line and Python; every example of the description runs."""

import json
import shutil
from pathlib import Path

import pytest

import haulwright as hw
from haulwright import workflows
from haulwright.interfaces.cli.main import main
from haulwright.interfaces.web.questions.pull import PULL_EXAMPLE as PULL
from haulwright.interfaces.web.settings import Settings, named_campaigns

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
KIT = PULL["kit"]
LOG = "meadow-two-a1.csv"
CASE = {"vehicle": {"mass": "2.6 t", "load": "480 kg", "sunk": "wheel"}, "ground": {"surface": "bog"}}


@pytest.fixture
def printed(capsys, tmp_path, monkeypatch):
    """What the command line prints with --json, in a folder with one log, the pull and the kit as files."""
    shutil.copy(EXAMPLES / "campaign" / "logs" / LOG, tmp_path)
    for name, what in (("pull", PULL), ("kit", KIT), ("case", CASE)):
        (tmp_path / f"{name}.yaml").write_text(json.dumps(what), encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    def run(*words):
        code = main([*words, "--json"])
        assert code in (0, 1)
        return json.loads(capsys.readouterr().out)

    return run


def numbers(record):
    """A record without what only names where its input stood: a file on one side, a body on the other."""
    return {key: value for key, value in record.items() if key != "made"}


SAME = {
    "solve": (
        ["rig", "solve", "three-part", "--ratio", "1.07±0.02", "--load", "26kN", "--stall", "42kN", "--seized", "X=0.2"],
        ("/api/rig/solve", {"rig": "three-part", "ratio": "1.07±0.02", "load": "26kN", "stall": "42kN", "seized": {"X": 0.2}}),
        None,
    ),
    "draws": (
        ["rig", "solve", "two-part", "--ratio", "1.1±0.05", "--monte-carlo", "2000", "--seed", "3", "--load", "10kN"],
        ("/api/rig/solve", {"rig": "two-part", "ratio": "1.1±0.05", "load": "10kN", "monte_carlo": 2000, "seed": 3}),
        lambda: hw.solve_rig("two-part", hw.Measured.normal(1.1, 0.05 / 1.959963984540054), load="10kN", monte_carlo=2000, seed=3),
    ),
    "resistance": (
        ["resistance", "case.yaml"],
        ("/api/resistance", {"pull": CASE}),
        lambda: hw.estimate_resistance(CASE),
    ),
    "kit": (
        ["kit", "check", "kit.yaml", "--pull", "pull.yaml", "--day", "2025-06-02"],
        ("/api/kit/check", {"kit": KIT, "pull": PULL, "day": "2025-06-02"}),
        None,
    ),
    "plan": (["plan", "make", "pull.yaml"], ("/api/plan/make", {"pull": PULL}), lambda: hw.make_plan(PULL)),
    "steps": (
        ["plan", "pull", "pull.yaml", "--steps", "20"],
        ("/api/plan/pull", {"pull": PULL, "steps": 20}),
        lambda: hw.step_pull(PULL, steps=20),
    ),
    "light tension": (
        ["plan", "check", "pull.yaml", "--line", "2.1 kN", "--anchor", "3.9 ± 0.1 kN"],
        ("/api/plan/check", {"pull": PULL, "line": "2.1 kN", "anchor": "3.9 ± 0.1 kN"}),
        lambda: hw.check_readings(PULL, line="2.1 kN", anchor="3.9 ± 0.1 kN"),
    ),
    "typed": (
        ["trial", "measure", "--rig", "two-part", "--device", "puck-A", "--typed", "line=612kgf", "anchor=1120kgf"],
        ("/api/trial/measure", {"rig": "two-part", "devices": ["puck-A"], "logs": {"line": "612kgf", "anchor": "1120kgf"}}),
        lambda: hw.measure_trial({"line": "612kgf", "anchor": "1120kgf"}, rig="two-part", devices=["puck-A"]),
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", SAME)
def test_page_command_line_and_python_say_the_same(ask, printed, case):
    words, (path, body), verb = SAME[case]
    answer = ask("POST", path, json=body)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/json"
    assert numbers(answer.json()) == numbers(printed(*words))
    if verb is not None:
        assert numbers(answer.json()) == numbers(verb().to_dict())


def test_a_question_in_the_address_is_the_command(ask, printed):
    found = ask("GET", "/api/rig/solve", params={"rig": "two-part", "ratio": "1.1", "load": "26 kN"})
    assert found.json() == printed("rig", "solve", "two-part", "--ratio", "1.1", "--load", "26 kN")
    found = ask(
        "GET", "/api/rig/find", params={"advantage": "3.5", "ratio": "1.1", "blocks": "2", "ropes": "2"}
    )
    assert found.json() == printed(
        "rig", "find", "--advantage", "3.5", "--ratio", "1.1", "--blocks", "2", "--ropes", "2"
    )
    assert ask("GET", "/api/rigs").json() == printed("rig", "list")
    assert ask("GET", "/api/check").json() == printed("check")


def test_an_uploaded_log_is_measured_as_its_file_is(ask, printed):
    data = (
        Path(LOG).read_bytes() if Path(LOG).exists() else (EXAMPLES / "campaign" / "logs" / LOG).read_bytes()
    )
    read = ask("POST", "/api/trial/read", files=[("log", (LOG, data, "text/csv"))])
    assert read.json() == printed("trial", "read", LOG)
    raw = ask(
        "POST", "/api/trial/read", params={"name": LOG}, content=data, headers={"content-type": "text/csv"}
    )
    assert raw.json() == read.json()
    asked = {"rig": "two-part", "devices": ["puck-A"], "cells": {"line": {"class": "0.5 %", "of": "reading"}}}
    found = ask(
        "POST", "/api/trial/measure", files=[("log", (LOG, data))], data={"ask": json.dumps(asked)}
    ).json()
    assert found == printed(
        "trial",
        "measure",
        LOG,
        "--rig",
        "two-part",
        "--device",
        "puck-A",
        "--cell",
        "line:class=0.5 %,of=reading",
    )
    again = ask(
        "POST",
        "/api/trial/measure",
        params={"name": LOG, "ask": json.dumps(asked)},
        content=data,
        headers={"content-type": "application/octet-stream"},
    )
    assert again.json() == found


def uploaded(folder):
    """The files of a campaign, each named by its path from the folder."""
    paths = [path for path in sorted(folder.rglob("*")) if path.is_file() and "results" not in path.parts]
    return [("file", (path.relative_to(folder).as_posix(), path.read_bytes())) for path in paths]


def test_a_campaign_says_the_same_by_name_uploaded_and_on_the_command_line(
    web, campaign, printed, monkeypatch
):
    served = web(Settings(campaigns=named_campaigns([campaign])))
    assert served("GET", "/api/campaigns").json()["campaigns"] == ["meadow"]
    files = uploaded(campaign)
    monkeypatch.chdir(campaign.parent)
    check = served("GET", "/api/campaigns/meadow/check").json()
    assert check == printed("campaign", "check", "meadow")
    sent = served("POST", "/api/campaign/check", files=files).json()
    assert numbers(sent) == numbers(check)
    asked = {"rig": "two-part", "devices": ["puck-A"], "load": "20 kN"}
    predicted = served("POST", "/api/campaigns/meadow/predict", json=asked).json()
    assert predicted == printed(
        "campaign", "predict", "meadow", "--rig", "two-part", "--device", "puck-A", "--load", "20kN"
    )
    assert predicted == workflows.predict_campaign("meadow", "two-part", ["puck-A"], load="20 kN").to_dict()
    measured = served("GET", "/api/campaigns/meadow/measure").json()
    assert measured == hw.measure_campaign("meadow", out="meadow/results", keep=False).to_dict()
    report = served("GET", "/api/campaigns/meadow/report")
    assert report.status_code == 200
    assert report.headers["content-type"].startswith("text/html")
    assert "sandbox" in report.headers["content-security-policy"]
    assert not any(str(campaign.parent) in one.text for one in served.said)


def test_a_design_is_made_for_a_campaign_without_runs(web, campaign, printed, monkeypatch):
    served = web(Settings(campaigns=named_campaigns([campaign])))
    asked = {"rigs": ["two-part", "three-part"], "repeats": 3, "scatter": "0.4 %", "seed": 5}
    found = served("POST", "/api/campaigns/meadow/design", json=asked)
    only = [("file", ("campaign.yaml", (campaign / "campaign.yaml").read_bytes()))]
    sent = served("POST", "/api/campaign/design", files=only, data={"ask": json.dumps(asked)})
    monkeypatch.chdir(campaign.parent)
    words = ["--rig", "two-part", "--rig", "three-part", "--repeats", "3", "--scatter", "0.4%", "--seed", "5"]
    assert found.json() == sent.json() == printed("campaign", "design", "meadow", *words, "--out", "out")


def test_a_drawing_and_a_card_are_the_files_the_verbs_write(ask, tmp_path):
    drawn = ask(
        "POST", "/api/rig/draw", json={"rig": "two-part", "ratio": 1.1, "load": "20 kN", "stall": "42 kN"}
    )
    written = hw.draw_rig("two-part", 1.1, load="20 kN", stall="42 kN", out=tmp_path).files[0]
    assert drawn.content == Path(written.path).read_bytes()
    assert drawn.headers["etag"] == f'"{written.sha256}"'
    assert "script" not in drawn.headers["content-security-policy"]
    card = ask("POST", "/api/publish/card", json={"pull": PULL, "date": "2025-06-02"})
    written = hw.publish_card(hw.make_plan(PULL), tmp_path, date="2025-06-02").files[0]
    assert card.headers["content-type"] == "application/pdf"
    assert card.content == Path(written.path).read_bytes()


def examples(openapi):
    """Every example of a body, with the route it belongs to."""
    schemas = openapi["components"]["schemas"]
    for path, ways in openapi["paths"].items():
        for way, one in ways.items():
            content = one.get("requestBody", {}).get("content", {}).get("application/json")
            if content and "{" not in path:
                for example in schemas[content["schema"]["$ref"].rpartition("/")[2]]["examples"]:
                    yield way, path, example


def test_every_example_of_the_description_runs(ask):
    found = list(examples(ask.app.openapi()))
    assert len(found) >= 15
    for way, path, example in found:
        answer = ask(way.upper(), path, json=example)
        assert answer.status_code == 200, (path, answer.text)


def test_every_route_says_how_it_refuses(ask):
    for path, ways in ask.app.openapi()["paths"].items():
        for one in ways.values():
            assert {"401", "403", "413", "422", "500", "503", "504"} <= set(one["responses"]), path
            assert one["summary"]
