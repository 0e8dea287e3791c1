"""The built pages: the app's one HTML file and the assets it names, from the folder the build wrote."""

from __future__ import annotations

import os
from pathlib import Path

from starlette.responses import HTMLResponse, Response

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.answers import refuse
from haulwright.interfaces.web.http import response

BUILT = Path(__file__).parent / "app"
MEDIA = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}
KEPT = {"Cache-Control": "public, max-age=31536000, immutable"}  # a changed file has another name
NOT_BUILT = (
    "The pages are not built, so there is nothing to look at here. 'python3 start.py setup' builds them. The routes "
    "of the interface answer all the same: /api/openapi.json describes them."
)


def app_folder() -> Path:
    """Return where the built pages lie: HAULWRIGHT_APP where someone works on them, else beside this file."""
    return Path(os.environ.get("HAULWRIGHT_APP") or BUILT)


def index() -> Response:
    """Return the app's HTML, or what to do where it was never built."""
    page = app_folder() / "index.html"
    if not page.is_file():
        return HTMLResponse(f"<!doctype html><title>Haulwright</title><p>{NOT_BUILT}</p>", 503)
    return HTMLResponse(page.read_bytes())


def worker() -> Response:
    """Return the script with which a browser on this machine keeps the pages themselves; it keeps no answers."""
    script = app_folder() / "sw.js"
    if not script.is_file():
        return response(refuse(UsageRefusal("NOT_FOUND", "The pages are not built.", ("sw.js",))))
    return Response(script.read_bytes(), media_type=MEDIA[".js"], headers={"Cache-Control": "no-cache"})


def asset(name: str) -> Response:
    """Return one file of the build by its name alone.

    Parameters
    ----------
    name : str
        As the app's HTML and its files name it; nothing outside the folder is ever read.
    """
    media = MEDIA.get(Path(name).suffix)
    if media is not None and name in _names():
        return Response((app_folder() / "assets" / name).read_bytes(), media_type=media, headers=KEPT)
    return response(refuse(UsageRefusal("NOT_FOUND", f"There is no file {name!r} among the pages.", (name,))))


def _names() -> set[str]:
    folder = app_folder() / "assets"
    return {one.name for one in folder.iterdir() if one.is_file()} if folder.is_dir() else set()
