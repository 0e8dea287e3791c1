"""The ground charts are drawn on: the look's faces and inks in matplotlib, byte-stable output.

One unit of a chart is one CSS pixel (the figure is made at 72 dots per inch), so sizes are those of the look.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

import matplotlib
from matplotlib import font_manager
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties

from haulwright.errors import UsageRefusal
from haulwright.publishing import look
from haulwright.publishing.wording import plain_glyphs

DPI: Final = 72
LEAST_WIDTH: Final = 300.0
SMALL: Final = 13.0  # px; the least size of a published chart
LABEL: Final = 14.0
TITLE: Final = 19.0
_FALLBACK: Final = "DejaVu Sans"
_SALT: Final = "haulwright"
_FINE: Final = re.compile(r"(\.\d\d)\d+")  # hundredths of a pixel are enough on a page
_SVG_FACES: Final[Mapping[str, str]] = MappingProxyType({"paths": "path", "text": "none"})


@cache
def _register() -> None:
    """Tell matplotlib of the bundled faces, once."""
    for face, weight in look.FACES:
        font_manager.fontManager.addfont(str(look.font_file(face, weight)))


@cache
def font(size: float = SMALL, weight: int = 400, face: str = look.FACE_TEXT) -> FontProperties:
    """Return a face at a size [px]."""
    _register()
    return FontProperties(family=[face], weight=weight, size=size)


@cache
def _with_fallback(size: float, weight: int) -> FontProperties:
    return FontProperties(family=[look.FACE_TEXT, _FALLBACK], weight=400 if weight < 500 else 700, size=size)


@cache
def _has(face: str, char: str) -> bool:
    """Return whether a face (the text face or the fallback matplotlib brings) has the character."""
    path = str(look.font_file()) if face == look.FACE_TEXT else font_manager.findfont(_FALLBACK)
    return bool(font_manager.get_font(path).get_char_index(ord(char)))


def clean(text: str) -> str:
    """Return text that can be drawn: a sign no face has becomes a question mark.

    Examples
    --------
    >>> clean("ring 90 ± 5")
    'ring 90 ± 5'
    """
    faces = (look.FACE_TEXT, _FALLBACK)
    return "".join(c if any(_has(face, c) for face in faces) else "?" for c in plain_glyphs(text))


def lettering(text: str, properties: FontProperties) -> dict[str, Any]:
    """Return what every text is drawn with: no mathematics in names, and a fallback face if a letter needs it."""
    if not all(_has(look.FACE_TEXT, c) for c in clean(text)):
        properties = _with_fallback(properties.get_size(), int(properties.get_weight()))
    return {"fontproperties": properties, "parse_math": False}


def check_width(width_px: float) -> None:
    """Refuse a width [px] in which words and marks have no room."""
    if not width_px >= LEAST_WIDTH:
        message = f"width_px = {width_px:g}: a chart needs {LEAST_WIDTH:g} px or more."
        raise UsageRefusal("CHART", message, where=("width_px",))


class Sheet:
    """One figure in one light, with text that can be measured before it is placed.

    Parameters
    ----------
    width, height : float
        Size [px].
    light : look.Light
        Inks.
    """

    def __init__(self, width: float, height: float, light: look.Light) -> None:
        self.width, self.height, self.light = width, height, light
        self.figure = Figure(figsize=(width / DPI, height / DPI), dpi=DPI, facecolor=light.paper)
        canvas: Any = FigureCanvasAgg(self.figure)
        self._renderer = canvas.get_renderer()

    def axes(self, left: float, top: float, width: float, height: float) -> Axes:
        """Return axes at a place [px from the upper left corner], without frame, ticks or labels."""
        box = (left / self.width, 1 - (top + height) / self.height, width / self.width, height / self.height)
        axes = self.figure.add_axes(box, facecolor="none")
        for spine in axes.spines.values():
            spine.set_visible(False)
        axes.tick_params(length=0, labelbottom=False, labelleft=False)
        return axes

    def text_width(self, text: str, properties: FontProperties) -> float:
        """Return the width of a text [px]."""
        face = lettering(text, properties)["fontproperties"]
        width, _, _ = self._renderer.get_text_width_height_descent(clean(text), face, ismath=False)
        return float(width)

    def write(self, x: float, y: float, text: str, properties: FontProperties, **more: Any) -> None:
        """Write text with its baseline at a place [px from the upper left corner]."""
        words = {"color": self.light.ink, "va": "baseline", **lettering(text, properties), **more}
        place = (x / self.width, 1 - y / self.height)
        self.figure.text(*place, clean(text), **words)

    def wrap(self, text: str, properties: FontProperties, width: float) -> list[str]:
        """Return the text in lines no wider than ``width`` [px]; a longer word is broken."""
        lines: list[str] = []
        for word in text.replace(" ± ", "\u00a0±\u00a0").split(" "):
            if lines and self.text_width(f"{lines[-1]} {word}", properties) <= width:
                lines[-1] += f" {word}"
                continue
            while self.text_width(word, properties) > width and len(word) > 1:
                fits = (n for n in range(len(word) - 1, 1, -1) if self._fits(word[:n], properties, width))
                cut = next(fits, 1)
                lines.append(word[:cut])
                word = word[cut:]
            lines.append(word)
        return lines

    def _fits(self, text: str, properties: FontProperties, width: float) -> bool:
        return self.text_width(text, properties) <= width


def settings(light: look.Light, **more: Any) -> AbstractContextManager[None]:
    """Return a context in which charts are made and written the same way every time."""
    values: Any = {
        "svg.hashsalt": _SALT,
        "hatch.linewidth": 1.0,
        "hatch.color": light.hatch,
        "lines.scale_dashes": False,
        "lines.solid_capstyle": "butt",
        "path.simplify": True,
        "text.hinting": "no_hinting",  # widths then grow in step with the scale, and match a browser's
        "text.usetex": False,
        "savefig.facecolor": light.paper,
    }
    return matplotlib.rc_context(values | more)


@dataclass(frozen=True)
class Chart:
    """A finished chart.

    Attributes
    ----------
    title : str
        What it says, for people who read and for people who listen.
    width, height : float
        Size [px].
    figure : matplotlib.figure.Figure
        The drawing.
    light : look.Light
        Its inks.
    """

    title: str
    width: float
    height: float
    figure: Figure
    light: look.Light

    def svg(self, letters: str = "paths") -> str:
        """Return the chart as an SVG file's text.

        Parameters
        ----------
        letters : str
            ``paths`` draws every letter (looks the same anywhere), ``text`` keeps text and needs the faces.
        """
        out = io.StringIO()
        with settings(self.light, **{"svg.fonttype": _SVG_FACES[letters]}):
            metadata = dict.fromkeys(("Date", "Creator", "Format", "Type"))
            self.figure.savefig(out, format="svg", dpi=DPI, metadata=metadata)
        return out.getvalue().replace("<svg ", f'<svg role="img" aria-label="{_attribute(self.title)}" ', 1)

    def inline(self, prefix: str) -> str:
        """Return the chart as an ``<svg>`` element for a page that carries the faces and the tokens.

        Parameters
        ----------
        prefix : str
            Put before every id, so that several charts can stand in one page.
        """
        body = self.svg("text")
        _, rest = body[body.index("<svg") :].split(">", 1)
        rest = re.sub(r'\bid="', f'id="{prefix}', rest)
        rest = re.sub(r'(url\(#|xlink:href="#)', rf"\1{prefix}", rest).replace("xlink:href", "href")
        rest = re.sub(r'style="[^"]*"', lambda found: self._with_tokens(found[0]), rest)
        rest = re.sub(r'\bd="[^"]*"', lambda found: _FINE.sub(r"\1", found[0]), rest)
        size = f'viewBox="0 0 {self.width:g} {self.height:g}" width="{self.width:g}" height="{self.height:g}"'
        return f'<svg {size} role="img" aria-label="{_attribute(self.title)}">{rest.strip()}'

    def _with_tokens(self, style_attribute: str) -> str:
        for name in ("paper", "ink", "ink_2", "rule", "rule_soft", "grid", "pencil_wash"):
            token = f"var(--{name.replace('_', '-')})"
            style_attribute = style_attribute.replace(getattr(self.light, name), token)
        return style_attribute

    def png(self, scale: float = 2.0) -> bytes:
        """Return the chart as PNG, ``scale`` dots per pixel."""
        out = io.BytesIO()
        with settings(self.light):
            self.figure.savefig(out, format="png", dpi=DPI * scale, metadata={"Software": None})
        return out.getvalue()

    def write(self, path: Path) -> Path:
        """Write the chart as ``.svg`` or ``.png``, by the ending of ``path``.

        Raises
        ------
        UsageRefusal
            If the ending is another one.
        """
        writers: dict[str, Callable[[], bytes]] = {
            ".svg": lambda: self.svg().encode("utf-8"),
            ".png": self.png,
        }
        if path.suffix.lower() not in writers:
            raise UsageRefusal(
                "CHART", f"{path.name}: a chart is written as .svg or .png.", where=(path.name,)
            )
        path.write_bytes(writers[path.suffix.lower()]())
        return path


def _attribute(text: str) -> str:
    marks = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"}
    return "".join(marks.get(c, c) for c in text)
