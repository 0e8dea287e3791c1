"""The laptop is out of reach: said in words, nothing typed is lost, last numbers are stale, all of it catches up."""

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

import pytest

BOTH = pytest.mark.parametrize("size", ["laptop", "phone"])
LOST_ms = 20_000  # a beat, its patience and the machine under load
PULL = "#/pulls/Wagon%20in%20the%20rutted%20clearing"
LINE = "or write a rig in one line, drum first"


def lost(page):
    return page.get_by_text(re.compile("has not answered since|has not been reached since"))


def until(true, within_s=30):
    end = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < end
        time.sleep(0.1)


def choose(page, name):
    """Choose a unit, a light or words, on the phone in the settings sheet."""
    phone = page.viewport_size["width"] < 500
    if phone:
        page.get_by_role("button", name="Settings").click()
    page.get_by_role("radio", name=name, exact=True).click()
    if phone:
        page.get_by_role("button", name="Close").click()


@BOTH
def test_it_is_told_without_being_asked_and_taken_back_by_itself(own_server, opened, sound, shot, size):
    page = opened(own_server, size, book="own", lost=True)
    page.get_by_role("heading", name="An empty sheet").wait_for()
    own_server.kill()
    lost(page).wait_for(timeout=LOST_ms)
    said = page.get_by_role("region", name="What holds for every sheet now").inner_text()
    assert re.search(r"since \d\d:\d\d:\d\d", said)
    assert "What you type is kept on this device" in said
    sound(page)
    shot(page, "lost")
    own_server.start()
    lost(page).wait_for(state="hidden", timeout=LOST_ms)


@BOTH
def test_typing_goes_on_and_nothing_is_lost_by_kill_reload_or_start(own_server, opened, size):
    page = opened(own_server, size, book="own", lost=True)
    line = page.get_by_label(LINE)
    line.press_sequentially("!truck.drum > ")
    own_server.kill()
    line.press_sequentially("tree > ")
    lost(page).wait_for(timeout=LOST_ms)
    line.press_sequentially("truck")
    assert line.input_value() == "!truck.drum > tree > truck"
    own_server.start()
    lost(page).wait_for(state="hidden", timeout=LOST_ms)
    assert line.input_value() == "!truck.drum > tree > truck"
    page.reload()
    assert page.get_by_label(LINE).input_value() == "!truck.drum > tree > truck"


@BOTH
def test_last_numbers_stay_marked_stale_with_their_time_and_catch_up(own_server, opened, sound, shot, size):
    page = opened(own_server, size, PULL, lost=True)
    main = page.locator("main")
    numbers = main.locator(".boxed").locator("visible=true")
    numbers.first.wait_for(timeout=30_000)
    name = page.get_by_label("Name of the pull")
    own_server.kill()
    name.press_sequentially(" again")
    choose(page, "kgf")
    main.get_by_text(
        re.compile(r"stale.*from \d\d?:\d\d.*not yet worked out", re.DOTALL | re.IGNORECASE)
    ).first.wait_for(timeout=LOST_ms)
    assert main.locator(".stale").count() > 0
    lost(page).wait_for(timeout=LOST_ms)
    sound(page)
    shot(page, "stale")
    name.press_sequentially(" today")
    own_server.start()
    lost(page).wait_for(state="hidden", timeout=LOST_ms)
    until(lambda: main.locator(".stale").count() == 0)
    assert name.input_value().endswith(" again today")
    page.reload()
    numbers.first.wait_for(timeout=30_000)
    assert name.input_value().endswith(" again today")


def test_on_the_laptop_the_pages_open_with_the_program_stopped_and_no_number_is_shown_as_fresh(
    own_server, opened, sound
):
    page = opened(own_server, "laptop", "#/kit", lost=True)
    numbers = page.locator("main .boxed").locator("visible=true")
    numbers.first.wait_for(timeout=30_000)
    until(lambda: page.evaluate("!!navigator.serviceWorker.controller"))
    kept = page.evaluate(
        "caches.keys().then(names => Promise.all(names.map(name => caches.open(name).then(one => one.keys()))))"
        ".then(all => all.flat().map(one => new URL(one.url).pathname))"
    )
    assert "/" in kept
    assert not [path for path in kept if path != "/" and not path.startswith("/assets/")]
    own_server.kill()
    page.reload()
    lost(page).wait_for(timeout=LOST_ms)
    page.locator("main h1").first.wait_for()
    fresh = page.evaluate(
        "[...document.querySelectorAll('main :is(.boxed, .figure, td.n)')]"
        ".filter(one => /\\d/.test(one.textContent) && !one.closest('.stale')).map(one => one.textContent)"
    )
    assert fresh == []
    sound(page)
    own_server.start()
    lost(page).wait_for(state="hidden", timeout=LOST_ms)
    numbers.first.wait_for(timeout=30_000)


