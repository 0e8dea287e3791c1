"""Drag on the page of rigs in a Chromium: from a move of the pointer to the redrawn numbers, for rigs with free blocks.

A server of its own, a throw-away book with the shipped examples. The pointer moves sixty times a second; a move counts as
answered by the first redraw whose question was sent after it, so waiting for an answer under way is in the figure. The
reference is the same record made in this process, turn after turn: what the numbers cost without page, server or socket.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from haulwright import workflows

FLAGS = ("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
SETTINGS = '{"units":"kN","light":"paper","words":"UK","book":"demo"}'
RIGS = {
    "corner on a strap": "body:helper",
    "stacked two-parts, laid out": "body:truck",
}
MOVES, EVERY_s = 240, 1 / 60
SIZES: dict[str, dict[str, Any]] = {
    "laptop": {"viewport": {"width": 1440, "height": 900}},
    "phone": {
        "viewport": {"width": 360, "height": 780},
        "device_scale_factor": 2,
        "has_touch": True,
        "is_mobile": True,
    },
}
# moves, questions and redraws by the page's own clock; a redraw is told after the frame that shows it
WATCH = """
window.seen = {moves: [], sent: [], drawn: [], came: [], alone: []};
addEventListener('pointermove', (e) => e.buttons && window.seen.moves.push(e.timeStamp), {capture: true, passive: true});
const asked = window.fetch;
window.fetch = async (...words) => {
  if (!String(words[0]).endsWith('/api/rig/sheet')) return asked(...words);
  const at = performance.now();
  const answer = await asked(...words);
  const json = answer.json.bind(answer);
  answer.json = async () => {
    const record = await json();
    const came = performance.now();
    setTimeout(() => requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => {
        window.seen.sent.push(at);
        window.seen.came.push(came);
        window.seen.drawn.push(performance.now());
        window.seen.alone.push(record.drawing === null ? 1 : 0);
      };
      channel.port2.postMessage(0);
    }));
    return record;
  };
  return answer;
};
"""


def percentile(values: list[float], share: float) -> float:
    """Return the value that a share of them does not exceed."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def delays_ms(seen: dict[str, list[float]]) -> list[float]:
    """Return for every move how long it was until the first redraw asked for after it."""
    found = []
    for move in seen["moves"]:
        drawn = [d for s, d in zip(seen["sent"], seen["drawn"], strict=True) if s >= move]
        if drawn:
            found.append(min(drawn) - move)
    return found


def drag(page: Any, of: str, size: str) -> dict[str, list[float]]:
    """Drag a thing round in small circles, a move every sixtieth of a second."""
    import math

    hold = page.locator(f'[data-hold="{of}"]')
    hold.scroll_into_view_if_needed()
    box = hold.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    session = page.context.new_cdp_session(page)

    def send(kind: str, px: float, py: float) -> None:
        if size == "phone":
            points = [] if kind == "up" else [{"x": px, "y": py}]
            names = {"down": "touchStart", "move": "touchMove", "up": "touchEnd"}
            session.send("Input.dispatchTouchEvent", {"type": names[kind], "touchPoints": points})
            return
        names = {"down": "mousePressed", "move": "mouseMoved", "up": "mouseReleased"}
        given = {"type": names[kind], "x": px, "y": py, "button": "left", "buttons": 1, "clickCount": 1}
        session.send("Input.dispatchMouseEvent", given)

    send("down", x, y)
    for n in range(MOVES):
        begun = time.perf_counter()
        send("move", x + 14 * math.sin(n / 12) - 10, y + 14 * math.cos(n / 12))
        time.sleep(max(0.0, EVERY_s - (time.perf_counter() - begun)))
    page.wait_for_timeout(400)
    seen: dict[str, list[float]] = page.evaluate("window.seen")
    send("up", x, y)
    session.detach()
    return seen


def print_reference() -> None:
    """Print what one sheet costs in this process, scale and place kept."""
    for name in ("corner-on-a-strap", "stacked-two-parts"):
        text = (workflows.examples() / "rigs" / f"{name}.yaml").read_text(encoding="utf-8")
        rig = workflows.lay_out_rig(workflows.rig_of_text(text))
        frame = json.loads(json.dumps(workflows.show_rig(rig, stall="42 kN").to_dict()["frame"]))
        took = []
        for _ in range(40):
            begun = time.perf_counter()
            json.dumps(workflows.show_rig(rig, stall="42 kN", frame=frame).to_dict())
            took.append(1e3 * (time.perf_counter() - begun))
        print(f"sheet in this process, {name}: median {statistics.median(took):.1f} ms")


def main() -> None:
    """Print the delays."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--chromium", default=os.environ.get("CHROMIUM", "/usr/bin/chromium"))
    chromium = parser.parse_args().chromium
    from playwright.sync_api import sync_playwright

    print_reference()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        env = {**os.environ, "HAULWRIGHT_BOOK": str(Path(folder) / "book.sqlite"), "XDG_DATA_HOME": folder}
        words = [sys.executable, "-m", "haulwright", "serve", "--port", "0"]
        server = subprocess.Popen(words, env=env, stderr=subprocess.PIPE, text=True)
        line = server.stderr.readline() if server.stderr else ""
        found = re.search(r"http://127\.0\.0\.1:\d+", line)
        if found is None:
            raise SystemExit(line)
        try:
            with sync_playwright() as play:
                browser = play.chromium.launch(executable_path=chromium, args=list(FLAGS))
                for size in SIZES:
                    for name, of in RIGS.items():
                        print_drag(browser, found[0], size, name, of)
                browser.close()
        finally:
            server.terminate()
            server.wait()


def print_turns(seen: dict[str, list[float]]) -> None:
    """Print where the time goes: until an answer is there, and from it until it is on screen."""
    turns = list(zip(*(seen[key] for key in ("sent", "came", "drawn", "alone")), strict=True))
    for alone, what in ((1, "numbers alone"), (0, "with the drawing")):
        asked = [came - sent for sent, came, _, kind in turns if kind == alone]
        shown = [drawn - came for _, came, drawn, kind in turns if kind == alone]
        if asked:
            told = (
                f"median {statistics.median(of):.0f} ms, p95 {percentile(of, 0.95):.0f} ms"
                for of in (asked, shown)
            )
            print(
                f"  {what}, {len(asked)}: until the answer {next(told)}; from it to the redraw {next(told)}"
            )


def print_drag(browser: Any, address: str, size: str, name: str, of: str) -> None:
    """Print the delays of one rig at one size."""
    context = browser.new_context(**SIZES[size])
    context.add_init_script(f"localStorage.setItem('haulwright.settings', '{SETTINGS}');{WATCH}")
    page = context.new_page()
    at = "corner%20on%20a%20strap" if name.startswith("corner") else "new?from=stacked%20two-parts/on-load"
    page.goto(f"{address}/#/rigs/{at}")
    page.locator(".answer").wait_for()
    page.wait_for_timeout(1500)
    seen = drag(page, of, size)
    delays = delays_ms(seen)
    print(
        f"drag, {name}, {size}: {len(delays)} moves, median {statistics.median(delays):.0f} ms, "
        f"p95 {percentile(delays, 0.95):.0f} ms, most {max(delays):.0f} ms"
    )
    print_turns(seen)
    context.close()


if __name__ == "__main__":
    main()
