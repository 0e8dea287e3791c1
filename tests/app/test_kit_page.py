"""The kit's page in a browser: the register, a piece from photograph to quarantine, due dates, nothing lost.

Numbers are held against the command line's ``--json`` of the same kit; days against the calendar.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import re
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from playwright.sync_api import expect

from haulwright.publishing.wording import force, of_limit

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
KIT = "the wagon's own kit"
AT = f"#/kit/{quote(KIT)}"
DEMO = {"Haulwright-Book": "demo"}
SIZES = ("laptop", "phone")
LIST = {"laptop": ".reg tbody tr", "phone": ".reg-narrow > li"}


def said(*words: str | Path) -> dict[str, Any]:
    """What the command line prints with ``--json``."""
    done = subprocess.run(
        [sys.executable, "-m", "haulwright", *map(str, words), "--json"],
        capture_output=True,
        text=True,
        check=False,
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def png(width: int = 40, height: int = 30, padding: int = 0) -> bytes:
    """A picture of stripes as the standard has it, with a chunk of any length that a reader passes over."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + bytes((60 * (x % 4)) for x in range(width)) for _ in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"teXt", bytes(padding)) if padding else b""
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + body
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def row(page: Any, size: str, piece: str) -> Any:
    return page.locator(LIST[size]).filter(has_text=re.compile(rf"(^|\s){re.escape(piece)}(\s|$)")).first


def plain(text: str) -> str:
    return re.sub(r"[\s\u2009\u00a0]+", " ", text).strip()


def press(page: Any, size: str, target: Any) -> None:
    """A finger on the phone, a click on the laptop."""
    if size == "phone":
        target.tap()
    else:
        target.click()


def exported(page: Any, tmp_path: Path) -> Path:
    """The kit as the book writes it out, for the command line."""
    answer = page.request.get(f"/api/book/export?kind=kit&name={quote(KIT)}", headers=DEMO)
    assert answer.ok, answer.text()
    with zipfile.ZipFile(io.BytesIO(answer.body())) as archive:
        archive.extractall(tmp_path / "kit")
    return next((tmp_path / "kit").rglob("*.yaml"))


def until(page: Any, true: Callable[[], bool]) -> None:
    """Wait for what the page does by itself."""
    for _ in range(60):
        if true():
            return
        page.wait_for_timeout(250)
    assert true()


def kept_piece(page: Any, piece: str) -> dict[str, Any]:
    """A piece as the book has it."""
    content = page.request.get(f"/api/book/documents/kit/{quote(KIT)}", headers=DEMO).json()["content"]
    found: dict[str, Any] = next(one for one in content["items"] if one["id"] == piece)
    return found


def settled(page: Any, size: str) -> None:
    page.locator(LIST[size]).first.wait_for()
    listed = page.locator({"laptop": ".reg", "phone": ".reg-narrow"}[size])
    expect(listed).not_to_contain_text("…", timeout=30_000)  # what is not worked out yet


@pytest.mark.parametrize("size", SIZES)
def test_every_piece_stands_there_with_the_numbers_of_the_command(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
) -> None:
    page = opened(server, size, AT)
    settled(page, size)
    pulls = [
        name for name in sorted((EXAMPLES / "pulls").glob("*.yaml")) if "kit: ../kit.yaml" in name.read_text()
    ]
    assert len(pulls) >= 2
    record = said("kit", "check", EXAMPLES / "kit.yaml", *(word for one in pulls for word in ("--pull", one)))
    assert page.locator(LIST[size]).count() == len(record["items"])
    told = 0
    for item in record["items"]:
        text = plain(row(page, size, item["item"]).inner_text())
        if item["kind"] == "damper":
            continue
        if item["limit_N"] is None:
            assert "unknown" in text
        else:
            assert plain(force(item["limit_N"], "kN", unit=False)) in text, item["item"]
        if item["worst"]:
            told += 1
            assert plain(force(item["worst"]["load_N"], "kN", unit=False)) in text, item["item"]
            assert f"{item['worst']['verdict']} {plain(of_limit(item['worst']['utilisation']))}" in text
    assert told >= 5
    sound(page)
    shot(page, "kit")


def test_a_unit_is_switched_everywhere_at_once(server: Any, opened: Callable[..., Any]) -> None:
    page = opened(server, "laptop", AT)
    settled(page, "laptop")
    record = said("kit", "show", EXAMPLES / "kit.yaml")
    page.get_by_role("radio", name="lbf").click()
    limit = next(item["limit_N"] for item in record["items"] if item["item"] == "L-02")
    page.get_by_text("Limit, lbf").wait_for()
    settled(page, "laptop")
    assert plain(force(limit, "lbf", unit=False)) in plain(row(page, "laptop", "L-02").inner_text())


