"""The Pull pages on the demo book: from an empty sheet to a brief, margins, stop, checklist, readings, what was seen."""

from __future__ import annotations

import json
import re
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from haulwright.interfaces.cli.main import main
from haulwright.publishing.wording import force

WAGON = "#/pulls/Wagon%20in%20the%20rutted%20clearing"
KIT = "the wagon's own kit"
PARTS = ("gear", "ground", "check", "pull", "after", "card")
LONG_ms = 20_000


class Hand:
    """A finger on the phone, a mouse on the laptop; counts what it does."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.finger = page.viewport_size is not None and page.viewport_size["width"] < 500
        self.taps = 0

    def tap(self, target: Locator) -> None:
        self.taps += 1
        target.scroll_into_view_if_needed()
        if self.finger:
            target.tap()
        else:
            target.click()

    def button(self, words: str | re.Pattern[str], **given: Any) -> Locator:
        return self.page.get_by_role("button", name=words, **given)

    def choose(self, word: str, option: str) -> None:
        """Touch a word of the sentence, then what it is to be."""
        self.tap(self.button(word, exact=True))
        self.tap(self.page.get_by_role("dialog").get_by_role("radio", name=option, exact=True))

    def type(self, label: str, text: str, nth: int = 0) -> None:
        self.page.get_by_role("dialog").get_by_role("textbox", name=label).nth(nth).fill(text)

    def done(self) -> None:
        self.tap(self.page.get_by_role("dialog").get_by_role("button", name="Done"))


def ready(page: Page) -> None:
    """Wait until the ranked rigs of what is typed are there."""
    expect(page.locator(".rig.on")).to_be_visible(timeout=LONG_ms)
    expect(page.locator(".progress")).to_have_count(0, timeout=LONG_ms)


def from_nothing(page: Page) -> Hand:
    """The wagon by the oak, from an empty sheet to ranked rigs."""
    hand = Hand(page)
    expect(page.get_by_text("Not yet worked out.")).to_be_visible()
    hand.tap(hand.button("how heavy?"))
    hand.type("Mass as it stands", "2.6")
    hand.done()
    hand.choose("what ground?", "gravel")
    hand.choose("how deep?", "to the rim")
    expect(page.get_by_role("heading", name=re.compile("Needs about"))).to_be_visible(timeout=LONG_ms)
    hand.tap(hand.button("which recovery points?"))
    for n in (0, 1):
        hand.tap(hand.button("Add a recovery point"))
        hand.type("Marked", "55", n)
    hand.done()
    hand.tap(hand.button("which anchor?"))
    hand.tap(page.get_by_role("radio", name="a tree"))
    hand.type("How far", "10")
    hand.type("It may be loaded with", "95")
    page.get_by_role("dialog").get_by_role("textbox", name="How far").focus()
    hand.type("Who says so", "proof pull of the ground's keeper")
    hand.done()
    hand.tap(hand.button("which kit?"))
    hand.tap(page.get_by_role("radio", name=re.compile("the wagon's own kit")))
    ready(page)
    return hand


@pytest.fixture(params=["laptop", "phone"])
def size(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_from_an_empty_sheet_to_a_ranked_plan_and_its_brief(
    server: Any, opened: Any, sound: Any, shot: Any, size: str
) -> None:
    page = opened(server, size, "#/pulls/new")
    shot(page, "pull-empty")
    sound(page)
    begun = time.monotonic()
    hand = from_nothing(page)
    shot(page, "pull-from-nothing", full=True)
    for words in ("Everyone is out and safe", "Waiting was considered", "Digging was considered"):
        hand.tap(page.get_by_role("checkbox", name=re.compile(words)))
    expect(page.get_by_text("People safe; waiting and digging considered.")).to_be_visible()
    hand.tap(page.get_by_role("link", name="Check", exact=True))
    expect(page.get_by_role("heading", name="Read it aloud")).to_be_visible()
    expect(page.locator(".brief li").first).to_contain_text("We pull vehicle 5 m ahead")
    print(f"{size}: {hand.taps} taps, {time.monotonic() - begun:.1f} s with the machine's own pace")
    assert hand.taps <= 26
    assert page.get_by_role("heading", name="Stop. Call a professional.").count() == 0


def test_what_was_typed_is_there_after_a_reload(server: Any, opened: Any, size: str) -> None:
    page = opened(server, size, "#/pulls/new")
    from_nothing(page)
    rig = page.locator(".rig.on .name b").inner_text()
    page.wait_for_timeout(400)
    page.reload()
    ready(page)
    assert page.locator(".rig.on .name b").inner_text() == rig
    expect(page.get_by_role("button", name="2.6 t")).to_be_visible()


def test_saved_pull_has_the_numbers_of_the_command_line(
    own_server: Any, opened: Any, size: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same pull, written out of the book and planned by ``plan make --json``: every figure shown is in that record."""
    page = opened(own_server, size, "#/pulls/new")
    hand = from_nothing(page)
    hand.tap(hand.button("Save to the book"))
    page.get_by_role("dialog").get_by_label("Name in the book").fill("By the oak")
    page.get_by_role("dialog").get_by_label("By", exact=True).fill("A. Sample")
    hand.tap(page.get_by_role("dialog").get_by_role("button", name="Save to the book"))
    expect(page).to_have_url(re.compile("By%20the%20oak"))
    ready(page)
    for kind, name in (("pull", "By the oak"), ("kit", KIT)):
        document = page.request.get(
            f"/api/book/documents/{kind}/{name}", headers={"Haulwright-Book": "demo"}
        ).json()
        (tmp_path / f"{kind}.yaml").write_text(document["text"], encoding="utf-8")
    main(["plan", "make", str(tmp_path / "pull.yaml"), "--kit", str(tmp_path / "kit.yaml"), "--json"])
    plan = json.loads(capsys.readouterr().out)
    shown = page.locator(".rig")
    for n, rig in enumerate(plan["candidates"][: shown.count()]):
        row = shown.nth(n)
        assert (
            row.locator(".figure").inner_text().endswith(force(rig["effort_N"]["likely"], "kN", unit=False))
        )
        assert row.locator(".boxed").inner_text().endswith(force(rig["stall_N"], "kN", unit=False))
        assert row.locator(".v").inner_text() == rig["verdict"]
    page.goto(f"{own_server.address}/#/pulls/By%20the%20oak/gear")
    expect(page.locator(".piece").first).to_be_visible(timeout=LONG_ms)
    expected = sorted(
        (force(i["load_N"]["likely"], "kN", unit=False), force(i["load_N"]["stall"], "kN", unit=False))
        for i in plan["candidates"][0]["items"]
    )
    pairs = page.locator(".piece .pair").all()
    told = [re.sub(r"Expected|At stall|over", " ", one.inner_text()).split() for one in pairs]
    assert sorted(tuple(one) for one in told) == expected
    page.goto(f"{own_server.address}/#/pulls")
    expect(page.get_by_role("link", name=re.compile("By the oak"))).to_be_visible()


