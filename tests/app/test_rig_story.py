"""Rigs drawn from bare ground by tapping: several winches, blocks that find their place, friction with its range, refusals."""

import json

import pytest
from tests.app.test_rig_page import SIZES, answer, changed, dragged, press, ready, taken_along

from haulwright.interfaces.cli.main import main


def tap(page, size, *names):
    for name in names:
        hold = page.locator(f'[data-hold="body:{name}"], [data-hold="block:{name}"]').first
        hold.tap() if size == "phone" else hold.click()


def led(page, size, *names, another=False):
    press(page, "Lead a line", size)
    if another:
        press(page, "Its first point carries another winch", size)
    tap(page, size, *names)
    press(page, "It ends here", size)


def placed(page, size, what):
    press(page, what, size)
    press(page, "Put it on the sheet", size)
    page.wait_for_timeout(600)


def said(page, label, text):
    word = page.get_by_label(label, exact=True)
    word.fill(text)
    word.press("Enter")


def on_command_line(path, capsys):
    capsys.readouterr()
    assert main(["rig", "solve", str(path), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def kept(page, server, name, rig):
    content = {"content": rig, "by": "A. Sample", "why": "", "version": None}
    assert page.request.put(f"{server.address}/api/book/documents/rig/{name}", data=content).ok


@pytest.mark.parametrize("size", SIZES)
def test_a_second_winch_is_led_from_an_anchor_and_pulls_what_is_said(
    own_server, opened, sound, shot, size, tmp_path, capsys
):
    page = opened(own_server, size, "#/rigs/new", book="own")
    page.get_by_role("alert").get_by_text("Nothing is connected to be pulled").wait_for()
    placed(page, size, "Place an anchor")
    led(page, size, "truck", "tree", "truck")
    ready(page)
    alone = answer(page)
    led(page, size, "tree 2", "truck", another=True)
    page.get_by_role("alert").get_by_text("State the line_pull of one of them").wait_for()
    assert page.locator(".answer, .ledger").count() == 0
    said(page, "Line pull of winch 2", "6 kN")
    page.locator('[data-row="drum:winch 2"] td.e').wait_for()
    page.get_by_text("No advantage: it is load ÷ effort of one winch").wait_for()
    sound(page)
    shot(page, "rig-two-winches")
    path = tmp_path / "two.yaml"
    taken_along(page, size, "Rig file, YAML").save_as(path)
    effort = on_command_line(path, capsys)["effort_N"]
    assert effort["winch 2"] == pytest.approx(6000.0)
    for name, newtons in effort.items():
        shown = page.locator(f'[data-row="drum:{name}"] td.e').inner_text().split()[0]
        assert float(shown) == pytest.approx(newtons / 1000.0, abs=0.006)
    page.locator('[data-row="part:winch line 2:0"] button').click()
    press(page, "Take winch line 2 out", size)
    ready(page)
    assert answer(page) == pytest.approx(alone)


@pytest.mark.parametrize("size", SIZES)
def test_a_ratio_typed_without_its_range_says_so_and_one_typed_rides_along(
    own_server, opened, sound, size, tmp_path, capsys
):
    page = opened(own_server, size, "#/rigs/new?from=three-part/on-load", book="own")
    ready(page)
    begun = answer(page)
    page.get_by_label("Friction of").select_option("typed")
    changed(page, begun)
    said(page, "Tension ratio k", "1.07")
    said(page, "Half the 95 % interval of k", "")
    page.get_by_text("No number gets a range: the ratio was typed without ±.").wait_for()
    page.get_by_text("No range: the ratio was typed without ±").last.wait_for()
    assert page.locator(".pm, .ledger .range").count() == 0
    sound(page)
    said(page, "Half the 95 % interval of k", "0.02")
    page.locator(".pm").wait_for()
    assert page.locator('[data-row="drum:winch"] .range').count() == 1
    path = tmp_path / "rig.yaml"
    taken_along(page, size, "Rig file, YAML").save_as(path)
    printed = on_command_line(path, capsys)
    assert answer(page) == pytest.approx(printed["advantage"], rel=1e-9)
    half = float(page.locator(".pm").inner_text().split()[1])
    lo, hi = printed["uncertainty"]["advantage"]["interval95"]
    assert half == pytest.approx((hi - lo) / 2.0, rel=0.06)


FLOATS = {
    "rig": "block between lines",
    "mode": "ground",
    "sheaves": {"law": "by-wrap", "k": 1.07},
    "anchors": {"oak": {"at": ["0 m", "3 m"]}, "elm": {"at": ["0 m", "-3 m"]}},
    "load": {"name": "truck", "at": ["16 m", "0 m"], "direction": [-1, 0], "resistance": "20 kN"},
    "blocks": {"link": {"floating": True, "near": ["3 m", "0 m"]}},
    "lines": {
        "bridle": {"standing": "oak", "through": ["link"], "to": "elm", "length": "9 m"},
        "winch line": {"standing": "link.becket", "fall": "winch"},
    },
    "winch": {"on": "truck", "stall": "40 kN"},
}


@pytest.mark.parametrize("size", SIZES)
def test_a_block_that_finds_its_place_says_why_it_does_not_follow(
    own_server, opened, sound, shot, touch, size
):
    page = opened(own_server, size, "#/rigs", book="own")
    kept(page, own_server, "between", FLOATS)
    page.goto(f"{own_server.address}/#/rigs/between")
    page.locator('[data-hold="block:link"]').wait_for()
    page.wait_for_timeout(500)
    bridle = page.locator('[data-row="part:bridle:0"] td.e').inner_text()
    dragged(page, size, touch, "block:link", 40, 30)
    page.get_by_role("status").get_by_text("link does not follow the hand").wait_for()
    assert page.locator('[data-row="part:bridle:0"] td.e').inner_text() == bridle
    sound(page)
    shot(page, "rig-stays")
    said(page, "Length of bridle", "14 m")
    for _ in range(100):
        page.wait_for_timeout(50)
        if page.locator('[data-row="part:bridle:0"] td.e').inner_text() != bridle:
            break
    assert (
        page.locator('[data-row="part:bridle:0"] td.e').inner_text() != bridle
    )  # a longer bridle carries less


@pytest.mark.parametrize("size", SIZES)
def test_what_cannot_work_is_refused_in_words_without_a_number(own_server, opened, sound, size):
    page = opened(own_server, size, "#/rigs/new", book="own")
    alert = page.get_by_role("alert")
    alert.get_by_text("Nothing is connected to be pulled").wait_for()
    placed(page, size, "Place an anchor")
    led(page, size, "truck", "tree", "truck")
    ready(page)
    begun = answer(page)
    told = []
    for names, another in (
        (("tree 2", "truck"), False),
        (("tree 2", "truck"), True),
        (("tree 2", "tree"), True),
    ):
        led(page, size, *names, another=another)
        alert.first.wait_for()
        page.wait_for_timeout(400)
        told.append(alert.first.inner_text())
        assert page.locator(".answer, .ledger").count() == 0
        assert page.locator(".ground .refused circle").count() >= 1
        sound(page)
        alert.get_by_role("button", name="Undo").first.click()
        ready(page)
        assert answer(page) == begun
    placed(page, size, "Place a free block")
    alert.first.wait_for()
    told.append(alert.first.inner_text())
    alert.get_by_role("button", name="Undo").first.click()
    ready(page)
    press(page, "Lead a line", size)
    tap(page, size, "truck", "truck")
    press(page, "It ends here", size)
    alert.get_by_text("the same place").wait_for()
    told.append(alert.first.inner_text())
    assert len(set(told)) == len(told)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("light", ["Sun", "Night"])
def test_a_rig_is_sound_in_other_lights(server, opened, sound, shot, size, light):
    page = opened(server, size, "#/rigs/corner%20by%20the%20oak")
    ready(page)
    page.evaluate("light => document.documentElement.dataset.light = light", light.lower())
    page.wait_for_timeout(300)
    sound(page)
    shot(page, f"rig-{light.lower()}", full=True)


@pytest.mark.parametrize("size", SIZES)
def test_a_rig_whose_figures_find_no_place_is_drawn_and_moved_on(own_server, opened, sound, touch, size):
    page = opened(own_server, size, "#/rigs", book="own")
    crowded = FLOATS | {
        "anchors": {"oak": {"at": ["0 m", "0 m"]}, "elm": {"at": ["3 m", "0 m"]}},
        "blocks": {"B1": {"on": "oak"}},
        "load": FLOATS["load"] | {"at": ["12 m", "0 m"]},
        "lines": {"winch line": {"standing": "truck", "through": ["B1"], "fall": "winch"}},
    }
    kept(page, own_server, "crowded", crowded)
    page.goto(f"{own_server.address}/#/rigs/crowded")
    page.locator(".answer").wait_for()
    page.locator('[data-hold="body:elm"]').wait_for()
    if size == "phone":
        page.get_by_text("move things apart").wait_for()
        sound(page)
        dragged(page, size, touch, "body:elm", 70, 0)
        page.get_by_text("move things apart").wait_for(state="detached")
    assert page.locator(".ground svg").get_by_text("truck").count()
