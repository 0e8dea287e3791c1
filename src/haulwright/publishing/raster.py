"""A drawing as a picture of dots: the same SVG set by the typesetter with the bundled faces."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Final

import typst

from haulwright.errors import HaulwrightError
from haulwright.publishing.look import font_folder

_HELD: Final = re.compile(
    r' textLength="[^"]*"'
)  # the faces are at hand, and held letters are set one by one
_SIZE: Final = re.compile(r'<svg [^>]*width="([0-9.]+)" height="([0-9.]+)"')
_DOTS: Final = 2.0


def drawing_png(svg: str) -> bytes:
    """Return a drawing as PNG, two dots per pixel; the same drawing gives the same bytes.

    Parameters
    ----------
    svg : str
        As :func:`haulwright.publishing.diagram.rig_svg` and its kin return it.

    Raises
    ------
    HaulwrightError
        If the typesetter returns no picture.
    """
    size = _SIZE.search(svg)
    if size is None:
        raise HaulwrightError("The drawing states no size, so it has no picture.")
    wide, high = size.groups()
    page = (
        f"#set page(width: {wide}pt, height: {high}pt, margin: 0pt)\n"
        '#image(bytes(sys.inputs.drawing), format: "svg", width: 100%)\n'
    )
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "drawing.typ"
        source.write_text(page, encoding="utf-8")
        png = typst.compile(
            source,
            format="png",
            ppi=72.0 * _DOTS,
            sys_inputs={"drawing": _HELD.sub("", svg)},
            font_paths=[font_folder()],
            ignore_system_fonts=True,
        )
    if not isinstance(png, bytes):
        raise HaulwrightError("The typesetter returned no picture of the drawing.")
    return png
