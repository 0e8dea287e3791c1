"""A campaign's day over HTTP: sheet, notes, logs, runs again, friction for pulls, on a book of its own."""

import json
import shutil

import pytest

from haulwright import workflows
from haulwright.interfaces.web.settings import Settings, named_campaigns
from haulwright.kept import days
from haulwright.publishing.wording import plus_minus
from haulwright.workflows import examples

CONTENT = {
    "name": "yard",
    "cells": {"line": {"capacity": "3 t", "class": "0.5 %"}, "anchor": {"capacity": "6 t", "class": "0.5 %"}},
    "devices": {"puck-A": {"kind": "pulley block"}, "hoop-B": {"kind": "ring"}},
}
LOGS = examples() / "campaign" / "logs"
SHEET = {"rigs": ["two-part"], "repeats": 2, "series": 2, "seed": 4, "by": "A. Sample"}


@pytest.fixture
def served(web, tmp_path):
    """A server with a book that holds one campaign without a run sheet."""
    made = web(Settings(book=str(tmp_path / "book.sqlite")))
    put = made("PUT", "/api/book/documents/campaign/yard", json={"content": CONTENT, "by": "A. Sample"})
    assert put.status_code == 200, put.text
    return made


def attach(served, run, place, path, name=None, **more):
    ask = json.dumps({"run": run, "place": place, **more})
    files = {"ask": (None, ask), "log": (name or path.name, path.read_bytes())}
    return served("POST", "/api/campaigns/yard/attach", files=files)


def verdicts(answer):
    assert answer.status_code == 200, answer.text
    return {one["run"]: one["verdict"] for one in answer.json()["runs"]}


def test_a_sheet_is_designed_followed_and_pulled_again(served, tmp_path):
    made = served("POST", "/api/campaigns/yard/sheet", json=SHEET)
    assert set(verdicts(made).values()) == {"missing"}
    assert made.json()["next"] == "01-series"

    first = attach(served, "01-series", "both", LOGS / "meadow-series.csv", "DATA1.CSV")
    assert verdicts(first)["01-series"] == "pass"
    assert first.json()["counts"] == {"pass": 1, "redo": 0, "missing": 5, "left_out": 0}
    assert first.json()["runs"][0]["row"]["came_as"] == "DATA1.CSV"

    bad = tmp_path / "short.csv"
    bad.write_text("".join((LOGS / "meadow-two-a1.csv").read_text(encoding="utf-8").splitlines(True)[:20]))
    run = first.json()["next"]
    second = attach(served, run, "both", bad)
    assert verdicts(second)[run] == "redo"
    assert "too few" in second.json()["runs"][1]["reasons"][0]

    again = served(
        "POST", "/api/campaigns/yard/again", json={"run": run, "by": "A. Sample", "why": "too short"}
    )
    assert verdicts(again)[run] == "left_out"
    assert again.json()["next"] == f"{run}-again"
    kept = served("GET", "/api/book/documents/campaign/yard").json()
    assert [one["version"] for one in kept["versions"]] == [1, 2, 3, 4, 5]
    assert any(file["size"] == bad.stat().st_size for file in kept["files"])  # the bad log stays too


def test_a_note_is_kept_and_a_wrong_one_is_refused_with_its_line(served):
    served("POST", "/api/campaigns/yard/sheet", json=SHEET)
    good = served("POST", "/api/campaigns/yard/note", json={"run": "01-series", "cells": {"air_C": "21"}})
    assert good.json()["runs"][0]["row"]["air_C"] == "21"
    wrong = served("POST", "/api/campaigns/yard/note", json={"run": "01-series", "cells": {"air_C": "hot"}})
    assert (wrong.status_code, wrong.json()["error"]["line"]) == (422, 2)
    strange = served("POST", "/api/campaigns/yard/note", json={"run": "01-series", "cells": {"rig": "x"}})
    assert strange.json()["error"]["code"] == "UNKNOWN_HEADER"


def test_a_sheet_with_logs_is_not_replaced_unasked(served):
    served("POST", "/api/campaigns/yard/sheet", json=SHEET)
    attach(served, "01-series", "both", LOGS / "meadow-series.csv")
    refused = served("POST", "/api/campaigns/yard/sheet", json=SHEET)
    assert refused.json()["error"]["code"] == "EXISTS"
    added = served("POST", "/api/campaigns/yard/sheet", json={**SHEET, "seed": 9, "series": 0, "more": True})
    assert [*verdicts(added)][:6] == [*verdicts(served("GET", "/api/campaigns/yard/check"))][:6]
    rows = {one["run"]: one["row"] for one in added.json()["runs"]}
    assert len(rows) == 10
    assert rows["07-two-part-hoop-B"]["line_log"] == "07-two-part-hoop-B_line.csv"
    assert rows["07-two-part-hoop-B"]["repeat"] == "3"
    assert verdicts(added)["01-series"] == "pass"
    other = served("POST", "/api/campaigns/yard/sheet", json={**SHEET, "seed": 9, "instead": True})
    assert set(verdicts(other).values()) == {"missing"}
    assert other.json()["unmatched"] == ["01-series.csv"]  # the log stays, and is told


