"""The application in this process, asked without a socket."""

import asyncio
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest

from haulwright.interfaces.web.app import create_app
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work.processes import AtOnce

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
PORT = 8765
BASE = f"http://127.0.0.1:{PORT}"


def run_aside(question):
    """Run a coroutine in a thread of its own: a browser of another test may hold the loop of this one."""
    with ThreadPoolExecutor(1) as aside:
        return aside.submit(asyncio.run, question).result()


class Asked:
    """Asks an application, one question after the other; keeps every answer it got."""

    def __init__(self, settings=None, door=None, base=BASE):
        self.settings = settings or Settings()
        self.app = create_app(self.settings, AtOnce(), door)
        self.base = base
        self.said = []

    def __call__(self, method, path, **given):
        answer = run_aside(self._ask(method, path, given))
        self.said.append(answer)
        return answer

    async def _ask(self, method, path, given):
        transport = httpx.ASGITransport(self.app, raise_app_exceptions=False, client=("192.0.2.7", 4321))
        async with httpx.AsyncClient(transport=transport, base_url=self.base) as client:
            return await client.request(method, path, **given)


@pytest.fixture(autouse=True)
def no_book_of_the_user(monkeypatch, tmp_path):
    """No test may find the user's own book."""
    monkeypatch.delenv("HAULWRIGHT_BOOK", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data-home"))


@pytest.fixture
def run():
    """Runs a coroutine to its end."""
    return run_aside


@pytest.fixture
def web():
    """Makes an application with settings of its own."""
    return Asked


@pytest.fixture
def ask():
    """An application as it is started without options."""
    return Asked()


@pytest.fixture
def examples():
    """The shipped examples."""
    return EXAMPLES


@pytest.fixture
def campaign(tmp_path):
    """A copy of the shipped campaign with its first runs alone, to be written beside."""
    kept = shutil.ignore_patterns("results")  # what somebody measured in the shipped folder is no part of it
    folder = Path(shutil.copytree(EXAMPLES / "campaign", tmp_path / "meadow", ignore=kept))
    lines = (folder / "runs.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "runs.csv").write_text("".join(lines[:5]), encoding="utf-8")
    for log in (folder / "logs").iterdir():
        if log.name not in "".join(lines[:5]):
            log.unlink()
    return folder
