"""Campaigns on screen: what one found, with the numbers of the command line; a campaign from nothing, followed in the field."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import urllib.request
import zipfile
from pathlib import Path
from typing import Any

import pytest

from haulwright.publishing.wording import comparison_word, percent, plus_minus
from haulwright.quantities.measured import Measured
from haulwright.trials.result import Comparison
from haulwright.workflows import examples

DEMO = "meadow (invented)"
AT = "#/trials/at/meadow%20(invented)"
LOGS = examples() / "campaign" / "logs"
SIZES = ("laptop", "phone")
SECONDS = 60_000.0


@pytest.fixture(scope="session")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the command line says of the shipped campaign."""
    command = [
        sys.executable,
        "-m",
        "haulwright",
        "campaign",
        "measure",
        str(examples() / "campaign"),
        "--json",
    ]
    done = subprocess.run(
        [*command, "--out", str(tmp_path_factory.mktemp("told"))], capture_output=True, text=True, check=True
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def measured(given: dict[str, Any]) -> Measured:
    return Measured(given["value"], given["u"], *given["interval95"])


def press(page: Any, what: Any) -> None:
    """With a finger on a phone, with the mouse on a laptop."""
    (what.tap if page.viewport_size["width"] < 500 else what.click)()


@pytest.fixture
def still(sound):
    """Hold a page to what all promise as it stands from its top: below that the head covers what lies under it."""

    def check(page: Any) -> None:
        page.evaluate("scrollTo(0, 0)")
        sound(page)

    return check


def words(page: Any) -> str:
    """All the page says, thin and fixed spaces as plain ones."""
    return re.sub(r"\s+", " ", page.locator("main").inner_text())


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def documents(server: Any, path: str) -> Any:
    with urllib.request.urlopen(f"{server.address}{path}", timeout=30) as answer:
        return json.load(answer)


@pytest.mark.parametrize("size", SIZES)
def test_results_have_the_numbers_of_the_command_line(server, opened, still, shot, told, size) -> None:
    page = opened(server, size, "#/trials")
    press(page, page.get_by_role("link", name=re.compile(re.escape(DEMO))))
    page.get_by_role("heading", name="Two devices, three rigs").wait_for(timeout=SECONDS)
    said = words(page)
    for one in told["configurations"]:
        if one["devices"]:
            row = page.locator("figure li", has_text=", then ".join(one["devices"]) + ": advantage")
            every = " ".join(plain(text) for text in row.all_inner_texts())
            assert plain(plus_minus(measured(one["advantage"]))) in every
            assert plain(percent(measured(one["winch_share"]))) in every
    for name, device in told["devices"].items():
        assert name in said
        for text in plain(plus_minus(measured(device["k"]))).split(" ± "):
            assert text in said
        assert plain(percent(measured(device["efficiency"]), figures=1)) in said
    for one in told["comparisons"]:
        word = comparison_word(Comparison(**{**one, "ratio": measured(one["ratio"])}))
        assert word in said
        gap = abs(one["ratio"]["value"] - 1.0)
        assert f"{100 * gap:.1f}" in said  # as in "gives 6.34 ± 0.89 % more"
    for run in told["runs"]:
        assert plain(plus_minus(measured(run["advantage"]))).split(" ")[0] in said
    assert "8 pass" in said
    assert "Thin evidence" in said
    assert "A measured friction belongs to the device, rope and load range tested" in said
    still(page)
    shot(page, "campaign-results")
    for light in ("sun", "night"):
        page.evaluate(f"document.documentElement.dataset.light = '{light}'")
        still(page)
        shot(page, f"campaign-results-{light}")


def test_a_folder_is_brought_into_the_book(own_server, opened, still, tmp_path) -> None:
    folder = shutil.copytree(
        examples() / "campaign", tmp_path / "meadow", ignore=shutil.ignore_patterns("results")
    )
    page = opened(own_server, "laptop", "#/trials", book="own")
    page.get_by_text("No campaign in this book yet.").wait_for(timeout=SECONDS)
    page.get_by_label("Bring a campaign folder").set_input_files(folder)
    page.get_by_role("link", name=re.compile(re.escape(DEMO))).wait_for(timeout=SECONDS)
    still(page)
    kept = documents(own_server, "/api/book/documents/campaign/meadow%20(invented)")
    assert {one["path"] for one in kept["files"]} == {
        path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()
    }


def test_all_of_a_campaign_is_downloaded_byte_for_byte(server, opened) -> None:
    page = opened(server, "laptop", AT)
    with page.expect_download(timeout=SECONDS) as waited:
        page.get_by_role("button", name="Download all of it").click(timeout=SECONDS)
    with zipfile.ZipFile(waited.value.path()) as packed:
        names = {Path(name).name: name for name in packed.namelist()}
        for path in (examples() / "campaign").rglob("*"):
            if path.is_file() and "results" not in path.parts:
                assert packed.read(names[path.name]) == path.read_bytes()


def test_measuring_tells_how_far_it_is_and_can_be_cancelled(own_server, opened) -> None:
    page = opened(own_server, "laptop", AT)
    progress = page.locator(".progress")
    progress.wait_for(timeout=SECONDS)
    assert progress.locator("progress").get_attribute("max") == "1"
    assert re.search(r"run \d of 8|reading|Working|kept", progress.inner_text())
    progress.get_by_role("button", name="Cancel").click()
    progress.wait_for(state="detached", timeout=SECONDS)
    assert page.get_by_role("heading", name="Two devices, three rigs").count() == 0
    page.reload()
    page.get_by_role("heading", name="Two devices, three rigs").wait_for(timeout=SECONDS)


@pytest.mark.parametrize("size", SIZES)
def test_a_rig_that_was_not_pulled(server, opened, size) -> None:
    page = opened(server, size, AT)
    page.get_by_role("heading", name="A rig that was not pulled").wait_for(timeout=SECONDS)
    page.get_by_label("Rigs", exact=True).select_option("four-part/on-load")
    page.get_by_label("at a load of").fill("20 kN")
    press(page, page.get_by_role("button", name="Predict it"))
    page.get_by_text("one new pull").first.wait_for(timeout=SECONDS)
    asked = {"rig": "four-part/on-load", "devices": ["puck-A", "hoop-B", "puck-A"], "load": "20 kN"}
    question = urllib.request.Request(
        f"{server.address}/api/campaigns/meadow%20(invented)/predict",
        json.dumps(asked).encode(),
        {"Content-Type": "application/json", "Haulwright-Book": "demo"},
    )
    with urllib.request.urlopen(question, timeout=60) as answer:
        found = json.load(answer)
    said = words(page)
    assert plain(percent(measured(found["winch_share"]))) in said
    assert plain(percent(measured(found["winch_share_one_pull"]))) in said
    assert "It was not measured in this campaign." in said


def test_friction_is_kept_for_pulls_in_one_tap(own_server, opened) -> None:
    page = opened(own_server, "phone", AT)
    press(page, page.get_by_role("button", name="Use these in pulls"))
    page.get_by_text(f"Kept as “{DEMO}”, version 1").wait_for(timeout=SECONDS)
    question = urllib.request.Request(
        f"{own_server.address}/api/book/documents?kind=devices", headers={"Haulwright-Book": "demo"}
    )
    with urllib.request.urlopen(question, timeout=30) as answer:
        assert DEMO in [one["name"] for one in json.load(answer)["documents"]]


@pytest.mark.parametrize("size", SIZES)
def test_the_report_opens_in_a_frame_that_runs_nothing(server, opened, still, shot, size) -> None:
    page = opened(server, size, AT)
    press(page, page.get_by_role("link", name="Report", exact=True))
    frame = page.frame_locator("iframe")
    frame.get_by_role("heading", level=1).wait_for(timeout=SECONDS)
    assert "A block against a ring on Invented Meadow" in frame.get_by_role("heading", level=1).inner_text()
    assert page.locator("iframe").get_attribute("sandbox") == "allow-same-origin allow-modals"
    printed = page.evaluate(
        "() => new Promise((done) => { document.querySelector('iframe').contentWindow.print = () => done(true);"
        " [...document.querySelectorAll('button')].find((one) => one.textContent === 'Print').click(); })"
    )
    assert printed
    still(page)
    shot(page, "campaign-report")


@pytest.mark.parametrize("size", SIZES)
def test_from_nothing_to_pass_and_redo_in_the_field(own_server, opened, still, shot, tmp_path, size) -> None:
    page = opened(own_server, size, "#/trials", book="own")
    press(page, page.get_by_role("link", name=re.compile("Begin a campaign")))
    page.get_by_label("Name").fill("rope yard (invented)")
    for cell, takes in (("line", "3 t"), ("anchor", "6 t")):
        page.get_by_label(f"{cell}: takes").fill(takes)
        page.get_by_label(f"{cell}: and is of class").fill("0.5 %")
    page.get_by_label("Device", exact=True).fill("puck-A")
    press(page, page.get_by_role("button", name="Another device"))
    page.get_by_label("Device", exact=True).nth(1).fill("hoop-B")
    page.get_by_label("hoop-B: is a").fill("ring")
    page.get_by_label("Written by").fill("A. Sample")
    shot(page, "campaign-new", full=True)
    still(page)
    press(page, page.get_by_role("button", name="Keep it in the book"))

    page.get_by_role("heading", name=re.compile("runs in this order")).wait_for(timeout=SECONDS)
    page.get_by_label("A difference of").fill("1")
    page.get_by_label("A difference of").blur()
    page.get_by_text("A difference of 1 % is shown").wait_for(timeout=SECONDS)
    shot(page, "campaign-design")
    still(page)
    press(page, page.get_by_role("button", name="Keep it as the run sheet"))

    page.get_by_text("Next. Run 1 of").wait_for(timeout=SECONDS)
    shot(page, "campaign-day")
    still(page)
    press(page, page.get_by_role("button", name="One log holds both cells"))
    page.get_by_label("Log", exact=True).set_input_files(LOGS / "meadow-series.csv")
    page.get_by_text("Pass", exact=True).wait_for(timeout=SECONDS)
    assert "1.0014" in words(page)  # as the command line gives this log
    shot(page, "campaign-pass")

    press(page, page.get_by_role("button", name="Go on to the next run"))
    page.get_by_text("Next. Run 2 of").wait_for(timeout=SECONDS)
    bad = tmp_path / "DATA0007.CSV"
    bad.write_text("".join((LOGS / "meadow-two-a1.csv").read_text(encoding="utf-8").splitlines(True)[:20]))
    page.get_by_label("Log", exact=True).set_input_files(bad)
    page.get_by_text("Redo", exact=True).wait_for(timeout=SECONDS)
    assert "too few for a run" in words(page)
    assert "came as DATA0007.CSV" in words(page)
    shot(page, "campaign-redo")
    still(page)

    press(page, page.get_by_role("button", name="Pull it again"))
    page.get_by_label("Who decides").fill("A. Sample")
    press(page, page.get_by_role("dialog").get_by_role("button", name="Pull it again"))
    page.get_by_role("dialog").wait_for(state="detached", timeout=SECONDS)
    page.get_by_text("-again").first.wait_for(timeout=SECONDS)
    assert "1 left out" in words(page)
    press(page, page.get_by_role("button", name="now", exact=True))
    page.get_by_label("weather").fill("dry, light wind")
    page.get_by_label("weather").blur()
    page.get_by_text("Noted.").wait_for(timeout=SECONDS)

    page.goto(f"{own_server.address}/#/trials")
    page.get_by_text(re.compile(r"2 of \d+ runs pulled")).wait_for(timeout=SECONDS)
    page.go_back()
    sheet = documents(own_server, "/api/campaigns/rope%20yard%20(invented)/check")
    assert [one["verdict"] for one in sheet["runs"]][:3] == ["pass", "left_out", "missing"]
    assert sheet["runs"][2]["row"]["weather"] == "dry, light wind"
    assert re.fullmatch(r"\d\d:\d\d", sheet["runs"][2]["row"]["time"])


def test_the_description_changed_is_a_new_version(own_server, opened, still) -> None:
    page = opened(own_server, "phone", f"{AT}/describe")
    page.get_by_label("Tested for").fill("A club of our own (invented)")
    press(page, page.get_by_role("button", name="Keep it in the book"))
    page.get_by_text("Kept, version 2").wait_for(timeout=SECONDS)
    question = urllib.request.Request(
        f"{own_server.address}/api/book/documents/campaign/meadow%20(invented)",
        headers={"Haulwright-Book": "demo"},
    )
    with urllib.request.urlopen(question, timeout=30) as answer:
        kept = json.load(answer)
    assert kept["content"]["report"]["customer"] == "A club of our own (invented)"
    assert "# chosen before the test" in kept["text"]  # comments of the file stay
    still(page)


def test_what_is_noted_outlives_a_lost_laptop(own_server, opened, tmp_path: Path) -> None:
    page = opened(own_server, "phone", f"{AT}/sheet", lost=True)
    page.get_by_text("Every run of the sheet has its logs.").wait_for(timeout=SECONDS)
    press(page, page.get_by_role("button", name=re.compile("two-part on hoop-B")).first)
    page.get_by_label("weather").wait_for()
    own_server.kill()
    page.get_by_label("weather").fill("rain from noon")
    page.get_by_label("weather").blur()
    page.get_by_text("Kept on this device; not in the book yet.").wait_for(timeout=SECONDS)
    lost = page.get_by_text(re.compile("has not answered since|has not been reached since"))
    lost.wait_for(timeout=SECONDS)
    own_server.start()
    lost.wait_for(state="detached", timeout=SECONDS)
    page.get_by_text("Kept on this device; not in the book yet.").wait_for(state="detached", timeout=SECONDS)
    question = urllib.request.Request(
        f"{own_server.address}/api/campaigns/meadow%20(invented)/check", headers={"Haulwright-Book": "demo"}
    )
    with urllib.request.urlopen(question, timeout=60) as answer:
        rows = {one["run"]: one["row"] for one in json.load(answer)["runs"]}
    assert rows["two-b1"]["weather"] == "rain from noon"


@pytest.mark.parametrize("size", SIZES)
def test_alike_different_and_not_shown_are_three_words(own_server, opened, tmp_path, size) -> None:
    # one device under two names: its two pulls are alike within 2 %, and cannot be told alike within 1 %
    folder = tmp_path / "twins"
    shutil.copytree(examples() / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    told = (
        (folder / "campaign.yaml")
        .read_text(encoding="utf-8")
        .replace("meadow (invented)", "twins (invented)")
    )
    twin = "devices:\n  twin-A: {kind: pulley block, rope: blue-10}\n"
    (folder / "campaign.yaml").write_text(told.replace("devices:\n", twin, 1), encoding="utf-8")
    runs = (folder / "runs.csv").read_text(encoding="utf-8")
    runs = runs.replace("two-a2,2025-06-02,two-part,puck-A", "two-a2,2025-06-02,two-part,twin-A")
    (folder / "runs.csv").write_text(runs, encoding="utf-8")
    own_server.kill()
    own_server.options = ("--campaign", str(folder))
    page = opened(own_server.start(), size, "#/trials/at/twins")
    page.get_by_text("What differs").wait_for(timeout=60_000)
    heads = [one.split("\n")[0] for one in page.locator("h3").all_inner_texts()]
    assert {"Alike", "Different", "Not shown different"} <= set(heads)
    assert page.get_by_text("inside the 2 % set beforehand as mattering").count() == 1
    assert page.get_by_text("About 1 more run of each would tell").count() == 1
