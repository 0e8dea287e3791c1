"""docs/app.md shows every page of the app at both sizes, and its pictures are there and small."""

import importlib.util
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PAGES = ROOT / "frontend" / "src" / "pages" / "pages.ts"


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("make_screens", ROOT / "docs" / "make_screens.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def pages():
    names = re.findall(r"\{ name: '(\w*)'", PAGES.read_text(encoding="utf-8"))
    assert len(names) >= 6, "the list of the pages is read wrong"
    return [name or "first" for name in names]


@pytest.mark.parametrize("page", pages())
@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_every_page_is_shown_at_both_sizes(maker, page, size):
    assert f"{page}-{size}.png" in maker.shown()


def test_the_pictures_are_those_the_page_shows(maker):
    assert sorted(path.name for path in maker.SCREENS.iterdir()) == sorted(maker.shown()), (
        "run python docs/make_screens.py"
    )


def test_the_pictures_are_of_the_sizes_their_names_say(maker):
    for name in maker.shown():
        head = (maker.SCREENS / name).read_bytes()[:24]  # PNG (ISO/IEC 15948): signature, IHDR, width, height
        assert head[:8] == b"\x89PNG\r\n\x1a\n"
        width = int.from_bytes(head[16:20], "big")
        assert width == (1440 if name.endswith("-laptop.png") else 720), name


def test_all_pictures_together_are_small(maker):
    assert sum(path.stat().st_size for path in maker.SCREENS.iterdir()) < 3_000_000
