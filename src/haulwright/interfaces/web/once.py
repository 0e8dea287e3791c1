"""One answer without a socket: ``haulwright serve --get PATH``."""

from __future__ import annotations

import asyncio
import traceback
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import unquote

from starlette.types import ASGIApp, Message, Scope

from haulwright.interfaces.web.answers import Answer
from haulwright.interfaces.web.app import create_app
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work.processes import AtOnce

HOST, PORT = "127.0.0.1", 80


def get(path: str, settings: Settings) -> Answer:
    """Return what the server would answer to a GET of a path.

    Parameters
    ----------
    path : str
        With its query, as in an address: ``/api/rig/solve?rig=two-part&load=20+kN``. Spaces need no code here.

    Examples
    --------
    >>> get("/api/rigs", Settings()).status
    200
    """
    app = create_app(settings, AtOnce())
    with ThreadPoolExecutor(1) as aside:  # also where a loop runs already, as in a notebook
        return aside.submit(lambda: asyncio.run(_get(app, path))).result()


async def _get(app: ASGIApp, path: str) -> Answer:
    bare, _, query = (path if path.startswith("/") else f"/{path}").partition("?")
    scope: Scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET", "scheme": "http",
        "path": unquote(bare), "raw_path": bare.encode("utf-8", "replace"), "root_path": "",
        "query_string": query.replace(" ", "+").encode("utf-8", "replace"), "headers": [(b"host", HOST.encode())],
        "client": (HOST, 0), "server": (HOST, PORT),
    }  # fmt: skip
    status, media, pieces = 500, "", []

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        nonlocal status, media
        if message["type"] == "http.response.start":
            status = message["status"]
            media = dict(message["headers"]).get(b"content-type", b"").decode("latin-1")
        else:
            pieces.append(message.get("body", b""))

    try:
        await app(scope, receive, send)
    except Exception:  # it was answered as a fault; what failed is for the terminal
        traceback.print_exc()
    return Answer(status, media, b"".join(pieces))