def test_another_log_waits_for_a_word_before_it_takes_a_place(served):
    served("POST", "/api/campaigns/yard/sheet", json={**SHEET, "one_log": True})
    attach(served, "01-series", "both", LOGS / "meadow-series.csv")
    again = attach(served, "01-series", "both", LOGS / "meadow-two-a1.csv")
    assert again.json()["error"]["code"] == "EXISTS"
    assert attach(served, "01-series", "both", LOGS / "meadow-two-a1.csv", instead=True).status_code == 200


def test_the_overview_says_what_the_record_says(served, campaign):
    asked = served.__class__(Settings(campaigns=named_campaigns([campaign]), book=served.settings.book))
    found = asked(
        "GET", f"/api/campaigns/{campaign.name}/overview", headers={"Haulwright-Units": "kgf"}
    ).json()
    result = workflows.kept_campaign(campaign)
    shown = {(rig["rig"], one["words"]): one for rig in found["rigs"] for one in rig["configurations"]}
    for one in result.configurations:
        if one.devices:
            row = shown[one.rig, ", then ".join(one.devices)]
            assert row["advantage"] == one.advantage.to_dict()
            assert row["text"]["advantage"] == plus_minus(one.advantage)
    assert [one["text"]["valid"][-3:] for one in found["devices"]] == ["kgf"] * len(result.devices)
    assert found["sentences"]
    assert found["basis"].endswith(".")
    assert [one["run"] for one in found["runs"]] == ["series", "two-a1", "two-a2", "two-b1"]


def test_the_overview_of_a_day_that_is_not_over_says_so(web, campaign):
    (campaign / "logs" / "meadow-two-b1.csv").unlink()
    served = web(Settings(campaigns=named_campaigns([campaign])))
    found = served("GET", f"/api/campaigns/{campaign.name}/overview").json()
    assert found["counts"]["missing"] == 1
    assert any("1 of 4 runs of the sheet have no log yet" in one["message"] for one in found["notices"])
    assert served("GET", f"/api/campaigns/{campaign.name}/measure").json()["error"]["code"] == "NO_LOG"


def test_friction_found_is_a_document_that_a_pull_takes(served):
    name = "meadow"
    files = [
        ("file", (path.relative_to(examples() / "campaign").as_posix(), path.read_bytes()))
        for path in sorted((examples() / "campaign").rglob("*"))
        if path.is_file() and "results" not in path.parts and path.name != "README.md"
    ]
    brought = served("POST", "/api/book/import", files=[*files, ("ask", (None, json.dumps({"name": name})))])
    assert brought.status_code == 200, brought.text
    kept = served("POST", f"/api/campaigns/{name}/devices", json={"by": "A. Sample"}).json()
    assert (kept["document"], kept["name"], kept["version"]) == ("devices", name, 1)
    assert set(kept["content"]["devices"]) == {"puck-A", "hoop-B"}
    result = workflows.measure_campaign(examples() / "campaign")
    assert kept["content"]["devices"]["puck-A"]["k"] == pytest.approx(
        result.devices["puck-A"].k.value, rel=1e-6
    )


def test_a_folder_given_at_the_start_is_not_changed(web, campaign, tmp_path):
    served = web(Settings(campaigns=named_campaigns([campaign]), book=str(tmp_path / "b.sqlite")))
    before = shutil.copytree(campaign, tmp_path / "before")
    for route, asked in (
        ("note", {"run": "two-a1", "cells": {"notes": "x"}}),
        ("again", {"run": "two-a1", "by": "a", "why": "b"}),
        ("sheet", SHEET),
        ("devices", {}),
    ):
        answer = served("POST", f"/api/campaigns/{campaign.name}/{route}", json=asked)
        assert answer.json()["error"]["code"] == "READ_ONLY"
    for path in before.rglob("*"):
        if path.is_file():
            assert (campaign / path.relative_to(before)).read_bytes() == path.read_bytes()


def test_a_change_that_somebody_was_quicker_for_is_made_on_the_newer_version(served, monkeypatch):
    served("POST", "/api/campaigns/yard/sheet", json=SHEET)
    inner = days.change_document

    def late(where, kind, name, terms, change):
        monkeypatch.setattr(days, "change_document", inner)

        def slow(folder, own):
            change(folder, own)  # read the old version, then somebody else keeps one
            days.note_run(where, name, "06-series", {"notes": "of the other hand"})

        return inner(where, kind, name, terms, slow)

    monkeypatch.setattr(days, "change_document", late)
    done = served(
        "POST", "/api/campaigns/yard/note", json={"run": "01-series", "cells": {"notes": "of this hand"}}
    )
    rows = {one["run"]: one["row"].get("notes") for one in done.json()["runs"]}
    assert (rows["01-series"], rows["06-series"]) == ("of this hand", "of the other hand")
