"""The server on its socket: binding, the code on the terminal, a clean end."""

from __future__ import annotations

import asyncio
import contextlib
import io
import os
import socket
import sys
from collections.abc import Callable

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.app import create_app
from haulwright.interfaces.web.door import Door
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work.processes import Processes

OWN, EVERY = "127.0.0.1", "0.0.0.0"
Say = Callable[[str], None]


def bound(port: int, open_to_network: bool) -> socket.socket:
    """Return a socket that listens to this machine alone, or to its networks.

    Raises
    ------
    UsageRefusal
        PORT: taken, or not ours to take.
    """
    own = socket.socket(
        socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP
    )  # told so, it sends without delay
    if os.name == "posix":
        own.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        own.bind((EVERY if open_to_network else OWN, port))
        own.listen(100)  # before its address is told: who is quick waits, and is not turned away
    except (OSError, OverflowError) as err:
        own.close()
        reason = getattr(err, "strerror", None) or err
        raise UsageRefusal(
            "PORT",
            f"Port {port} cannot be used ({reason}). Give another with --port, or 0 for any free one.",
            ("--port",),
        ) from None
    return own


def network_address() -> str:
    """Return this machine's address on its network; its own address where there is no network. Nothing is sent."""
    with contextlib.closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # of a block kept for documentation (RFC 5737)
            return str(probe.getsockname()[0])
        except OSError:
            return OWN


def qr_text(address: str) -> str:
    """Return a QR code as text for a terminal.

    Examples
    --------
    >>> len(qr_text("http://192.0.2.7:8765/").splitlines()) > 10
    True
    """
    import segno

    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, compact=True)
    return out.getvalue()


def listen(settings: Settings, port: int, say: Say) -> None:
    """Serve until stopped by hand.

    Raises
    ------
    UsageRefusal
        PORT.
    """
    import uvicorn

    class Server(uvicorn.Server):
        """Stops its work first: what is half done is not waited for."""

        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            await work.close()
            await super().shutdown(sockets)

    work = Processes()
    own = bound(port, settings.open_to_network)
    taken = own.getsockname()[1]
    here = f"http://{OWN}:{taken}/"
    door = None
    if settings.open_to_network:
        address = f"http://{network_address()}:{taken}/enter"

        def tell(code: str) -> None:
            say(f"To open it on a device of this network, once: scan this, or open {address} and type {code}")
            say(qr_text(f"{address}?code={code}"))

        door = Door(tell)
        say("Open to the local network: anyone there who gets the code can see the campaigns. Not encrypted.")
        tell(door.code)
        say(f"On this machine: {here}enter?code={door.code}")
    else:
        say(f"Haulwright is at {here} (this machine only). Stop it with Ctrl-C.")
    app = create_app(settings, work, door)
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, timeout_keep_alive=20,
        timeout_graceful_shutdown=3, limit_concurrency=100, h11_max_incomplete_event_size=64_000, ws="none", http="h11",
        loop="asyncio",
    )  # fmt: skip
    with contextlib.suppress(KeyboardInterrupt), own:
        asyncio.run(Server(config).serve(sockets=[own]))
    print("Stopped.", file=sys.stderr)
