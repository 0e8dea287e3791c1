"""The server as it is started: on a socket of its own, by the command, until it is stopped by hand."""

import concurrent.futures
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
import segno

from haulwright.interfaces.cli.main import main
from haulwright.interfaces.web.listen import bound, qr_text

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
RIGS = "/api/rigs"
SOLVE = {"rig": "three-part", "ratio": 1.07, "load": "26 kN"}
WAIT_s = 60


class Server:
    """A running server with what it said on stderr."""

    def __init__(self, words, folder):
        self.log = folder / "stderr.txt"
        self.out = self.log.open("wb")
        command = [
            sys.executable,
            "-W",
            "error",
            "-m",
            "haulwright",
            "serve",
            "--port",
            "0",
            *map(str, words),
        ]
        self.process = subprocess.Popen(command, stdout=self.out, stderr=self.out)
        said = self.until(r"http://127\.0\.0\.1:(\d+)/")
        self.base = f"http://127.0.0.1:{said[1]}"

    def said(self):
        return self.log.read_text(encoding="utf-8")

    def until(self, pattern):
        end = time.monotonic() + WAIT_s
        while not (found := re.search(pattern, self.said())):
            assert self.process.poll() is None, self.said()
            assert time.monotonic() < end, self.said()
            time.sleep(0.02)
        return found

    def client(self):
        return httpx.Client(base_url=self.base, timeout=WAIT_s, transport=httpx.HTTPTransport(retries=5))

    def children(self):
        """Ids of the processes it started, where the system tells."""
        listed = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        return [int(one) for one in listed.read_text().split()] if listed.exists() else []

    def stop(self):
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(WAIT_s)
        self.out.close()
        return code


@contextmanager
def started(*words, folder):
    server = Server(words, folder)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.process.kill()
            server.process.wait()
        server.out.close()


def gone(pid):
    end = time.monotonic() + 10
    while time.monotonic() < end:
        try:
            if Path(f"/proc/{pid}/stat").read_text().split()[2] == "Z":
                return True
        except OSError:
            return True
        time.sleep(0.05)
    return False


def test_it_starts_answers_refuses_and_stops(tmp_path):
    folder = shutil.copytree(EXAMPLES / "campaign", tmp_path / "meadow")
    with started("--campaign", folder, folder=tmp_path) as server, server.client() as client:
        assert client.get(RIGS).json()["kind"] == "rig-list"
        assert client.get("/api/campaigns").json()["campaigns"] == ["meadow"]
        assert client.get(RIGS, headers={"host": "evil.example"}).status_code == 403
        assert client.get(RIGS, headers={"origin": "http://evil.example"}).status_code == 403
        assert client.post("/api/rig/solve", json={"rig": "two-part", "load": "26"}).status_code == 422
        assert "server" not in client.get(RIGS).headers
        host, port = server.base.removeprefix("http://").split(":")
        with socket.create_connection((host, int(port))) as raw:
            raw.sendall(b"\x16\x03\x01 nonsense\r\n\r\n")
            assert b"400" in raw.recv(100)
        with concurrent.futures.ThreadPoolExecutor() as pool:
            long = pool.submit(client.get, "/api/campaigns/meadow/measure")
            solved = 0
            while not long.done() and solved < 10:
                assert client.post("/api/rig/solve", json=SOLVE).status_code == 200
                solved += not long.done()
            assert solved >= 3  # while a campaign is measured
            assert long.result().json()["kind"] == "campaign-result"
        working = server.children()
        assert len(working) >= 2 or sys.platform != "linux"
        assert server.stop() == 0
        assert all(gone(pid) for pid in working)
        assert "Traceback" not in server.said()
        assert server.said().rstrip().endswith("Stopped.")


def test_who_leaves_is_not_worked_for(tmp_path):
    folder = shutil.copytree(EXAMPLES / "campaign", tmp_path / "meadow")
    with started("--campaign", folder, folder=tmp_path) as server, server.client() as client:
        assert client.get(RIGS).status_code == 200
        before = server.children()
        with pytest.raises(httpx.ReadTimeout):
            client.get("/api/campaigns/meadow/measure", timeout=0.4)
        end = time.monotonic() + 20
        while server.children() != before and time.monotonic() < end:
            time.sleep(0.05)
        assert server.children() == before
        assert server.stop() == 0
        assert "Traceback" not in server.said()


def test_stopped_in_the_middle_of_work_it_ends_at_once(tmp_path):
    folder = shutil.copytree(EXAMPLES / "campaign", tmp_path / "meadow")
    with started("--campaign", folder, folder=tmp_path) as server, server.client() as client:
        assert client.get(RIGS).status_code == 200
        with concurrent.futures.ThreadPoolExecutor() as pool:
            long = pool.submit(client.get, "/api/campaigns/meadow/measure")
            while len(working := server.children()) < 2 and not long.done() and sys.platform == "linux":
                time.sleep(0.05)
            time.sleep(0.5)
            assert server.stop() == 0
            assert "exceeded" not in server.said()  # no time given to what is half done
            assert long.result().status_code in (200, 503)
        assert all(gone(pid) for pid in working)
        assert "Traceback" not in server.said()