def test_every_part_is_sound_in_every_light(
    server: Any, opened: Any, sound: Any, shot: Any, size: str
) -> None:
    page = opened(server, size, WAGON)
    ready(page)
    sound(page)
    shot(page, "pull-plan")
    shot(page, "pull-plan-full", full=True)
    for light in ("sun", "night"):
        page.evaluate("light => document.documentElement.dataset.light = light", light)
        sound(page)
        shot(page, f"pull-plan-{light}")
    page.evaluate("document.documentElement.dataset.light = 'paper'")
    for part in PARTS:
        page.goto(f"{server.address}/{WAGON}/{part}")
        expect(page.locator(".rigline")).to_be_visible(timeout=LONG_ms)
        if part == "card":
            expect(page.get_by_role("img", name=re.compile("as it prints"))).to_be_visible(timeout=LONG_ms)
        sound(page)
        shot(page, f"pull-{part}")
        shot(page, f"pull-{part}-full", full=True)


def test_unknown_and_over_are_said_at_the_piece_and_the_way_back_is_one_tap(
    server: Any, opened: Any, shot: Any, size: str
) -> None:
    page = opened(server, size, WAGON)
    ready(page)
    hand = Hand(page)
    first = page.locator(".rig.on .name b").inner_text()
    hand.tap(page.locator(".rig").filter(has_text="boulder").first)
    expect(page.locator(".rig.on")).to_contain_text("boulder", timeout=LONG_ms)
    ready(page)
    page.goto(f"{server.address}/{WAGON}/gear")
    boulder = page.locator(".piece").filter(has_text="anchor boulder")
    expect(boulder).to_contain_text("no rating")
    expect(boulder.locator(".v.unknown")).to_have_text("unknown")
    expect(page.get_by_text("Not yet.")).to_be_visible()
    page.goto(f"{server.address}/{WAGON}")
    ready(page)
    hand.tap(page.locator(".rig").filter(has_text="Three-part").first)
    expect(page.locator(".rig.on")).to_contain_text("Three-part", timeout=LONG_ms)
    ready(page)
    page.goto(f"{server.address}/{WAGON}/gear")
    expect(page.locator(".piece").first.locator(".verdict .v.over")).to_have_text("over")
    assert "over" in page.locator(".piece").first.locator(".loads").inner_text()
    shot(page, "pull-over")
    hand.tap(page.get_by_role("button", name="Undo"))
    hand.tap(page.get_by_role("button", name="Undo"))
    expect(page.locator(".rigline b").first).to_have_text(first, timeout=LONG_ms)


