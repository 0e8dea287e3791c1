"""The look of every drawing, chart and page: inks, sizes, faces. Values only, nothing is drawn.

Three inks carry meaning: ``ink`` is what was worked out, ``pencil`` is what the reader may change, ``over``
is "over" and nothing else. Solid is expected, an outline is at stall, hatched is kept out.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

FACE_TEXT: Final = "Atkinson Hyperlegible Next"
FACE_TITLE: Final = "Besley"
STACK_TEXT: Final = f'"{FACE_TEXT}", "Noto Sans", "Liberation Sans", system-ui, "DejaVu Sans", sans-serif'
STACK_TITLE: Final = (
    f'"{FACE_TITLE}", "URW Bookman", "Bookman Old Style", "Noto Serif", "DejaVu Serif", serif'
)

FACES: Final[Mapping[tuple[str, int], str]] = MappingProxyType(
    {
        (FACE_TEXT, 400): "AtkinsonHyperlegibleNext-Regular",
        (FACE_TEXT, 600): "AtkinsonHyperlegibleNext-SemiBold",
        (FACE_TEXT, 700): "AtkinsonHyperlegibleNext-Bold",
        (FACE_TITLE, 500): "Besley-Medium",
        (FACE_TITLE, 600): "Besley-SemiBold",
    }
)

SIZES_PX: Final[Mapping[str, int]] = MappingProxyType(
    {"note": 13, "small": 15, "body": 17, "figure": 20, "lead": 28, "title": 34, "answer": 56}
)
SPACES_PX: Final = (4, 8, 12, 16, 24, 32, 48)
TOUCH_PX: Final = 48
HAIR_PX: Final = 1.0
RULE_PX: Final = 1.5
NEAT_PX: Final = 2.0
HEAVY_PX: Final = 3.0
STRAND_MIN_PX: Final = 3.0
HATCH_STEP_PX: Final = 7.0
HATCH_LINE_PX: Final = 1.3
DASH_FRICTIONLESS: Final = (7.0, 4.0)


@dataclass(frozen=True)
class Light:
    """The colours of one sheet.

    Attributes
    ----------
    paper, paper_shade : str
        Ground of the sheet and of a shaded field.
    ink, ink_2 : str
        What was worked out; second lines.
    rule, rule_soft, grid, contour, terrain : str
        Lines and words that carry no meaning by colour.
    pencil, pencil_wash : str
        What the reader may change, and the steady stretch.
    over, on_over : str
        The block with the word "over", and the word in it.
    hatch : str
        Kept out.
    hatch_op : float
        Opacity of the hatching, 0 to 1.
    """

    paper: str
    paper_shade: str
    ink: str
    ink_2: str
    rule: str
    rule_soft: str
    grid: str
    contour: str
    terrain: str
    pencil: str
    pencil_wash: str
    over: str
    on_over: str
    hatch: str
    hatch_op: float

    def hatch_opacity(self, share: float = 1.0) -> str:
        """Return the opacity of hatching, times a share, as an attribute's value."""
        return f"{self.hatch_op * share:g}"

    def css(self) -> str:
        """Return the colours as CSS custom properties.

        Examples
        --------
        >>> PAPER.css().split(";")[0]
        '--paper:#fbf8f0'
        """
        return "".join(f"--{f.name.replace('_', '-')}:{getattr(self, f.name)};" for f in fields(self))


@dataclass(frozen=True)
class _Live(Light):
    """Colours that a page decides: each is a custom property, so that a drawing in it changes light with it."""

    def hatch_opacity(self, share: float = 1.0) -> str:
        return "var(--hatch-op)"


