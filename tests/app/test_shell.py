"""The head, the first page, and what is chosen for all pages."""

import pytest

SHEETS = ["Rigs", "Trials", "Pulls", "Kit", "Cards"]


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_the_first_page_is_an_empty_sheet_with_its_ways_in(server, opened, sound, shot, size):
    page = opened(server, size, book="own")
    page.get_by_role("heading", name="An empty sheet").wait_for()
    for way in ("Draw a rig", "Read a log", "Plan a pull"):
        assert page.get_by_role("link", name=way).is_visible()
    sound(page)
    shot(page, "first")


@pytest.mark.parametrize("size", ["laptop", "phone"])
@pytest.mark.parametrize("sheet", SHEETS)
def test_every_sheet_opens_from_the_head_and_is_sound(server, opened, sound, size, sheet):
    page = opened(server, size)
    head = page.get_by_role(
        "navigation", name="Sheets", exact=True
    )  # a sheet may have "Sheets of this kit" of its own
    head.get_by_role("link", name=sheet, exact=True).click()
    page.locator("main h1").first.wait_for()
    assert head.locator("[aria-current=page]").inner_text() == sheet
    sound(page)


@pytest.mark.parametrize("light", ["Sun", "Night"])
@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_a_light_is_chosen_and_kept(server, opened, sound, size, light):
    page = opened(server, size)
    if size == "phone":
        page.get_by_role("button", name="Settings").click()
    page.get_by_role("radio", name=light).click()
    page.reload()
    page.locator("main h1").first.wait_for()
    assert page.evaluate("document.documentElement.dataset.light") == light.lower()
    sound(page)


def test_an_address_of_no_sheet_says_so(server, opened):
    page = opened(server, "laptop", "#/nowhere")
    page.get_by_role("heading", name="There is no such sheet.").wait_for()