@pytest.mark.parametrize("size", SIZES)
def test_a_shackle_with_its_photograph_and_no_basis_is_unknown(
    size: str,
    own_server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
    tmp_path: Path,
) -> None:
    page = opened(own_server, size, AT)
    settled(page, size)
    press(page, size, page.get_by_role("link", name="Add a piece"))
    press(page, size, page.locator(".kinds button").filter(has_text=re.compile("^shackle")))
    page.get_by_label("Its number is").fill("S-77")
    page.get_by_label("and it is called").fill("bow shackle <b>found</b>")
    page.get_by_label("It says").fill("4.75 t")
    page.get_by_label("To be noted:").fill("<img src=x onerror=\"document.title='ran'\"> and & plain")
    page.locator("input[capture=environment]").set_input_files(
        {"name": "mark.png", "mimeType": "image/png", "buffer": png()}
    )
    aside = page.get_by_label("What that comes to")
    aside.get_by_text("ask the maker whether the mark is a WLL or an MBS").wait_for()
    assert "unknown" in aside.inner_text()
    sound(page)
    shot(page, "kit-add")
    press(page, size, page.get_by_role("button", name="Save to the book"))
    page.get_by_role("heading", name="bow shackle <b>found</b>").wait_for()
    page.locator(".shot img").wait_for()
    assert page.locator(".shot img").evaluate("one => one.naturalWidth") == 40
    body = page.locator("main").inner_text()
    assert "<img src=x onerror=" in body
    assert page.title() != "ran"
    assert page.locator("main img[src=x]").count() == 0
    assert "nothing says whether that is a WLL or an MBS" in body
    sound(page)
    shot(page, "kit-piece")
    found = said("kit", "check", exported(page, tmp_path))
    item = next(one for one in found["items"] if one["item"] == "S-77")
    assert (item["limit_N"], item["verdict"], item["basis"]) == (None, "unknown", "unknown")
    for use in item["uses"]:
        assert plain(force(use["load_N"], "kN", unit=False)) in plain(page.locator(".uses").inner_text())
    photo = page.request.get(f"/api/book/kit/{quote(KIT)}/items/S-77/photos/1", headers=DEMO)
    assert photo.body() == png()


@pytest.mark.parametrize("size", SIZES)
def test_quarantine_takes_one_tap_and_the_plan_leaves_the_piece_out(
    size: str,
    own_server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
    tmp_path: Path,
) -> None:
    pull = json.loads(
        json.dumps(
            said("plan", "make", EXAMPLES / "pulls" / "rutted-clearing.yaml")["candidates"][0]["items"]
        )
    )
    used = next(one["item"] for one in pull if one["item"].startswith("S-"))
    page = opened(own_server, size, AT)
    settled(page, size)
    press(page, size, row(page, size, used).get_by_role("button", name=re.compile("^Quarantine")))
    page.get_by_text(f"{used} is in quarantine.").first.wait_for()
    page.locator(f"{LIST[size]}.hatched").filter(has_text=re.compile(rf"(^|\s){used}(\s|$)")).wait_for()
    page.wait_for_load_state("networkidle")
    sound(page)
    shot(page, "kit-held")
    page.get_by_label("Why?").fill("seen to be bent")
    press(page, size, page.get_by_role("button", name="Keep the reason"))
    page.get_by_text(f"{used} is in quarantine.").first.wait_for(state="hidden")
    page.wait_for_load_state("networkidle")

    found = said("kit", "check", exported(page, tmp_path))
    item = next(one for one in found["items"] if one["item"] == used)
    assert (item["condition"], item["uses"]) == ("quarantined", [])
    asked = page.request.get(
        "/api/book/documents/pull/Wagon%20in%20the%20rutted%20clearing", headers=DEMO
    ).json()
    plan = page.request.post("/api/plan/make", headers=DEMO, data={"pull": asked["content"]}).json()
    assert used not in {one["item"] for candidate in plan["candidates"] for one in candidate["items"]}
    kit = tmp_path / "again.yaml"
    kit.write_text(next((tmp_path / "kit").rglob("*.yaml")).read_text(encoding="utf-8"), encoding="utf-8")
    same = said("plan", "make", EXAMPLES / "pulls" / "rutted-clearing.yaml", "--kit", kit)
    assert [one["rig"] for one in same["candidates"]] == [one["rig"] for one in plan["candidates"]]
    assert same["candidates"][0]["items"] == plan["candidates"][0]["items"]

    kept = page.request.get(f"/api/book/documents/kit/{quote(KIT)}", headers=DEMO).json()
    assert kept["versions"][-1]["why"] == "seen to be bent"
    press(page, size, row(page, size, used).get_by_role("link"))
    page.get_by_text("“seen to be bent”").wait_for()
    assert page.get_by_text("put in quarantine").count() >= 1


