"""docs/gallery.md shows every chart there is, and its pictures are there and small."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from haulwright.publishing.chart_files import OF_CAMPAIGN, OF_PULL, OF_RUN

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_gallery", ROOT / "docs" / "make_gallery.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_is_as_it_is_written(maker: ModuleType) -> None:
    assert maker.PAGE.read_text(encoding="utf-8") == maker.page(), "run python docs/make_gallery.py"


def test_every_chart_is_shown(maker: ModuleType) -> None:
    assert {one.chart for one in maker.pictures()} == {*OF_CAMPAIGN, *OF_RUN, *OF_PULL}
    names = [f"{one.name}.png" for one in maker.pictures()]
    assert sorted(path.name for path in maker.PICTURES.iterdir()) == sorted(names), (
        "run python docs/make_gallery.py"
    )


def test_all_pictures_together_are_small(maker: ModuleType) -> None:
    assert sum(path.stat().st_size for path in maker.PICTURES.iterdir()) < 1_500_000