LIVE: Final = _Live(
    **{f.name: f"var(--{f.name.replace('_', '-')})" for f in fields(Light) if f.type == "str"},
    hatch_op=1.0,
)
"""For a drawing inside a page that has the tokens; a file of its own has a light of its own."""
PAPER: Final = Light(
    paper="#fbf8f0",
    paper_shade="#f1ecdf",
    ink="#16191a",
    ink_2="#45494a",
    rule="#8b897e",
    rule_soft="#cfcabb",
    grid="#d5dfdc",
    contour="#b08d57",
    terrain="#6d5a34",
    pencil="#0a4a94",
    pencil_wash="#e4ecf3",
    over="#a31b08",
    on_over="#ffffff",
    hatch="#16191a",
    hatch_op=0.62,
)
SUN: Final = Light(
    paper="#ffffff",
    paper_shade="#ffffff",
    ink="#000000",
    ink_2="#1c1c1c",
    rule="#4a4a4a",
    rule_soft="#8a8a8a",
    grid="#dcdcdc",
    contour="transparent",
    terrain="#1c1c1c",
    pencil="#00357a",
    pencil_wash="#ffffff",
    over="#970f00",
    on_over="#ffffff",
    hatch="#000000",
    hatch_op=1.0,
)
NIGHT: Final = Light(
    paper="#131516",
    paper_shade="#1c1f20",
    ink="#f0eadb",
    ink_2="#bdb8aa",
    rule="#77756c",
    rule_soft="#3b3d3b",
    grid="#23302e",
    contour="#6a5433",
    terrain="#b79d6c",
    pencil="#93c7ff",
    pencil_wash="#1b2733",
    over="#ff8f77",
    on_over="#1c0400",
    hatch="#f0eadb",
    hatch_op=0.6,
)
PRINT: Final = Light(
    paper="#ffffff",
    paper_shade="#ffffff",
    ink="#000000",
    ink_2="#000000",
    rule="#000000",
    rule_soft="#777777",
    grid="#cccccc",
    contour="transparent",
    terrain="#000000",
    pencil="#000000",
    pencil_wash="#ffffff",
    over="#000000",
    on_over="#ffffff",
    hatch="#000000",
    hatch_op=0.9,
)
LIGHTS: Final[Mapping[str, Light]] = MappingProxyType(
    {"paper": PAPER, "sun": SUN, "night": NIGHT, "print": PRINT}
)


def font_folder() -> Path:
    """Return the folder with the faces, for ``font_paths`` of a typesetter.

    Examples
    --------
    >>> (font_folder() / "Besley-SemiBold.ttf").is_file()
    True
    """
    return Path(__file__).with_name("fonts")


def font_file(face: str = FACE_TEXT, weight: int = 400) -> Path:
    """Return the TTF file of a face and weight.

    Raises
    ------
    KeyError
        If that weight is not bundled.

    Examples
    --------
    >>> font_file(FACE_TITLE, 600).name
    'Besley-SemiBold.ttf'
    """
    return font_folder() / f"{FACES[face, weight]}.ttf"


@cache
def _face_rule(face: str, weight: int) -> str:
    data = base64.b64encode((font_folder() / f"{FACES[face, weight]}.woff2").read_bytes()).decode("ascii")
    return (
        f'@font-face{{font-family:"{face}";font-style:normal;font-weight:{weight};font-display:block;'
        f'src:url(data:font/woff2;base64,{data}) format("woff2")}}'
    )


HTML_FACES: Final = ((FACE_TEXT, 400), (FACE_TEXT, 600), (FACE_TEXT, 700), (FACE_TITLE, 600))


def css_fonts(faces: Iterable[tuple[str, int]] = HTML_FACES) -> str:
    """Return ``@font-face`` rules with the faces inside, so that a page needs no other file.

    Parameters
    ----------
    faces : iterable of (str, int)
        Face and weight of each.

    Examples
    --------
    >>> css_fonts([(FACE_TITLE, 600)]).startswith('@font-face{font-family:"Besley"')
    True
    """
    return "\n".join(_face_rule(face, weight) for face, weight in faces)


def with_faces(svg: str) -> str:
    """Return a drawing that carries its typefaces, so that it looks the same anywhere.

    Examples
    --------
    >>> with_faces('<svg width="4"><path/></svg>').startswith('<svg width="4"><style>@font-face')
    True
    """
    head, rest = svg.split(">", 1)
    return f"{head}><style>{css_fonts()}</style>{rest}"


def css_tokens(light: str = "paper") -> str:
    """Return the tokens as CSS: sizes, spaces, lines, and the colours of one light; print is its own sheet.

    Parameters
    ----------
    light : str
        ``paper``, ``sun``, ``night`` or ``print``.
    """
    sizes = "".join(f"--t-{name}:{px / 16:g}rem;" for name, px in SIZES_PX.items())
    spaces = "".join(f"--s{n}:{px}px;" for n, px in enumerate(SPACES_PX, start=1))
    lines = f"--l-hair:{HAIR_PX:g}px;--l-rule:{RULE_PX:g}px;--l-neat:{NEAT_PX:g}px;--l-heavy:{HEAVY_PX:g}px;"
    faces = f"--face-text:{STACK_TEXT};--face-title:{STACK_TITLE};"
    scheme = "dark" if light == "night" else "light"
    return (
        f":root{{color-scheme:{scheme};{faces}{sizes}{spaces}{lines}--touch:{TOUCH_PX}px;{LIGHTS[light].css()}}}\n"
        f"@media print{{:root{{{PRINT.css()}}}}}"
    )
