#!/usr/bin/env python3
"""Set up Haulwright and run it. Needs only Python 3.11 or newer; everything else goes into .venv beside this file.

The app's pages are built in the set-up too, with this machine's Node, or with one fetched into .venv where there is none.
"""

from __future__ import annotations

import hashlib
import os
import platform
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
LOCKS = {"run": ROOT / "requirements-run.lock", "test": ROOT / "requirements.lock"}
NODE_LOCK = ROOT / "requirements-node.lock"
BUILDER = ROOT / "frontend" / "build.py"
BROWSERS = ("chromium", "chromium-browser")
NEED_PAGES = ("serve", "setup", "test")  # other words work without, and do not wait for a build
LOCKED = ("--require-hashes", "--only-binary", ":all:", "-r")

USAGE = """\
Haulwright: from two load-cell logs to a checked pull and a field card.

  python3 start.py demo     set up, then run the main job on the shipped, invented example (files go to haulwright-out/)
  python3 start.py test     set up, then run all tests; words after it go to pytest, e.g. test -k rig
  python3 start.py serve    set up, then open the app on this machine: it prints the address for the browser
  python3 start.py setup    only set up: .venv/ with the haulwright command in it, and the app's pages built

Any other words go to the haulwright command once it is set up, for example:

  python3 start.py --help
  python3 start.py rig list
  python3 start.py rig solve "!truck.drum > tree > truck" --ratio 1.1 --load 20kN
"""


def fail(message: str) -> int:
    """Say what is wrong and what to do."""
    print(f"start.py: {message}", file=sys.stderr)
    return 2


def stamp(kind: str) -> str:
    """Return what the set-up depends on, as one hash: when it changes, set up again."""
    parts = (
        LOCKS[kind].read_bytes(),
        (ROOT / "pyproject.toml").read_bytes(),
        sys.version.encode(),
        str(ROOT).encode(),
    )
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def ready(kind: str) -> bool:
    """Return whether this set-up (or the larger one for tests) is in place."""
    for one in {kind, "test"}:
        mark = VENV / f"set-up-{one}"
        if PYTHON.exists() and mark.exists() and mark.read_text(encoding="utf-8") == stamp(one):
            return True
    return False


def step(words: str, command: list[str | Path]) -> None:
    """Run one step of the set-up and say how long it took."""
    print(f"  {words} …", end="", file=sys.stderr, flush=True)
    begun = time.monotonic()
    quiet = {**os.environ, "PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_ROOT_USER_ACTION": "ignore"}
    done = subprocess.run(
        [str(word) for word in command], env=quiet, capture_output=True, text=True, check=False
    )
    if done.returncode:
        print(" failed", file=sys.stderr)
        raise RuntimeError(f"{words} failed:\n{(done.stdout + done.stderr).strip()}")
    print(f" {time.monotonic() - begun:.0f} s", file=sys.stderr)


def install(*words: str | Path) -> list[str | Path]:
    """Return the words that install packages into the environment, and say nothing where all goes well."""
    return [PYTHON, "-m", "pip", "install", "--quiet", *words]


def usable() -> bool:
    """Return whether there is an environment of this very Python with a pip that works."""
    try:
        words = (VENV / "pyvenv.cfg").read_text(encoding="utf-8").split()
        asked = subprocess.run([str(PYTHON), "-m", "pip", "--version"], capture_output=True, check=False)
    except OSError:
        return False
    return platform.python_version() in words and asked.returncode == 0


def set_up(kind: str) -> None:
    """Make .venv and install the locked packages of this kind and Haulwright itself."""
    print(f"Setting up in {VENV.name}/ (once; later starts skip this):", file=sys.stderr)
    if not usable():
        shutil.rmtree(VENV, ignore_errors=True)
        step("making the environment", [sys.executable, "-m", "venv", VENV])
    step("installing locked packages", install(*LOCKED, LOCKS[kind]))
    step("installing haulwright", install("--no-deps", "--no-build-isolation", "-e", ROOT))
    (VENV / f"set-up-{kind}").write_text(stamp(kind), encoding="utf-8")


def answers(*words: str) -> bool:
    """Return whether the builder of the pages says yes."""
    return (
        subprocess.run([str(PYTHON), str(BUILDER), *words], capture_output=True, check=False).returncode == 0
    )


def pages() -> bool:
    """Build the app's pages where their sources changed; where that fails, say what to do and go on without."""
    if answers("--fresh"):
        return True
    print("Building the pages of the app (once; again only when their sources change):", file=sys.stderr)
    try:
        if not answers("--node"):
            step("fetching Node into .venv, as none here will do", install(*LOCKED, NODE_LOCK))
        step("installing what the build needs", [PYTHON, BUILDER, "--packages"])
        step("building", [PYTHON, BUILDER])
    except (OSError, RuntimeError) as problem:
        print(
            f"start.py: {problem}\nThe pages of this version are not built. Every command works without them. "
            "To try again: python3 start.py setup",
            file=sys.stderr,
        )
        return False
    return True


def main(words: list[str]) -> int:
    """Set up what the words need and run it."""
    if sys.version_info < (3, 11):  # noqa: UP036 - this file is run before anything is checked
        return fail(
            f"Python {sys.version.split()[0]} is too old: use Python 3.11 or newer, e.g. python3.12 start.py demo"
        )
    if not words:
        print(USAGE, end="")
        return 0
    kind = "test" if words[0] == "test" else "run"
    new = not ready(kind)
    if new:
        try:
            set_up(kind)
        except (OSError, RuntimeError) as problem:
            hint = "\nOn Debian or Ubuntu: apt install python3-venv" if "ensurepip" in str(problem) else ""
            return fail(f"{problem}{hint}")
    built = pages() if new or words[0] in NEED_PAGES else True
    if words[0] == "setup":
        print(f"Ready. The command is {(BIN / 'haulwright').relative_to(ROOT)}; try: python3 start.py demo")
        return 0 if built else 1
    if words[0] == "test" and not any(shutil.which(name) for name in BROWSERS):
        print("No Chromium on this machine: tests that look at pages are left out.", file=sys.stderr)
    module = ["pytest"] if words[0] == "test" else ["haulwright"]
    return run(
        [str(PYTHON), "-m", *module, *(words[1:] if words[0] == "test" else words)],
        ROOT if words[0] == "test" else None,
    )


def run(command: list[str], folder: Path | None) -> int:
    """Run a command in the environment and return its exit code."""
    try:
        return subprocess.run(command, cwd=folder, check=False).returncode
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