def test_open_to_the_network_a_code_of_the_terminal_lets_a_device_in(tmp_path):
    with started("--open-to-network", folder=tmp_path) as server, server.client() as client:
        code = server.until(r"enter\?code=([2-9A-Z-]{19})")[1]
        assert "█" in server.said()
        assert "Not encrypted" in server.said()
        assert client.get(RIGS).status_code == 401
        assert client.post("/enter", data={"code": "AAAA-AAAA-AAAA-AAAA"}).status_code == 403
        assert client.post("/enter", data={"code": code}, headers={"origin": "null"}).status_code == 403
        assert client.post("/enter", data={"code": code}).status_code == 303
        assert client.get(RIGS).status_code == 200
        assert client.get("/").status_code == 200
        with server.client() as other:
            assert other.get(RIGS).status_code == 401
            assert other.post("/enter", data={"code": code}).status_code == 403
            new = [one for one in re.findall(r"type ([2-9A-Z-]{19})", server.said()) if one != code]
            assert other.post("/enter", data={"code": new[-1]}).status_code == 303
            assert other.get(RIGS).status_code == 200
        assert server.stop() == 0


def test_a_port_that_is_taken_is_refused(capsys):
    with bound(0, False) as taken:
        port = str(taken.getsockname()[1])
        assert main(["serve", "--port", port]) == 2
    assert "Refused (PORT)" in capsys.readouterr().err


def test_what_is_sent_is_not_held_back_for_an_acknowledgement():
    with bound(0, False) as own, socket.create_connection(own.getsockname()):
        taken, _ = own.accept()
        with taken:  # what asyncio looks for before it switches the delay off
            assert taken.proto == socket.IPPROTO_TCP


def test_alone_it_listens_to_this_machine_only():
    with bound(0, False) as own, bound(0, True) as every:
        assert own.getsockname()[0] == "127.0.0.1"
        assert every.getsockname()[0] == "0.0.0.0"


def test_the_code_of_the_terminal_is_the_code_of_the_address():
    address = "http://192.0.2.5:8765/enter?code=AAAA-BBBB-CCCC-DDDD"
    rows = []
    for line in qr_text(
        address
    ).splitlines():  # each line of text is two rows: light above, below, both or none
        rows += [[mark not in "█▀" for mark in line], [mark not in "█▄" for mark in line]]
    code = [
        [bool(dark) for dark in row]
        for row in segno.make(address, error="m", micro=False).matrix_iter(border=4)
    ]
    assert rows[: len(code)] == code
    assert len(rows) <= len(code) + 1


# one answer without a socket


def test_get_prints_the_raw_body(capsys, tmp_path, monkeypatch):
    assert main(["serve", "--get", "/api/rig/solve?rig=two-part&load=26 kN"]) == 0
    body = capsys.readouterr().out
    assert main(["rig", "solve", "two-part", "--load", "26kN", "--json"]) == 0
    assert body == capsys.readouterr().out.replace("26kN", "26 kN").rstrip("\n")
    assert main(["serve", "--get", "/"]) == 0
    assert capsys.readouterr().out.startswith("<!doctype html>")


@pytest.mark.parametrize(
    "path", ["/nothing", "/api/rig/solve?rig=seven-part", "/api/rig/solve", "", "/api/campaigns/x/check"]
)
def test_get_prints_a_refusal_and_says_so(capsys, path):
    code = main(["serve", "--get", path])
    out = capsys.readouterr().out
    assert code == (0 if path == "" else 2)
    assert ('"kind": "refusal"' in out) == (code == 2)


@pytest.mark.parametrize("name", ["nowhere", "x" * 3000, "a\0b", "[bold]x\x1b[31m\n\udce9", "loop", ""])
def test_what_is_no_campaign_is_refused_at_the_start(capsys, tmp_path, name):
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert main(["serve", "--get", "/", "--campaign", f"{tmp_path}/{name}"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(("Refused (CAMPAIGN)", "Refused (USAGE)"))
    assert len(said.err.splitlines()) == 1


def test_get_needs_no_socket_and_is_quick():
    script = (
        "import socket, sys, time; begun = time.monotonic()\n"
        "class No(socket.socket):\n"
        "    def bind(self, *a): raise RuntimeError\n"
        "    def connect(self, *a): raise RuntimeError\n"
        "socket.socket = No\n"
        "from haulwright.interfaces.cli.main import main\n"
        "code = main(['serve', '--get', '/api/rigs'])\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'uvicorn', 'typst'} & set(sys.modules)\n"
        "sys.exit(f'{code} {heavy}' if code or heavy else 0)"
    )
    begun = time.monotonic()
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert time.monotonic() - begun < 30


def test_the_command_line_alone_knows_nothing_of_the_server():
    script = (
        "import sys, haulwright.interfaces.cli.main as m; m.main(['rig', 'list', '--json']);"
        "sys.exit(', '.join(sorted({'fastapi', 'starlette', 'uvicorn', 'asyncio'} & set(sys.modules))) or 0)"
    )
    env = {**os.environ}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False, env=env
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.browser
def test_a_browser_walks_through_the_door_and_asks_no_other_host(tmp_path, chromium):
    with started("--open-to-network", folder=tmp_path) as server:
        code = server.until(r"enter\?code=([2-9A-Z-]{19})")[1]
        page = chromium.new_page(viewport={"width": 360, "height": 640})
        asked, told = [], []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: told.append(message.text))
        page.goto(f"{server.base}/enter?code={code}")
        page.get_by_role("button", name="Open").click()
        page.wait_for_url(f"{server.base}/")
        page.locator("main h1, body > p").first.wait_for()  # the first sheet, or where to build the pages
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert all(url.startswith(server.base) for url in asked)
        assert told == []
        page.goto(f"{server.base}/api/rig/draw?rig=two-part&load=20+kN&ratio=1.1")
        assert page.evaluate("document.documentElement.tagName") == "svg"
        assert [one for one in told if "Refused to" in one] == []
        page.close()
        assert server.stop() == 0