def test_a_piece_is_swapped_and_put_back(server: Any, opened: Any, size: str) -> None:
    page = opened(server, size, f"{WAGON}/gear")
    hand = Hand(page)
    shackle = page.locator(".piece").filter(has_text="shackle for strap on oak")
    expect(shackle).to_contain_text("bow shackle 28 mm", timeout=LONG_ms)
    hand.tap(shackle)
    hand.tap(hand.button(re.compile("Leave S-07 out")))
    expect(shackle).not_to_contain_text("bow shackle 28 mm", timeout=LONG_ms)
    hand.tap(hand.button("Put it back"))
    expect(shackle).to_contain_text("bow shackle 28 mm", timeout=LONG_ms)


def test_people_trapped_is_a_stop_before_anything_else(
    server: Any, opened: Any, shot: Any, size: str
) -> None:
    page = opened(server, size, WAGON)
    ready(page)
    hand = Hand(page)
    hand.tap(hand.button("no danger named"))
    hand.tap(page.get_by_role("checkbox", name="people trapped", exact=True))
    hand.done()
    stop = page.get_by_role("alert").filter(
        has=page.get_by_role("heading", name="Stop. Call a professional.")
    )
    expect(stop).to_contain_text("trapped", timeout=LONG_ms)
    assert stop.bounding_box()["y"] < page.locator(".sentence").bounding_box()["y"]
    shot(page, "pull-stop")
    hand.tap(page.get_by_role("link", name="Check", exact=True))
    expect(page.get_by_role("heading", name="Stop. Call a professional.")).to_be_visible()
    expect(page.locator(".brief li").first).to_contain_text("Stop and call a professional", timeout=LONG_ms)
    expect(page.locator(".clear")).to_contain_text("No all clear")


