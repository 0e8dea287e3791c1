"""The page of what is printed: a card is the file the command writes, and every number on it is the plan's."""

from __future__ import annotations

import base64
import io
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest
from tests.app.conftest import Server

import haulwright as hw
from haulwright import workflows
from haulwright.publishing.wording import force, of_limit

ROOT = Path(__file__).parents[2]
PULL = ROOT / "examples" / "pulls" / "rutted-clearing.yaml"
NAME = "Wagon in the rutted clearing"
CARD = f"#/cards/pull/{NAME.replace(' ', '%20')}/card"
CAMPAIGN = "#/cards/campaign/meadow%20(invented)"
DAY = "2026-06-01"
SIZES = ("laptop", "phone")


def plain(text: str) -> str:
    return re.sub(r"[\s\u2009\u00a0\u200b]+", " ", text).strip()


def text_of(pdf: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return plain("\n".join(page.extract_text() for page in reader.pages))


def seen(page: Any) -> bytes:
    """The drawing that is looked at."""
    page.locator("img.paper").wait_for()
    source = page.locator("img.paper").get_attribute("src")
    assert source.startswith("data:image/svg+xml;base64,")
    return base64.b64decode(source.partition(",")[2])


def shows(page: Any, expected: bytes) -> None:
    """Wait until that drawing is looked at."""
    last = b""
    for _ in range(60):
        last = seen(page)
        if last == expected:
            return
        page.wait_for_timeout(250)
    assert last == expected


def changed(page: Any, act: Callable[[], Any]) -> None:
    """Do what changes the drawing, and wait for the other one."""
    before = seen(page)
    act()
    for _ in range(60):
        if seen(page) != before:
            return
        page.wait_for_timeout(250)
    pytest.fail("the drawing stays as it was")


def dated(page: Any) -> None:
    changed(page, lambda: page.get_by_label("Dated").fill(DAY))


@pytest.mark.parametrize("size", SIZES)
def test_the_card_is_the_file_the_command_writes_and_its_numbers_are_the_plans(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
    tmp_path: Path,
) -> None:
    page = opened(server, size, CARD)
    dated(page)
    plan = hw.make_plan(PULL)
    written = {
        form: Path(hw.publish_card(plan, tmp_path / form, date=DAY, format=form).files[0].path).read_bytes()
        for form in ("pdf", "svg")
    }
    shows(page, written["svg"])
    with page.expect_download() as got:
        page.get_by_role("button", name="Download PDF").click()
    pdf = Path(got.value.path()).read_bytes()
    assert pdf == written["pdf"]
    assert got.value.suggested_filename.endswith(".pdf")
    text = text_of(pdf)
    best = plan.best
    assert best is not None
    for value in (best.effort_N.likely, best.stall_N):
        assert plain(force(value, "kN", unit=False)) in text
    record = page.request.post(
        "/api/plan/make",
        headers={"Haulwright-Book": "demo"},
        data={"pull": page.request.get(f"/api/book/documents/pull/{NAME}", headers={"Haulwright-Book": "demo"}).json()["content"]},
    ).json()  # fmt: skip
    chosen = next(one for one in record["candidates"] if one["rig"] == record["chosen"])
    assert (chosen["effort_N"]["likely"], chosen["stall_N"]) == (best.effort_N.likely, best.stall_N)
    hardest = max((one for one in chosen["items"] if one["utilisation"]), key=lambda one: one["utilisation"])
    assert plain(of_limit(hardest["utilisation"])) in text
    page.get_by_role("heading", name="What it rests on").wait_for()
    facts = plain(page.locator("main").inner_text())
    assert plain(force(best.effort_N.likely, "kN")) in facts
    assert plain(force(best.stall_N, "kN")) in facts
    for caution in ("Nobody within", "STOP if", "Local codes", "Invented demo data"):
        assert caution in text
    sound(page)
    shot(page, "card")


@pytest.mark.parametrize(
    ("name", "paper", "wide_mm", "cards"),
    [
        ("A5", "a5", 148.0, 1), ("A4", "a4", 210.0, 1), ("Letter", "letter", 215.9, 1),
        ("Four A6 on A4", "a6x4", 210.0, 4), ("Two A6 on letter", "a6x2", 279.4, 2),
    ],
)  # fmt: skip
def test_a_paper_is_chosen_and_comes_out_at_its_size(
    name: str,
    paper: str,
    wide_mm: float,
    cards: int,
    server: Any,
    opened: Callable[..., Any],
    shot: Callable[..., None],
) -> None:
    page = opened(server, "laptop", CARD)
    dated(page)
    changed(page, lambda: page.get_by_role("radio", name=re.compile(rf"^{name} ")).check())
    printed = page.pdf(prefer_css_page_size=True)
    reader = pypdf.PdfReader(io.BytesIO(printed))
    assert len(reader.pages) == 1, "the page prints on one sheet, with nothing of the screen beside it"
    assert float(reader.pages[0].mediabox.width) == pytest.approx(wide_mm * 72 / 25.4, abs=1.0)
    with page.expect_download() as got:
        page.get_by_role("button", name="Download PDF").click()
    text = text_of(Path(got.value.path()).read_bytes())
    assert text.count("STOP if") == cards
    shot(page, f"card-{paper}")


def test_the_unit_of_the_head_is_the_unit_of_the_card(
    server: Any, opened: Callable[..., Any], tmp_path: Path
) -> None:
    page = opened(server, "laptop", CARD)
    dated(page)
    changed(page, lambda: page.get_by_role("radio", name="lbf").click())
    written = hw.publish_card(hw.make_plan(PULL), tmp_path, date=DAY, format="svg", units="lbf").files[0]
    shows(page, Path(written.path).read_bytes())


@pytest.mark.parametrize("size", SIZES)
def test_everything_that_can_be_printed_is_offered(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
) -> None:
    page = opened(server, size, "#/cards")
    page.get_by_role("heading", name="Campaigns").wait_for()
    papers = page.request.get("/api/publish").json()["papers"]
    links = [one.get_attribute("href") or "" for one in page.locator("main li a").all()]
    for kind in ("pull", "campaign", "rig"):
        offered = {link.rpartition("/")[2] for link in links if link.startswith(f"#/cards/{kind}/")}
        assert offered == {one["paper"] for one in papers if one["of"] == kind}
    sound(page)
    shot(page, "cards")


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("sheet", ["pull-plan", "pull-steps"])
def test_the_drawings_of_a_pull_are_those_of_the_command(
    size: str,
    sheet: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    tmp_path: Path,
) -> None:
    page = opened(server, size, CARD.removesuffix("card") + sheet)
    files = workflows.publish_pull(PULL, tmp_path, light="print").files
    written = next(one for one in files if one.path.endswith(f"{sheet}.svg"))
    shows(page, Path(written.path).read_bytes())
    sound(page)


@pytest.mark.parametrize("size", SIZES)
def test_the_report_stands_in_an_inert_frame(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
) -> None:
    page = opened(server, size, f"{CAMPAIGN}/report")
    frame = page.locator("iframe")
    frame.wait_for(timeout=60_000)
    assert set((frame.get_attribute("sandbox") or "").split()) == {"allow-same-origin", "allow-modals"}
    inside = page.frame_locator("iframe")
    inside.get_by_role("heading", name="What was found").wait_for()
    said = page.request.get(
        "/api/campaigns/meadow%20(invented)/report", headers={"Haulwright-Book": "demo"}
    ).text()
    assert inside.locator("h1").inner_text() in said
    assert "To be read with the numbers" in inside.locator("body").inner_text()
    sound(page)
    shot(page, "report")
    with page.expect_download() as got:
        page.get_by_role("button", name="Download HTML").click()
    assert Path(got.value.path()).read_text(encoding="utf-8") == said


def test_markup_in_a_name_is_text_on_every_paper(own_server: Any, opened: Callable[..., Any]) -> None:
    page = opened(own_server, "laptop", "#/cards")
    page.get_by_role("heading", name="Campaigns").wait_for()
    demo = {"Haulwright-Book": "demo"}
    pull = page.request.get(f"/api/book/documents/pull/{NAME}", headers=demo).json()["content"]
    evil = "<img src=x onerror=\"document.title='ran'\"> & #strong[x]"
    kept = page.request.put(
        "/api/book/documents/pull/marked",
        headers=demo,
        data={"content": {**pull, "pull": evil, "kit": "../kit.yaml"}},
    )
    assert kept.ok, kept.text()
    page.reload()
    page.get_by_role("heading", name="Campaigns").wait_for()
    page.goto(f"{own_server.address}/#/cards/pull/marked/card")
    card = seen(page)
    assert b"<img" not in card
    with page.expect_download() as got:
        page.get_by_role("button", name="Download PDF").click()
    assert "#strong[x]" in text_of(Path(got.value.path()).read_bytes())
    assert page.title() != "ran"


@pytest.mark.parametrize("size", SIZES)
def test_the_run_sheet_and_the_charts_of_a_campaign(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
) -> None:
    page = opened(server, size, f"{CAMPAIGN}/run-sheet")
    inside = page.frame_locator("iframe")
    inside.get_by_role("heading", name="Pull them in this order").wait_for(timeout=60_000)
    runs = page.request.get(
        "/api/campaigns/meadow%20(invented)/runs", headers={"Haulwright-Book": "demo"}
    ).json()["rows"]
    assert inside.locator("tbody th").all_inner_texts() == [one["run"] for one in runs]
    sound(page)
    shot(page, "run-sheet")
    page.goto(f"{server.address}/{CAMPAIGN}/trace")
    changed(page, lambda: page.get_by_label("Run").select_option(runs[2]["run"]))
    sound(page)
    page.goto(f"{server.address}/{CAMPAIGN}/comparison")
    assert b"<svg" in seen(page)
    sound(page)


def test_a_pull_without_a_rig_is_refused_in_words_and_prints_nothing(
    own_server: Any, opened: Callable[..., Any]
) -> None:
    page = opened(own_server, "phone", "#/cards")
    page.get_by_role("heading", name="Campaigns").wait_for()
    demo = {"Haulwright-Book": "demo"}
    pull = page.request.get(f"/api/book/documents/pull/{NAME}", headers=demo).json()["content"]
    bare = {
        **pull,
        "pull": "No anchor",
        "site": {"anchors": [{"name": "far oak", "kind": "tree", "distance": "400 m"}]},
    }
    assert page.request.put("/api/book/documents/pull/No%20anchor", headers=demo, data={"content": bare}).ok
    page.goto(f"{own_server.address}/#/cards/pull/No%20anchor/card")
    page.get_by_role("alert").wait_for()
    assert page.locator("img.paper").count() == 0
    assert page.get_by_role("button", name="Print", exact=True).is_disabled()


def test_a_lost_laptop_leaves_the_last_card_as_stale(own_server: Any, opened: Callable[..., Any]) -> None:
    page = opened(own_server, "phone", CARD, lost=True)
    dated(page)
    own_server.kill()
    page.get_by_role("radio", name=re.compile("^A5 ")).check()
    page.locator("img.paper.stale").wait_for(timeout=20_000)
    own_server.start()
    page.locator("img.paper:not(.stale)").wait_for(timeout=30_000)


def test_a_campaign_of_a_folder_is_printed_too(
    chromium: Any, built: Path, opened: Any, tmp_path: Path
) -> None:
    folder = Path(
        shutil.copytree(
            ROOT / "examples" / "campaign", tmp_path / "lane", ignore=shutil.ignore_patterns("results")
        )
    )
    (tmp_path / "home").mkdir()
    server = Server(tmp_path / "home", "--campaign", str(folder)).start()
    try:
        page = opened(server, "laptop", "#/cards", book="own")
        page.get_by_role("link", name=re.compile(r"Test report\s*, lane")).click()
        frame = page.frame_locator("iframe")
        frame.get_by_text("two-a1").first.wait_for(timeout=60_000)
        page.goto(f"{server.address}/#/cards/campaign/lane/trace")
        assert b"<svg" in seen(page)
    finally:
        server.kill()


@pytest.mark.parametrize(
    ("at", "ending"),
    [
        (CARD.removesuffix("card") + "pocket", ".html"),
        (f"{CAMPAIGN}/workbook", ".xlsx"),
        (f"{CAMPAIGN}/open-data", ".zip"),
    ],
)
@pytest.mark.parametrize("size", SIZES)
def test_what_is_taken_along_comes_whole(
    size: str, at: str, ending: str, server: Any, opened: Callable[..., Any], sound: Callable[[Any], None]
) -> None:
    page = opened(server, size, at)
    button = page.get_by_role("button", name=f"Download {ending[1:].upper()}")
    with page.expect_download(timeout=60_000) as taken:
        button.click()
    file = Path(taken.value.path()).read_bytes()
    assert taken.value.suggested_filename.endswith(ending)
    assert file.startswith(b"<!doctype html>" if ending == ".html" else b"PK\x03\x04")
    assert len(file) > 10_000
    sound(page)
