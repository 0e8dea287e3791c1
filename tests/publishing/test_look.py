"""The look: contrasts that hold, faces with every sign that is printed."""

from __future__ import annotations

import re

import pytest
from fontTools.ttLib import TTFont

from haulwright.publishing import look

SIGNS = "−±×÷°·–—’“”…%\u2009\u00a00123456789äöüßéñçłžőÅ"


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour (W3C, WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, two: str) -> float:
    """Return the contrast ratio (W3C, WCAG 2.2, definition of contrast ratio)."""
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("name", ["paper", "sun", "night", "print"])
def test_words_and_figures_reach_level_aaa(name: str) -> None:
    light = look.LIGHTS[name]
    # 7:1 is WCAG 2.2 success criterion 1.4.6 (AAA)
    for ink, ground in (
        (light.ink, light.paper),
        (light.ink_2, light.paper),
        (light.pencil, light.paper),
        (light.pencil, light.pencil_wash),
        (light.on_over, light.over),
        (light.ink, light.pencil_wash),
    ):
        assert contrast(ink, ground) >= 7.0


@pytest.mark.parametrize(("face", "weight"), sorted(look.FACES))
def test_faces_hold_every_printed_sign_and_clean_names(face: str, weight: int) -> None:
    font = TTFont(look.font_file(face, weight))
    missing = [c for c in SIGNS if ord(c) not in font.getBestCmap()]
    assert missing == []
    assert font["name"].getDebugName(1) == face
    assert font["OS/2"].usWeightClass == weight


def test_figures_of_the_text_face_are_tabular() -> None:
    for weight in (400, 600, 700):
        font = TTFont(look.font_file(look.FACE_TEXT, weight))
        glyphs = font.getBestCmap()
        assert len({font["hmtx"][glyphs[ord(d)]][0] for d in "0123456789"}) == 1


def test_faces_stay_small_and_bring_their_licences() -> None:
    files = list(look.font_folder().iterdir())
    assert sum(f.stat().st_size for f in files) < 600_000
    licences = [f for f in files if f.name.startswith("OFL-")]
    assert len(licences) == 2
    assert all("SIL Open Font License, Version 1.1" in f.read_text(encoding="utf-8") for f in licences)


def test_typesetter_finds_both_faces() -> None:
    typst = pytest.importorskip("typst")
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[look.font_folder()]
    )
    assert {look.FACE_TEXT, look.FACE_TITLE} <= set(fonts.families())


def test_css_needs_no_other_file() -> None:
    css = look.css_fonts() + look.css_tokens()
    assert re.findall(r"url\((?!data:font/woff2;base64,)", css) == []
    assert css.count("@font-face") == len(look.HTML_FACES)
    assert f"--ink:{look.PAPER.ink};" in css
