"""What holds on every page: light, unit and words switch at once, long work shows and stops, help, the tour."""

import re
import sys
import time
from pathlib import Path

import pytest

BOTH = pytest.mark.parametrize("size", ["laptop", "phone"])
CAMPAIGN = "#/trials/at/meadow%20(invented)"
LONG_ms = 60_000
# paper of look/tokens.css
PAPER = {"Paper": "rgb(251, 248, 240)", "Sun": "rgb(255, 255, 255)", "Night": "rgb(19, 21, 22)"}


def choose(page, name):
    """Choose a unit, a light or words, on the phone in the settings sheet."""
    phone = page.viewport_size["width"] < 500
    if phone:
        page.get_by_role("button", name="Settings").click()
    page.get_by_role("radio", name=name, exact=True).click()
    if phone:
        page.get_by_role("button", name="Close").click()


@BOTH
def test_unit_light_and_words_switch_at_once_and_are_kept(server, opened, sound, size):
    page = opened(server, size, CAMPAIGN)
    pulls = page.get_by_text(re.compile(r"Mean line pulls: .*")).first
    pulls.wait_for(timeout=LONG_ms)
    assert re.search(r"Mean line pulls: [\d.]+ to [\d.]+\skN", pulls.inner_text())
    asked = []
    page.on("request", lambda one: asked.append(one.headers.get("haulwright-units")))
    choose(page, "kgf")
    page.get_by_text(re.compile(r"Mean line pulls: [\d\s.]+ to [\d\s.]+\skgf")).first.wait_for(
        timeout=LONG_ms
    )
    assert "kgf" in asked
    assert not re.search(r"\d[\s\u00a0]kN\b", page.locator("main").inner_text())
    for light in ("Night", "Sun", "Paper"):
        choose(page, light)
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == PAPER[light]
        sound(page)
    choose(page, "US")
    assert page.evaluate("document.documentElement.lang") == "en-US"
    page.goto(f"{server.address}/#/")
    page.get_by_role("img", name=re.compile("a grid in meters")).wait_for()
    choose(page, "AU")
    page.get_by_role("img", name=re.compile("a grid in metres")).wait_for()
    page.reload()
    page.get_by_role("img", name=re.compile("a grid in metres")).wait_for()
    kept = page.evaluate("JSON.parse(localStorage.getItem('haulwright.settings'))")
    assert (kept["units"], kept["light"], kept["words"]) == ("kgf", "paper", "AU")


@BOTH
def test_demo_is_marked_on_every_page_and_left_from_there(server, opened, size):
    page = opened(server, size, "#/kit", book="demo")
    for at in ("#/kit", "#/trials", "#/pulls", "#/rigs", "#/cards", "#/"):
        page.goto(f"{server.address}/{at}")
        assert page.get_by_text("Invented demo data", exact=True).is_visible(), at
    page.get_by_role("button", name="Open my own book").click()
    assert page.get_by_text("Invented demo data", exact=True).count() == 0
    if size == "phone":
        page.get_by_role("button", name="Settings").click()
        page.get_by_role("radio", name="Demo book, invented data").click()
        page.get_by_role("button", name="Close").click()
        assert page.get_by_text("Invented demo data", exact=True).is_visible()


def workers(server):
    listed = Path(f"/proc/{server.process.pid}/task/{server.process.pid}/children")
    return {int(one) for one in listed.read_text().split()}


@BOTH
def test_long_work_shows_how_far_it_is_and_is_stopped_at_once(own_server, opened, sound, size):
    page = opened(own_server, size, CAMPAIGN)
    work = page.get_by_role("status").filter(has=page.get_by_role("button", name="Cancel"))
    work.get_by_text(re.compile(r"run \d of 8: ")).wait_for(timeout=LONG_ms)
    assert work.get_by_role("progressbar").get_attribute("value")
    before = workers(own_server) if sys.platform == "linux" else set()
    work.get_by_role("button", name="Cancel").click()
    work.wait_for(state="detached")
    if before:
        for _ in range(100):
            if before - workers(own_server):
                break
            time.sleep(0.05)
        assert before - workers(own_server)  # the process that worked is gone
    assert page.get_by_text(re.compile("Mean line pulls")).count() == 0
    sound(page)
    assert page.evaluate("fetch('/api/rigs').then(one => one.status)") == 200
    page.reload()  # asked for again it begins where it was stopped, and ends
    page.get_by_text(re.compile("Mean line pulls")).first.wait_for(timeout=LONG_ms)


@BOTH
def test_a_number_tells_what_stands_behind_it(server, opened, sound, shot, size):
    page = opened(server, size, CAMPAIGN)
    name = page.get_by_role("button", name="advantage", exact=True).first
    name.wait_for(timeout=LONG_ms)
    name.focus()
    page.keyboard.press("Enter")
    sheet = page.get_by_role("dialog", name="Advantage")
    sheet.wait_for()
    words = sheet.inner_text()
    for one in ("advantage = load ÷ effort", "Source: API RP 9B", "Gear is judged at winch stall"):
        assert one in words
    sound(page)
    shot(page, "help")
    page.keyboard.press("Escape")
    sheet.wait_for(state="detached")
    assert page.evaluate("document.activeElement.textContent") == "advantage"


@BOTH
def test_the_tour_walks_the_real_pages_by_keyboard_and_covers_nothing(server, opened, sound, shot, size):
    page = opened(server, size, book="own")
    page.get_by_role("button", name="Open the demo, invented data").click()
    step = page.locator("section.tour")
    for n, (name, at) in enumerate(
        [
            ("Rigs", "#/rigs"),
            ("Trials", "#/trials"),
            ("Pulls", "#/pulls"),
            ("Kit", "#/kit"),
            ("Cards", "#/cards"),
        ],
        start=1,
    ):
        step.get_by_text(f"Tour, {n} of 6").wait_for()
        assert step.get_by_role("heading", name=name).is_visible()
        page.wait_for_url(f"**/{at}")
        page.locator("main h1").first.wait_for()
        assert page.get_by_text("Invented demo data", exact=True).is_visible()
        box, sheet = step.bounding_box(), page.locator("main").bounding_box()
        assert box["y"] + box["height"] <= sheet["y"] + 1  # above the page, not over it
        if n == 1:
            sound(page)
            shot(page, "tour")
        page.keyboard.press("ArrowRight")
    step.get_by_text("Tour, 6 of 6").wait_for()
    page.keyboard.press("ArrowLeft")
    step.get_by_text("Tour, 5 of 6").wait_for()
    page.keyboard.press("Escape")
    step.wait_for(state="detached")
    page.goto(f"{server.address}/#/")
    page.get_by_role(
        "button", name="Take the tour of the demo"
    ).click()  # seen once, it is offered, not begun
    page.get_by_role("button", name="Skip the tour").click()
    assert step.count() == 0


@BOTH
def test_the_tour_goes_along_with_a_reader_who_goes_his_own_way_and_ends_in_his_own_book(
    server, opened, size
):
    page = opened(server, size, book="own")
    page.get_by_role("button", name="Open the demo, invented data").click()
    step = page.locator("section.tour")
    page.get_by_role("navigation").get_by_role("link", name="Kit").click()
    step.get_by_text("Tour, 4 of 6").wait_for()
    for _ in range(2):
        step.get_by_role("button", name="Next").click()
    step.get_by_role("button", name="Begin with my own book").click()
    page.get_by_role("heading", name="An empty sheet").wait_for()
    assert page.get_by_text("Invented demo data", exact=True).count() == 0
    assert step.count() == 0
