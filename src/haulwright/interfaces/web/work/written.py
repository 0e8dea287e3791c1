"""What a verb is given and what it writes, on their way through HTTP."""

from __future__ import annotations

import contextlib
import datetime as dt
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from haulwright import workflows
from haulwright.errors import FileRefusal, UsageRefusal
from haulwright.interfaces.web.answers import PREFIX, Answer

SVG, PNG, PDF = "image/svg+xml", "image/png", "application/pdf"
HTML = "text/html; charset=utf-8"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ZIP = "application/zip"
MEDIA = {"svg": SVG, "png": PNG, "pdf": PDF, "html": HTML, "xlsx": XLSX, "zip": ZIP}
# a drawing or a report brings its own styles and typefaces; nothing in it may run or be fetched
INERT = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox"
_TEXT = ("application/json", "text/", "image/svg+xml")


def is_text(media: str) -> bool:
    """Return whether an answer of this type is text.

    Examples
    --------
    >>> is_text(HTML), is_text(SVG), is_text(PNG), is_text(PDF)
    (True, True, False, False)
    """
    return media.startswith(_TEXT)


def pull_of(given: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a pull that holds all it needs.

    Raises
    ------
    FileRefusal
        VALUE: it names a file.
    """
    for key in ("kit", "friction", "own"):
        if isinstance(given.get(key), str):
            raise FileRefusal(
                "VALUE",
                f"pull.{key} = {given[key]!r}: send what that file holds, not its path.",
                ("pull", key),
            )
    return given


def day_of(text: str) -> dt.date:
    """Return a day written year-month-day.

    Raises
    ------
    FileRefusal
        VALUE: there is no such day.
    """
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise FileRefusal("VALUE", f"day = {text!r}: there is no such day.", ("day",)) from None


@contextlib.contextmanager
def results() -> Iterator[str]:
    """Give a folder for what a verb writes; it is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as out:
        yield out


def file_of(files: workflows.Files, media: str, stem: str = "") -> Answer:
    """Return the bytes of the file of a type that a verb wrote, of several the one whose name begins with ``stem``."""
    ending = next((end for end, one in MEDIA.items() if one == media), "")
    written = next(
        one for one in files.files if one.path.endswith(ending) and Path(one.path).name.startswith(stem)
    )
    path = Path(written.path)
    headers = {"Content-Disposition": f'inline; filename="{path.name}"', "ETag": f'"{written.sha256}"'}
    if is_text(media):
        headers["Content-Security-Policy"] = INERT
    return Answer(200, media, path.read_bytes(), headers)


def media_of(format_: str, offered: tuple[str, ...]) -> str:
    """Return the media type of a format.

    Raises
    ------
    UsageRefusal
        FORMAT: it is not one of those offered here.
    """
    if format_ not in offered:
        known = " or ".join(offered)
        raise UsageRefusal("FORMAT", f"format = {format_!r}: give {known}.", ("format",))
    return MEDIA[format_]