def test_the_checklist_is_ticked_offline_and_kept(own_server: Any, opened: Any, shot: Any, size: str) -> None:
    page = opened(own_server, size, f"{WAGON}/check", lost=True)
    hand = Hand(page)
    boxes = page.locator(".list").get_by_role("checkbox")
    expect(boxes.first).to_be_visible(timeout=LONG_ms)
    assert all(box.bounding_box()["height"] >= 56 for box in boxes.all())
    hand.tap(boxes.nth(0))
    own_server.kill()
    hand.tap(boxes.nth(1))
    hand.tap(boxes.nth(2))
    expect(page.locator(".list").get_by_role("status")).to_have_text(f"3 of {boxes.count()}")
    page.locator(".list .sticky").scroll_into_view_if_needed()
    shot(page, "pull-checklist")
    page.get_by_label("Winch line reads").fill("8.0")
    page.get_by_label("Anchor reads").fill("14.6")
    hand.tap(hand.button("As drawn?"))
    expect(page.get_by_text("has not answered since")).to_be_visible(timeout=LONG_ms)
    own_server.start()
    expect(page.get_by_text("has not answered since")).to_have_count(0, timeout=LONG_ms)
    expect(page.locator(".told .v").first).to_be_visible(timeout=LONG_ms)
    page.wait_for_timeout(400)
    page.reload()
    expect(page.locator(".list").get_by_role("status")).to_have_text(re.compile("^3 of"), timeout=LONG_ms)
    expect(page.get_by_label("Winch line reads")).to_have_value("8.0")


def test_ticks_of_another_day_are_no_all_clear(server: Any, opened: Any) -> None:
    page = opened(server, "phone", f"{WAGON}/check")
    box = page.locator(".list").get_by_role("checkbox").first
    expect(box).to_be_visible(timeout=LONG_ms)
    Hand(page).tap(box)
    page.wait_for_timeout(400)
    page.clock.set_fixed_time(datetime.now() + timedelta(days=1))
    page.reload()
    expect(page.locator(".clear")).to_contain_text("not today", timeout=LONG_ms)
    expect(page.get_by_role("heading", name="Before any rig")).to_be_visible()


WORDS = (
    "wagon", "gravel", "sunk to the rim", "4° uphill", "2 points, 55 kN WLL", "oak 10 m ahead, good for 95 kN",
    "another anchor", "the wagon's winch", KIT, "no danger named", "3 m ahead",
)  # fmt: skip


def test_every_word_opens_a_sheet_that_is_sound_and_closes_by_key(
    server: Any, opened: Any, sound: Any, shot: Any, size: str
) -> None:
    page = opened(server, size, WAGON)
    ready(page)
    for n, words in enumerate(WORDS):
        word = page.get_by_role("button", name=words, exact=True)
        word.focus()
        page.keyboard.press("Enter")
        dialog = page.get_by_role("dialog")
        expect(dialog).to_be_visible()
        sound(page)
        shot(page, f"pull-sheet-{n}")
        page.keyboard.press("Escape")
        expect(dialog).to_have_count(0)
        expect(page.locator(":focus")).to_have_text(words)


def test_two_readings_tell_a_rig_as_drawn_from_swapped_cells(
    server: Any, opened: Any, sound: Any, shot: Any, size: str
) -> None:
    """A two-part to the oak: the anchor reads nearly twice the line; exchanged cells read nearly half of it."""
    page = opened(server, size, f"{WAGON}/check")
    hand = Hand(page)
    expect(page.get_by_label("Winch line reads")).to_be_visible(timeout=LONG_ms)
    page.get_by_label("Winch line reads").fill("8.0")
    page.get_by_label("Anchor reads").fill("14.9")
    hand.tap(hand.button("As drawn?"))
    expect(page.locator(".told .word .v")).to_have_text("as drawn", timeout=LONG_ms)
    page.get_by_label("Winch line reads").fill("14.9")
    page.get_by_label("Anchor reads").fill("8.0")
    assert page.locator(".told").count() == 0, "a verdict on other readings stays"
    hand.tap(hand.button("As drawn?"))
    expect(page.locator(".told .word .v")).to_have_text("suspect", timeout=LONG_ms)
    expect(
        page.locator(".told tr.fits").filter(has_text=re.compile("swap|exchang", re.IGNORECASE))
    ).to_be_visible()
    sound(page)
    page.locator(".told").scroll_into_view_if_needed()
    shot(page, "pull-readings")


