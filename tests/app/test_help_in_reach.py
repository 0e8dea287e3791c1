"""Wherever a page shows a table of numbers, what stands behind them is within reach: formula, source, caution."""

import re
from urllib.parse import quote

import pytest
from playwright.sync_api import expect
from tests.app.test_every_light import keep_friction
from tests.app.test_screens import MEADOW, WAGON, SETTLED_ms, settle

KIT = "#/kit/the wagon's own kit"
# address, what stands there once it is worked out, and numbers that are told there
TOLD = {
    "rig": ("#/rigs/corner by the oak", ".answer", {"Advantage", "Ideal advantage", "Winch share", "Tension ratio k"}),
    "plan": (WAGON, ".rig.on", {"At stall", "Verdict and margin", "Travel and line", "Charge and time", "Resistance"}),
    "gear": (f"{WAGON}/gear", ".gear li", {"At stall", "Utilisation", "Limit", "Winch share", "Likely conditions"}),
    "ground": (f"{WAGON}/ground", "figure svg", {"Where nobody stands"}),
    "steps": (f"{WAGON}/pull", "table", {"Travel and line", "Charge and time", "What the cells should read"}),
    "check": (f"{WAGON}/check", "text=Read it aloud", {"What the cells should read", "At stall"}),
    "after": (f"{WAGON}/after", "text=Foretold", {"Resistance", "Seen against foretold", "At stall"}),
    "card": (f"{WAGON}/card", "img", {"At stall"}),
    "paper": (f"#/cards/{WAGON.replace('#/pulls', 'pull')}/card", "text=Download PDF", {"At stall"}),
    "cells": (f"{KIT}/cells", "text=anchor-6t", {"Due"}),
    "kit": (KIT, ".v.inside", {"Limit", "At stall", "Due", "Verdict and margin"}),
    "due": (f"{KIT}/due", "table", {"Due"}),
    "winches": (f"{KIT}/winches", "table", {"At stall", "Charge and time"}),
    "results": (MEADOW, "text=What differs", {"Same or different", "Scatter between set-ups", "Advantage"}),
    "run": (f"{MEADOW}/run/stop-ba", "text=What it rests on", {"Advantage", "Winch share", "Clock offset"}),
}  # fmt: skip
BARE = """() => [...document.querySelectorAll('main table')]
  .filter((one) => one.checkVisibility() && /\\d/.test(one.querySelector('tbody')?.textContent ?? ''))
  .filter((one) => !one.querySelector('.help') && !one.closest('section, article, details, form, main').querySelector('.help'))
  .map((one) => one.textContent.slice(0, 80))"""


@pytest.mark.parametrize("size", ["laptop", "phone"])
@pytest.mark.parametrize("view", TOLD)
def test_numbers_have_their_help_within_reach(server, opened, view, size):
    at, seen, wanted = TOLD[view]
    page = opened(server, size, quote(at, safe="#/"))
    assert helped(page, seen, size) >= wanted


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_measured_devices_have_their_help_within_reach(own_server, opened, size):
    page = opened(own_server, size, quote(MEADOW, safe="#/"))
    keep_friction(page)
    page.goto(f"{own_server.address}/{quote(f'{KIT}/devices', safe='#/')}")
    assert helped(page, "table", size) >= {"Tension ratio k"}


def helped(page, seen: str, size: str) -> set[str]:
    """Open every help of a page that is worked out; return what they are about."""
    page.locator("main").locator(seen).locator("visible=true").first.wait_for(timeout=SETTLED_ms)
    settle(page)
    assert page.evaluate(BARE) == []
    found = set()
    for button in page.locator("main button.help").locator("visible=true").all():
        button.tap() if size == "phone" else button.click()
        sheet = page.get_by_role("dialog")
        found.add(sheet.get_by_role("heading").first.inner_text())
        for words in ("How it is worked out", "Beware", re.compile("Source: .")):
            assert sheet.get_by_text(words).count(), words
        page.keyboard.press("Escape")
        expect(sheet).to_have_count(0)
    return found
