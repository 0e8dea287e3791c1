"""Time the server on its socket: start, a rig while a thing is dragged, the same while a campaign is measured, an hour at 100 Hz.

The reference of a rig is the same verb in this process, with its record written as JSON; both see the same questions,
turn by turn. The hour at 100 Hz is made up: two noisy steps, written and read as CSV.
"""

from __future__ import annotations

import http.client
import json
import random
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from haulwright.workflows import examples, read_rig, solve_rig

ROUNDS = 200
RIGS: dict[str, Any] = {
    "two-part": "two-part",
    "luff on luff": "luff on luff",
    "floating block on a strap": "corner-on-a-strap.yaml",
    "floating block, two legs": "two-legs-that-share.yaml",
}


def question(given: str) -> tuple[Any, Any]:
    """Return a rig as this process reads it, and as it is asked for."""
    if not given.endswith(".yaml"):
        return given, given
    from ruamel.yaml import YAML

    path = examples() / "rigs" / given
    return read_rig(path), json.loads(json.dumps(YAML(typ="safe").load(path.read_text(encoding="utf-8"))))


class Server:
    """A server of its own with the shipped campaign, on any free port."""

    def __init__(self, folder: Path) -> None:
        campaign = shutil.copytree(examples() / "campaign", folder / "campaign")
        words = ["serve", "--port", "0", "--campaign", str(campaign)]
        begun = time.perf_counter()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "haulwright", *words], stderr=subprocess.PIPE, text=True
        )
        line = self.process.stderr.readline() if self.process.stderr else ""
        found = re.search(r"127\.0\.0\.1:(\d+)", line)
        if found is None:
            raise SystemExit(line)
        self.port = int(found[1])
        while True:
            try:
                self.ask("GET", "/")
                break
            except ConnectionRefusedError:
                time.sleep(0.005)
        self.start_s = time.perf_counter() - begun

    def ask(self, method: str, path: str, body: Any = None, media: str = "application/json") -> bytes:
        """Return the body of an answer; anything but 200 ends the run."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
        data = body if isinstance(body, bytes) or body is None else json.dumps(body).encode()
        link.request(method, path, data, {"Content-Type": media} if data else {})
        answer = link.getresponse()
        text = answer.read()
        link.close()
        if answer.status != 200:
            raise SystemExit(f"{path}: {answer.status} {text[:300]!r}")
        return text

    def stop(self) -> None:
        """Stop it as a hand would."""
        self.process.send_signal(signal.SIGINT)
        self.process.wait()


def clocked(task: Callable[[], Any]) -> float:
    """Return the milliseconds of a task."""
    begun = time.perf_counter()
    task()
    return 1e3 * (time.perf_counter() - begun)


def spread(times: list[float]) -> str:
    """Return median and 95th percentile."""
    return f"{statistics.median(times):6.1f} ms, p95 {sorted(times)[int(0.95 * len(times))]:6.1f} ms"


def hour() -> bytes:
    """Return a made-up log of an hour at 100 Hz."""
    noise = random.Random(1)
    rows = ["time_s,line_kgf,anchor_kgf"]
    for i in range(360_000):
        pull = 800 if 30_000 < i < 330_000 else 0
        rows.append(f"{i / 100:.2f},{pull + noise.gauss(0, 3):.0f},{1.9 * pull + noise.gauss(0, 5):.0f}")
    return "\n".join(rows).encode()


def main() -> None:
    """Print the times."""
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder))
        print(f"start to the first page: {server.start_s:.2f} s")
        try:
            for name, given in RIGS.items():
                rig, asked = question(given)
                body = {"rig": asked, "load": "20 kN"}

                def own(rig: Any = rig) -> str:
                    return json.dumps(solve_rig(rig, load="20 kN").to_dict())

                def served(body: Any = body) -> bytes:
                    return server.ask("POST", "/api/rig/solve", body)

                served(), own()
                pairs = [(clocked(served), clocked(own)) for _ in range(ROUNDS)]
                print(f"{name:28} {spread([a for a, _ in pairs])}; here {spread([b for _, b in pairs])}")
            long = threading.Thread(target=server.ask, args=("GET", "/api/campaigns/campaign/measure"))
            long.start()
            beside: list[float] = []
            while long.is_alive():
                beside.append(clocked(served))
            print(f"the last one while a campaign is measured, {len(beside)} times: {spread(beside)}")
            log = hour()
            for turn in ("first", "again"):
                took = clocked(lambda: server.ask("POST", "/api/trial/read", log, "text/csv"))
                print(f"an hour at 100 Hz, {len(log) / 1e6:.1f} MB, read, {turn}: {took / 1e3:.1f} s")
        finally:
            server.stop()


if __name__ == "__main__":
    main()
