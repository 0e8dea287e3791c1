"""Every page in sun and at night, and on paper: sound by axe, and nothing to press or torn where it is printed."""

from __future__ import annotations

from urllib.parse import quote

import pytest
from tests.app.test_screens import MEADOW, VIEWS, WAGON, SETTLED_ms, settle

KIT = "#/kit/the wagon's own kit"
PIECES = {
    "first-filled": ("#/", "text=Go on with"),
    "pulls-steps": (f"{WAGON}/pull", "table"),
    "pulls-after": (f"{WAGON}/after", "text=seen"),
    "pulls-card": (f"{WAGON}/card", "img"),
    "kit-due": (f"{KIT}/due", "table"),
    "kit-winches": (f"{KIT}/winches", "table"),
    "kit-cells": (f"{KIT}/cells", "text=anchor-6t"),
    "trials-design": (f"{MEADOW}/design", "h2"),
    "cards-report": (
        f"#/cards/{MEADOW.split('/')[-1]}".replace("cards/", "cards/campaign/") + "/report",
        "iframe",
    ),
}
EVERY = {name: view for name, view in (VIEWS | PIECES).items() if name != "first"}
# what is printed and could be pressed; rows or figures that may be torn
PRESSED = """() => [...document.querySelectorAll(
    'main .act, main input[type=file], [role=slider], [role=radio][aria-checked=false], nav a')]
  .filter((one) => one.checkVisibility())
  .filter((one) => one.getBoundingClientRect().width > 1).map((one) => one.outerHTML.slice(0, 120))"""
TORN = """() => [...document.querySelectorAll('main tr, main figure')]
  .filter((one) => one.checkVisibility() && getComputedStyle(one).breakInside !== 'avoid').length"""


def look(page, at: str, seen: str) -> None:
    page.locator("main").locator(seen).locator("visible=true").first.wait_for(timeout=SETTLED_ms)
    settle(page)


@pytest.mark.parametrize("view", EVERY)
def test_a_page_is_sound_in_sun_at_night_and_on_paper(server, opened, sound, shot, view):
    at, seen = EVERY[view]
    page = opened(server, "phone", quote(at, safe="#/"))
    look(page, at, seen)
    in_every_light(page, sound, shot, view)


def test_measured_devices_are_sound_in_sun_at_night_and_on_paper(own_server, opened, sound, shot):
    page = opened(own_server, "phone", quote(MEADOW, safe="#/"))
    keep_friction(page)
    page.goto(f"{own_server.address}/{quote(f'{KIT}/devices', safe='#/')}")
    look(page, f"{KIT}/devices", "table")
    in_every_light(page, sound, shot, "kit-devices")


def keep_friction(page) -> None:
    """Take the friction that a campaign measured over into the book."""
    page.get_by_role("button", name="Use these in pulls").click(timeout=SETTLED_ms)
    page.get_by_text("Kept as “meadow (invented)”, version 1").wait_for(timeout=SETTLED_ms)


def in_every_light(page, sound, shot, view: str) -> None:
    for light in ("sun", "night"):
        page.evaluate("light => { document.documentElement.dataset.light = light; }", light)
        sound(page)
        shot(page, f"{view}-{light}")
    page.evaluate("document.documentElement.dataset.light = 'paper'")
    page.emulate_media(media="print")
    shot(page, f"{view}-print", full=True)
    assert page.evaluate(PRESSED) == []
    assert page.evaluate(TORN) == 0
