"""Write what ``docs/statistics.md`` quotes as measured, and its pictures: ``python docs/make_statistics.py [SECTION …]``.

Everything is simulated with fixed seeds. Without a section all are made, in some minutes; the blocks between the
``measured`` comments of the page are written, the words around them are left alone.
"""

from __future__ import annotations

import html
import io
import re
import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path

from PIL import Image
from statistics_page import decisions, friction, intervals, one_run, readings, repeats
from statistics_page.found import Found
from statistics_page.picture import WIDTH
from statistics_page.pools import KINDS
from statistics_page.runs import Mixed, Pull, pulls, season

PAGE = Path(__file__).with_name("statistics.md")
PICTURES = PAGE.parent / "img" / "statistics"
RUNS, FIRST_PULL = 300, 100
INKS = 48  # of a picture: all that flat inks and their soft edges need
QUICK: dict[str, Callable[[], Found]] = {
    "ratio": one_run.ratio,
    "zero": one_run.zero,
    "clock": one_run.clock,
    "hold": one_run.hold,
    "covariance": one_run.covariance,
    "spikes": readings.spikes,
    "display": readings.display,
}
SEASON = {"steady": intervals.steady, "memory": intervals.memory, "budget": intervals.budget}
CAMPAIGNS = {
    "class": repeats.repeats_class,
    "two-repeats": repeats.two_repeats,
    "gains": friction.gains,
    "prediction": friction.prediction,
    "same": decisions.same,
    "size": decisions.size,
}


@cache
def _season() -> Sequence[Mixed]:
    return season(RUNS)


@cache
def _pulls() -> dict[str, Sequence[Pull]]:
    kinds = enumerate(KINDS.items())
    return {name: pulls(kind, count, FIRST_PULL + 1000 * n) for n, (name, (kind, count)) in kinds}


def sections() -> tuple[str, ...]:
    """Return the names of all sections with a measurement."""
    return (*QUICK, *SEASON, *CAMPAIGNS)


def find(name: str) -> Found:
    """Return what the experiment of a section finds."""
    if name in QUICK:
        return QUICK[name]()
    return SEASON[name](_season()) if name in SEASON else CAMPAIGNS[name](_pulls())


def block(found: Found) -> str:
    """Return a block of the page: picture and measured sentences."""
    alt = html.escape(found.alt)
    picture = f'<img src="img/statistics/{found.name}.png" width="{WIDTH:g}" alt="{alt}">'
    return f"{_filled(picture)}\n\n{_filled('**Measured.** ' + found.text)}"


def _filled(text: str) -> str:
    """Return text in lines; a number and its percent sign stay together."""
    return textwrap.fill(text.replace(" %", "\u00a0%"), 118, break_on_hyphens=False)


def blocks(page: str) -> Iterator[tuple[str, str]]:
    """Yield name and text of each measured block of the page."""
    yield from re.findall(r"<!-- measured ([\w-]+) -->\n(.*?)\n<!-- end -->", page, re.DOTALL)


def with_block(page: str, found: Found) -> str:
    """Return the page with one block written anew."""
    pattern = rf"(<!-- measured {found.name} -->\n).*?(<!-- end -->)"
    written, count = re.subn(pattern, lambda m: f"{m[1]}{block(found)}\n{m[2]}", page, flags=re.DOTALL)
    if count != 1:
        raise SystemExit(f"{PAGE.name} has {count} blocks for {found.name}: expected one.")
    return written


def write_picture(found: Found) -> Path:
    """Write the picture with two dots a pixel, in as few colours as it has."""
    image = Image.open(io.BytesIO(found.draw().png(2.0))).convert("RGB")
    path = PICTURES / f"{found.name}.png"
    image.quantize(INKS, dither=Image.Dither.NONE).save(path, optimize=True)
    return path


def main(asked: Sequence[str]) -> None:
    """Write the sections that are asked for, or all."""
    unknown = set(asked) - set(sections())
    if unknown:
        raise SystemExit(f"No section {', '.join(sorted(unknown))}; there are {', '.join(sections())}.")
    for name in asked or sections():
        found = find(name)
        write_picture(found)
        PAGE.write_text(with_block(PAGE.read_text(encoding="utf-8"), found), encoding="utf-8")
        print(f"{name}: {found.text}")


if __name__ == "__main__":
    main(sys.argv[1:])