def test_a_quarantine_is_taken_back_at_once(own_server: Any, opened: Callable[..., Any]) -> None:
    page = opened(own_server, "phone", AT)
    settled(page, "phone")
    row(page, "phone", "S-07").get_by_role("button", name=re.compile("^Quarantine")).tap()
    page.get_by_role("button", name="Undo").tap()
    page.locator(".reg-narrow .hatched b", has_text="S-07").wait_for(state="detached")
    until(page, lambda: "quarantined" not in kept_piece(page, "S-07"))


@pytest.mark.parametrize("size", SIZES)
def test_what_is_due_on_a_day_is_what_the_calendar_says(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
) -> None:
    page = opened(server, size, f"{AT}/due")
    day = dt.date(2026, 6, 1)
    page.get_by_label("On", exact=True).fill(day.isoformat())
    page.get_by_text(f"On {day}:").wait_for()
    page.wait_for_load_state("networkidle")
    text = plain(page.locator("main").inner_text())
    # of the shipped files: the cells' certificates ran out on 31 March 2026, the line is due on 7 February 2030
    assert f"{(day - dt.date(2026, 3, 31)).days} days ago" in text
    assert re.sub(r"(\d)(?=\d{3}\b)", r"\1 ", f"{(dt.date(2030, 2, 7) - day).days} days") in text
    assert text.index("anchor-6t") < text.index("L-02")
    record = page.request.get(f"/api/book?day={day}", headers=DEMO).json()
    assert [one["days"] for one in record["due"]] == [
        (dt.date.fromisoformat(one["due"]) - day).days for one in record["due"]
    ]
    sound(page)
    shot(page, "kit-due")


def test_a_day_before_everything_shows_nothing_overdue(server: Any, opened: Callable[..., Any]) -> None:
    page = opened(server, "laptop", f"{AT}/due")
    page.get_by_label("On", exact=True).fill("2026-01-05")
    page.get_by_text("On 2026-01-05: nothing overdue").wait_for()
    refused = page.request.get("/api/book?day=2026-02-30", headers=DEMO)
    assert (refused.status, refused.json()["error"]["code"]) == (422, "VALUE")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("mark.jpg", b"MZ\x90\0 a program, no picture" * 200, "no photograph"),
        ("mark.svg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "no photograph"),
        ("mark.png", b"\x89PNG\r\n\x1a\n" + bytes(9_000_000), "8 MB"),
    ],
)
def test_what_is_no_photograph_is_refused(
    name: str, content: bytes, words: str, own_server: Any, opened: Callable[..., Any]
) -> None:
    page = opened(own_server, "laptop", f"{AT}/piece/S-07")
    page.get_by_text("No photograph of the marking yet.").wait_for()
    page.locator("input[type=file]").last.set_input_files(
        {"name": name, "mimeType": "image/png", "buffer": content}
    )
    alert = page.get_by_role("alert")
    alert.wait_for()
    assert words in alert.inner_text()
    assert page.get_by_text("No photograph of the marking yet.").is_visible()
    content_now = page.request.get(f"/api/book/documents/kit/{quote(KIT)}", headers=DEMO).json()
    assert content_now["version"] == 1


def test_a_photograph_larger_than_the_book_takes_is_made_smaller(
    own_server: Any, opened: Callable[..., Any]
) -> None:
    page = opened(own_server, "phone", f"{AT}/piece/S-07")
    page.get_by_text("No photograph of the marking yet.").wait_for()
    page.locator("input[capture=environment]").set_input_files(
        {"name": "camera.png", "mimeType": "image/png", "buffer": png(3000, 2000, padding=9_000_000)}
    )
    page.locator(".shot img").wait_for()
    sent = page.request.get(f"/api/book/kit/{quote(KIT)}/items/S-07/photos/1", headers=DEMO)
    assert sent.headers["content-type"] == "image/jpeg"
    assert len(sent.body()) < 8_000_000