def test_what_was_seen_is_kept_with_the_pull(
    own_server: Any, opened: Any, sound: Any, shot: Any, size: str
) -> None:
    page = opened(own_server, size, f"{WAGON}/after")
    hand = Hand(page)
    page.get_by_label("Winch line, while it moved").fill("14.2 ± 0.6")
    page.get_by_label("By", exact=True).fill("A. Sample")
    hand.tap(hand.button("Keep it in the book"))
    expect(page.get_by_role("heading", name=re.compile("It asked for"))).to_be_visible(timeout=LONG_ms)
    expect(page.locator(".told tbody tr")).to_have_count(2)
    sound(page)
    shot(page, "pull-seen", full=True)
    book = page.request.get("/api/book", headers={"Haulwright-Book": "demo"}).json()
    assert [one["who"] for one in book["seen"]] == ["A. Sample"]
    page.reload()
    expect(page.get_by_role("heading", name="Kept so far")).to_be_visible(timeout=LONG_ms)


def test_own_pulls_are_one_more_rule_once_there_are_enough(
    own_server: Any, opened: Any, sound: Any, size: str
) -> None:
    page = opened(own_server, size, WAGON)
    hand = Hand(page)
    own = page.get_by_role("checkbox", name="Count what my own pulls have shown")
    rule = page.get_by_role("button", name=re.compile("own pulls"))
    hand.tap(own)
    expect(own).to_contain_text(
        "The book has nothing seen yet on a pull with this surface and depth.", timeout=LONG_ms
    )
    expect(rule).to_have_count(0)
    demo = {"Haulwright-Book": "demo"}
    at = "/api/book/documents/pull"
    content = page.request.get(f"{at}/Wagon in the rutted clearing", headers=demo).json()["content"]
    for n, line in enumerate(("15.1 kN", "14.2 kN", "16.0 kN")):
        name = f"another day {n}"
        told = json.loads(json.dumps(content).replace('"wagon"', f'"wagon {n}"'))
        whole = {"content": {**told, "pull": name}, "by": "A. Sample", "why": "", "version": None}
        assert page.request.put(f"{at}/{name}", data=whole, headers=demo).ok
        asked = {"pull": name, "line": line, "by": "A. Sample"}
        kept = page.request.post("/api/plan/seen", data=asked, headers=demo, timeout=LONG_ms)
        assert kept.ok, kept.text()
    page.reload()
    expect(own).to_contain_text("Own pulls stand among the rules above", timeout=LONG_ms)
    expect(own).to_have_attribute("aria-checked", "true")
    hand.tap(rule)
    expect(rule).to_have_attribute("aria-pressed", "true")
    stuck = {
        key: value for key, value in content["vehicle"].items() if key not in ("points", "spacing", "hazards")
    }
    asked = {"pull": {"vehicle": stuck, "ground": content["ground"]}, "own": "book", "rule": "own pulls"}
    told = page.request.post("/api/resistance", data=asked, headers=demo).json()
    likely = next(one["likely_N"] for one in told["rules"] if one["name"] == "own pulls") / 1000
    expect(page.get_by_role("heading", name=re.compile(f"Needs about {likely:.1f}"))).to_be_visible(
        timeout=LONG_ms
    )
    sound(page)
    hand.tap(own)
    expect(rule).to_have_count(0, timeout=LONG_ms)


def test_units_change_every_figure_at_once(server: Any, opened: Any, size: str) -> None:
    page = opened(server, size, WAGON)
    ready(page)
    hand = Hand(page)
    before = page.locator(".rig.on .figure").inner_text()
    if hand.finger:
        hand.tap(page.get_by_role("button", name=re.compile("Settings")))
    hand.tap(page.get_by_role("radio", name="lbf", exact=True).first)
    expect(page.get_by_role("heading", name=re.compile(r"Needs about .*lbf"))).to_be_visible()
    expect(page.locator(".rig.on .figure")).not_to_have_text(before)
    expect(page.locator(".notices").first).to_contain_text("lbf", timeout=LONG_ms)
