"""Time the app: its build, its size, the first page in a Chromium, and with --set-up a set-up from nothing.

The first page counts as usable when its heading and something to press stand in it and nothing is being fetched for it
any more. The reference is a page of one heading from the standard library's file server, opened in the same Chromium
turn by turn, each time in a new context with an empty cache. The set-up is run on a copy of the tree, with the
machine's Node and with none in reach; it fetches packages, so it says as much of the network as of the machine.
"""

from __future__ import annotations

import argparse
import gzip
import importlib.util
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
FLAGS = ("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
WATCH = """
(() => {
  let open = 0, last = 0;
  const ask = window.fetch;
  window.fetch = (...words) => { open += 1; return ask(...words).finally(() => { open -= 1; last = performance.now(); }); };
  const seen = () => document.querySelector('h1') && (document.body.dataset.bare || document.querySelector('main a, main button'));
  const look = () => {
    if (seen() && !document.querySelector('main [role=status]') && open === 0) {
      window.usable_ms ??= performance.now();
      if (!window.drawn_ms) requestAnimationFrame(() => { window.drawn_ms = performance.now(); });
    } else if (window.usable_ms && open > 0) { window.usable_ms = undefined; window.drawn_ms = undefined; }
    setTimeout(look, 4);
  };
  look();
})();
"""


def builder() -> ModuleType:
    """Return frontend/build.py as a module."""
    spec = importlib.util.spec_from_file_location("build_pages", ROOT / "frontend" / "build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def print_sizes(app: Path) -> None:
    """Print what the first page fetches and what all pages together take, raw and compressed."""
    page = (app / "index.html").read_text(encoding="utf-8")
    named = [app / path.lstrip("./") for path in re.findall(r'(?:src|href)="([^"]+\.(?:js|css))"', page)]
    every = [path for path in app.rglob("*") if path.is_file()]
    for words, files in (("named by the first page", [app / "index.html", *named]), ("all files", every)):
        raw = sum(path.stat().st_size for path in files)
        packed = sum(len(gzip.compress(path.read_bytes(), 9)) for path in files)
        print(f"size, {words}: {len(files)} files, {raw / 1e3:.0f} kB, {packed / 1e3:.0f} kB with gzip")


def print_build(pages: ModuleType, rounds: int = 3) -> None:
    """Print how long a build takes beside npm's bare start, turn by turn."""
    node = pages.need_node()
    pages.packages(node)
    took, bare = [], []
    for _ in range(rounds):
        with tempfile.TemporaryDirectory() as folder:
            took.append(seconds(lambda out=folder: node.run("run", "build", "--", "--outDir", f"{out}/app")))
        bare.append(seconds(lambda: node.run("--version")))
    ratio = statistics.median(a / b for a, b in zip(took, bare, strict=True))
    print(f"build: {statistics.median(took):.1f} s, {ratio:.1f} times npm's bare start")


def seconds(task: Any) -> float:
    """Return how long a task took [s]."""
    begun = time.perf_counter()
    task()
    return time.perf_counter() - begun


class Quiet(SimpleHTTPRequestHandler):
    """A file server that keeps no log."""

    def log_message(self, *words: Any) -> None:
        """Say nothing."""


def print_first_page(rounds: int) -> None:
    """Print how soon the first page is usable, laptop and phone size, beside a bare page."""
    from playwright.sync_api import sync_playwright

    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        print("first page: no Chromium on this machine")
        return
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        Path(folder, "index.html").write_text(
            "<!doctype html><body data-bare=1><h1>bare</h1>", encoding="utf-8"
        )
        bare = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=folder))
        threading.Thread(target=bare.serve_forever, daemon=True).start()
        home = {"HAULWRIGHT_BOOK": f"{folder}/book.sqlite", "XDG_DATA_HOME": folder}
        begun = time.perf_counter()
        server = subprocess.Popen(
            [sys.executable, "-m", "haulwright", "serve", "--port", "0"],
            stderr=subprocess.PIPE, text=True, env={**os.environ, **home},
        )  # fmt: skip
        line = server.stderr.readline() if server.stderr else ""
        address = re.search(r"http://127\.0\.0\.1:\d+/?", line)
        print(f"server: answers after {time.perf_counter() - begun:.1f} s")
        try:
            if address is None:
                raise SystemExit(line)
            running = playwright.chromium.launch(executable_path=found, args=list(FLAGS))
            for words, size in (("laptop", (1440, 900)), ("phone", (360, 780))):
                opened = partial(open_once, running, size)
                opened(address[0])  # the server's own first answer is not the page's
                pairs = [
                    (opened(address[0]), opened(f"http://127.0.0.1:{bare.server_port}"))
                    for _ in range(rounds)
                ]
                took = sorted(a for a, _ in pairs)
                ratio = statistics.median(a / b for a, b in pairs)
                print(
                    f"first page usable, {words}: median {statistics.median(took):.0f} ms, greatest of {rounds} "
                    f"{took[-1]:.0f} ms, {ratio:.1f} times a bare page"
                )
            running.close()
        finally:
            server.terminate()
            server.wait(10)
            bare.shutdown()