@pytest.mark.parametrize("size", SIZES)
def test_a_piece_is_taken_out_and_put_back_and_nothing_of_it_is_lost(
    size: str, own_server: Any, opened: Callable[..., Any], sound: Callable[[Any], None]
) -> None:
    page = opened(own_server, size, f"{AT}/piece/T-04")
    page.get_by_role("heading", name="tree strap, 2.5 m, tag lost").wait_for()
    press(page, size, page.get_by_role("button", name="Take out of the kit").first)
    form = page.get_by_role("form", name="Take out of the kit")
    form.get_by_label("because").fill("cut up")
    press(page, size, form.get_by_role("button", name="Take out of the kit"))
    settled(page, size)
    assert row(page, size, "T-04").count() == 0
    press(page, size, page.get_by_role("link", name=re.compile("History of this kit")))
    page.get_by_role("heading", name="Taken out").wait_for()
    assert "cut up" in page.locator("main").inner_text()
    sound(page)
    press(page, size, page.get_by_role("button", name="Put back in the kit T-04"))
    page.get_by_text("No piece was taken out.").wait_for()
    content = page.request.get(f"/api/book/documents/kit/{quote(KIT)}", headers=DEMO).json()
    before = page.request.get(f"/api/book/documents/kit/{quote(KIT)}?version=1", headers=DEMO).json()
    one = next(one for one in content["content"]["items"] if one["id"] == "T-04")
    assert one == next(one for one in before["content"]["items"] if one["id"] == "T-04")
    assert content["version"] == 3


def test_an_inspection_is_noted_with_who_and_what(
    own_server: Any, opened: Callable[..., Any], sound: Callable[[Any], None]
) -> None:
    page = opened(own_server, "phone", f"{AT}/piece/L-05")
    page.get_by_role("button", name="Looked over").tap()
    form = page.get_by_role("form", name="Looked over")
    today = dt.date.today()
    form.get_by_label("Looked over on").fill(today.isoformat())
    form.get_by_label("by", exact=True).fill("A. Sample")
    form.get_by_label("Found").select_option("worn")
    form.get_by_label("To be looked at again by").fill((today + dt.timedelta(days=90)).isoformat())
    form.get_by_label("What was seen:").fill("fuzz near the eye")
    sound(page)
    form.get_by_role("button", name="Save to the book").tap()
    page.get_by_text("“fuzz near the eye”").wait_for()
    text = plain(page.locator("main").inner_text())
    assert f"again by {today + dt.timedelta(days=90)}" in text
    assert "by A. Sample" in text
    page.get_by_text("have it looked at by a competent person: it is worn").first.wait_for()


def test_a_piece_is_changed_in_sentences_and_its_other_keys_stay(
    own_server: Any, opened: Callable[..., Any]
) -> None:
    page = opened(own_server, "laptop", f"{AT}/edit/S-12")
    page.get_by_label("It says").fill("160 kN")
    page.get_by_text("80.0 kN").wait_for()  # an MBS ÷ 2
    page.get_by_label("It says").fill("very strong")
    page.get_by_role("alert").wait_for()
    assert page.get_by_role("button", name="Save to the book").is_disabled()
    assert page.get_by_label("It says").get_attribute("aria-invalid") == "true"
    page.get_by_label("It says").fill("160 kN")
    page.get_by_text("80.0 kN").wait_for()
    page.get_by_role("button", name="Save to the book").click()
    page.get_by_text("mark: 150 kN, now 160 kN").wait_for()
    content = page.request.get(f"/api/book/documents/kit/{quote(KIT)}", headers=DEMO).json()["content"]
    before = page.request.get(f"/api/book/documents/kit/{quote(KIT)}?version=1", headers=DEMO).json()[
        "content"
    ]
    changed = {**next(one for one in before["items"] if one["id"] == "S-12"), "rating": "160 kN"}
    assert next(one for one in content["items"] if one["id"] == "S-12") == changed
    assert content["winches"] == before["winches"]


@pytest.mark.parametrize("size", SIZES)
def test_winches_cells_and_devices_are_told(
    size: str,
    server: Any,
    opened: Callable[..., Any],
    sound: Callable[[Any], None],
    shot: Callable[..., None],
) -> None:
    page = opened(server, size, f"{AT}/winches")
    page.get_by_role("heading", name="W-1").wait_for()
    text = page.locator("main").inner_text()
    for words in ("Rated line pull 42 kN", "4.7 m/min", "At least 10 wraps stay on", "L-02", "L-07"):
        assert words in text
    sound(page)
    shot(page, "kit-winches")
    press(page, size, page.get_by_role("link", name="Cells"))
    page.get_by_role("heading", name="anchor-6t").wait_for()
    assert "Certificate invented-0302" in page.locator("main").inner_text()
    sound(page)
    press(page, size, page.get_by_role("link", name="Devices"))
    page.get_by_role("heading", name="Friction of devices").wait_for()
    sound(page)


