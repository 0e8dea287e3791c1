"""What stands before every route: host, origin, session, size and time of the body, and the headers of every answer."""

from __future__ import annotations

import asyncio
import time
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from haulwright.errors import Refusal, UsageRefusal
from haulwright.interfaces.web.answers import Answer, refuse
from haulwright.interfaces.web.door import COOKIE, Door
from haulwright.interfaces.web.http import response
from haulwright.interfaces.web.settings import Settings

OWN_NAMES = ("127.0.0.1", "localhost")
WITHOUT_SESSION = ("/enter",)
POLICY = (
    "default-src 'none'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src 'self' data:; "
    "script-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
ALWAYS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # with no-referrer a browser hides the origin of our own forms
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}


class Guard:
    """The outermost layer of the application."""

    def __init__(self, app: ASGIApp, settings: Settings, door: Door | None) -> None:
        self.app, self.settings, self.door = app, settings, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it before anything of it is read."""
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in ALWAYS.items():
                    headers.setdefault(name, value)
            await send(message)

        try:
            self._check(scope)
        except Refusal as refusal:
            said = refuse(refusal)
            if refusal.code == "SESSION" and scope["path"] == "/":
                said = Answer(303, "text/plain", b"", {"Location": "/enter"})
            await response(said)(scope, receive, send_with_headers)
            return
        limited = _Limited(receive, self.settings.greatest_body(scope["path"]), self.settings.body_s)
        await self.app(scope, limited, send_with_headers)

    def _check(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        host = _one(headers, "host")
        self._check_host(host, scope)
        self._check_origin(host, headers, scope)
        if (
            self.door is not None
            and scope["path"] not in WITHOUT_SESSION
            and not self.door.knows(session_of(headers))
        ):
            raise UsageRefusal(
                "SESSION",
                "Open the address shown in the terminal on this device first: its code lets it in, once.",
            )
        length = headers.get("content-length", "0")
        greatest = self.settings.greatest_body(scope["path"])
        if not length.isascii() or not length.isdigit() or int(length[:20]) > greatest:
            raise too_large(greatest)

    def _check_host(self, host: str, scope: Scope) -> None:
        """Refuse a name that another machine's page gave to this address."""
        address, port = scope.get("server") or ("", None)
        names = [*OWN_NAMES, *([address] if self.settings.open_to_network else [])]
        if host not in {f"{name}:{port}" for name in names} | ({*names} if port == 80 else set()):
            raise UsageRefusal(
                "HOST",
                f"Asked for under the name {host!r}, which is not this server's. Use the address it shows.",
                (host,),
            )

    def _check_origin(self, host: str, headers: Headers, scope: Scope) -> None:
        """Refuse what a page of another origin asks for; following a link to a page is no such thing."""
        origin = _one(headers, "origin")
        if origin and origin != f"{scope['scheme']}://{host}":
            raise UsageRefusal(
                "ORIGIN", f"Asked by a page of {origin!r}, which is not this server's.", (origin,)
            )
        foreign = headers.get("sec-fetch-site") in ("cross-site", "same-site")
        link = headers.get("sec-fetch-mode") == "navigate" and scope["method"] == "GET"
        if foreign and not (link and not scope["path"].startswith("/api/")):
            raise UsageRefusal("ORIGIN", "Asked by a page of another site.", ("sec-fetch-site",))


def too_large(greatest: int) -> UsageRefusal:
    """Return the refusal of a body beyond what its route takes."""
    return UsageRefusal(
        "TOO_LARGE",
        f"The body is over {greatest / 1e6:g} MB, the most this route takes. Send less.",
        ("body",),
    )


def _one(headers: Headers, name: str) -> str:
    """Return a header that may be there once."""
    given = headers.getlist(name)
    return given[0] if len(given) == 1 else ", ".join(given)


def session_of(headers: Headers) -> str | None:
    """Return the session a request shows, whether it is good or not."""
    try:
        morsel = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return None
    return None if morsel is None else morsel.value


class _Limited:
    """The receiving side of a request: so many bytes, within such a time."""

    def __init__(self, receive: Receive, most: int, within_s: float) -> None:
        self.receive, self.most, self.left = receive, most, most
        self.until = time.monotonic() + within_s
        self.whole = False

    async def __call__(self) -> Message:
        if self.whole:
            return await self.receive()
        try:
            async with asyncio.timeout(max(0.0, self.until - time.monotonic())):
                message = await self.receive()
        except TimeoutError:
            raise UsageRefusal(
                "TOO_SLOW", "The body did not arrive in time. Send it again.", ("body",)
            ) from None
        if message["type"] == "http.request":
            self.left -= len(message.get("body", b""))
            self.whole = not message.get("more_body", False)
            if self.left < 0:
                raise too_large(self.most)
        return message
