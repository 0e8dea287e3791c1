"""Make the pictures of docs/app.md: the browser tests take them, this script keeps those the page shows, made small.

Run from anywhere: python docs/make_screens.py. It needs a Chromium and the built pages. Words after it go to pytest.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

DOCS = Path(__file__).resolve().parent
SCREENS = DOCS / "screens"
PAGE = DOCS / "app.md"
MOST_BYTES = 3_000_000
COLOURS = 48  # a page is drawn in a few inks on one paper; more shades only smooth the letters


def shown() -> list[str]:
    """Return the pictures that the page shows, in its order."""
    return list(dict.fromkeys(re.findall(r'src="screens/([\w-]+\.png)"', PAGE.read_text(encoding="utf-8"))))


def reduce(taken: Path, kept: Path) -> None:
    """Write a picture with few colours."""
    with Image.open(taken) as picture:
        few = picture.convert("RGB").quantize(
            COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE
        )
        few.save(kept, optimize=True)


def keep(folder: Path) -> None:
    """Put the pictures that the page shows where it looks for them, in place of the former ones.

    Raises
    ------
    FileNotFoundError
        Where one was not taken; nothing is changed then.
    """
    wanted = shown()
    missing = [name for name in wanted if not (folder / name).is_file()]
    if missing:
        raise FileNotFoundError(f"not taken by the tests, so nothing is changed: {', '.join(missing)}")
    SCREENS.mkdir(exist_ok=True)
    for old in SCREENS.iterdir():
        old.unlink()
    for name in wanted:
        reduce(folder / name, SCREENS / name)


def main(words: list[str]) -> int:
    """Take the pictures and keep them; return the exit code."""
    tests = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "tests/app/test_screens.py",
        *words,
    ]
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "HAULWRIGHT_SCREENS": folder, "HAULWRIGHT_BROWSER": "required"}
        done = subprocess.run(tests, cwd=DOCS.parent, env=env, check=False)
        try:
            keep(Path(folder))
        except FileNotFoundError as problem:
            print(problem, file=sys.stderr)
            return 1
    total = sum(path.stat().st_size for path in SCREENS.iterdir())
    print(f"{len(shown())} pictures, {total / 1e6:.2f} MB of at most {MOST_BYTES / 1e6:g} MB")
    return done.returncode or int(total >= MOST_BYTES)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