def test_friction_is_shown_with_where_it_came_from(
    own_server: Any, opened: Callable[..., Any], tmp_path: Path
) -> None:
    found = said("campaign", "fit", EXAMPLES / "campaign", "--out", tmp_path / "fit")
    assert found["kind"] in ("files", "campaign-result")
    page = opened(own_server, "laptop", f"{AT}/devices")
    sent = page.request.post(
        "/api/book/import",
        headers=DEMO,
        multipart={
            "file": {
                "name": "devices.toml",
                "mimeType": "text/plain",
                "buffer": (tmp_path / "fit" / "devices.toml").read_bytes(),
            },
            "ask": json.dumps({"by": "A. Sample"}),
        },
    )
    assert sent.ok, sent.text()
    page.reload()
    page.get_by_role("heading", name="puck-A").wait_for()
    record = page.request.get("/api/book", headers=DEMO).json()
    one = next(one for one in record["friction"] if one["device"] == "puck-A")
    text = plain(page.locator("main").inner_text())
    assert f"{one['k']['value']:.2f}" in text
    assert plain(one["source"]) in text
    assert plain(force(one["valid_N"][1], "kN")) in text


def test_a_winch_is_changed_in_sentences(
    own_server: Any, opened: Callable[..., Any], sound: Callable[[Any], None]
) -> None:
    page = opened(own_server, "phone", f"{AT}/winches/W-1")
    page.get_by_label("Its plate says").fill("36 kN")
    page.get_by_label("row 1, speed").fill("8.8 m/min")
    sound(page)
    page.get_by_role("button", name="Save to the book").tap()
    page.get_by_text("Rated line pull 36 kN").wait_for()
    content = page.request.get(f"/api/book/documents/kit/{quote(KIT)}", headers=DEMO).json()["content"]
    before = page.request.get(f"/api/book/documents/kit/{quote(KIT)}?version=1", headers=DEMO).json()[
        "content"
    ]
    table = [{**before["winches"][0]["table"][0], "speed": "8.8 m/min"}, *before["winches"][0]["table"][1:]]
    assert content["winches"] == [
        {**before["winches"][0], "line_pull": "36 kN", "table": table},
        before["winches"][1],
    ]


def test_the_first_kit_is_begun_with_a_name(
    own_server: Any, opened: Callable[..., Any], sound: Callable[[Any], None], shot: Callable[..., None]
) -> None:
    page = opened(own_server, "phone", "#/kit", book="own")
    page.get_by_text("No kit in this book yet.").wait_for()
    sound(page)
    shot(page, "kit-none")
    page.get_by_label("Begin a kit called").fill("my own kit")
    page.get_by_role("button", name="Begin it").tap()
    page.get_by_role("link", name="Add a piece").wait_for()
    assert "0 pieces" in page.locator("main").inner_text()


def test_a_piece_is_found_by_a_word(server: Any, opened: Callable[..., Any]) -> None:
    page = opened(server, "laptop", AT)
    settled(page, "laptop")
    page.get_by_label("Find a piece").fill("hmpe rope")
    assert [plain(one) for one in page.locator(".reg tbody .c").all_inner_texts()] == [
        "L-02",
        "L-05",
    ] or page.locator(".reg tbody tr").count() >= 1
    assert all("HMPE" in one for one in page.locator(".reg tbody th").all_inner_texts())
    page.get_by_label("Find a piece").fill("no such thing")
    page.get_by_text("No piece has “no such thing”").wait_for()


def test_a_lost_laptop_takes_nothing_that_was_typed_or_tapped(
    own_server: Any, opened: Callable[..., Any], shot: Callable[..., None]
) -> None:
    page = opened(own_server, "phone", AT, lost=True)
    settled(page, "phone")
    own_server.kill()
    row(page, "phone", "S-08").get_by_role("button", name=re.compile("^Quarantine")).tap()
    page.get_by_text("1 change not yet in the book").wait_for()
    page.locator(".reg-narrow.stale").wait_for()
    shot(page, "kit-lost")
    page.evaluate("to => { location.hash = to; }", f"{AT}/add")
    page.locator(".kinds button").filter(has_text=re.compile("^strap")).tap()
    page.get_by_label("Its number is").fill("T-55")
    page.wait_for_timeout(400)
    own_server.start()
    page.get_by_text("1 change not yet in the book").wait_for(state="hidden", timeout=20_000)
    until(page, lambda: kept_piece(page, "S-08").get("quarantined") is True)
    page.reload()
    page.get_by_label("Its number is").wait_for()
    assert page.get_by_label("Its number is").input_value() == "T-55"