def open_once(running: Any, size: tuple[int, int], address: str) -> float:
    """Return after how many milliseconds a page was drawn and usable, in a new context."""
    context = running.new_context(viewport={"width": size[0], "height": size[1]})
    try:
        page = context.new_page()
        page.add_init_script(WATCH)
        page.goto(address)
        while not page.evaluate("window.drawn_ms"):  # the content policy forbids the browser's own waiting
            page.wait_for_timeout(50)
        page.wait_for_timeout(150)  # and nothing was asked for after all
        return float(page.evaluate("window.drawn_ms"))
    finally:
        context.close()


def print_set_up() -> None:
    """Print the steps of a set-up from nothing, with this machine's Node and with none in reach."""
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard", "-z"], cwd=ROOT, capture_output=True, check=True
    )
    for words, without in (("with this machine's Node", False), ("with no Node in reach", True)):
        with tempfile.TemporaryDirectory() as folder:
            tree = Path(folder, "tree")
            for name in filter(None, listed.stdout.decode().split("\0")):
                if (ROOT / name).is_file():
                    (tree / name).parent.mkdir(parents=True, exist_ok=True)
                    shutil.copy2(ROOT / name, tree / name)
            env = {**os.environ, "PATH": out_of_reach(Path(folder))} if without else dict(os.environ)
            begun = time.perf_counter()
            done = subprocess.run(
                [sys.executable, "start.py", "setup"],
                cwd=tree,
                env=env,
                capture_output=True,
                text=True,
                check=False,
            )
            print(f"set-up {words}: {time.perf_counter() - begun:.0f} s, exit code {done.returncode}")
            print("\n".join(line for line in done.stderr.splitlines() if line.startswith("  ")))


def out_of_reach(folder: Path) -> str:
    """Return a search path with everything of this one but Node and npm."""
    links = folder / "bin"
    links.mkdir()
    for place in os.environ.get("PATH", "").split(os.pathsep):
        for tool in Path(place).iterdir() if Path(place).is_dir() else ():
            link = links / tool.name
            if tool.name not in ("node", "nodejs", "npm", "npx", "corepack") and not link.exists():
                link.symlink_to(tool)
    return str(links)


def main() -> None:
    """Run what was asked for and print it."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--set-up", action="store_true", help="also set up copies of the tree from nothing")
    asked.add_argument("--rounds", type=int, default=9)
    given = asked.parse_args()
    pages = builder()
    if not pages.fresh():
        pages.build()
    print_sizes(pages.APP)
    print_build(pages)
    print_first_page(given.rounds)
    if given.set_up:
        print_set_up()


if __name__ == "__main__":
    main()
