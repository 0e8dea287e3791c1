"""Width of words in the real face, so that labels are placed by what they measure."""

from __future__ import annotations

from functools import cache

from matplotlib.ft2font import FT2Font, LoadFlags

from haulwright.publishing.look import FACE_TEXT, FACE_TITLE, font_file

_EM = 1000


@cache
def _font(face: str, weight: int) -> FT2Font:
    font = FT2Font(str(font_file(face, weight)))
    font.set_size(_EM, 72)
    return font


@cache
def _advance(letter: str, face: str, weight: int) -> float:
    glyph = _font(face, weight).load_char(ord(letter), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536.0 / _EM


def text_px(text: str, size_px: float, weight: int = 400, face: str = FACE_TEXT) -> float:
    """Return the width of a text [px], the sum of its letters' advances (kerning only makes it narrower).

    Examples
    --------
    >>> text_px("88", 20.0) == 2 * text_px("8", 20.0)
    True
    """
    return size_px * sum(_advance(letter, face, weight) for letter in text)


def cut(text: str, room_px: float, size_px: float, weight: int = 400) -> str:
    """Return a text shortened with an ellipsis until it is at most ``room_px`` wide.

    Examples
    --------
    >>> cut("oak", 200.0, 15.0), len(cut("the old oak by the gate", 60.0, 15.0)) < 23
    ('oak', True)
    """
    shown = text
    while len(shown) > 2 and text_px(shown, size_px, weight) > room_px:
        shown = shown.rstrip("…")[:-1].rstrip() + "…"
    return shown


def wrapped(text: str, room_px: float, size_px: float, weight: int = 400) -> list[str]:
    """Return a sentence in lines at most ``room_px`` wide; a longer word stands alone and is cut.

    Examples
    --------
    >>> wrapped("its wheels must hold that", 90.0, 15.0)
    ['its wheels', 'must hold', 'that']
    """
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_px(longer, size_px, weight) > room_px:
            lines.append(cut(word, room_px, size_px, weight))
        else:
            lines[-1] = cut(longer, room_px, size_px, weight)
    return lines


__all__ = ["FACE_TEXT", "FACE_TITLE", "cut", "text_px", "wrapped"]
