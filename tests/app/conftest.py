"""The app in a real browser: a server with a throw-away book, pages at laptop and phone size, and what every page must keep.

Every page opened here fails its test where it asks another host, logs an error, or leaves an exception uncaught.
"""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from haulwright.interfaces.web.front import app_folder

ROOT = Path(__file__).parents[2]
AXE = ROOT / "frontend" / "node_modules" / "axe-core" / "axe.min.js"
SIZES: dict[str, dict[str, Any]] = {
    "laptop": {"viewport": {"width": 1440, "height": 900}},
    "phone": {
        "viewport": {"width": 360, "height": 780},
        "device_scale_factor": 2,
        "has_touch": True,
        "is_mobile": True,
    },
}
SETTINGS = '{{"units":"kN","light":"paper","words":"UK","book":"{book}"}}'


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


class Server:
    """A server of its own, with a book of its own; can be killed and started again on the same port."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.folder, self.options = folder, options
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def book(self) -> Path:
        """Its own book."""
        return self.folder / "book.sqlite"

    def start(self) -> Server:
        """Start it and wait until it answers."""
        env = {**os.environ, "HAULWRIGHT_BOOK": str(self.book), "XDG_DATA_HOME": str(self.folder)}
        with (self.folder / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "haulwright", "serve", "--port", str(self.port), *self.options],
                env=env, cwd=self.folder, stdout=log, stderr=log, start_new_session=True,
            )  # fmt: skip
        for _ in range(300):
            with contextlib.suppress(OSError):
                urllib.request.urlopen(f"{self.address}/api/alive", timeout=5).close()
                return self
            if self.process.poll() is not None:
                break
            time.sleep(0.1)
        raise RuntimeError(f"no server:\n{(self.folder / 'server.log').read_text()}")

    def kill(self) -> None:
        """Take it away at once, with every process it started, as a laptop that is shut."""
        if self.process is not None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None


@pytest.fixture(scope="session")
def built() -> Path:
    """The built pages; where they are not there, tests of them fail or are left out as those without a browser."""
    if not (app_folder() / "index.html").is_file():
        words = "the pages are not built: python3 start.py setup"
        if os.environ.get("HAULWRIGHT_BROWSER") == "required":
            pytest.fail(words)
        pytest.skip(words)
    return app_folder()


@pytest.fixture(scope="session")
def server(chromium: Any, built: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for all tests that leave it running."""
    made = Server(tmp_path_factory.mktemp("app")).start()
    yield made
    made.kill()


@pytest.fixture
def own_server(chromium: Any, built: Path, tmp_path: Path) -> Iterator[Server]:
    """A server of one test, which may kill it."""
    made = Server(tmp_path).start()
    yield made
    made.kill()


@pytest.fixture
def opened(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Open a page: ``opened(server, "phone", "#/kit", book="demo")``; its promises are checked at the end."""
    contexts, faults = [], []

    def open_page(
        server: Server, size: str, at: str = "#/", *, book: str = "demo", lost: bool = False
    ) -> Any:
        context = chromium.new_context(base_url=server.address, accept_downloads=True, **SIZES[size])
        contexts.append(context)
        chosen = SETTINGS.format(book=book)
        context.add_init_script(
            "localStorage.getItem('haulwright.settings') ?? "
            f"localStorage.setItem('haulwright.settings', '{chosen}')"
        )
        page = context.new_page()
        page.on(
            "request", lambda one: faults.append(f"asks {one.url}") if _foreign(one.url, server) else None
        )
        page.on("pageerror", lambda problem: faults.append(f"uncaught: {problem}"))
        page.on("console", lambda one: faults.append(f"console: {one.text}") if _bad(one, lost) else None)
        page.goto(f"{server.address}/{at}")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert faults == []


def _foreign(url: str, server: Server) -> bool:
    return not url.startswith((f"{server.address}/", "data:", "blob:"))


def _bad(message: Any, lost: bool) -> bool:
    """A refusal is an answer, which a browser logs as a failed request; so is a lost laptop where one is meant."""
    refused = re.search(r"status of (?:4\d\d|503)", message.text)
    away = lost and ("net::ERR_" in message.text or "when fetching the script" in message.text)
    return message.type == "error" and not refused and not away


@pytest.fixture
def sound() -> Callable[[Any], None]:
    """Hold a page to what all pages promise: axe finds nothing, no side scroll, targets of 48 px on a phone."""

    def check(page: Any) -> None:
        page.evaluate(AXE.read_text(encoding="utf-8"))
        page.evaluate("scrollTo(0, 0)")  # what lies half under the head is no small target
        found = page.evaluate(
            "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})"
        )
        told = [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]
        assert told == []
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert over <= 0, f"the page scrolls sideways by {over} px"
        if page.viewport_size["width"] < 500:
            assert page.evaluate(SMALL) == []

    return check


# whatever can be touched, is seen, and is not a link or a small control within a running sentence
SMALL = """() => [...document.querySelectorAll('button, input, select, textarea, [role=button], [role=radio], nav a, .act')]
  .filter((one) => one.checkVisibility({visibilityProperty: true}) && !one.closest('.unseen, svg'))
  .map((one) => [one, one.getBoundingClientRect(), one.closest('label')?.getBoundingClientRect()])
  .filter(([one, box, label]) => box.width > 1 && Math.max(box.height, label?.height ?? 0) < 47.5)
  .map(([one, box]) => `${one.outerHTML.slice(0, 120)} is ${box.width} x ${box.height}`)"""


@pytest.fixture
def shot() -> Callable[..., None]:
    """Keep a picture of a page where HAULWRIGHT_SCREENS names a folder."""

    def keep(page: Any, name: str, *, full: bool = False) -> None:
        folder = os.environ.get("HAULWRIGHT_SCREENS")
        if folder:
            size = "phone" if page.viewport_size["width"] < 500 else "laptop"
            page.screenshot(path=Path(folder) / f"{name}-{size}.png", full_page=full, animations="disabled")

    return keep


@pytest.fixture
def touch() -> Callable[..., None]:
    """Drag with a finger: ``touch(page, (x, y), (x, y), ...)`` in CSS pixels, one move for each further point."""

    def drag(page: Any, *points: tuple[float, float], wait_s: float = 0.03) -> None:
        session = page.context.new_cdp_session(page)

        def send(kind: str, at: list[tuple[float, float]]) -> None:
            session.send(
                "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in at]}
            )
            time.sleep(wait_s)

        send("touchStart", [points[0]])
        for point in points[1:]:
            send("touchMove", [point])
        send("touchEnd", [])
        session.detach()

    return drag
