"""Every page as a user meets it: settled on the demo book, sound at both sizes; docs/app.md shows these pictures."""

import re
from urllib.parse import quote

import pytest
from playwright.sync_api import expect

BOTH = pytest.mark.parametrize("size", ["laptop", "phone"])
SETTLED_ms = 40_000  # a campaign is measured when it is first looked at
MEADOW = "#/trials/at/meadow (invented)"
WAGON = "#/pulls/Wagon in the rutted clearing"
VIEWS = {  # address, and what stands there once it is worked out
    "first": ("#/", "text=An empty sheet"),
    "rigs": ("#/rigs", "text=Kept in the book"),
    "rigs-one": ("#/rigs/three-part self-recovery", "text=actual advantage"),
    "rigs-ground": ("#/rigs/corner by the oak", "text=actual advantage"),
    "trials": ("#/trials", "text=Bring a campaign folder"),
    "trials-results": (MEADOW, "text=What differs"),
    "trials-sheet": (f"{MEADOW}/sheet", "text=Every run of the sheet has its logs."),
    "trials-run": (f"{MEADOW}/run/stop-ba", "text=What it rests on"),
    "pulls": ("#/pulls", "text=Round the oak"),
    "pulls-plan": (WAGON, ".rig.on"),
    "pulls-gear": (f"{WAGON}/gear", ".gear li"),
    "pulls-ground": (f"{WAGON}/ground", "figure svg"),
    "pulls-check": (f"{WAGON}/check", "text=Read it aloud"),
    "kit": ("#/kit/the wagon's own kit", ".v.inside"),
    "cards": ("#/cards", "text=Field card"),
    "cards-card": ("#/cards/pull/Wagon in the rutted clearing/card", "text=Download PDF"),
}


def settle(page):
    """Wait until nothing is being worked out, fetched or drawn any more."""
    expect(page.locator("main .progress, main progress")).to_have_count(0, timeout=SETTLED_ms)
    expect(page.locator("main")).not_to_contain_text(
        re.compile(r"Working …|Drawing the traces"), timeout=SETTLED_ms
    )
    page.wait_for_load_state("networkidle")
    page.evaluate("document.fonts.ready.then(() => true)")


@BOTH
@pytest.mark.parametrize("view", VIEWS)
def test_a_page_settles_and_is_sound(server, opened, sound, shot, view, size):
    at, seen = VIEWS[view]
    page = opened(server, size, quote(at, safe="#/"), book="own" if view == "first" else "demo")
    page.locator("main").locator(seen).locator("visible=true").first.wait_for(timeout=SETTLED_ms)
    settle(page)
    assert not page.locator("main .v.refused").is_visible(), "refused where nothing is wrong"
    sound(page)
    shot(page, view)


@BOTH
def test_a_lost_laptop_leaves_the_last_numbers_marked_stale(own_server, opened, sound, shot, size):
    page = opened(own_server, size, quote(WAGON, safe="#/"), lost=True)
    page.locator(".rig.on").wait_for(timeout=SETTLED_ms)
    settle(page)
    own_server.kill()
    page.get_by_text(re.compile("has not answered since|has not been reached since")).wait_for(
        timeout=SETTLED_ms
    )
    assert page.locator(".rig.on").is_visible()
    page.locator("main .stale").locator("visible=true").first.wait_for()
    sound(page)
    shot(page, "pulls-lost")
