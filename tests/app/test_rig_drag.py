"""While a thing is dragged on the page of rigs: every number follows, also in a drawing that is late."""

import json

import pytest
from tests.app.test_rig_page import middle, ready


def test_numbers_in_a_late_drawing_are_those_of_the_ledger(server, opened):
    page = opened(server, "laptop", "#/rigs/corner%20on%20a%20strap")
    ready(page)
    page.wait_for_timeout(500)

    def late(route):
        if json.loads(route.request.post_data).get("draw") is False:
            route.continue_()  # the drawings of this drag never come

    page.route("**/api/rig/sheet", late)
    ledger = page.locator('[data-row="body:oak"] td.e')
    drawn = page.locator('.ground g[data-of="body:oak"] [data-figure="expected"]')
    part = page.locator('.ground g[data-of="part:winch line:1"] [data-figure="expected"]')
    stall = page.locator('.ground g[data-of="body:oak"] [data-figure="stall"]')
    before = drawn.text_content(), part.text_content(), stall.text_content()
    assert before[0] == ledger.inner_text().split()[0]
    x, y = middle(page, "body:helper")
    page.mouse.move(x, y)
    page.mouse.down()
    for n in range(1, 21):
        page.mouse.move(x + 4 * n, y + 3 * n)
        page.wait_for_timeout(20)
    page.wait_for_timeout(400)
    now = drawn.text_content(), part.text_content(), stall.text_content()
    assert all(a != b for a, b in zip(before, now, strict=True))
    assert now[0] == ledger.inner_text().split()[0]
    assert now[1] == page.locator('[data-row="part:winch line:1"] td.e').inner_text().split()[0]
    assert now[2] == page.locator('[data-row="body:oak"] td.s').inner_text().split()[0]
    page.unroute_all(behavior="ignoreErrors")
    page.mouse.up()


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_what_was_let_go_of_is_what_is_drawn_and_told(server, opened, touch, size):
    """After many questions abreast the last one stands, in the ledger and in the drawing."""
    page = opened(server, size, "#/rigs/corner%20on%20a%20strap")
    ready(page)
    x, y = middle(page, "body:helper")
    way = [(x + 3 * n, y - 2 * n if n < 12 else y - 48 + 2 * n) for n in range(24)]
    if size == "phone":
        touch(page, *way)
    else:
        page.mouse.move(x, y)
        page.mouse.down()
        for point in way[1:]:
            page.mouse.move(*point)
        page.mouse.up()
    page.wait_for_timeout(1500)
    file = page.evaluate("Object.entries(localStorage).find(([key]) => key.includes('rig.corner'))[1]")
    doc = json.loads(file)
    doc = doc.get("value", doc)["doc"]
    assert doc["anchors"]["helper"]["at"] != [3, 11]
    told = page.request.post(f"{server.address}/api/rig/sheet", data={"rig": doc, "draw": False}).json()
    answer = float(page.locator(".answer").get_attribute("data-answer"))
    assert answer == pytest.approx(told["answer"]["advantage"]["value"], rel=1e-12)
    oak = next(row for row in told["loads"] if row["of"] == "body:oak")
    drawn = page.locator('.ground g[data-of="body:oak"] [data-figure="expected"]').text_content()
    assert float(drawn) == pytest.approx(oak["expected_N"] / 1000, abs=0.06)


def test_a_drawing_keeps_its_own_unit_while_the_laptop_is_away(own_server, opened):
    page = opened(own_server, "laptop", "#/rigs/corner%20on%20a%20strap", lost=True)
    ready(page)
    page.wait_for_timeout(500)
    drawn = page.locator('.ground g[data-of="body:oak"] [data-figure="expected"]')
    before = drawn.text_content()
    own_server.kill()
    page.get_by_role("radio", name="lbf").click()
    page.wait_for_timeout(1500)
    caption = page.locator(".ground svg").first.text_content()
    assert "kN; boxed" in caption
    assert drawn.text_content() == before
    own_server.start()
    page.get_by_text("lbf; boxed").wait_for(timeout=40_000)
    assert page.locator('[data-row="body:oak"] td.e').inner_text().startswith(drawn.text_content())
    assert drawn.text_content() != before