def test_a_device_that_keeps_nothing_says_so(server, opened, sound):
    page = opened(server, "phone", book="own")
    page.evaluate(
        "() => { Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') } }"
    )
    page.get_by_label(LINE).press_sequentially("!truck")
    page.get_by_text("This device keeps nothing more for these pages.").wait_for()
    assert page.get_by_label(LINE).input_value() == "!truck"
    sound(page)


class OpenServer:
    """A server that lets devices in by a code, which changes with every start."""

    def __init__(self, folder):
        self.folder, self.log = folder, folder / "server.log"
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"

    def start(self):
        env = {
            **os.environ,
            "HAULWRIGHT_BOOK": str(self.folder / "book.sqlite"),
            "XDG_DATA_HOME": str(self.folder),
        }
        command = [sys.executable, "-m", "haulwright", "serve", "--port", str(self.port), "--open-to-network"]
        with self.log.open("wb") as out:
            self.process = subprocess.Popen(
                command, env=env, cwd=self.folder, stdout=out, stderr=out, start_new_session=True
            )
        for _ in range(300):
            with contextlib.suppress(OSError):
                urllib.request.urlopen(f"{self.address}/enter", timeout=5).close()
                return self
            time.sleep(0.1)
        raise RuntimeError(self.log.read_text())

    def kill(self):
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    @property
    def code(self):
        return re.findall(r"enter\?code=([\w-]+)", self.log.read_text())[-1]


PHONE = {"viewport": {"width": 360, "height": 780}, "has_touch": True, "is_mobile": True}


def test_a_phone_that_is_not_known_any_more_says_what_to_do_and_keeps_what_was_typed(
    chromium, built, tmp_path, sound
):
    server = OpenServer(tmp_path).start()
    try:
        page = chromium.new_context(**PHONE).new_page()

        def enter():
            page.goto(f"{server.address}/enter?code={server.code}")
            page.get_by_role("button", name="Open").click()
            page.get_by_role("heading", name="An empty sheet").wait_for()

        enter()
        page.get_by_label(LINE).press_sequentially("!truck.drum > tree")
        server.kill()
        server.start()
        page.get_by_text("The laptop does not know this device any more.").wait_for(timeout=LOST_ms)
        page.get_by_text("Scan the code that stands in the terminal there.").wait_for()
        sound(page)
        enter()
        assert page.get_by_label(LINE).input_value() == "!truck.drum > tree"
        assert page.get_by_text("does not know this device").count() == 0
    finally:
        server.kill()


def test_a_reading_whose_answer_was_lost_is_kept_once(own_server, opened):
    page = opened(own_server, "phone", "#/pulls/Wagon%20in%20the%20rutted%20clearing/after", lost=True)
    page.get_by_label("Winch line, while it moved").fill("14.2 ± 0.6")
    page.get_by_label("By", exact=True).fill("A. Sample")
    lost = []

    def cut(route):
        if not lost:
            lost.append(route.fetch().status)  # the program heard it and kept it; nobody hears its answer
            route.abort()
        else:
            route.continue_()

    page.route("**/api/plan/seen", cut)
    page.get_by_role("button", name="Keep it in the book").tap()
    page.get_by_text("newer version").or_(page.get_by_role("heading", name="Kept so far")).first.wait_for(
        timeout=40_000
    )
    page.wait_for_timeout(3000)
    book = page.request.get("/api/book", headers={"Haulwright-Book": "demo"}).json()
    assert lost
    assert lost[0] < 300
    assert [one["who"] for one in book["seen"]] == ["A. Sample"]
    page.get_by_role("heading", name="Kept so far").wait_for(timeout=20_000)
