"""Words and marks as SVG."""

from __future__ import annotations

from html import escape

from haulwright.errors import UsageRefusal
from haulwright.publishing.diagram.geometry import px
from haulwright.publishing.diagram.type_size import FACE_TEXT, FACE_TITLE, text_px
from haulwright.publishing.look import LIGHTS, LIVE, PRINT, STACK_TEXT, STACK_TITLE, Light

_STACKS = {FACE_TEXT: STACK_TEXT.replace('"', "'"), FACE_TITLE: STACK_TITLE.replace('"', "'")}


def find_light(name: str) -> Light:
    """Return the inks of a sheet by name; ``page`` is a drawing to stand in a page, in the colours set there.

    Such a drawing may be put into HTML as it is: it holds no styles, no names of elements, no typefaces, nothing to be
    fetched, and its colours are the CSS variables of the look.

    Raises
    ------
    UsageRefusal
        ``LIGHT`` for an unknown name.
    """
    if name == "page":
        return LIVE
    if name not in LIGHTS:
        raise UsageRefusal("LIGHT", f"light = {name!r}: give {', '.join(LIGHTS)}.")
    return LIGHTS[name]


def text(
    words: str, x: float, y: float, size: float, light: Light, *, weight: int = 400, anchor: str = "start",
    fill: str = "", face: str = FACE_TEXT, bare: bool = False, figure: str = "",
) -> str:  # fmt: skip
    """Return one level line of words, held to its measured width in whatever face is at hand.

    ``bare`` leaves out the halo of the group it stands in; ``figure`` says which of a load's figures the words are.
    For print the faces are always at hand, and a typesetter draws held letters one by one, each halo over the letter
    before.
    """
    held = (
        f' textLength="{px(text_px(words, size, weight, face))}"'
        if len(words) > 1 and light is not PRINT
        else ""
    )
    held += ' stroke="none"' if bare else ""
    held += f' data-figure="{figure}"' if figure else ""
    family = f' font-family="{_STACKS[face]}"' if face != FACE_TEXT else ""
    place = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return (
        f'<text x="{px(x)}" y="{px(y)}" font-size="{size:g}" font-weight="{weight}" fill="{fill or light.ink}"'
        f"{place}{family}{held}>{escape(words, quote=False)}</text>"
    )


def tag(name: str, inner: str = "", **attributes: str | float) -> str:
    """Return one element; an underscore in an attribute's name is a hyphen, numbers have at most one decimal.

    Examples
    --------
    >>> tag("circle", r=3.0, stroke_width=1.25, fill="none")
    '<circle r="3" stroke-width="1.2" fill="none"/>'
    """
    words = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{px(value) if isinstance(value, int | float) else escape(value)}"'
        for key, value in attributes.items()
    )
    return f"<{name}{words}>{inner}</{name}>" if inner else f"<{name}{words}/>"


def sheet_head(width: float, height: float, label: str, light: Light) -> str:
    """Return the opening of a drawing with its words for a screen reader, and its paper."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{px(width)}" height="{px(height)}" viewBox="0 0 {px(width)} {px(height)}" '
        f'role="img" aria-label="{escape(label)}" font-family="{_STACKS[FACE_TEXT]}">'
        f'<rect width="{px(width)}" height="{px(height)}" fill="{light.paper}"/>'
    )
